"""Events folded into what is true now: amounts, places, openings, holds, tags. Knows no table and no clock.

The order of the fold is (sort, machine, id), never the claimed time. What is true of one thing depends only
on its own lines and on which events are skipped (`compute.merge.skips`), so things are folded one at a time.

Example: two laptops that each drew 80 of 100 while apart fold to amount 0, short 60, and one disagreement.
"""

import hashlib
from bisect import insort
from collections.abc import Callable, Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, replace
from enum import StrEnum
from uuid import UUID

from inventory.compute.steps import STEPS, Role


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an event. Amounts are whole base units of the thing; None where none is said."""

    thing: UUID
    role: Role
    amount: int | None = None
    to: UUID | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """What the fold needs of an event.

    `clock` is in microseconds; `sort` is the same, of a late record the claimed time; `at` is that time;
    `content` tells whether two machines recorded the same act alike.
    """

    id: UUID
    machine: UUID
    number: int
    sort: int
    step: str
    act: UUID
    at: int = 0
    clock: int = 0
    reverses: UUID | None = None
    lifts: tuple[UUID, ...] = ()
    settles: UUID | None = None
    content: str = ""
    lines: tuple[Line, ...] = ()

    @property
    def order(self) -> tuple[int, UUID, UUID]:
        """The key of the fold."""
        return (self.sort, self.machine, self.id)


Known = Callable[[Event, UUID], int]
"""known(event, machine): the highest number of `machine` that the event's own machine knew when it wrote."""


def saw(known: Known, later: Event, earlier: Event) -> bool:
    """True when the machine of `later` knew `earlier` as it wrote."""
    return earlier.number <= known(later, earlier.machine)


class Trouble(StrEnum):
    """What two truths can disagree about."""

    SHORT = "short"
    COUNT_APART = "count apart"
    MOVED_APART = "moved apart"
    USED_WHILE_HELD = "used while held"
    CLOSED_APART = "press closed twice"
    REVERSAL_SUSPENDED = "reversal suspended"
    SAME_ACT_DIFFERS = "same act differs"
    ONE_CODE_TWO_THINGS = "one code two things"
    CARD_EDITED_TWICE = "card edited twice"


