"""What the answer before a trip is made of: plain values, read once. Judges nothing and asks no database.

Everything stands here as it will be when the trip leaves, as far as that is known: what is aboard counts
where it lies, what is on the loading list where the list puts it. `reader` fills it; the rooms read.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from inventory.compute.build_spec import Shaped
from inventory.compute.codes import Kind
from inventory.compute.layup import Stuff
from inventory.compute.needs import Factor
from inventory.compute.units import Amount, Base
from inventory.errors import Refused
from inventory.models import (
    Artwork,
    Equipment,
    Listed,
    Material,
    Pair,
    Person,
    Shop,
    TowCar,
    Trailer,
    Trip,
    Workshop,
    Zone,
)
from inventory.queries.coming import Coming
from inventory.queries.equipment import Due
from inventory.queries.pair_needs import A_PAIR

A_YEAR = 365


@dataclass(frozen=True, slots=True)
class Supposing:
    """What is supposed, without saving it: more guests, a trailer that stays, colder, a generator only."""

    guests: int = 0
    without: UUID | None = None
    colder_c: float = 0.0
    generator_only: bool = False

    @property
    def anything(self) -> bool:
        """True when something is supposed."""
        return self != Supposing()


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a thing lies, innermost place first, and where it lies when the trip leaves.

    `vehicle`: the trailer or tow car it lies in now. `goes_in`, `goes_zone`: that of this trip it leaves in;
    empty when it does not come along, or no zone is known. `line`: its own line of the list, or its bin's.
    `missing`: it, or what it lies in, was looked for in vain. `away`: on the road with another trip on
    load day. Then it comes along nowhere.
    """

    chain: tuple[UUID, ...] = ()
    vehicle: UUID | None = None
    aboard: bool = False
    line: Listed | None = None
    goes_in: UUID | None = None
    goes_zone: UUID | None = None
    missing: bool = False
    away: bool = False

    @property
    def place(self) -> UUID | None:
        """What it lies in directly."""
        return self.chain[0] if self.chain else None

    @property
    def out(self) -> bool:
        """True when it cannot be brought along: missing, or away."""
        return self.missing or self.away

    @property
    def goes(self) -> bool:
        """True when it comes along: aboard, or on the loading list."""
        return self.aboard or self.line is not None


@dataclass(frozen=True, slots=True)
class PlaceOf:
    """One place. `inside`: the one it stands in."""

    id: UUID
    kind: Kind
    name: str
    code: str
    inside: UUID | None
    assumed_c: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class TrailerOf:
    """A trailer of the trip: its plates, its zones, what draws it and who drives."""

    id: UUID
    code: str
    name: str
    card: Trailer  # empty where nothing was entered
    zones: tuple[tuple[PlaceOf, Zone], ...] = ()
    car: TowCar | None = None
    car_code: str = ""
    driver: Person | None = None


@dataclass(frozen=True, slots=True, eq=False)
class SkiOf:
    """One ski of a pair, and the steps it has."""

    id: UUID
    side: str
    code: str
    done: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, eq=False)
class PairOf:
    """A booked pair. `shaped` None: no shape is known, or `refused` says why it makes no ski."""

    row: Pair  # with its lay-up card
    code: str
    seat: str = ""  # its guest's: booked, wait list, given back; empty: no seat
    skis: tuple[SkiOf, ...] = ()
    artwork: Artwork | None = None
    shaped: Shaped | None = None
    refused: Refused | None = None
    size: str = ""  # of what its guest wears

    @property
    def id(self) -> UUID:
        """The pair's thing."""
        return self.row.thing_id

    @property
    def comes(self) -> bool:
        """False when its guest gave the seat back."""
        return self.seat != "given back"

    def both(self, step: str) -> bool:
        """True when both skis have a step of the build card."""
        return bool(self.skis) and all(step in ski.done for ski in self.skis)

    @property
    def to_make(self) -> int:
        """How many of its skis are still to be laid up."""
        return sum("lay-up" not in ski.done for ski in self.skis) if self.skis else A_PAIR


