"""Machines that were apart: who knew what, which events fold once, which reversals must wait for people.

Knows no table, no file and no clock. `compute.fold` says what is true once the skipped events are known.

Example: laptop A reverses a delivery while laptop B, apart, draws from one of its jugs. The reversal is
suspended, and a disagreement says so; otherwise a recall would miss the ski.
"""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from uuid import UUID

from inventory.compute.fold import Disagreement, Event, Known, Trouble, saw
from inventory.compute.steps import STEPS, Role
from inventory.errors import Refused, say


@dataclass(frozen=True, slots=True)
class Meeting:
    """A merge as its own machine recorded it: `known` is the highest number of each machine from then on."""

    machine: UUID
    number: int
    known: Mapping[UUID, int]


def knowledge(meetings: Iterable[Meeting]) -> Known:
    """Return `known(event, machine)` for these meetings.

    A machine knows all its own events up to the one it writes, and of others what its last meeting brought.
    """
    by_machine: dict[UUID, list[Meeting]] = {}
    for meeting in sorted(meetings, key=lambda meeting: meeting.number):
        by_machine.setdefault(meeting.machine, []).append(meeting)
    numbers = {machine: [meeting.number for meeting in met] for machine, met in by_machine.items()}

    def known(event: Event, machine: UUID) -> int:
        if machine == event.machine:
            return event.number
        index = bisect_left(numbers.get(event.machine, ()), event.number)
        return by_machine[event.machine][index - 1].known.get(machine, 0) if index else 0

    return known


@dataclass(frozen=True, slots=True)
class Skips:
    """Events the fold passes over: `twins` were recorded by another machine too, `undone` were reversed."""

    twins: frozenset[UUID] = frozenset()
    undone: frozenset[UUID] = frozenset()
    disagreements: tuple[Disagreement, ...] = ()

    @property
    def all(self) -> frozenset[UUID]:
        """Every event to pass over."""
        return self.twins | self.undone


def skips(events: Iterable[Event], *, known: Known) -> Skips:
    """Say which events fold once only, and which reversals count.

    An act that two machines recorded counts as the machine that sorts first recorded it; undoing either copy
    undoes the act. A reversal counts unless what its target bore was used by a live event whose machine had
    not seen the reversal: then it is suspended, with a disagreement, until that use is reversed too.

    Shapes: all events, or any subset that holds with each event the others of its act, its reversals, and the
    events with a line on what it bore.
    """
    by_id = {event.id: event for event in events}
    counterpart, found = _twins(by_id)
    reversals: dict[UUID, list[Event]] = {}
    for event in by_id.values():
        target = by_id.get(event.reverses) if event.reverses else None
        if target is not None and target.reverses is None:
            reversals.setdefault(counterpart.get(target.id, target.id), []).append(event)
    users = _users(by_id.values(), [by_id[target] for target in reversals], counterpart.keys())
    undone: set[UUID] = set()
    # What uses a birth sorts after it, so the newest target is decided before any it depends on.
    for target in sorted((by_id[target] for target in reversals), key=lambda e: e.order, reverse=True):
        live = [user for user in users.get(target.id, ()) if user.id not in undone]
        suspended = _suspended(target, reversals[target.id], live, known)
        if suspended is None:
            undone.add(target.id)
        else:
            found.append(suspended)
    return Skips(frozenset(counterpart), frozenset(undone), tuple(found))


def _suspended(
    target: Event, reversals: Sequence[Event], users: Sequence[Event], known: Known
) -> Disagreement | None:
    """The disagreement that keeps every one of the reversals from counting; None when one counts."""
    for reversal in sorted(reversals, key=lambda event: event.order):
        unseen = [user for user in users if not saw(known, user, reversal)]
        if not unseen:
            return None
    first = min(reversals, key=lambda event: event.order)
    user = min((u for u in users if not saw(known, u, first)), key=lambda event: event.order)
    thing = next(line.thing for line in target.lines if line.role is Role.OUTPUT)
    return Disagreement(Trouble.REVERSAL_SUSPENDED, thing, (target.id, first.id, user.id))


