"""What lies in each zone of a trip's trailers when it leaves, and the masses as compute.load wants them.

Judges no plate, and asks no database.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from uuid import UUID

from inventory.compute import load
from inventory.compute.codes import Kind
from inventory.compute.load import Load, Near, Plates, Quantity, TowCar
from inventory.compute.load.facts import LONGEST_M, Reading
from inventory.compute.reasons import Basis, Given
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, Term
from inventory.models import TowCar as TowCarCard
from inventory.models import Trailer
from inventory.queries.readiness.facts import Facts, Packed, Piece, TrailerOf

# How far off something is taken to be where nobody said: common practice, no source.
MASS_SHARE = 0.03
PLACE_M = 0.1
NOSE_KG = 5.0
EVEN_SHARE = 0.05  # of the empty trailer, heavier on one side
NO_ZONE = "no zone"
MG_IN_KG = 1_000_000
POURED = frozenset({Base.MG, Base.UL})  # never without a container


class Side(StrEnum):
    """What must never share a zone: these two."""

    CLEAN = "food, clothing or clean gear"
    HARM = "resin, solvent or waste"


CLEAN_SORTS = frozenset({"food", "clothing", "clean gear", "respirator"})
CLEAN_PURPOSES = frozenset({"food"})
HARM_PURPOSES = frozenset({"resin", "hardener", "solvent", "glue", "fuel", "waste"})


@dataclass(frozen=True, slots=True)
class Lying:
    """One thing that comes along: what it is called, how heavy it is, and what it must not lie beside."""

    id: UUID
    name: str
    code: str
    mass_mg: int | None
    side: Side | None = None
    material: UUID | None = None
    bare: bool = False  # what it is in was never weighed


@dataclass(frozen=True, slots=True, eq=False)
class Carried:
    """What is loaded in one go: a bin with all in it, or one loose thing. `line`: of the loading list."""

    id: UUID
    name: str
    code: str
    vehicle: UUID
    zone: UUID | None
    aboard: bool
    line: UUID | None
    things: tuple[Lying, ...]

    @property
    def mass_mg(self) -> int:
        """What is known of its mass."""
        return sum(thing.mass_mg or 0 for thing in self.things)

    @property
    def unknown(self) -> tuple[Lying, ...]:
        """What in it has no mass."""
        return tuple(thing for thing in self.things if thing.mass_mg is None)

    @property
    def sides(self) -> frozenset[Side]:
        """What it must not lie beside."""
        return frozenset(thing.side for thing in self.things if thing.side)


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """One trailer with what it carries. `load` None: the trailer's card lacks `missing`, or `refused` it."""

    trailer: TrailerOf
    loads: tuple[Carried, ...]
    names: Mapping[UUID, str] = field(default_factory=dict)  # of its zones
    missing: tuple[str, ...] = ()
    load: Load | None = None
    refused: Refused | None = None

    def in_zone(self, zone: UUID | None) -> tuple[Carried, ...]:
        """What lies in one zone; in none that is known."""
        return tuple(each for each in self.loads if each.zone == zone)


def told(kg: float) -> Amount:
    """A mass to 100 g, in the unit of whoever reads it."""
    return Amount(round(round(kg, 1) * MG_IN_KG), Base.MG)


def coded(code: str) -> str:
    """The code under which a rule's reason stands in the answer."""
    return f"ready.{code.replace('.', '_')}"


def carried(facts: Facts) -> list[Carried]:
    """Everything that comes along, by what is loaded in one go, heaviest first."""
    found: dict[UUID, list[tuple[Packed | Piece, Lying]]] = {}
    coming: list[Packed | Piece] = [*facts.aboard, *facts.gear]
    for each in coming:
        if each.spot.goes_in is not None:
            found.setdefault(_carrier(facts, each), []).append((each, lying(facts, each)))
    loads = [_one(facts, id, rows) for id, rows in found.items()]
    return sorted(loads, key=lambda each: (-each.mass_mg, each.name, each.code))


