"""READ the build card: which step each ski has, by whose hands and when, and what a pair waits for.

A flat number of statements however many pairs there are.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Min

from inventory.compute.build_steps import JOBS, Job, next_job
from inventory.compute.codes import Kind
from inventory.compute.steps import Role
from inventory.models import Event, Guest, Hold, Line, Pair, Person
from inventory.models.people import NO_LONGER_HERE
from inventory.queries import build_steps, builds
from inventory.queries.ledger import chunks, codes_of

_BY_EVENT = {job.event: job.key for job in JOBS if job.event}
_BY_EVENT.pop("mixed")  # found by the cup that went into the ski, else by the skis the cup was mixed for
_VERDICTS = {"judge": "press verdict", "inspect": "inspection"}
_STEPS = ("step done", *_BY_EVENT, "finished", "layer added")
_ENDS = {
    "press": ("judge", "inspect"),
    "lay-up": ("inspect",),
    "layer added": ("inspect",),
}  # what is due anew
AT_BENCH = ("laid up", "pressed", "judged", "inspected", "finished", "handed over")


@dataclass(frozen=True, slots=True)
class Done:
    """A step as it was last recorded for one ski. `who` is empty where nobody is known."""

    at: datetime
    who: str
    guest: bool = False
    reading: float | None = None
    unit: str = ""
    passed: bool = True
    rejected: bool = False


@dataclass(frozen=True, slots=True)
class OnSki:
    """One ski of a pair: its side, code, and the steps it has by key."""

    id: UUID
    side: str
    code: str
    done: Mapping[str, Done]


@dataclass(frozen=True, slots=True)
class CardRow:
    """One step of a pair's card: for each ski, what was recorded; None: not yet."""

    job: Job
    number: int
    done: tuple[tuple[str, Done | None], ...]

    @property
    def told(self) -> tuple[tuple[str, Done | None], ...]:
        """The same, said once and of no side where it was one act on both skis."""
        whose = {done for _, done in self.done}
        return (("", whose.pop()),) if len(self.done) > 1 and len(whose) == 1 else self.done

    @property
    def all_done(self) -> bool:
        """True when every ski has it."""
        return all(done for _, done in self.done)

    @property
    def failed(self) -> bool:
        """True when a verdict of it says that a ski does not pass."""
        return any(done is not None and not done.passed for _, done in self.done)


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a pair is: what both skis have last, what it waits for, and whether it is on hold."""

    pair: Pair
    code: str
    skis: tuple[OnSki, ...]
    held: bool
    last: tuple[Job, Done] | None
    waits: Job | None
    jobs: tuple[Job, ...] = JOBS

    @property
    def failed(self) -> Job | None:
        """The first verdict that a ski does not pass; a person decides, and until then no step is next."""
        return next((job for job in self.jobs if job.key in _VERDICTS and self.without(job.key)), None)

    def without(self, verdict: str) -> list[OnSki]:
        """The skis that do not pass this verdict."""
        return [ski for ski in self.skis if verdict in ski.done and not ski.done[verdict].passed]

    @property
    def rejected(self) -> list[OnSki]:
        """The skis that an inspection rejected: the pair waits for others in their place, and for no step."""
        return [ski for ski in self.without("inspect") if ski.done["inspect"].rejected]

    @property
    def begun(self) -> bool:
        """True once anything is recorded of one of its skis."""
        return any(ski.done for ski in self.skis)

    @property
    def one_ahead(self) -> str:
        """The side that has the awaited step already; empty when neither or no step is awaited."""
        if self.waits is None:
            return ""
        return next((ski.side for ski in self.skis if self.waits.key in ski.done), "")

    @property
    def at_bench(self) -> str:
        """The first of the ledger's own steps that not both skis have: coarser than the card's."""
        keys = ((step, _BY_EVENT.get(step, step)) for step in AT_BENCH)
        return next((step for step, key in keys if not all(key in ski.done for ski in self.skis)), "")

    @property
    def wanting(self) -> tuple[str, ...]:
        """What handing over needs beside the steps and not both skis have, once they were pressed."""
        if self.waits is None or self.rejected or not all("press" in ski.done for ski in self.skis):
            return ()
        return tuple(
            word
            for key, word in _VERDICTS.items()
            if not all(key in ski.done and ski.done[key].passed for ski in self.skis)
        )

    @property
    def rows(self) -> list[CardRow]:
        """The whole card."""
        return [
            CardRow(job, at, tuple((ski.side, ski.done.get(job.key)) for ski in self.skis))
            for at, job in enumerate(self.jobs, start=1)
        ]


def crew() -> list[Person]:
    """Whose hands may be recorded beside the guest's: everybody who works here, by name."""
    return list(Person.objects.exclude(name="").order_by("name", "id"))


def in_work() -> list[Standing]:
    """Where every pair is that was not handed over, the nearest workshop first."""
    return standing(list(builds.in_work()))


