"""The search behind the timetable: whole minutes, and numbers for presses, kinds and moulds. No sentences.

Exact. A state is the start of the latest decision, each press closed or open, and how many of each kind are
left. Decisions are taken in the order of their starts, each as early as those before it allow; if any plan
exists, taking its decisions in that order gives one in which nothing starts later, so no plan is missed. A
state that failed is not searched again, nor is one with the same presses and pairs in which nothing is
earlier: whatever it could do, the failed one could have done.
"""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

NEVER = 10**9

Load = tuple[tuple[int, int], ...]  # (kind, mould) of each pair in one closing
Busy = tuple[tuple[int, int], ...]  # (until, hands) of work in hand
Counts = tuple[int, ...]


class OutOfSteps(Exception):
    """The search was stopped before it could tell."""


@dataclass(frozen=True, slots=True)
class PressShape:
    """One press in minutes and hands. `watched` of the run needs somebody present."""

    holds: int
    closing: int
    closing_hands: int
    watched: int
    run: int
    opening: int
    opening_hands: int


@dataclass(frozen=True, slots=True)
class KindShape:
    """Pairs that are alike: the moulds that fit, earliest closing, latest end of opening."""

    moulds: tuple[int, ...]
    ready: int
    due: int


@dataclass(frozen=True, slots=True)
class Problem:
    """Presses, kinds of pairs, moulds, and hands over time as (from, to, hands), apart and in order."""

    presses: tuple[PressShape, ...]
    kinds: tuple[KindShape, ...]
    moulds: tuple[int, ...]
    hands: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True, slots=True)
class Slot:
    """One press at a moment: closed or open, busy being closed or opened until, what is in it."""

    closed: bool
    until: int
    load: Load


@dataclass(frozen=True, slots=True)
class Step:
    """One decision: a press is closed on a load, or opened, from a minute on."""

    press: int
    closing: bool
    at: int
    load: Load


class Calendar:
    """Hands over time, and the earliest minute at which work fits."""

    def __init__(self, hands: tuple[tuple[int, int, int], ...]) -> None:
        self.starts: list[int] = [0]
        self.there: list[int] = [0]
        for begin, end, count in hands:
            if self.starts[-1] == begin:
                self.there[-1] = count
            else:
                self.starts.append(begin)
                self.there.append(count)
            self.starts.append(end)
            self.there.append(0)
        self.ends = [*self.starts[1:], NEVER]

    def short_until(self, begin: int, end: int, need: int, busy: Busy) -> int | None:
        """The end of the first stretch with fewer free hands than needed; None when there is none."""
        row, at = bisect_right(self.starts, begin) - 1, begin
        while at < end:
            used = sum(hands for until, hands in busy if until > at)
            if self.there[row] - used < need:
                return min([self.ends[row], *(until for until, _ in busy if until > at)])
            at = self.ends[row]
            row += 1
        return None

    def earliest(self, at: int, length: int, need: int, busy: Busy = (), watched: int = 0) -> int:
        """The first start from `at` with hands enough, and somebody there for `watched` after; or NEVER."""
        while at < NEVER:
            short = self.short_until(at, at + length, need, busy)
            if short is None and watched:
                unwatched = self.short_until(at + length, at + length + watched, 1, ())
                short = None if unwatched is None else unwatched - length if unwatched < NEVER else NEVER
            if short is None:
                return at
            at = short
        return NEVER