@dataclass(frozen=True, slots=True, eq=False)
class WorkshopOf:
    """A workshop with its pairs. `open_seats`: free ones, and what is supposed beside them.

    `without_pair`: of the booked seats those whose guest has no pair here yet.
    """

    row: Workshop
    pairs: tuple[PairOf, ...] = ()
    booked_seats: int = 0
    open_seats: int = 0
    sizes: tuple[str, ...] = ()  # of what its guests wear, as far as said
    circuits: Sequence[Sequence[Any]] | None = None  # [name, volts, amps]; empty: no power there
    without_pair: int = 0

    @property
    def coming(self) -> tuple[PairOf, ...]:
        """Its pairs whose guests come."""
        return tuple(pair for pair in self.pairs if pair.comes)


@dataclass(frozen=True, slots=True, eq=False)
class Packed:
    """One package that holds something. `through`: its last day by label, opening and re-test.

    `aged_through`: the last day by its warmth, an estimate; None: nobody knows; `over`: by what was read on
    thermometers alone it is over. `set_aside`: for other trips.
    """

    id: UUID
    code: str
    lot: UUID
    number: str
    material: UUID
    left: int
    spot: Spot
    through: date | None
    aged_through: date | None = None
    over: bool = False
    opened_on: date | None = None
    held: bool = False
    set_aside: int = 0
    tare_mg: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """One piece of equipment in use, with the inspections it must have."""

    row: Equipment
    kind: Kind
    code: str
    spot: Spot
    held: bool = False
    dues: tuple[Due, ...] = ()

    @property
    def free(self) -> bool:
        """True when it may be brought along: neither on hold nor missing nor away."""
        return not (self.held or self.spot.out)

    @property
    def id(self) -> UUID:
        """The thing."""
        return self.row.thing_id

    @property
    def sort(self) -> str:
        """Its sort; a press or a mould is one by its kind."""
        return self.kind.value if self.kind in (Kind.PRESS, Kind.MOULD) else self.row.sort


