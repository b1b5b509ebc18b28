"""READ what a trip used: what each package aboard held when it left, what was taken out, what was counted.

Times are the trip's own: from its departure to its coming home, or to now.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from inventory.compute.codes import Kind
from inventory.compute.steps import Basis, Role
from inventory.compute.units import Amount, Base
from inventory.models import Equipment, Event, Line, Package, Pair, State, Trip
from inventory.queries import as_of, cutting, ledger, road
from inventory.queries import missing as looked_for
from inventory.queries.as_of import AsOf, Sense
from inventory.queries.build_card import names
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named
from inventory.queries.loading import lines, vehicles
from inventory.queries.stock_list import within

_DEEP = 6


@dataclass(frozen=True, slots=True)
class Used:
    """One package that was aboard: what it held, what was taken out of it, and what was counted since.

    `counted_at`: when it was first counted after the last was taken out; None: not yet. `left` is what was
    found then, else by the books. `prefilled`: of what was taken out, how much only the needs say. `late`: it
    was taken from or driven off again before anybody counted, so that no count is of this trip alone.
    """

    package: UUID
    code: str
    material: UUID
    material_key: str
    material_name: str
    base: Base
    number: str
    had: int
    taken: int
    prefilled: int
    left: int
    opened: bool
    counted_at: datetime | None
    late: bool = False

    @property
    def gone(self) -> int:
        """What is gone from it since departure: taken out, written off, or missing at the count."""
        return max(0, self.had - self.left)

    @property
    def shown(self) -> dict[str, Amount]:
        """What it left with, what was taken out, what is left, what is gone, each in its unit."""
        values = {"had": self.had, "taken": self.taken, "left": self.left, "gone": self.gone}
        return {name: Amount(value, self.base) for name, value in values.items()}


def had_at(things: Iterable[UUID], moment: datetime) -> dict[UUID, int]:
    """How much each of these held at a moment, as it was; what was not born by then is left out."""
    states = as_of.seen(AsOf(moment, Sense.WAS)).states(list(things))
    return {thing: state.amount for thing, state in states.items() if state.value is not None}


def window(trip: UUID) -> tuple[datetime, datetime | None] | None:
    """From when to when a trip was away; None while it has not left."""
    found = road.standing(trip)
    return None if found.departed_at is None else (found.departed_at, found.home_at)


def used(row: Trip) -> list[Used]:
    """Every package that was aboard and was opened or taken from since, by material; empty before it left."""
    times = window(row.id)
    if times is None:
        return []
    lines = _lines(times)
    had, aboard = _aboard(row, {line.thing for line in lines}, times[0])
    packages = Package.objects.filter(thing_id__in=aboard).select_related(
        "lot__material", "thing__balance", "thing__state"
    )
    codes = ledger.codes_of(aboard)
    found = [
        _used(package, codes, had, [line for line in lines if line.thing == package.thing_id])
        for package in packages
    ]
    if times[1] is not None:
        found = _counted_since(found, times[1])
    return sorted(found, key=lambda each: (each.material_name, each.code))


def _counted_since(rows: list[Used], home_at: datetime) -> list[Used]:
    """The same with what was counted at home, as far as nothing else had gone from it by then."""
    waiting = {row.package for row in rows if row.counted_at is None}
    next_: dict[UUID, _Part] = {}
    if waiting:
        later = Q(role=Role.INPUT) | Q(event__step="counted")
        for part in _parts(later & Q(event__sort__gt=ledger.microseconds(home_at), thing_id__in=waiting)):
            next_.setdefault(part.thing, part)
    late = {thing for thing, part in next_.items() if part.step != "counted"}
    late |= _driven_off(waiting - late, {thing: part.sort for thing, part in next_.items()}, home_at)
    return [
        replace(row, late=True)
        if row.package in late
        else replace(row, left=next_[row.package].found, counted_at=next_[row.package].at)
        if row.package in next_
        else row
        for row in rows
    ]


def _driven_off(things: set[UUID], until: dict[UUID, int], home_at: datetime) -> set[UUID]:
    """Those of these packages that another trip had aboard as it left, before a moment of each or at all."""
    found: set[UUID] = set()
    left = Event.objects.filter(
        step=road.DEPARTED, sort__gt=ledger.microseconds(home_at), skipped__isnull=True
    ).order_by("sort")
    for trip, sort in left.values_list("facts__trip", "sort"):
        open_ = {thing for thing in things - found if sort < until.get(thing, sort + 1)}
        if not open_:
            break
        other = Trip.objects.filter(id=trip).first()
        if other is not None:
            found |= _aboard(other, open_, ledger.moment(sort))[1]
    return found


@dataclass(frozen=True, slots=True)
class _Part:
    """One package's part in an event of the trip."""

    thing: UUID
    taken: int
    found: int  # at a count
    basis: str
    step: str
    at: datetime
    sort: int


def _lines(times: tuple[datetime, datetime | None]) -> list[_Part]:
    """What was taken out of packages, opened and counted while away."""
    away = Q(event__sort__gt=ledger.microseconds(times[0]))
    if times[1] is not None:
        away &= Q(event__sort__lte=ledger.microseconds(times[1]))
    return _parts(away & (Q(role=Role.INPUT) | Q(event__step__in=("opened", "counted"))))