def _carrier(facts: Facts, each: Packed | Piece) -> UUID:
    """The bin it travels in, or itself."""
    place = facts.places.get(each.spot.place) if each.spot.place else None
    own_line = each.spot.line is not None and each.spot.line.thing_id == each.id
    return place.id if place and place.kind is Kind.BIN and not own_line else each.id


def _one(facts: Facts, id: UUID, rows: Sequence[tuple[Packed | Piece, Lying]]) -> Carried:
    spot, first = rows[0][0].spot, rows[0][1]
    bin = facts.places.get(id)
    return Carried(
        id=id,
        name=bin.name if bin else first.name,
        code=bin.code if bin else first.code,
        vehicle=spot.goes_in,  # type: ignore[arg-type]  # carried leaves out what comes along in nothing
        zone=spot.goes_zone,
        aboard=spot.aboard,
        line=spot.line.id if spot.line else None,
        things=tuple(lying for _, lying in rows),
    )


def lying(facts: Facts, each: Packed | Piece) -> Lying:
    """One thing that comes along, with its mass and what it must not lie beside."""
    if isinstance(each, Piece):
        side = Side.CLEAN if each.sort in CLEAN_SORTS else None
        return Lying(each.id, each.row.name, each.code, each.row.mass_mg, side)
    material = facts.materials[each.material]
    return Lying(
        each.id,
        material.name,
        each.code,
        with_container(facts, each),
        side_of(material.purpose),
        material.id,
        bare=Base(material.base) in POURED and container(facts, each) is None,
    )


def side_of(purpose: str) -> Side | None:
    """What something used so must not lie beside; None for what may lie anywhere."""
    if purpose in HARM_PURPOSES:
        return Side.HARM
    return Side.CLEAN if purpose in CLEAN_PURPOSES else None


def with_container(facts: Facts, each: Packed) -> int | None:
    """What a package weighs with its container, as far as that was weighed or its card says."""
    content = facts.mass_mg(each)
    return None if content is None else content + (container(facts, each) or 0)


def container(facts: Facts, each: Packed) -> int | None:
    """What the empty container of a package weighs; None: nobody weighed it, and no card says."""
    return facts.materials[each.material].container_mg if each.tare_mg is None else each.tare_mg


def loaded(
    facts: Facts,
    trailer: TrailerOf,
    loads: Iterable[Carried],
    weighed: Mapping[Quantity, Given[Near]] | None = None,
) -> Loaded:
    """One trailer against its plates, with these things where they are said to lie.

    `weighed`: what takes the place of its sum, there and in what follows from it.
    """
    own = tuple(each for each in loads if each.vehicle == trailer.id)
    names = {place.id: place.name for place, _ in trailer.zones}
    missing = _missing(trailer.card)
    if missing:
        return Loaded(trailer, own, names, missing)
    try:
        judged = load.judge(
            trailer=_trailer(trailer),
            zones=_zones(trailer, own),
            items=list(_items(own, names)),
            car=_car(trailer),
            plates=_plates(trailer),
            weighed=weighed,
        )
    except Refused as refused:
        return Loaded(trailer, own, names, refused=refused)
    return Loaded(trailer, own, names, load=judged)


def harder(before: Loaded, after: Loaded) -> bool:
    """True when any quantity is judged harder than before, or can no longer be judged."""
    if before.load is None or after.load is None:
        return before.load is not None
    order = list(load.Word)
    pairs = zip(before.load.against, after.load.against, strict=True)
    return any(order.index(now.word) > order.index(then.word) for then, now in pairs)


NEEDED = {
    "empty_mg": Term("empty mass"),
    "empty_nose_mg": Term("empty nose weight"),
    "axle_mm": Term("coupling to axle"),
}


def _missing(card: Trailer) -> tuple[str, ...]:
    return tuple(name for field, name in NEEDED.items() if getattr(card, field) is None)


def _kg(
    mg: float | None, doubt_mg: float | None, share: float = MASS_SHARE, least_kg: float = 0.0
) -> Reading:
    """A measured mass; what nobody said of its doubt is taken as usual."""
    if mg is None:
        return None
    kg = mg / MG_IN_KG
    doubt = max(least_kg, share * abs(kg)) if doubt_mg is None else doubt_mg / MG_IN_KG
    return Given(Near(kg, doubt), Basis.MEASURED)