def standing(pairs: Sequence[Pair]) -> list[Standing]:
    """Where these pairs are, in their order. Pairs come with their skis prefetched."""
    skis = {ski.thing_id: ski for row in pairs for ski in row.skis.all()}
    done, jobs = _done(skis), build_steps.jobs()
    codes = codes_of([*skis, *(row.thing_id for row in pairs)])
    held: set[UUID] = set()
    for part in chunks([*skis, *(row.thing_id for row in pairs)]):
        held |= set(Hold.objects.filter(thing_id__in=part).values_list("thing_id", flat=True))
    found = []
    for row in pairs:
        own = tuple(
            OnSki(ski.thing_id, ski.side, codes.get(ski.thing_id, ""), done.get(ski.thing_id, {}))
            for ski in sorted(row.skis.all(), key=lambda ski: ski.side)
        )
        both = frozenset.intersection(*(frozenset(ski.done) for ski in own)) if own else frozenset()
        last = max((at for at, job in enumerate(jobs) if job.key in both), default=None)
        found.append(
            Standing(
                pair=row,
                code=codes.get(row.thing_id, ""),
                skis=own,
                held=bool(held & {row.thing_id, *(ski.id for ski in own)}),
                last=None if last is None else (jobs[last], own[0].done[jobs[last].key]),
                waits=next_job(both, jobs=jobs),
                jobs=jobs,
            )
        )
    return found


def _done(skis: Iterable[UUID]) -> dict[UUID, dict[str, Done]]:
    """Per ski its steps by key, the newest record of each."""
    own = list(skis)
    lines: list[Line] = []
    for part in chunks(own):
        rows = Line.objects.filter(thing_id__in=part, event__step__in=_STEPS, event__skipped__isnull=True)
        lines += rows.select_related("event").order_by("event__sort", "event__machine")
    mixed = _mixed(own, lines)
    who = _names([*(line.event for line in lines), *mixed.values()])
    found = {ski: {"mix": _of(event, who)} for ski, event in mixed.items()}
    for line in lines:
        event = line.event
        key = (
            event.facts.get("job", "") if event.step == "step done" else _BY_EVENT.get(event.step, event.step)
        )
        steps = found.setdefault(line.thing_id, {})
        steps[key] = _of(event, who)
        for due_anew in _ENDS.get(key, ()):
            steps.pop(due_anew, None)
    return found


def _of(event: Event, who: Mapping[str, str]) -> Done:
    """What the card says of an event."""
    facts = event.facts
    return Done(
        event.at,
        who.get(_hands(event), ""),
        facts.get("doer_is") == "guest",
        facts.get("reading"),
        facts.get("unit", ""),
        bool(facts.get("passed", True)),
        facts.get("outcome") == "reject",
    )


def _hands(event: Event) -> str:
    """Who did it, by id as text: who is named, else who recorded it."""
    return str(event.facts.get("doer") or event.who or "")


def _mixed(skis: Sequence[UUID], lines: Iterable[Line]) -> dict[UUID, Event]:
    """Per ski the mixing of the cup that went into it; of a ski not laid up, the newest cup mixed for it."""
    laid = {line.event_id: line.thing_id for line in lines if line.event.step in ("laid up", "layer added")}
    cups: dict[UUID, UUID] = {}
    for part in chunks(laid):
        inputs = Line.objects.filter(event_id__in=part, role=Role.INPUT, thing__kind=Kind.RESIN_BATCH)
        cups.update(inputs.order_by("event__sort").values_list("event_id", "thing_id"))
    made: dict[UUID, Event] = {}
    for part in chunks(set(cups.values())):
        born = Line.objects.filter(thing_id__in=part, role=Role.OUTPUT, event__step="mixed")
        made.update((line.thing_id, line.event) for line in born.select_related("event"))
    found = {ski: made[cups[event]] for event, ski in laid.items() if cups.get(event) in made}
    waiting = {str(ski): ski for ski in skis if ski not in set(laid.values())}
    if waiting:
        named = Event.objects.filter(
            step="mixed", skipped__isnull=True, sort__gte=_first_sort(waiting.values())
        )
        for event in named.order_by("sort", "machine"):
            found.update((waiting[ski], event) for ski in event.facts.get("for", ()) if ski in waiting)
    return found


def _first_sort(skis: Iterable[UUID]) -> int:
    """When the oldest of these was booked: no cup was mixed for it before."""
    firsts = [
        Line.objects.filter(thing_id__in=part).aggregate(first=Min("event__sort"))["first"]
        for part in chunks(skis)
    ]
    return min((first for first in firsts if first is not None), default=0)


def _names(events: Iterable[Event]) -> dict[str, str]:
    """Names of everybody who did something, crew and guests, by id as text."""
    return names({_hands(event) for event in events} - {""})


def names(ids: Iterable[str]) -> dict[str, str]:
    """Names of crew and guests by id as text; who was erased is no longer here."""
    found: dict[str, str] = {}
    for part in chunks(sorted(ids)):
        for model in (Person, Guest):
            found.update(
                (str(id), name or str(NO_LONGER_HERE))
                for id, name in model._default_manager.filter(id__in=part).values_list("id", "name")
            )
    return found
