"""READ the ledger: events as the fold wants them, what is true now, who knew what. Knows no topic."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice
from typing import TypeVar
from uuid import UUID

from django.db.models import Count, Exists, Max, OuterRef, Q, QuerySet, Subquery

from inventory.compute import fold
from inventory.compute.codes import Code, Kind
from inventory.compute.fold import FOLDED
from inventory.compute.merge import Meeting
from inventory.compute.steps import STEPS, Role
from inventory.errors import Refused, say
from inventory.models import (
    Act,
    Disagreement,
    Event,
    Hold,
    Line,
    Machine,
    Revision,
    Skipped,
    Tag,
    Tagging,
    Thing,
)

T = TypeVar("T")
CHUNK = 900  # SQLite's old limit on the parameters of one statement
_FOLDED = [role.value for role in FOLDED]


def chunks(items: Iterable[T], size: int = CHUNK) -> Iterator[list[T]]:
    """The items in lists that one statement can take."""
    rest = iter(items)
    while part := list(islice(rest, size)):
        yield part


def microseconds(moment: datetime) -> int:
    """The ledger's clock for a moment: whole microseconds since 1970-01-01 UTC."""
    delta = moment - datetime(1970, 1, 1, tzinfo=UTC)
    return (delta.days * 86_400 + delta.seconds) * 1_000_000 + delta.microseconds


