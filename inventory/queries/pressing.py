"""READ a press before it is closed: its parts and ratings, whether it is in order, which set points fit."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from inventory.compute import press as forces
from inventory.compute.codes import Kind
from inventory.compute.cure import Schedule, SchedulePoint, schedule_through
from inventory.compute.press import Bladder
from inventory.compute.press import order as press_order
from inventory.compute.press import propose as press_propose
from inventory.compute.press.order import Frame, Order, Part, Rating
from inventory.compute.press.propose import Proposal
from inventory.compute.reasons import Basis, Given
from inventory.compute.steps import Role
from inventory.errors import Refused
from inventory.models import Equipment, Event, Line, Material, Package, Person
from inventory.queries.equipment import Due, inspections
from inventory.queries.ledger import chunks

PLATE = "the plate, as entered"
FOR_GOOD = date(9999, 12, 31)  # of an inspection that was done and is not asked for again


@dataclass(frozen=True, slots=True)
class Machine:
    """A press with what belongs to it, as entered."""

    id: UUID
    name: str
    card: Equipment
    parts: tuple[Part, ...]
    inspect_by: date | None
    bladders: tuple[Bladder, ...]
    relief_kpa: Given[float] | None

    @property
    def hottest_c(self) -> float | None:
        """The highest temperature that every part is rated at; None while one has no rating."""
        if not all(part.ratings for part in self.parts):
            return None
        return min(part.ratings[-1].up_to_c for part in self.parts)

    @property
    def longest_mm(self) -> float | None:
        """The longest ski that fits under its bladders."""
        return max((bladder.length_mm for bladder in self.bladders), default=None)


def machine(press: UUID, mould: UUID | None = None) -> Machine | None:
    """A press and its parts; a mould with ratings counts as one."""
    card = Equipment.objects.filter(thing_id=press, thing__kind=Kind.PRESS).first()
    if card is None:
        return None
    parts = list(Equipment.objects.filter(part_of_id=press, thing__state__isnull=False).order_by("name"))
    moulds = Equipment.objects.filter(thing_id=mould) if mould else Equipment.objects.none()
    rated = [row for row in moulds if row.ratings]
    due = _due([card.thing_id, *(row.thing_id for row in (*parts, *rated))])
    under = [row for row in (card, *parts) if row.ratings or row.thing_id != press or not parts]
    found = tuple(_part(row, due.get(row.thing_id)) for row in (*under, *rated))
    relief = [row.relief_kpa for row in (card, *parts) if row.relief_kpa is not None]
    sizes = [size for row in (card, *parts) for size in row.bladders_mm]
    return Machine(
        id=press,
        name=card.name,
        card=card,
        parts=found,
        inspect_by=due.get(press),
        bladders=tuple(Bladder(float(length), float(width)) for length, width in sizes),
        relief_kpa=Given(min(relief), Basis.DATA_SHEET, PLATE) if relief else None,
    )


def _due(things: Sequence[UUID]) -> dict[UUID, date]:
    """Until which day each of these is inspected; nothing for what never was, or where nobody asked."""
    wanted = set(things)
    rows: dict[UUID, list[Due]] = {}
    for due in inspections():
        if due.equipment in wanted:
            rows.setdefault(due.equipment, []).append(due)
    return {
        thing: min(due.by or FOR_GOOD for due in own)
        for thing, own in rows.items()
        if all(due.last_on is not None for due in own)
    }


def _part(row: Equipment, inspect_by: date | None) -> Part:
    ratings = sorted((float(celsius), float(kpa)) for celsius, kpa in row.ratings)
    given = tuple(Rating(celsius, Given(kpa, Basis.DATA_SHEET, PLATE)) for celsius, kpa in ratings)
    return Part(row.name, given, inspect_by)


def order(
    found: Machine, *, set_kpa: float, set_c: float, on: date, heated: bool, watcher_named: bool
) -> Order:
    """Whether a press is in order for these set points."""
    load = sum(
        forces.forces(gauge_kpa=Given(set_kpa), ski_mm2=1, bladder=bladder).frame_kn
        for bladder in found.bladders
    )
    rated = found.card.frame_kn
    known = rated if found.bladders else None  # what no bladder was measured for is no known load
    return press_order.judge_set_point(
        set_kpa=Given(set_kpa, Basis.MEASURED),
        hottest_c=Given(set_c, Basis.MEASURED),
        parts=found.parts,
        frame=Frame(load, None if known is None else Given(known, Basis.DATA_SHEET, PLATE), found.inspect_by),
        relief_kpa=found.relief_kpa,
        on=on,
        heated=heated,
        watcher_named=watcher_named,
    )


def propose(found: Machine, skis: Iterable[UUID], *, heated: bool, bay_c: float | None) -> Proposal:
    """Set points to start from."""
    holds = found.card.holds_c if heated else None
    return press_propose.propose(
        schedule=schedule_of(skis),
        holds_c=None if holds is None else Given(holds, Basis.DATA_SHEET, PLATE),
        parts=found.parts,
        relief_kpa=found.relief_kpa,
        bay_c=bay_c,
    )


def schedule_of(skis: Iterable[UUID]) -> Schedule | None:
    """The schedule of the resin in these skis; of several the one that asks most. None: not known."""
    found: list[Schedule] = []
    for points in _points_of(skis):
        try:
            listed = tuple(SchedulePoint(float(celsius), float(hours)) for celsius, hours in points)
            found.append(schedule_through(points=Given(listed, Basis.DATA_SHEET, "the product's card")))
        except Refused:
            return None
    return max(found, key=lambda one: max(point.hours for point in one.points), default=None)


def _points_of(skis: Iterable[UUID]) -> list[list[list[float]]]:
    """The listed points of each product that was mixed into these skis."""
    batches = _inputs(skis, Kind.SKI, Role.GAINS)
    packages: set[UUID] = set()
    while batches:  # a cup that was put right has the first cup in it
        inputs = _inputs(batches, Kind.RESIN_BATCH, Role.OUTPUT)
        packages |= inputs
        batches = inputs
    materials: dict[UUID, Material] = {}
    for part in chunks(packages):
        for row in Package.objects.filter(thing_id__in=part).select_related("lot__material"):
            materials[row.lot.material_id] = row.lot.material
    return [row.cure_points for row in materials.values() if row.cure_points]


def _inputs(things: Iterable[UUID], kind: Kind, role: Role) -> set[UUID]:
    """What went into these things, of one kind, at events in which they have this role."""
    events: set[UUID] = set()
    for part in chunks(things):
        rows = Line.objects.filter(
            thing_id__in=part, thing__kind=kind, role=role, event__skipped__isnull=True
        )
        events |= set(rows.values_list("event_id", flat=True))
    found: set[UUID] = set()
    for part in chunks(events):
        rows = Line.objects.filter(event_id__in=part, role=Role.INPUT)
        found |= set(rows.values_list("thing_id", flat=True))
    return found


def closed_now(press: UUID) -> UUID | None:
    """The cycle a press is closed on; None when it is open."""
    events = Event.objects.filter(
        lines__thing_id=press,
        lines__role=Role.OBSERVED,
        step__in=("press closed", "press opened"),
        skipped__isnull=True,
    ).order_by("-sort", "-machine", "-id")
    last = events.first()
    if last is None or last.step == "press opened":
        return None
    return Line.objects.filter(event=last, role=Role.BY).values_list("thing_id", flat=True).first()


def watchers() -> list[Person]:
    """Who may watch a heated cycle: everybody who works here and is of age, by name."""
    return list(Person.objects.filter(under_18=False).order_by("name", "id"))