@dataclass(frozen=True, slots=True)
class OnScale:
    """What the scale last showed of one trailer as it leaves: mass and nose weight in mg, when, who read it.

    `moved`: how many things were moved into it, out of it or within it since; `mass_since`, `nose_since`:
    since that number was read, where the other was read again later. How far off the scale may be stands
    beside what it showed; None: nobody said.
    """

    mass_mg: int | None = None
    nose_mg: int | None = None
    at: datetime | None = None
    by: str = ""
    moved: int = 0
    mass_doubt_mg: int | None = None
    nose_doubt_mg: int | None = None
    mass_since: int = 0
    nose_since: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Facts:
    """All that the rooms may look at. `earlier`: workshops of other trips that take their materials first."""

    today: date
    trip: Trip
    shop: Shop
    supposing: Supposing = Supposing()
    trailers: tuple[TrailerOf, ...] = ()
    workshops: tuple[WorkshopOf, ...] = ()  # of this trip, that take place, by their days
    cancelled: tuple[Workshop, ...] = ()
    earlier: tuple[WorkshopOf, ...] = ()
    places: Mapping[UUID, PlaceOf] = field(default_factory=dict)
    materials: Mapping[UUID, Material] = field(default_factory=dict)
    packages: tuple[Packed, ...] = ()  # everywhere
    equipment: tuple[Piece, ...] = ()  # everywhere
    people: Mapping[UUID, Person] = field(default_factory=dict)
    sheets: frozenset[UUID] = frozenset()  # materials whose safety data sheet is kept here
    listed: tuple[Listed, ...] = ()  # open lines of this trip's loading list
    last_days: Mapping[UUID, date] = field(
        default_factory=dict
    )  # to order each material so that it is ready to load
    ordered: Mapping[UUID, tuple[Coming, ...]] = field(default_factory=dict)  # on its way, by material
    twice: tuple[tuple[UUID, str], ...] = ()  # listed for another trip of the same days, and which
    accepted: Mapping[UUID, Mapping[str, Factor]] = field(
        default_factory=dict
    )  # usage by lay-up and material
    met_on: Mapping[str, date | None] = field(default_factory=dict)  # other laptops, by letter
    backed_up_on: date | None = None
    weighed: Mapping[UUID, OnScale] = field(default_factory=dict)  # as it leaves, by trailer
    away: Mapping[UUID, Trip] = field(
        default_factory=dict
    )  # trailers and cars on the road with another trip on load day
    moved_apart: frozenset[UUID] = frozenset()  # put into two places by two laptops, and not settled

    @property
    def loads_on(self) -> date:
        """The day it is loaded."""
        return self.trip.loads_on or self.trip.leaves_on

    @property
    def bay_c(self) -> float | None:
        """How warm it is expected to be where skis are laid up; None: nobody said."""
        return None if self.trip.bay_c is None else self.trip.bay_c - self.supposing.colder_c

    @property
    def pairs(self) -> tuple[PairOf, ...]:
        """The pairs of this trip's workshops whose guests come."""
        return tuple(pair for workshop in self.workshops for pair in workshop.coming)

    @property
    def aboard(self) -> tuple[Packed, ...]:
        """The packages that come along."""
        return tuple(each for each in self.packages if each.spot.goes)

    @property
    def gear(self) -> tuple[Piece, ...]:
        """The equipment that comes along."""
        return tuple(each for each in self.equipment if each.spot.goes)

    @property
    def stuff(self) -> dict[str, Stuff]:
        """The materials as a lay-up card wants them, by key."""
        return {
            row.key: Stuff(row.name, Base(row.base), row.purpose, row.thickness_mm, row.hardener_per_hundred)
            for row in self.materials.values()
        }

    def of_sort(self, *sorts: str, coming: bool = True) -> tuple[Piece, ...]:
        """The equipment of these sorts, of what comes along or of all."""
        return tuple(each for each in (self.gear if coming else self.equipment) if each.sort in sorts)

    def trailer(self, id: UUID | None) -> TrailerOf | None:
        """One of the trip's trailers."""
        return next((each for each in self.trailers if each.id == id), None)

    def where(self, spot: Spot) -> str:
        """Where something lies, in words: "bin 7, shelves, the Loft"; without the yard."""
        known = [self.places[id] for id in spot.chain if id in self.places]
        return ", ".join(place.name for place in known if place.kind is not Kind.YARD)

    def mass_mg(self, each: Packed) -> int | None:
        """What the content of a package weighs; None where its card does not say. The container is apart."""
        return mass_mg(self.materials[each.material], each.left)


def mass_mg(material: Material, amount: int) -> int | None:
    """What so much of a material weighs, in mg, by its card; None where the card does not say."""
    base = Base(material.base)
    if base is Base.MG:
        return amount
    per: float | None = {
        Base.UL: material.density_kg_m3 and material.density_kg_m3 / 1000,  # mg in a µl
        Base.MM: material.linear_g_m,  # mg in a mm
        Base.MM2: material.areal_g_m2 and material.areal_g_m2 / 1000,
        Base.PIECE: material.piece_mg,
    }.get(base)
    return None if per is None else round(amount * per)


def amount(material: Material, value: int) -> Amount | int:
    """An amount as a sentence says it: pieces are plain numbers."""
    return value if Base(material.base) is Base.PIECE else Amount(value, Base(material.base))


def by_material(packages: Iterable[Packed]) -> dict[UUID, list[Packed]]:
    """Packages by what they hold."""
    found: dict[UUID, list[Packed]] = {}
    for each in packages:
        found.setdefault(each.material, []).append(each)
    return found