def _users(
    events: Iterable[Event], targets: Iterable[Event], twins: AbstractSet[UUID]
) -> dict[UUID, list[Event]]:
    """Per target: the events, other than itself and twins, with a line on what it bore."""
    bore: dict[UUID, set[UUID]] = {}
    for target in targets:
        for line in target.lines:
            if line.role is Role.OUTPUT:
                bore.setdefault(line.thing, set()).add(target.id)
    users: dict[UUID, list[Event]] = {}
    for event in events:
        touched = {birth for line in event.lines for birth in bore.get(line.thing, ())}
        for birth in touched - {event.id}:
            if event.id not in twins and not _says_only(event):
                users.setdefault(birth, []).append(event)
    return users


def _says_only(event: Event) -> bool:
    step = STEPS.get(event.step)
    return step is not None and step.says_only


def _twins(events: Mapping[UUID, Event]) -> tuple[dict[UUID, UUID], list[Disagreement]]:
    """Events of acts that a second machine recorded too, each with its counterpart that counts."""
    acts: dict[UUID, dict[UUID, list[Event]]] = {}
    for event in events.values():
        acts.setdefault(event.act, {}).setdefault(event.machine, []).append(event)
    counterpart: dict[UUID, UUID] = {}
    found: list[Disagreement] = []
    for act, by_machine in acts.items():
        if len(by_machine) == 1:
            continue
        copies = sorted(
            (sorted(copy, key=lambda e: e.number) for copy in by_machine.values()), key=lambda c: c[0].order
        )
        first, others = copies[0], copies[1:]
        for copy in others:
            for index, event in enumerate(copy):
                counterpart[event.id] = first[min(index, len(first) - 1)].id
            if copy[0].content != first[0].content:
                sides = (first[0].id, copy[0].id)
                found.append(Disagreement(Trouble.SAME_ACT_DIFFERS, act, sides))
    return counterpart, found


def check_gapless(held: Mapping[UUID, int], brought: Mapping[UUID, Sequence[int]]) -> None:
    """Refuse a bundle that does not go on where this machine's knowledge ends.

    Shapes: highest number held per machine; numbers brought per machine, in any order.
    Refuses: merge.gap
    """
    for machine, numbers in brought.items():
        news = sorted(number for number in set(numbers) if number > held.get(machine, 0))
        expected = held.get(machine, 0) + 1
        for number in news:
            if number != expected:
                raise Refused(
                    "merge.gap",
                    say(
                        "Machine {machine} is known here to {held}, and the bundle goes on at {number}.",
                        machine=machine,
                        held=expected - 1,
                        number=number,
                    ),
                    say("Ask that laptop for a whole export, and merge that."),
                )
            expected += 1


def numbers_known(meetings: Iterable[Meeting], *, here: UUID, own: int) -> dict[UUID, int]:
    """Return the highest number of each machine that `here` knew when it had written `own` events."""
    known: dict[UUID, int] = {here: own}
    for meeting in meetings:
        if meeting.machine == here and meeting.number <= own:
            for machine, number in meeting.known.items():
                known[machine] = max(known.get(machine, 0), number)
    return known


@dataclass(frozen=True, slots=True)
class Edit:
    """One revision of one card: per field the value before and after, as JSON values."""

    id: UUID
    machine: UUID
    clock: int
    before: Mapping[str, object]
    after: Mapping[str, object]


def fold_card(
    card: UUID, edits: Iterable[Edit]
) -> tuple[dict[str, object], dict[str, UUID], tuple[Disagreement, ...]]:
    """Fold the revisions of one card: the newest edit of each field counts.

    Returns the values, the revision that each field is from, and the disagreements: an edit that did not know
    the value it replaced. A later edit of that field settles it.

    Shapes: all revisions of one card, in any order. A person's card has field names and no values; the values
    are None then, and nothing can be told to disagree.
    """
    values: dict[str, object] = {}
    by: dict[str, UUID] = {}
    found: list[Disagreement] = []
    open_at: dict[str, int] = {}
    for edit in sorted(edits, key=lambda edit: (edit.clock, edit.machine, edit.id)):
        for name, value in edit.after.items():
            if name in values and edit.before.get(name) != values[name] and value != values[name]:
                open_at[name] = len(found)
                found.append(Disagreement(Trouble.CARD_EDITED_TWICE, card, (by[name], edit.id)))
            elif name in open_at:
                index = open_at.pop(name)
                found[index] = replace(found[index], settled_by=edit.id)
            values[name], by[name] = value, edit.id
    return values, by, tuple(found)
