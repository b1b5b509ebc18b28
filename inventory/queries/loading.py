"""READ loading lists: what is on them, what of a package is still free, and the list in walking order.

The order of a walk: place by place as the tree of places has them, in each the heaviest first.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from uuid import UUID

from django.db.models import Q, Sum

from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base, Spoken, at_least, at_most
from inventory.errors import Listed, Sentence, say
from inventory.models import Balance, Equipment, Package, State, Trip
from inventory.models import Listed as Line
from inventory.queries import trace
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named
from inventory.queries.ledger import chunks
from inventory.queries.readiness.facts import PlaceOf, mass_mg
from inventory.queries.readiness.places import Where, places_of_all

_LAST = 1_000_000


@dataclass(frozen=True, slots=True)
class LoadLine:
    """One line of the list. `amount`: set aside of a package, or all there is; None: no amount is kept.

    `lies`, `place`: where it is, in words and the place itself; `zone`: where it goes, empty: not chosen.
    """

    line: UUID
    thing: Named
    amount: Amount | None
    part: bool
    lies: str
    place: UUID | None
    zone: str
    zone_code: str
    why: str
    aboard: bool
    mass_mg: int | None
    inside: int  # of a bin: how many packages and pieces of equipment are in it

    @property
    def told(self) -> Spoken | None:
        """The amount in words: what a need set aside of a package, or what there is."""
        if self.amount is None:
            return None
        return at_least(self.amount) if self.part else at_most(self.amount)


@dataclass(frozen=True, slots=True)
class Stop:
    """One place of the walk, and what is to be taken there."""

    lies: str
    lines: tuple[LoadLine, ...]


@dataclass(frozen=True, slots=True)
class Walk:
    """A trip's list: what is still to be loaded, place by place, and what of it is aboard."""

    stops: tuple[Stop, ...]
    aboard: tuple[LoadLine, ...]

    @property
    def count(self) -> int:
        """How many lines are still to be loaded."""
        return sum(len(stop.lines) for stop in self.stops)


def lines(trip: UUID) -> list[Line]:
    """The open lines of one trip's list."""
    return list(Line.objects.filter(trip_id=trip, ended=False).order_by("id"))


def to_copy(trip: UUID) -> list[Line]:
    """The lines of a list that the next trip's begins with: bins and equipment that are still in use."""
    bins_and_gear = Q(thing__equipment__isnull=False) | Q(thing__kind=Kind.BIN)
    rows = Line.objects.filter(bins_and_gear, trip_id=trip, ended=False, thing__state__isnull=False)
    return list(rows.order_by("id"))


def free(package: UUID, *, but: UUID, today: date) -> int:
    """How much of a package no other trip that is not over has set aside."""
    others = Line.objects.filter(
        thing_id=package, ended=False, trip__cancelled=False, trip__back_on__gte=today
    ).exclude(trip_id=but)
    taken = others.aggregate(sum=Sum("amount"))["sum"] or 0
    left = Balance.objects.filter(thing_id=package).values_list("amount", flat=True).first() or 0
    return max(0, left - taken)


def taken_by(row: Trip, thing: UUID, *, part: bool = False) -> Trip | None:
    """Another trip, away on the same days, that has this thing on its list; for a part: as a whole."""
    lines = Line.objects.filter(thing_id=thing, ended=False, trip__cancelled=False)
    if part:
        lines = lines.filter(amount=None)
    lines = lines.filter(trip__leaves_on__lt=row.back_on, trip__back_on__gt=row.leaves_on)
    found = lines.exclude(trip_id=row.id).select_related("trip").order_by("trip__leaves_on").first()
    return found.trip if found else None


def held(things: Iterable[UUID]) -> list[UUID]:
    """Those of these things that are on hold, themselves or by anything they are made of."""
    own = trace.on_hold()
    return [thing for thing in things if thing in own]


def vehicles(row: Trip) -> list[UUID]:
    """The trailers of a trip and the cars that draw them."""
    cars = [UUID(pair[0]) for pair in row.tows.values() if pair and pair[0]]
    return [*map(UUID, row.trailers), *cars]


def zones_of(row: Trip) -> dict[UUID, PlaceOf]:
    """The vehicles of a trip and their zones: where something can be put."""
    ours = set(vehicles(row))
    return {
        id: place
        for id, place in places_of_all().items()
        if id in ours or (place.kind is Kind.ZONE and place.inside in ours)
    }