def _metres(mm: float | None, doubt_mm: float | None = None) -> Reading:
    if mm is None:
        return None
    return Given(Near(mm / 1000, PLACE_M if doubt_mm is None else doubt_mm / 1000), Basis.MEASURED)


def _trailer(of: TrailerOf) -> load.Trailer:
    card = of.card
    empty, nose = (
        _kg(card.empty_mg, card.empty_doubt_mg),
        _kg(card.empty_nose_mg, card.empty_nose_doubt_mg, 0, NOSE_KG),
    )
    axle = _metres(card.axle_mm, card.axle_doubt_mm)
    assert empty is not None  # noqa: S101 - _missing is asked first
    assert nose is not None  # noqa: S101
    assert axle is not None  # noqa: S101
    whole = card.floor_from_mm is None or card.floor_to_mm is None
    return load.Trailer(
        key=of.name,
        empty_kg=empty,
        empty_nose_kg=nose,
        axle_m=axle,
        floor_m=(0.0, LONGEST_M) if whole else (card.floor_from_mm / 1000, card.floor_to_mm / 1000),  # type: ignore[operator]
        axles=card.axles or 1,
        track_m=_metres(card.track_mm, 0),
        empty_right_kg=Given(Near(0.0, EVEN_SHARE * empty.value.value), Basis.ASSUMED, "both sides alike"),
    )


def _zones(of: TrailerOf, loads: Iterable[Carried]) -> list[load.Zone]:
    zones = [
        load.Zone(
            place.name,
            _metres(card.behind_mm, card.behind_doubt_mm),
            _metres(card.right_mm, card.right_doubt_mm),
        )
        for place, card in of.zones
    ]
    known = {place.id for place, _ in of.zones}
    if any(each.zone not in known for each in loads):
        zones.append(load.Zone(NO_ZONE, None, None))
    return zones


def _items(loads: Iterable[Carried], names: Mapping[UUID, str]) -> Iterable[load.Item]:
    """One item for each; what in it was never weighed is an item of its own: the rest still counts."""
    for each in loads:
        zone = names.get(each.zone, NO_ZONE) if each.zone else NO_ZONE
        key = f"{each.name} {each.code}".strip()
        if each.mass_mg or not each.unknown:
            kg = Near(each.mass_mg / MG_IN_KG, MASS_SHARE * each.mass_mg / MG_IN_KG)
            yield load.Item(key, zone, Given(kg, Basis.MEASURED))
        if each.unknown:
            names_in = ", ".join(dict.fromkeys(thing.name for thing in each.unknown))
            yield load.Item(
                f"{names_in} in {key}" if each.name != names_in else f"{key}, not weighed", zone, None
            )


def _car(of: TrailerOf) -> TowCar | None:
    car = of.car
    if car is None:
        return None
    return TowCar(
        key=car.name,
        mass_kg=_kg(car.mass_mg, car.mass_doubt_mg),
        rear_axle_kg=_kg(car.rear_mg, car.rear_doubt_mg),
        wheelbase_m=_metres(car.wheelbase_mm, 0),
        overhang_m=_metres(car.overhang_mm, 0),
    )


def _plates(of: TrailerOf) -> Plates:
    def plate(mg: float | None) -> Given[float] | None:
        return None if mg is None else Given(mg / MG_IN_KG, Basis.DATA_SHEET, "plate or papers")

    card, car = of.card, of.car or TowCarCard()
    return Plates(
        trailer_gross_kg=plate(card.gross_mg),
        trailer_axle_kg=plate(card.axle_load_mg),
        tyres_per_side_kg=plate(card.tyres_side_mg),
        coupling_nose_kg=plate(card.nose_mg),
        car_towed_kg=plate(car.towed_mg),
        ball_nose_kg=plate(car.ball_nose_mg),
        bar_nose_kg=plate(car.bar_nose_mg),
        car_nose_kg=plate(car.nose_mg),
        car_rear_axle_kg=plate(car.rear_axle_mg),
        car_gross_kg=plate(car.gross_mg),
        train_kg=plate(car.train_mg),
    )
