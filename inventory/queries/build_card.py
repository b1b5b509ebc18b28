"""READ the build card: which step each ski has, by whose hands and when, and what a pair waits for.

A flat number of statements however many pairs there are.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from inventory.compute.build_steps import JOBS, Job, next_job
from inventory.models import Guest, Hold, Line, Pair, Person
from inventory.queries import builds
from inventory.queries.ledger import chunks, codes_of

_BY_EVENT = {job.event: job.key for job in JOBS if job.event}
_BY_EVENT.pop("mixed")  # a mix names its skis in its facts; a ski that was laid up had one
_VERDICTS = {"judged": "press verdict", "inspected": "inspection"}
_STEPS = ("step done", *_BY_EVENT, *_VERDICTS, "finished")
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
    def all_done(self) -> bool:
        """True when every ski has it."""
        return all(done for _, done in self.done)


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a pair is: what both skis have last, what it waits for, and whether it is on hold."""

    pair: Pair
    code: str
    skis: tuple[OnSki, ...]
    held: bool
    last: tuple[Job, Done] | None
    waits: Job | None

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
        if self.waits is None or not all("press" in ski.done for ski in self.skis):
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
            for at, job in enumerate(JOBS, start=1)
        ]


def crew() -> list[Person]:
    """Whose hands may be recorded beside the guest's: everybody who works here, by name."""
    return list(Person.objects.order_by("name", "id"))


def in_work() -> list[Standing]:
    """Where every pair is that was not handed over, the nearest workshop first."""
    return standing(list(builds.in_work()))


def standing(pairs: Sequence[Pair]) -> list[Standing]:
    """Where these pairs are, in their order. Pairs come with their skis prefetched."""
    skis = {ski.thing_id: ski for row in pairs for ski in row.skis.all()}
    done = _done(skis)
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
        last = max((at for at, job in enumerate(JOBS) if job.key in both), default=None)
        found.append(
            Standing(
                pair=row,
                code=codes.get(row.thing_id, ""),
                skis=own,
                held=bool(held & {row.thing_id, *(ski.id for ski in own)}),
                last=None if last is None else (JOBS[last], own[0].done[JOBS[last].key]),
                waits=next_job(both),
            )
        )
    return found


def _done(skis: Iterable[UUID]) -> dict[UUID, dict[str, Done]]:
    """Per ski its steps by key, the newest record of each."""
    lines: list[Line] = []
    for part in chunks(skis):
        rows = Line.objects.filter(thing_id__in=part, event__step__in=_STEPS, event__skipped__isnull=True)
        lines += rows.select_related("event").order_by("event__sort", "event__machine")
    names = _names(lines)
    found: dict[UUID, dict[str, Done]] = {}
    for line in lines:
        event, facts = line.event, line.event.facts
        key = _BY_EVENT.get(event.step, event.step)
        if event.step == "step done":
            key = facts.get("job", "")
        doer = facts.get("doer") or (str(event.who) if event.who else "")
        row = Done(
            event.at,
            names.get(doer, ""),
            facts.get("doer_is") == "guest",
            facts.get("reading"),
            facts.get("unit", ""),
            bool(facts.get("passed", True)),
        )
        own = found.setdefault(line.thing_id, {})
        own[key] = row
        if key == "lay-up":
            own.setdefault("mix", replace(row, who="", guest=False))  # who mixed, the lay-up does not say
    return found


def _names(lines: Iterable[Line]) -> dict[str, str]:
    """Names of everybody who did something, crew and guests, by id as text."""
    ids = {str(line.event.facts.get("doer") or line.event.who or "") for line in lines} - {""}
    found: dict[str, str] = {}
    for part in chunks(sorted(ids)):
        for model in (Person, Guest):
            found.update(
                (str(id), name)
                for id, name in model._default_manager.filter(id__in=part).values_list("id", "name")
            )
    return found