def moment(clock: int) -> datetime:
    """The moment of a clock value, in UTC."""
    return datetime.fromtimestamp(clock // 1_000_000, UTC).replace(microsecond=clock % 1_000_000)


def machines(*, lock: bool = False) -> list[Machine]:
    """All machines known here, locked for writing when asked; this one among them."""
    rows = Machine.objects.order_by("id")
    return list(rows.select_for_update()) if lock else list(rows)


def here() -> Machine:
    """This machine. Refuses: machine.none."""
    machine = Machine.objects.filter(here=True).first()
    if machine is None:
        raise Refused(
            "machine.none",
            say("This installation has no machine letter yet."),
            say("Set the shop up first: run manage.py serve and follow the page."),
        )
    return machine


def meetings() -> list[Meeting]:
    """Every merge any known machine recorded."""
    rows = Event.objects.filter(step="met").values_list("machine", "number", "facts")
    return [
        Meeting(machine, number, {UUID(key): value for key, value in facts["known"].items()})
        for machine, number, facts in rows
    ]


def fold_event(row: Event, lines: Iterable[Line], content: str = "") -> fold.Event:
    """An event with these of its lines, as the fold wants it."""
    facts = row.facts
    return fold.Event(
        id=row.id,
        machine=row.machine,
        number=row.number,
        sort=row.sort,
        step=row.step,
        act=row.act,
        at=microseconds(row.at),
        clock=row.clock,
        reverses=row.reverses,
        lifts=tuple(UUID(lifted) for lifted in facts.get("lifts", ())),
        settles=UUID(facts["settles"]) if "settles" in facts else None,
        content=content,
        lines=tuple(
            fold.Line(line.thing_id, Role(line.role), line.amount, line.to_id)
            for line in sorted(lines, key=lambda line: line.position)
        ),
    )


def events_with_lines(events: Iterable[UUID]) -> list[fold.Event]:
    """These events whole, as the fold wants them."""
    found: list[fold.Event] = []
    for part in chunks(events):
        rows = {row.id: row for row in Event.objects.filter(id__in=part)}
        lines: dict[UUID, list[Line]] = {row: [] for row in rows}
        for line in Line.objects.filter(event_id__in=part):
            lines[line.event_id].append(line)
        keys = {(row.act, row.machine) for row in rows.values()}
        acts = Act.objects.filter(token__in={token for token, _ in keys})
        content = {(act.token, act.machine): act.content for act in acts}
        found += [
            fold_event(row, lines[row.id], content.get((row.act, row.machine), "")) for row in rows.values()
        ]
    return found


def events_of(things: Iterable[UUID]) -> dict[UUID, list[fold.Event]]:
    """Per thing the events that its fold needs, with the lines on that thing only."""
    found: dict[UUID, list[fold.Event]] = {}
    for part in chunks(things):
        found.update({thing: [] for thing in part})
        lines = Line.objects.filter(thing_id__in=part, role__in=_FOLDED).select_related("event")
        grouped: dict[tuple[UUID, UUID], list[Line]] = {}
        for line in lines:
            grouped.setdefault((line.thing_id, line.event_id), []).append(line)
        for (thing, _), own in grouped.items():
            found[thing].append(fold_event(own[0].event, own))
    return found


@dataclass(frozen=True, slots=True)
class Known:
    """What the books hold of a thing; `state` is None when no live event bore it."""

    kind: Kind
    base: str
    state: fold.State | None


def known(things: Iterable[UUID]) -> dict[UUID, Known]:
    """Kind, unit and present state of these things, in two statements."""
    found: dict[UUID, Known] = {}
    for part in chunks(things):
        holds: dict[UUID, set[UUID]] = {}
        for thing, event in Hold.objects.filter(thing_id__in=part).values_list("thing_id", "event_id"):
            holds.setdefault(thing, set()).add(event)
        rows = Thing.objects.filter(id__in=part).values_list(
            "id",
            "kind",
            "base",
            "state__born_id",
            "state__place_id",
            "state__opened_at",
            "balance__amount",
            "balance__short",
        )
        for id, kind, base, born, place, opened, amount, short in rows:
            state = None
            if born is not None:
                value = None if amount is None else amount - short
                at = None if opened is None else microseconds(opened)
                state = fold.State(value, place, at, born, frozenset(holds.get(id, ())))
            found[id] = Known(Kind(kind), base, state)
    return found


def states(things: Iterable[UUID]) -> dict[UUID, fold.State]:
    """What is true now of these things, as written; nothing of a thing never born."""
    return {id: row.state for id, row in known(things).items() if row.state is not None}


def kinds(things: Iterable[UUID]) -> dict[UUID, tuple[Kind, str]]:
    """Kind and base unit of these things."""
    return {id: (row.kind, row.base) for id, row in known(things).items()}


def disputed(things: Iterable[UUID]) -> set[UUID]:
    """Those of these things that have a disagreement, open or settled."""
    return {
        subject
        for part in chunks(things)
        for subject in Disagreement.objects.filter(subject__in=part).values_list("subject", flat=True)
    }


def skip_scope() -> list[fold.Event]:
    """Every event that decides what the fold passes over.

    Reversals, their targets, the events that touch what a target bore, and acts that two machines recorded.
    """
    reversals = Event.objects.filter(reverses__isnull=False)
    ids = set(reversals.values_list("id", flat=True))
    targets = {target for target in reversals.values_list("reverses", flat=True) if target}
    twice = (
        Event.objects.values("act")
        .annotate(machines=Count("machine", distinct=True))
        .filter(machines__gt=1)
        .values_list("act", flat=True)
    )
    several = Machine.objects.count() > 1
    twins = list(Event.objects.filter(act__in=list(twice)).values_list("id", flat=True)) if several else []
    births = targets | set(twins)
    bore = {
        thing
        for part in chunks(births)
        for thing in Line.objects.filter(event_id__in=part, role=Role.OUTPUT).values_list(
            "thing_id", flat=True
        )
    }
    users = {
        event
        for part in chunks(bore)
        for event in Line.objects.filter(thing_id__in=part).values_list("event_id", flat=True)
    }
    return events_with_lines(ids | targets | set(twins) | users)


def skipped() -> frozenset[UUID]:
    """The events the fold passes over, as written."""
    return frozenset(Skipped.objects.values_list("event_id", flat=True))


def settlements() -> list[fold.Event]:
    """Events by which people settled a disagreement."""
    return [fold_event(row, ()) for row in Event.objects.filter(step="settled")]


def taggings(codes: Iterable[str]) -> dict[str, list[fold.Tagging]]:
    """Every tagging of these codes."""
    found: dict[str, list[fold.Tagging]] = {}
    for part in chunks(codes):
        rows = Tagging.objects.filter(code__in=part).select_related("event")
        for row in rows:
            order = (row.event.sort, row.event.machine, row.event_id)
            found.setdefault(row.code, []).append(fold.Tagging(row.event_id, order, row.code, row.thing_id))
    return found


def codes_ever_on(things: Iterable[UUID]) -> set[str]:
    """Every code that was ever tied to one of these things."""
    return {
        code
        for part in chunks(things)
        for code in Tagging.objects.filter(thing_id__in=part).values_list("code", flat=True)
    }


def highest_numbers() -> dict[UUID, int]:
    """The highest event number known here of each machine."""
    rows = Event.objects.values("machine").annotate(highest=Max("number"))
    return {row["machine"]: row["highest"] for row in rows}


def highest_revisions() -> dict[UUID, int]:
    """The highest revision number known here of each machine."""
    rows = Revision.objects.values("machine").annotate(highest=Max("number"))
    return {row["machine"]: row["highest"] for row in rows}


def later_users(event: UUID) -> QuerySet[Event]:
    """Live events that use what `event` bore; newest first."""
    bore = Line.objects.filter(event_id=event, role=Role.OUTPUT).values_list("thing_id", flat=True)
    return (
        Event.objects.filter(lines__thing_id__in=list(bore), skipped__isnull=True)
        .exclude(id=event)
        .exclude(step__in=[step.name for step in STEPS.values() if step.says_only])
        .distinct()
        .order_by("-sort", "-machine", "-id")
    )


def act_known(token: UUID) -> bool:
    """True when an act with this token is in the books."""
    return Act.objects.filter(token=token).exists()


def undone(token: UUID) -> bool:
    """True when an act recorded events and every one of them was taken back."""
    events = Event.objects.filter(act=token)
    return events.exists() and not events.filter(skipped__isnull=True).exists()


def tag_of(code: str) -> Tag | None:
    """The tag with this code, its thing with it."""
    return Tag.objects.select_related("thing").filter(code=code).first()


def printed(code: str) -> bool:
    """True when there is a tag with this code."""
    return Tag.objects.filter(code=code).exists()


def _ties() -> QuerySet[Tagging]:
    """What tied a code to the thing it leads to, oldest first; of those tied at once the smallest last."""
    leads = Tag.objects.filter(code=OuterRef("code"), thing_id=OuterRef("thing_id"))
    rows = Tagging.objects.filter(Exists(leads), event__skipped__isnull=True)
    return rows.order_by("event__sort", "event__machine", "event_id", "-code")


def codes_of(things: Iterable[UUID]) -> dict[UUID, str]:
    """The code each of these things goes by: the newest of its tags, which is the one that is read."""
    found: dict[UUID, str] = {}
    for part in chunks(things):
        for thing, code in _ties().filter(thing_id__in=part).values_list("thing_id", "code"):
            if thing is not None:
                found[thing] = code
    return found


def code_in(outer: str = "thing_id") -> Subquery:
    """The same as a column of a statement whose thing is `outer`."""
    return Subquery(_ties().filter(thing_id=OuterRef(outer)).reverse().values("code")[:1])


def name(thing: UUID) -> str:
    """What a sentence calls a thing: its kind and its code."""
    row = Thing.objects.filter(id=thing).first()
    if row is None:
        return str(thing)
    code = codes_of([thing]).get(thing)
    return f"{row.kind} {Code(code).shown}" if code else row.kind


def open_disagreements() -> QuerySet[Disagreement]:
    """What people have still to settle."""
    return Disagreement.objects.filter(Q(settled_by__isnull=True)).order_by("trouble", "id")
