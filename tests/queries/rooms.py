"""Facts of a trip as the rooms of the answer read them, made by hand: nothing is wrong unless it is said.

No database: a room that asked one would fail here.
"""

from dataclasses import replace
from datetime import date
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.models import (
    Equipment,
    LayupCard,
    Material,
    Pair,
    Shop,
    TowCar,
    Trailer,
    Trip,
    Workshop,
    Zone,
)
from inventory.queries.equipment import Due
from inventory.queries.readiness.facts import (
    Facts,
    Packed,
    PairOf,
    Piece,
    PlaceOf,
    Spot,
    TrailerOf,
    WorkshopOf,
)

TODAY = date(2026, 12, 1)
LEAVES, STARTS, ENDS, BACK = date(2026, 12, 3), date(2026, 12, 4), date(2026, 12, 5), date(2026, 12, 6)
YARD, LOFT = UUID(int=1), UUID(int=2)


def kg(value):
    """Milligrams; None stays None."""
    return None if value is None else round(value * 1_000_000)


def id_of(name):
    """The same id for the same name."""
    return UUID(int=sum(ord(sign) << (8 * at) for at, sign in enumerate(name[:15])))


def zone(name, behind=2000, right=0, of="Wren", doubt=0):
    """A zone of a trailer and its card."""
    id = id_of(f"{of} {name}")
    card = Zone(thing_id=id, behind_mm=behind, behind_doubt_mm=doubt, right_mm=right, right_doubt_mm=doubt)
    return PlaceOf(id, Kind.ZONE, name, f"Z-{name}", id_of(of)), card


def car(**changes):
    """A tow car with all its plates read, far above what the tests load."""
    plates = {
        "name": "the van",
        "gross_mg": kg(3500),
        "rear_axle_mg": kg(2200),
        "towed_mg": kg(2500),
        "train_mg": kg(6000),
        "nose_mg": kg(300),
        "ball_nose_mg": kg(300),
        "bar_nose_mg": kg(300),
        "mass_mg": kg(2200),
        "mass_doubt_mg": 0,
        "rear_mg": kg(1050),
        "rear_doubt_mg": 0,
        "wheelbase_mm": 2800,
        "overhang_mm": 1120,
    }
    return TowCar(thing_id=id_of("the van"), **(plates | changes))


def trailer(name="Wren", zones=None, towed_by="the van", **changes):
    """A trailer with all its plates read; `towed_by` None: nobody said what draws it."""
    plates = {
        "gross_mg": kg(2000),
        "axle_load_mg": kg(1800),
        "nose_mg": kg(300),
        "tyres_side_mg": kg(1000),
        "empty_mg": kg(680),
        "empty_doubt_mg": 0,
        "empty_nose_mg": kg(75),
        "empty_nose_doubt_mg": 0,
        "axles": 1,
        "axle_mm": 3000,
        "axle_doubt_mm": 0,
        "floor_from_mm": 1000,
        "floor_to_mm": 4200,
        "track_mm": 1600,
    }
    id = id_of(name)
    return TrailerOf(
        id,
        f"T-{name}",
        name,
        Trailer(thing_id=id, **(plates | changes)),
        tuple(zones or (zone("zone 1", of=name),)),
        car() if towed_by else None,
        "C-1" if towed_by else "",
    )


def aboard(where="zone 1", of="Wren", bin=""):
    """Lying in a zone of a trailer of the trip, in a bin of that name or loose."""
    chain = tuple(id_of(name) for name in (bin, f"{of} {where}" if where else "", of) if name)
    return Spot(chain, id_of(of), True, None, id_of(of), id_of(f"{of} {where}") if where else None)


def at_home():
    """In the store, and on no list."""
    return Spot((LOFT, YARD))


def piece(name, sort="", spot=None, kind=Kind.EQUIPMENT, held=False, dues=(), **card):
    """One piece of equipment, aboard in zone 1 unless said otherwise."""
    row = Equipment(thing_id=id_of(name), name=name, sort=sort, **({"mass_mg": kg(1)} | card))
    return Piece(row, kind, f"E-{name}", spot or aboard(), held, tuple(dues))


def due(by, last_on=date(2026, 1, 10), what="charge and seal"):
    """An inspection and the last day before it is overdue."""
    return Due(id_of(what), id_of("x"), what, "whoever may", 12, last_on, by)


def material(name, purpose="", base="mg", **card):
    """A material's card."""
    return Material(id=id_of(name), key=name, name=name, base=base, purpose=purpose, **card)


def package(of, left, spot=None, code="", **more):
    """One package of a material, aboard in zone 1 unless said otherwise."""
    code = code or f"P-{of.name}"
    return Packed(id_of(code), code, id_of("lot"), "N-1", of.id, left, spot or aboard(), None, **more)


def pair(name, length_mm=1720, layers=()):
    """A booked pair."""
    card = LayupCard(id=id_of("card"), name="card", layers=list(layers)) if layers else None
    return PairOf(Pair(thing_id=id_of(name), length_mm=length_mm, layup=card), name)


def workshop(*pairs, circuits=(("north wall", 230.0, 16.0),), **changes):
    """A two-day workshop at a venue with hours, hands and power."""
    row = Workshop(
        id=id_of("High hut"),
        **(
            {
                "name": "High hut",
                "starts_on": STARTS,
                "ends_on": ENDS,
                "opens_min": 480,
                "closes_min": 1140,
                "hands": 3,
            }
            | changes
        ),
    )
    return WorkshopOf(row, tuple(pairs), len(pairs), 0, (), circuits)


def facts(*, trailers=None, workshops=(), materials=(), packages=(), equipment=(), bins=(), trip=(), **more):
    """Facts with what is given; every place that a test names is known."""
    trailers = (trailer(),) if trailers is None else tuple(trailers)
    places = {
        YARD: PlaceOf(YARD, Kind.YARD, "the yard", "Y-1", None),
        LOFT: PlaceOf(LOFT, Kind.STORE, "the barn", "S-1", YARD),
    }
    for each in trailers:
        places[each.id] = PlaceOf(each.id, Kind.TRAILER, each.name, each.code, YARD)
        places |= {place.id: place for place, _ in each.zones}
    for name in bins:
        places[id_of(name)] = PlaceOf(id_of(name), Kind.BIN, name, f"B-{name}", None)
    for id, changes in more.pop("warm", {}).items():
        places[id] = replace(places[id], assumed_c=changes)
    card = {
        "id": UUID(int=7),
        "name": "High hut",
        "leaves_on": LEAVES,
        "back_on": BACK,
        "sort": "workshop",
        "bay_c": 18.0,
        "heated": True,
        "crossings": [],
        "watchers": [],
    }
    return Facts(
        today=TODAY,
        trip=Trip(**(card | dict(trip))),
        shop=Shop(),
        trailers=trailers,
        workshops=tuple(workshops),
        places=places,
        materials={row.id: row for row in materials},
        packages=tuple(packages),
        equipment=tuple(equipment),
        **more,
    )


def against(notes):
    """The codes of the notes that weigh anything, in order."""
    return [note.code for note in notes if note.level]


def of(notes, code):
    """The one note of a code."""
    (found,) = [note for note in notes if note.code == code]
    return found