@dataclass
class Search:
    """Searches one problem for any number of its pairs; what it learned is kept between calls."""

    problem: Problem
    steps_left: int
    failed: dict[object, list[tuple[int, ...]]] = field(default_factory=dict)
    chains: dict[tuple[int, int, int], int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.calendar = Calendar(self.problem.hands)
        shapes = list(dict.fromkeys(self.problem.presses))
        self.shape_of = [shapes.index(press) for press in self.problem.presses]

    def plan(self, counts: Counts) -> list[Step] | None:
        """Steps that press so many of each kind, in order of time; None when there are none."""
        empty = tuple(Slot(False, 0, ()) for _ in self.problem.presses)
        return self._from(0, empty, counts)

    def _from(self, now: int, slots: tuple[Slot, ...], left: Counts) -> list[Step] | None:
        if not any(left) and not any(slot.closed for slot in slots):
            return []
        self.steps_left -= 1
        if self.steps_left < 0:
            raise OutOfSteps
        slots = tuple(self._settled(press, slot, now) for press, slot in enumerate(slots))
        key, times = self._signature(now, slots, left)
        worse = self.failed.setdefault(key, [])
        if any(all(map(int.__le__, known, times)) for known in worse):
            return None
        if self._enough_room(now, slots, left):
            for step in self._options(now, slots, left):
                rest = self._from(step.at, *self._after(step, slots, left))
                if rest is not None:
                    return [step, *rest]
        worse.append(times)
        return None

    def _settled(self, press: int, slot: Slot, now: int) -> Slot:
        """The same slot with what no longer matters taken out, so that like states look alike."""
        if slot.closed:
            return Slot(True, max(slot.until, now - self.problem.presses[press].run), slot.load)
        return slot if slot.until > now else Slot(False, now, ())

    def _signature(self, now: int, slots: tuple[Slot, ...], left: Counts) -> tuple[object, tuple[int, ...]]:
        rows = sorted(
            (self.shape_of[press], slot.closed, slot.load, slot.until) for press, slot in enumerate(slots)
        )
        return (left, tuple(row[:3] for row in rows)), (now, *(row[3] for row in rows))

    def _busy(self, now: int, slots: tuple[Slot, ...]) -> Busy:
        work = []
        for press, slot in zip(self.problem.presses, slots, strict=True):
            if slot.until > now:
                work.append((slot.until, press.closing_hands if slot.closed else press.opening_hands))
        return tuple(work)

    def _after(self, step: Step, slots: tuple[Slot, ...], left: Counts) -> tuple[tuple[Slot, ...], Counts]:
        press = self.problem.presses[step.press]
        until = step.at + (press.closing if step.closing else press.opening)
        slot = Slot(step.closing, until, step.load)
        slots = (*slots[: step.press], slot, *slots[step.press + 1 :])
        if step.closing:
            used = [kind for kind, _ in step.load]
            left = tuple(count - used.count(kind) for kind, count in enumerate(left))
        return slots, left

    def _options(self, now: int, slots: tuple[Slot, ...], left: Counts) -> list[Step]:
        """What may be decided next; none when a closed press can no longer be opened in time."""
        busy = self._busy(now, slots)
        openings: list[Step] = []
        closings: list[Step] = []
        seen: set[tuple[int, Slot]] = set()
        for press, slot in enumerate(slots):
            if (self.shape_of[press], slot) in seen:
                continue
            seen.add((self.shape_of[press], slot))
            if slot.closed:
                step = self._opening(press, slot, now, busy)
                if step is None:
                    return []
                openings.append(step)
            else:
                closings += self._closings(press, max(now, slot.until), now, slots, left, busy)
        options = sorted(openings + closings, key=self._rank)
        return options[:1] if self._harmless(options) else options

    def _harmless(self, options: list[Step]) -> bool:
        """The first is an opening that delays nothing, whatever is decided next: no other need be tried.

        It is over before any other could begin, or there are hands enough for every press at once.
        """
        if not options or options[0].closing:
            return False
        first = options[0]
        over = first.at + self.problem.presses[first.press].opening
        if all(step.at >= over for step in options[1:]):
            return True
        most = sum(max(press.closing_hands, press.opening_hands) for press in self.problem.presses)
        return self.calendar.short_until(first.at, over, most, ()) is None

    def _rank(self, step: Step) -> tuple[int, bool, int, int]:
        return (step.at, step.closing, self._due(step.load), -len(step.load))

    def _due(self, load: Load) -> int:
        return min(self.problem.kinds[kind].due for kind, _ in load)

    def _opening(self, press: int, slot: Slot, now: int, busy: Busy) -> Step | None:
        shape = self.problem.presses[press]
        at = self.calendar.earliest(
            max(now, slot.until + shape.run), shape.opening, shape.opening_hands, busy
        )
        return Step(press, False, at, slot.load) if at + shape.opening <= self._due(slot.load) else None

    def _closings(
        self, press: int, at: int, now: int, slots: tuple[Slot, ...], left: Counts, busy: Busy
    ) -> list[Step]:
        shape = self.problem.presses[press]
        steps = []
        for load in self._loads(shape.holds, left):
            moulds_at = self._moulds_free(load, now, slots)
            ready = max(self.problem.kinds[kind].ready for kind, _ in load)
            begin = max(at, moulds_at, ready)
            if begin < NEVER:
                begin = self.calendar.earliest(begin, shape.closing, shape.closing_hands, busy, shape.watched)
            if self._ends(press, begin) <= self._due(load):
                steps.append(Step(press, True, begin, load))
        return steps

    def _ends(self, press: int, closing_at: int) -> int:
        """When a press closed from this minute on is opened at the earliest, others aside."""
        shape = self.problem.presses[press]
        if closing_at >= NEVER:
            return NEVER
        openable = closing_at + shape.closing + shape.run
        return self.calendar.earliest(openable, shape.opening, shape.opening_hands) + shape.opening

    def _loads(self, holds: int, left: Counts) -> Iterator[Load]:
        """Every load of one closing: one pair, or several in a press that holds them."""
        single = [
            (kind, mould)
            for kind, count in enumerate(left)
            if count
            for mould in self.problem.kinds[kind].moulds
        ]
        wave: list[Load] = [()]
        for _ in range(holds):
            wave = [
                (*load, one)
                for load in wave
                for one in single
                if (not load or one >= load[-1]) and self._fits(load, one, left)
            ]
            yield from wave

    def _fits(self, load: Load, one: tuple[int, int], left: Counts) -> bool:
        kinds, moulds = [kind for kind, _ in load], [mould for _, mould in load]
        return kinds.count(one[0]) < left[one[0]] and moulds.count(one[1]) < self.problem.moulds[one[1]]

    def _moulds_free(self, load: Load, now: int, slots: tuple[Slot, ...]) -> int:
        """The minute from which the load's moulds are free; NEVER while a press has to be opened first."""
        wanted = [mould for _, mould in load]
        latest = now
        for mould in set(wanted):
            held = [
                NEVER if slot.closed else slot.until
                for slot in slots
                for _, held_mould in slot.load
                if held_mould == mould
            ]
            free = self.problem.moulds[mould] - len(held)
            waits = wanted.count(mould) - free
            if waits > 0:
                latest = max(latest, sorted(held)[waits - 1])
        return latest

    def _enough_room(self, now: int, slots: tuple[Slot, ...], left: Counts) -> bool:
        """False when what is left is more than presses, or moulds, can still take: a bound, others aside."""
        free_at = []
        for press, slot in enumerate(slots):
            shape = self.problem.presses[press]
            opened = slot.until
            if slot.closed:
                at = max(now, slot.until + shape.run)
                opened = self.calendar.earliest(at, shape.opening, shape.opening_hands) + shape.opening
            free_at.append(max(now, opened))
        kinds = [kind for kind, count in enumerate(left) if count]
        for due in {self.problem.kinds[kind].due for kind in kinds}:
            wanted = sum(left[kind] for kind in kinds if self.problem.kinds[kind].due <= due)
            room = sum(
                shape.holds * self._chain(press, free_at[press], due)
                for press, shape in enumerate(self.problem.presses)
            )
            if wanted > room:
                return False
        return self._enough_moulds(now, slots, free_at, left, kinds)

    def _enough_moulds(
        self, now: int, slots: tuple[Slot, ...], free_at: list[int], left: Counts, kinds: list[int]
    ) -> bool:
        latest = max((self.problem.kinds[kind].due for kind in kinds), default=0)
        for moulds in {self.problem.kinds[kind].moulds for kind in kinds}:
            alike = [kind for kind in kinds if set(self.problem.kinds[kind].moulds) <= set(moulds)]
            room = 0
            for mould in moulds:
                held = [
                    free_at[press] if slot.closed else slot.until
                    for press, slot in enumerate(slots)
                    for _, held_mould in slot.load
                    if held_mould == mould
                ]
                free = self.problem.moulds[mould] - len(held)
                room += free * self._chain(-1, now, latest)
                room += sum(self._chain(-1, at, latest) for at in held)
            if sum(left[kind] for kind in alike) > room:
                return False
        return True

    def _chain(self, press: int, at: int, due: int) -> int:
        """How many cycles fit one after another from a minute on: in one press, or (-1) in the quickest."""
        presses = range(len(self.problem.presses)) if press < 0 else (press,)
        passed = []
        while (press, at, due) not in self.chains:
            ends = min(self._ends(each, self._close_from(each, at)) for each in presses)
            passed.append(at)
            if ends > due:
                self.chains[press, at, due] = 0
                passed.pop()
                break
            at = ends
        length = self.chains[press, at, due]
        for begin in reversed(passed):
            length += 1
            self.chains[press, begin, due] = length
        return length

    def _close_from(self, press: int, at: int) -> int:
        shape = self.problem.presses[press]
        return self.calendar.earliest(at, shape.closing, shape.closing_hands, (), shape.watched)


def hands_over_time(shifts: list[tuple[int, int, int]]) -> tuple[tuple[int, int, int], ...]:
    """Shifts that may overlap, as stretches apart and in order; hands of overlapping shifts add up."""
    edges = sorted({edge for begin, end, _ in shifts for edge in (begin, end)})
    stretches = []
    for begin, end in pairwise(edges):
        there = sum(hands for a, b, hands in shifts if a <= begin and end <= b)
        if there:
            stretches.append((begin, end, there))
    return tuple(stretches)
