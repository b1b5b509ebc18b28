"""READ the books as of a moment: which events count, and what was true of things then. Knows no topic.

`NOW` reads what is written as derived. A moment is folded from the events that count at it, in one of two
senses: "as it was", by everything known now; "as known here", by what this laptop had written or met by then.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import cached_property, reduce
from operator import or_
from uuid import UUID

from django.db.models import Max, Q

from inventory.compute import fold, merge
from inventory.compute.fold import Disagreement
from inventory.compute.steps import Role
from inventory.models import Disagreement as Written
from inventory.models import Event, Line, Machine, Skipped
from inventory.queries import ledger, trace


class Sense(StrEnum):
    """What was so at a moment, by all that is known now; or what these books knew of it then."""

    WAS = "as it was"
    KNOWN = "as known here"


@dataclass(frozen=True, slots=True)
class AsOf:
    """The moment that is asked about, and in which sense."""

    moment: datetime
    sense: Sense


class Seen:
    """The books as they are now."""

    as_of: AsOf | None = None

    def known(self) -> Q:
        """Events these books had."""
        return Q()

    def every(self) -> Q:
        """Events that had happened, undone ones too."""
        return Q()

    def live(self) -> Q:
        """Events that had happened and count."""
        return Q(skipped__isnull=True)

    def skipped(self, events: Iterable[UUID]) -> dict[UUID, bool]:
        """Those of these events that do not count; True: undone, False: recorded by another laptop too."""
        return dict(
            pair
            for part in ledger.chunks(events)
            for pair in Skipped.objects.filter(event_id__in=part).values_list("event_id", "undone")
        )

    def states(self, things: Iterable[UUID]) -> dict[UUID, fold.State]:
        """What is true of these things; nothing of a thing not born."""
        return ledger.states(things)

    def doubts(self, thing: UUID) -> list[Disagreement]:
        """What people have still to settle about a thing."""
        rows = Written.objects.filter(subject=thing, settled_by__isnull=True).order_by("trouble", "id")
        return [
            Disagreement(fold.Trouble(row.trouble), thing, tuple(map(UUID, row.events)), row.amount)
            for row in rows
        ]

    def back(self, things: Iterable[UUID]) -> trace.Walk:
        """Everything these things are made of."""
        return trace.back(things)

    def forward(self, things: Iterable[UUID]) -> trace.Walk:
        """Everything that has any of these things in it."""
        return trace.forward(things)

    def holds(self, thing: UUID) -> list[tuple[UUID, Event]]:
        """What stops a thing: each hold's event, and what it is on, the thing or what went into it."""
        return [(hold.thing_id, hold.event) for hold in trace.stopped_by([thing]).get(thing, [])]


NOW = Seen()


