"""The sums of a load, doubt and all: masses and levers into loads. Judges nothing and knows no plate."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from inventory.compute.load.doubt import ONE, Doubt, total
from inventory.compute.load.facts import Item, Near, Quantity, Reading, TowCar, Trailer, Zone
from inventory.compute.reasons import Given, Input
from inventory.compute.units import metres
from inventory.errors import Refused, say


def zones_by_key(trailer: Trailer, zones: Sequence[Zone], items: Sequence[Item]) -> dict[str, Zone]:
    """Which zone is which? Every zone on the floor, every item in a zone, nothing twice.

    Formula: floor begins <= distance behind the coupling <= floor ends
    Units: m behind the coupling.
    Shapes: keys once each.
    Refuses: load.twice, load.zone_outside, load.zone_unknown
    Source: common practice, no source
    """
    _once(zones)
    _once(items)
    front, back = trailer.floor_m
    for zone in zones:
        if zone.behind_m is not None and not front <= zone.behind_m.value.value <= back:
            sentence = say(
                "Zone {zone} lies {behind} behind the coupling, the floor from {front} to {back}.",
                zone=zone.key,
                behind=metres(zone.behind_m.value.value),
                front=metres(front),
                back=metres(back),
            )
            raise Refused("load.zone_outside", sentence, say("Measure from the coupling."))
    where = {zone.key: zone for zone in zones}
    for item in items:
        if item.zone not in where:
            sentence = say("{item} lies in {zone}, which is no zone of it.", item=item.key, zone=item.zone)
            raise Refused("load.zone_unknown", sentence, say("Choose one of the trailer's zones."))
    return where


def _once(things: Iterable[Zone] | Iterable[Item]) -> None:
    seen: set[str] = set()
    for thing in things:
        if thing.key in seen:
            raise Refused("load.twice", say("{key} is listed twice.", key=thing.key), say("List it once."))
        seen.add(thing.key)


def _doubt(reading: Reading, name: str, otherwise: float = 0.0) -> Doubt:
    """The reading as a value with its pull; a stand-in and a name among the missing when there is none."""
    if reading is None:
        return Doubt(otherwise, {}, frozenset({name}))
    return Doubt(reading.value.value, {name: reading.value.give_or_take})


class Sums:
    """Every quantity as it is computed; one that was weighed takes the place of its sum in what follows."""

    def __init__(self, weighed: Mapping[Quantity, Given[Near]]) -> None:
        self.scale = {each: _doubt(reading, f"{each}, weighed") for each, reading in weighed.items()}
        self.computed: dict[Quantity, Doubt] = {}
        self.of: dict[Quantity, Doubt] = {}

    def settle(self, quantity: Quantity, value: Doubt) -> Doubt:
        """Keep the computed value; what was weighed goes on from here instead."""
        self.computed[quantity] = value
        self.of[quantity] = self.scale.get(quantity, value)
        return self.of[quantity]


def sums_of(
    *,
    trailer: Trailer,
    where: Mapping[str, Zone],
    items: Iterable[Item],
    car: TowCar | None,
    weighed: Mapping[Quantity, Given[Near]],
) -> tuple[Sums, Doubt]:
    """What does everything come to, and how much more do the right wheels carry than the left?

    Formula: G = empty + sum m; nose = empty nose + sum m - (sum m x) / D; axle = G - nose; right - left =
        empty difference + 2 (sum m y) / track; heavier side = (axle + |right - left|) / 2; rear axle = its
        own + nose (1 + overhang / wheelbase); car = its own + nose; train = car's own + G.
    Units: kg; m.
    Shapes: every item's zone is a key of `where`.
    Refuses: nothing
    Source: statics (computed)
    """
    masses, levers, sides = [], [], []
    for item in items:
        zone = where[item.zone]
        mass = _doubt(item.mass_kg, f"mass of {item.key}")
        masses.append(mass)
        levers.append(mass * _doubt(zone.behind_m, f"place of {zone.key} along"))
        sides.append(mass * _doubt(zone.right_m, f"place of {zone.key} across"))
    cargo = total(masses)
    sums = Sums(weighed)
    gross = sums.settle(Quantity.GROSS, _doubt(trailer.empty_kg, "empty mass") + cargo)
    on_nose = cargo - total(levers) / _doubt(trailer.axle_m, "place of the axle")
    nose = sums.settle(Quantity.NOSE, _doubt(trailer.empty_nose_kg, "empty nose weight") + on_nose)
    axle = sums.settle(Quantity.AXLE, gross - nose)
    half_track = _doubt(trailer.track_m, "track", otherwise=1.0).times(0.5)
    right = _doubt(trailer.empty_right_kg, "empty side difference") + total(sides) / half_track
    more = right if right.value >= 0 else right.times(-1.0)
    sums.settle(Quantity.SIDE, (axle + more).times(0.5))
    _car_sums(sums, car, gross, nose)
    return sums, right


def _car_sums(sums: Sums, car: TowCar | None, gross: Doubt, nose: Doubt) -> None:
    known = car or TowCar("tow car", None, None, None, None)
    mass = _doubt(known.mass_kg, f"mass of {known.key}")
    overhang = _doubt(known.overhang_m, f"overhang of {known.key}")
    lever = ONE + overhang / _doubt(known.wheelbase_m, f"wheelbase of {known.key}", otherwise=1.0)
    rear = _doubt(known.rear_axle_kg, f"rear axle load of {known.key}")
    sums.settle(Quantity.REAR_AXLE, rear + nose * lever)
    sums.settle(Quantity.CAR, mass + nose)
    sums.settle(Quantity.TRAIN, mass + gross)


def inputs_of(
    *, trailer: Trailer, where: Mapping[str, Zone], items: Iterable[Item], car: TowCar | None
) -> Iterator[Input]:
    """Which values went in, and on what basis?

    Formula: all that are known; the answer names what is not
    Units: kg; m.
    Shapes: every item's zone is a key of `where`.
    Refuses: nothing
    Source: as entered
    """
    yield from _lines("kg", {"empty mass": trailer.empty_kg, "empty nose weight": trailer.empty_nose_kg})
    yield from _lines("m", {"coupling to axle": trailer.axle_m, "track": trailer.track_m})
    yield from _lines("kg", {"empty side difference": trailer.empty_right_kg})
    for zone in where.values():
        places = {
            f"{zone.key} behind the coupling": zone.behind_m,
            f"{zone.key} right of the middle": zone.right_m,
        }
        yield from _lines("m", places)
    yield from _lines("kg", {item.key: item.mass_kg for item in items})
    if car is not None:
        yield from _lines(
            "kg", {f"mass of {car.key}": car.mass_kg, f"rear axle of {car.key}": car.rear_axle_kg}
        )
        yield from _lines("m", {"wheelbase": car.wheelbase_m, "overhang": car.overhang_m})


def _lines(unit: str, readings: Mapping[str, Reading]) -> Iterator[Input]:
    for name, reading in readings.items():
        if reading is not None:
            yield Input(name, reading.value.value, unit, reading.basis)