THING_TROUBLES = (
    Trouble.SHORT,
    Trouble.COUNT_APART,
    Trouble.MOVED_APART,
    Trouble.USED_WHILE_HELD,
    Trouble.CLOSED_APART,
)
SKIP_TROUBLES = (Trouble.REVERSAL_SUSPENDED, Trouble.SAME_ACT_DIFFERS)


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Two truths that people must settle, with the events that disagree, in order."""

    trouble: Trouble
    thing: UUID
    events: tuple[UUID, ...]
    amount: int = 0
    settled_by: UUID | None = None

    @property
    def id(self) -> UUID:
        """The same on every machine that knows the same events."""
        text = "|".join([self.trouble, str(self.thing), *map(str, self.events)])
        digest = int.from_bytes(hashlib.sha256(text.encode()).digest()[:16], "big")
        return UUID(int=digest & ~(0xF << 76) | (0x8 << 76))


@dataclass(frozen=True, slots=True)
class State:
    """What is true of one thing. `value` below zero is what is short; None: it has no amount."""

    value: int | None = None
    place: UUID | None = None
    opened_at: int | None = None
    born: UUID | None = None
    holds: frozenset[UUID] = frozenset()

    @property
    def amount(self) -> int:
        """What is left, never below zero."""
        return max(self.value or 0, 0)

    @property
    def short(self) -> int:
        """What was drawn beyond what there was."""
        return max(-(self.value or 0), 0)


GIVES = frozenset({Role.OUTPUT, Role.GAINS})
_LEAVES = frozenset({"handed over", "sent back"})  # it lies nowhere here afterwards
FOLDED = frozenset({Role.INPUT, Role.OUTPUT, Role.GAINS, Role.OBSERVED, Role.CONTENT})


def move_on(state: State, event: Event, line: Line) -> State:
    """Return the state after one more line of the thing, its event sorting after all before.

    Formula: input - amount; output and gains + amount; a count states the amount; `to` sets the place; the
    earliest opening counts; a hold joins a set, and lifting takes it out by name.
    """
    opened, holds = state.opened_at, state.holds
    place = state.place if line.to is None else line.to
    if event.step == "opened":
        opened = event.at if opened is None else min(opened, event.at)
    elif event.step == "held":
        holds = holds | {event.id}
    elif event.step == "hold lifted":
        holds = holds - set(event.lifts)
    elif event.step in _LEAVES:
        place = None
    born = event.id if line.role is Role.OUTPUT else state.born
    return State(_value(state.value, event, line), place, opened, born, holds)


def _value(value: int | None, event: Event, line: Line) -> int | None:
    if line.amount is None:
        return value
    if line.role in GIVES:
        return (value or 0) + line.amount
    if line.role is Role.INPUT:
        return (value or 0) - line.amount
    return line.amount if _is_count(event, line) else value


def _uses(event: Event, line: Line) -> bool:
    """True for what the pen refuses of a thing on hold."""
    step = STEPS.get(event.step)
    carries_on = step is not None and step.carries_on and line.role is Role.OBSERVED
    if event.step == "written off" or (step is not None and step.says_only):
        return False
    return line.role in {Role.INPUT, Role.GAINS} or carries_on


def _is_count(event: Event, line: Line) -> bool:
    return event.step == "counted" and line.role is Role.OBSERVED and line.amount is not None


def fold_thing(
    thing: UUID, events: Iterable[Event], *, skipped: AbstractSet[UUID], known: Known
) -> tuple[State, tuple[Disagreement, ...]]:
    """Fold one thing from all events that have a line on it.

    Shapes: events in any order; lines of other things are passed over.
    """
    live = sorted((event for event in events if event.id not in skipped), key=lambda event: event.order)
    state = State()
    watch = _Watch(thing, known)
    for event in live:
        for line in event.lines:
            if line.thing == thing and line.role in FOLDED:
                before, state = state, move_on(state, event, line)
                watch.see(event, line, before, state)
    return state, tuple(watch.settled + watch.open)


_AMOUNTS = frozenset({Trouble.SHORT, Trouble.COUNT_APART})


@dataclass(slots=True)
class _Watch:
    """Collects what disagrees while one thing is folded.

    `past` keeps, per machine, what was folded so far by number, so that the events another machine had not
    seen are found from the end.
    """

    thing: UUID
    known: Known
    past: dict[UUID, list[tuple[int, int, Event, Line]]] = field(default_factory=dict)
    seen: int = 0
    open: list[Disagreement] = field(default_factory=list)
    settled: list[Disagreement] = field(default_factory=list)

    def see(self, event: Event, line: Line, before: State, after: State) -> None:
        counts = _is_count(event, line)
        if counts:
            self._settle(event, _AMOUNTS)
        if line.to is not None:
            self._settle(event, {Trouble.MOVED_APART})
        if not counts and after.short > before.short:
            self._short(event, after.short)
        for machine, past in self.past.items():
            if machine != event.machine:
                knew = self.known(event, machine)
                for number, _, other, other_line in reversed(past):
                    if number <= knew:
                        break
                    self._apart(other, other_line, event, line)
        self.seen += 1
        insort(self.past.setdefault(event.machine, []), (event.number, self.seen, event, line))

    def _short(self, event: Event, short: int) -> None:
        for index, found in enumerate(self.open):
            if found.trouble is Trouble.SHORT:
                self.open[index] = replace(found, amount=max(found.amount, short))
                return
        self.open.append(Disagreement(Trouble.SHORT, self.thing, (event.id,), short))

    def _apart(self, first: Event, first_line: Line, event: Event, line: Line) -> None:
        pair = (first.id, event.id)
        if _is_count(first, first_line) != _is_count(event, line):
            drawn = line if _is_count(first, first_line) else first_line
            if drawn.amount is not None and drawn.role is not Role.OBSERVED:
                self.open.append(Disagreement(Trouble.COUNT_APART, self.thing, pair, drawn.amount))
        if first_line.to is not None and line.to is not None and first_line.to != line.to:
            self.open.append(Disagreement(Trouble.MOVED_APART, self.thing, pair))
        if (first.step == "held" and _uses(event, line)) or (
            event.step == "held" and _uses(first, first_line)
        ):
            self.open.append(Disagreement(Trouble.USED_WHILE_HELD, self.thing, pair))
        if first.step == event.step == "press closed" and not self._opened_since(first):
            self.open.append(Disagreement(Trouble.CLOSED_APART, self.thing, pair))

    def _opened_since(self, closed: Event) -> bool:
        """Whether a press was opened on the machine that closed it, before what is folded now."""
        later = (other for number, _, other, _ in self.past.get(closed.machine, ()) if number > closed.number)
        return any(other.step == "press opened" for other in later)

    def _settle(self, event: Event, troubles: AbstractSet[Trouble]) -> None:
        """A count settles amounts, a move settles places, where it saw both sides; any count ends a short."""
        at = {other.id: other for past in self.past.values() for _, _, other, _ in past}
        still = []
        for found in self.open:
            sides = [at[side] for side in found.events]
            saw_both = all(side.machine == event.machine or saw(self.known, event, side) for side in sides)
            if found.trouble in troubles and (saw_both or found.trouble is Trouble.SHORT):
                self.settled.append(replace(found, settled_by=event.id))
            else:
                still.append(found)
        self.open = still


def settle_by_people(found: Iterable[Disagreement], settlements: Sequence[Event]) -> tuple[Disagreement, ...]:
    """Mark the disagreements that people settled by an event of their own; the first such event counts."""
    by: dict[UUID, UUID] = {}
    for event in sorted(settlements, key=lambda event: event.order):
        if event.settles is not None:
            by.setdefault(event.settles, event.id)
    marked = (replace(d, settled_by=by[d.id]) if d.id in by and d.settled_by is None else d for d in found)
    return tuple(sorted(marked, key=lambda d: (d.trouble, d.thing, d.events)))


@dataclass(frozen=True, slots=True)
class Tagging:
    """One code and the thing it answers for from this event on; None: printed, and still empty."""

    event: UUID
    order: tuple[int, UUID, UUID]
    code: str
    thing: UUID | None


def fold_tag(
    taggings: Iterable[Tagging], *, undone: AbstractSet[UUID]
) -> tuple[UUID | None, tuple[Disagreement, ...]]:
    """Return the thing one code answers for. The first thing keeps it; another is a disagreement.

    A reversed birth leaves its tag empty. The tag of an act that another machine recorded too still answers.

    Shapes: all taggings of one code, in any order.
    """
    thing: UUID | None = None
    by: UUID | None = None
    found: list[Disagreement] = []
    for tagging in sorted(taggings, key=lambda tagging: tagging.order):
        if tagging.thing is None or tagging.event in undone:
            continue
        if thing is None or by is None:
            thing, by = tagging.thing, tagging.event
        elif thing != tagging.thing:
            sides = (by, tagging.event)
            found.append(Disagreement(Trouble.ONE_CODE_TWO_THINGS, tagging.thing, sides))
    return thing, tuple(found)