def _parts(wanted: Q) -> list[_Part]:
    rows = Line.objects.filter(wanted, event__skipped__isnull=True, thing__package__isnull=False)
    rows = rows.order_by("event__sort")
    fields = ("thing_id", "role", "amount", "basis", "event__step", "event__at", "event__sort")
    return [
        _Part(
            thing,
            taken=(amount or 0) if role == Role.INPUT else 0,
            found=(amount or 0) if step == "counted" else 0,
            basis=basis,
            step=step,
            at=at,
            sort=sort,
        )
        for thing, role, amount, basis, step, at, sort in rows.values_list(*fields)
    ]


def _aboard(row: Trip, things: set[UUID], moment: datetime) -> tuple[dict[UUID, int], set[UUID]]:
    """Those of these packages that lay in the trip's vehicles at a moment, and what each held."""
    ours, books = set(vehicles(row)), as_of.seen(AsOf(moment, Sense.WAS))
    states = books.states(things)
    had = {thing: state.amount for thing, state in states.items() if state.value is not None}
    at = {thing: state.place for thing, state in states.items()}
    found: set[UUID] = set()
    for _ in range(_DEEP):
        found |= {thing for thing, place in at.items() if place in ours}
        inside = {place for thing, place in at.items() if place is not None and thing not in found}
        if not inside:
            break
        outer = {place: state.place for place, state in books.states(inside).items()}
        at = {thing: outer.get(place) for thing, place in at.items() if place and thing not in found}
    return had, found


def _used(package: Package, codes: dict[UUID, str], had: dict[UUID, int], lines: list[_Part]) -> Used:
    taken = [line for line in lines if line.taken]
    last = max((line.sort for line in taken), default=0)
    counts = [line for line in lines if line.step == "counted" and line.sort > last]
    held, out = had.get(package.thing_id, 0), sum(line.taken for line in taken)
    material = package.lot.material
    return Used(
        package=package.thing_id,
        code=codes.get(package.thing_id, ""),
        material=material.id,
        material_key=material.key,
        material_name=material.name,
        base=Base(material.base),
        number=package.lot.number,
        had=held,
        taken=out,
        prefilled=sum(line.taken for line in taken if line.basis == Basis.FROM_NEEDS),
        left=counts[0].found if counts else max(0, held - out),
        opened=package.thing.state.opened_at is not None,
        counted_at=counts[0].at if counts else None,
    )


def liquids_taken_mg(row: Trip) -> int:
    """What was taken out of packages that are kept by weight, while away."""
    return sum(each.gone for each in used(row) if each.base is Base.MG)


def waste(trip: UUID) -> dict[str, int]:
    """The waste that came home, by its sort, in mg."""
    rows = Event.objects.filter(step="waste weighed", facts__trip=str(trip), skipped__isnull=True)
    found: dict[str, int] = {}
    for facts in rows.values_list("facts", flat=True):
        found[facts["sort"]] = found.get(facts["sort"], 0) + facts["mass_mg"]
    return found


@dataclass(frozen=True, slots=True)
class Still:
    """What lies in a trip's vehicles now. `stays`: equipment that its list did not name, as presses do."""

    unload: tuple[Named, ...]
    stays: tuple[Named, ...]


def still_aboard(row: Trip) -> Still:
    """What is to be unloaded now: bins, packages, what was cut, equipment of the list; and what stays.

    What was not found there is left out: it is missing.
    """
    places = within(vehicles(row))
    holding = State.objects.filter(
        thing__kind__in=(Kind.PACKAGE, *cutting.MADE), thing__balance__amount__gt=0, place_id__in=places
    )
    at = dict(holding.values_list("thing_id", "place_id"))
    loose = set(at)
    gear = set(Equipment.objects.filter(thing__state__place_id__in=places).values_list("thing_id", flat=True))
    loose |= gear
    known = named([*loose, *places])
    bins = [known[place] for place in places if known[place].kind.rank == 1]
    in_bins = {each.id for each in bins}
    held = {thing for thing, place in at.items() if place in in_bins}
    lost, stays = _not_found(row), gear - {line.thing_id for line in lines(row.id)}
    found = [*bins, *(known[thing] for thing in loose if thing not in held)]
    found = sorted((each for each in found if each.id not in lost), key=str)
    return Still(
        unload=tuple(thing for thing in found if thing.id not in stays),
        stays=tuple(thing for thing in found if thing.id in stays),
    )


def missing(row: Trip) -> list[Named]:
    """What was aboard when it left, was not found on this trip or at a count since, and has not turned up."""
    of_it = Q(event__facts__trip=str(row.id)) | ~Q(event__facts__has_key="trip")
    times, lost = window(row.id), _not_found(row, of_it)
    if times is None:
        return []
    _, aboard = _aboard(row, lost, times[0])
    return sorted(named(aboard).values(), key=str)


def _not_found(row: Trip, said: Q = Q()) -> set[UUID]:  # noqa: B008 - a Q is never changed
    """What was looked for in vain since the trip left, and has not turned up."""
    times = window(row.id)
    if times is None:
        return set()
    return looked_for.missing(said, ledger.microseconds(times[0]))


def handed(row: Trip) -> list[tuple[Named, str]]:
    """The pairs of the trip's workshops that were handed over, each with whose it is."""
    pairs = Pair.objects.filter(workshop_id__in=row.workshops)
    skis = Line.objects.filter(
        thing__ski__pair__in=pairs, event__step="handed over", event__skipped__isnull=True
    )
    ids = {id for id in skis.values_list("thing__ski__pair_id", flat=True) if id}
    guests = dict(pairs.filter(thing_id__in=ids).values_list("thing_id", "guest_id"))
    known = names({str(guest) for guest in guests.values() if guest})
    return [
        (pair, known.get(str(guests[pair.id]), "")) for pair in sorted(named(list(ids)).values(), key=str)
    ]