class Then(Seen):
    """The books as of one moment."""

    def __init__(self, as_of: AsOf) -> None:
        self.as_of: AsOf = as_of
        self.clock = ledger.microseconds(as_of.moment)

    @cached_property
    def numbers(self) -> dict[UUID, int]:
        """The highest number known then of each machine. A copied folder knew what the one before knew."""
        meetings = ledger.meetings()
        replaces = dict(Machine.objects.values_list("id", "replaces"))
        machine: UUID | None = ledger.here().id
        passed: set[UUID] = set()
        while machine is not None and machine not in passed:
            passed.add(machine)
            own = Event.objects.filter(machine=machine, clock__lte=self.clock).aggregate(last=Max("number"))
            if own["last"]:
                return merge.numbers_known(meetings, here=machine, own=own["last"])
            machine = replaces.get(machine)
        return {}

    @cached_property
    def _skips(self) -> merge.Skips:
        """What does not count, by what was known then."""
        scope = [event for event in ledger.skip_scope() if self._had(event)]
        return merge.skips(scope, known=self._knowledge)

    @cached_property
    def _knowledge(self) -> fold.Known:
        return merge.knowledge(ledger.meetings())

    @property
    def _all_known(self) -> bool:
        return self.as_of.sense is Sense.WAS

    def _had(self, event: fold.Event) -> bool:
        """True when these books had the event."""
        return self._all_known or event.number <= self.numbers.get(event.machine, 0)

    def _counts(self, event: fold.Event) -> bool:
        return event.sort <= self.clock if self._all_known else self._had(event)

    def known(self) -> Q:
        """Events these books had."""
        if self._all_known:
            return Q()
        upto = (Q(machine=id, number__lte=number) for id, number in sorted(self.numbers.items()))
        return reduce(or_, upto, Q(pk__in=[]))

    def every(self) -> Q:
        """Events that had happened, undone ones too."""
        return Q(sort__lte=self.clock) if self._all_known else self.known()

    def live(self) -> Q:
        """Events that had happened and count."""
        if self._all_known:
            return self.every() & Q(skipped__isnull=True)
        return self.every() & ~Q(pk__in=self._skips.all)

    def skipped(self, events: Iterable[UUID]) -> dict[UUID, bool]:
        """Those of these events that did not count."""
        if self._all_known:
            return super().skipped(events)
        wanted = set(events)
        return {id: id in self._skips.undone for id in wanted & self._skips.all}

    def _folded(self, things: Iterable[UUID]) -> dict[UUID, tuple[fold.State, tuple[Disagreement, ...]]]:
        counting = {
            thing: [event for event in events if self._counts(event)]
            for thing, events in ledger.events_of(things).items()
        }
        skipped = set(self.skipped(event.id for events in counting.values() for event in events))
        return {
            thing: fold.fold_thing(thing, events, skipped=skipped, known=self._knowledge)
            for thing, events in counting.items()
        }

    def states(self, things: Iterable[UUID]) -> dict[UUID, fold.State]:
        """What was true of these things; nothing of a thing not born by then."""
        return {id: state for id, (state, _) in self._folded(things).items() if state.born is not None}

    def doubts(self, thing: UUID) -> list[Disagreement]:
        """What people had still to settle about a thing."""
        settlements = [event for event in ledger.settlements() if self._counts(event)]
        found = [*self._folded([thing])[thing][1]]
        if not self._all_known:
            found += [doubt for doubt in self._skips.disagreements if doubt.thing == thing]
        settled = fold.settle_by_people(found, settlements)
        return [doubt for doubt in settled if doubt.settled_by is None]

    def back(self, things: Iterable[UUID]) -> trace.Walk:
        """Everything these things were made of."""
        return self._walk(things, trace.MADE, (Role.INPUT,))

    def forward(self, things: Iterable[UUID]) -> trace.Walk:
        """Everything that had any of these things in it."""
        return self._walk(things, (Role.INPUT,), trace.MADE)

    def _walk(self, things: Iterable[UUID], enter: tuple[Role, ...], leave: tuple[Role, ...]) -> trace.Walk:
        """The walk level by level: two statements a level."""
        begun = tuple(dict.fromkeys(things))
        found, events = dict.fromkeys(begun), dict[UUID, None]()
        edge = list(begun)
        while edge:
            new = [event for event in self._across(edge, enter) if event not in events]
            events.update(dict.fromkeys(new))
            edge = [thing for thing in _things(new, leave) if thing not in found]
            found.update(dict.fromkeys(edge))
        return trace.Walk(begun, tuple(id for id in found if id not in begun), tuple(events))

    def _across(self, things: list[UUID], roles: tuple[Role, ...]) -> list[UUID]:
        """The events that count in which these things have one of these roles."""
        found: dict[UUID, None] = {}
        for part in ledger.chunks(things):
            lines = Line.objects.filter(thing_id__in=part, role__in=roles).values("event_id")
            rows = Event.objects.filter(self.live(), id__in=lines).order_by("sort", "machine", "id")
            found.update(dict.fromkeys(rows.values_list("id", flat=True)))
        return list(found)

    def holds(self, thing: UUID) -> list[tuple[UUID, Event]]:
        """What stopped a thing: each hold's event, and what it was on."""
        states = self.states([thing, *self.back([thing]).things])
        on = [(hold, id) for id, state in states.items() for hold in state.holds]
        events = {
            event.id: event
            for part in ledger.chunks({hold for hold, _ in on})
            for event in Event.objects.filter(id__in=part)
        }
        return [(id, events[hold]) for hold, id in on]


def _things(events: list[UUID], roles: tuple[Role, ...]) -> list[UUID]:
    found: dict[UUID, None] = {}
    for part in ledger.chunks(events):
        lines = Line.objects.filter(event_id__in=part, role__in=roles).order_by("event_id", "position")
        found.update(dict.fromkeys(lines.values_list("thing_id", flat=True)))
    return list(found)


def seen(as_of: AsOf | None) -> Seen:
    """The books as of a moment; as they are now without one."""
    return NOW if as_of is None else Then(as_of)


def opened(state: fold.State | None) -> datetime | None:
    """The moment a thing was opened, when it was."""
    return None if state is None or state.opened_at is None else ledger.moment(state.opened_at)