def walk(row: Trip) -> Walk:
    """The list in walking order; a fixed number of statements."""
    places = places_of_all()
    where = Where(places, vehicles(row), (), {})
    own = lines(row.id)
    found = _lines(own, where)
    order = {id: at for at, id in enumerate(_in_order(places))}
    to_load = sorted(
        (line for line in found if not line.aboard),
        key=lambda line: (
            order.get(line.place, _LAST) if line.place else _LAST,
            -(line.mass_mg or 0),
            str(line.thing),
        ),
    )
    stops = tuple(Stop(lies, tuple(group)) for lies, group in groupby(to_load, key=lambda line: line.lies))
    return Walk(stops, tuple(line for line in found if line.aboard))


def told_of(row: Trip, things: Iterable[UUID]) -> Listed:
    """Things of a trip's list as a sentence names them: how much of what, and its code."""
    wanted = set(things)
    own = [line for line in lines(row.id) if line.thing_id in wanted]
    return Listed(map(_named, _lines(own, Where(places_of_all(), vehicles(row), (), {}))))


def _named(line: LoadLine) -> Sentence:
    values = {"name": line.thing.name, "code": line.thing.code}
    if line.told is None:
        return say("{name} {code}", **values)
    return say("{amount} of {name} {code}", amount=line.told, **values)


def _in_order(places: dict[UUID, PlaceOf]) -> list[UUID]:
    """Every place after the one it stands in, by name."""
    inside: dict[UUID | None, list[PlaceOf]] = {}
    for place in sorted(places.values(), key=lambda place: place.name.casefold()):
        inside.setdefault(place.inside if place.inside in places else None, []).append(place)
    found: list[UUID] = []

    def descend(at: UUID | None) -> None:
        for place in inside.get(at, ()):
            found.append(place.id)
            descend(place.id)

    descend(None)
    return found


@dataclass(frozen=True, slots=True)
class _Inside:
    """What lies in a bin: how many packages that hold something and pieces of equipment, and their mass."""

    things: int = 0
    mass_mg: int = 0  # as far as it is known


@dataclass(frozen=True, slots=True)
class _Goods:
    """What is known of the things of a list."""

    where: Where
    names: dict[UUID, Named]
    lies: dict[UUID, UUID | None]
    packages: dict[UUID, Package]
    masses: dict[UUID, int | None]
    inside: dict[UUID, _Inside]


def _lines(own: list[Line], where: Where) -> list[LoadLine]:
    things = [line.thing_id for line in own]
    goods = _Goods(where, named(things), {}, {}, {}, _inside(things, where))
    for part in chunks(things):
        goods.lies.update(State.objects.filter(thing_id__in=part).values_list("thing_id", "place_id"))
        rows = Package.objects.filter(thing_id__in=part).select_related("lot__material", "thing__balance")
        goods.packages.update({package.thing_id: package for package in rows})
        goods.masses.update(Equipment.objects.filter(thing_id__in=part).values_list("thing_id", "mass_mg"))
    return [_line(line, goods) for line in own]


def _line(line: Line, goods: _Goods) -> LoadLine:
    where, thing = goods.where, line.thing_id
    place, package = goods.lies.get(thing), goods.packages.get(thing)
    spot = where.spot(thing, place)
    inside = goods.inside.get(thing)
    amount, mass = None, inside.mass_mg if inside else goods.masses.get(thing)
    if package is not None:
        material, left = package.lot.material, package.thing.balance.amount
        amount = Amount(left if line.amount is None else line.amount, Base(material.base))
        mass = mass_mg(material, left)
    zone = where.places.get(line.zone_id) if line.zone_id else None
    return LoadLine(
        line=line.id,
        thing=goods.names[thing],
        amount=amount,
        part=line.amount is not None,
        lies=where.words(spot.chain),
        place=place,
        zone=where.words(where.chain(line.zone_id)) if line.zone_id else "",
        zone_code=zone.code if zone else "",
        why=line.why,
        aboard=spot.aboard,
        mass_mg=mass,
        inside=inside.things if inside else 0,
    )


def _inside(things: list[UUID], where: Where) -> dict[UUID, _Inside]:
    """Of the bins among these, what lies in each."""
    bins = [thing for thing in things if thing in where.places]
    found: dict[UUID, _Inside] = {}

    def add(place: UUID | None, mass: int | None) -> None:
        if place is not None:
            was = found.get(place, _Inside())
            found[place] = _Inside(was.things + 1, was.mass_mg + (mass or 0))

    gear = Equipment.objects.filter(thing__state__place_id__in=bins)
    for place, mass in gear.values_list("thing__state__place_id", "mass_mg"):
        add(place, mass)
    held = Package.objects.filter(thing__state__place_id__in=bins, thing__balance__amount__gt=0)
    for package in held.select_related("lot__material", "thing__balance", "thing__state"):
        content = mass_mg(package.lot.material, package.thing.balance.amount)
        add(package.thing.state.place_id, None if content is None else content + (package.tare_mg or 0))
    return found
