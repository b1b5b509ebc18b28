"""What a loaded trailer weighs where it counts, by what was entered: against plates, with its doubt.

Knows no database and no region; advice of regions is in `load.advice`, dangerous goods in `load.adr` and
`load.trade`. It never says that a load will do: it says what is over, what to weigh, what is not known.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence

from inventory.compute.load.apart import Apart, apart
from inventory.compute.load.doubt import Doubt
from inventory.compute.load.facts import (
    Against,
    Estimate,
    Item,
    Load,
    Near,
    Plates,
    Quantity,
    Reading,
    TowCar,
    Trailer,
    Word,
    Zone,
)
from inventory.compute.load.plates import against_plates
from inventory.compute.load.sums import Sums, inputs_of, sums_of, zones_by_key
from inventory.compute.reasons import Basis, Given, How, Level, Reason, verdict
from inventory.compute.units import metres
from inventory.errors import Refused, Sentence, say

__all__ = [
    "Against",
    "Apart",
    "Estimate",
    "Item",
    "Load",
    "Near",
    "Plates",
    "Quantity",
    "Reading",
    "TowCar",
    "Trailer",
    "Word",
    "Zone",
    "apart",
    "judge",
]

_SOURCE = (
    "Statics of a beam on two supports; the tow car's rear axle by its lever (computed); the lowest of ball, "
    "bar, coupling and vehicle governs: a trailer maker's page on nose weight (read)"
)
RULES = {
    Quantity.GROSS: "empty mass + all masses",
    Quantity.NOSE: "empty nose weight + sum of mass x (1 - distance behind the coupling / axle's distance)",
    Quantity.AXLE: "trailer's mass - nose weight",
    Quantity.REAR_AXLE: "rear axle without trailer + nose weight x (1 + overhang / wheelbase)",
    Quantity.CAR: "tow car without trailer + nose weight",
    Quantity.TRAIN: "tow car without trailer + trailer's mass",
    Quantity.SIDE: "half the axle load + half of what one side carries over the other; right - left = "
    "empty difference + 2 x sum of mass x distance right of the middle / track",
}
CAUTIONS: tuple[Sentence, ...] = (
    say("By what was entered. Weigh it before driving; a calculation never replaces a scale."),
    say("Nose weight: trailer level, a scale and a prop at the height of the ball, jockey wheel clear."),
    say("Heavy things low, near the axle, strapped one by one; goods in the tow car and waste count too."),
)


def judge(
    *,
    trailer: Trailer,
    zones: Sequence[Zone],
    items: Sequence[Item],
    car: TowCar | None,
    plates: Plates,
    weighed: Mapping[Quantity, Given[Near]] | None = None,
) -> Load:
    """What does the loaded trailer weigh where it counts, and is any of it over a plate?

    Formula: G = empty + sum m; nose = empty nose + sum m (1 - x / D); axle = G - nose; tow car's rear axle =
        its own + nose (1 + overhang / wheelbase); right - left = empty difference + 2 sum m y / track.
        Doubt to first order, each source once with its sign; all at once (together) and independent (apart).
        Against the lowest plate with all doubts at once: stop when over by more, weigh when within, cannot
        say when a plate or an input is not known. Negative nose weight: stop. A weighed value replaces the
        computed one and what follows from it.
    Units: kg; m behind the coupling and right of the middle; D from the coupling to the middle of the axles.
    Shapes: zones and items in any order, keys once each; every item's zone is listed.
    Refuses: load.twice, load.zone_unknown, load.zone_outside, load.weighed
    Source: statics (computed); trailer-bodybuilders.com, tongue weight calculator (read); the lowest plate
        governs: baileyofbristol.co.uk, nose weight (read); doubt: JCGM 100:2008, 5.1 and 5.2 (from memory)
    Caution: By what was entered; weigh it. Plates come from the owner's own trailer and car, never from
        here. Heavy ends can balance on the nose and still sway. How tandem axles share is not known here.
    """
    where = zones_by_key(trailer, zones, items)
    _check_weighed(weighed or {})
    sums, right = sums_of(trailer=trailer, where=where, items=items, car=car, weighed=weighed or {})
    inputs = tuple(inputs_of(trailer=trailer, where=where, items=items, car=car))
    how = {quantity: How(rule, _SOURCE, inputs) for quantity, rule in RULES.items()}
    lines = tuple(
        against_plates(
            quantity=quantity,
            estimate=_estimate(sums.of[quantity], weighed=quantity in sums.scale),
            plates=plates,
            how=how[quantity],
        )
        for quantity in Quantity
    )
    spread, even = _spread(trailer, where, items), _even_spread(trailer)
    whole = How("; ".join(f"{quantity}: {rule}" for quantity, rule in RULES.items()), _SOURCE, inputs)
    notes = _notes(trailer, sums, spread, even, whole)
    reasons = verdict(*(reason for line in lines for reason in line.reasons), *notes)
    return Load(lines, _estimate(right), spread, even, reasons, CAUTIONS, whole)


def _check_weighed(weighed: Mapping[Quantity, Given[Near]]) -> None:
    for quantity, reading in weighed.items():
        if quantity is not Quantity.NOSE and reading.value.value < 0:
            sentence = say(
                "The scale is said to show {kg} kg for {quantity}.", kg=reading.value.value, quantity=quantity
            )
            raise Refused("load.weighed", sentence, say("Read it again; only nose weight can be below 0."))


def _estimate(value: Doubt, *, weighed: bool = False) -> Estimate:
    return Estimate(value.value, value.together, value.apart, tuple(sorted(value.missing)), weighed)


def _spread(trailer: Trailer, where: Mapping[str, Zone], items: Iterable[Item]) -> float | None:
    """Root mean square distance of the cargo from the axle; None when something of it is not known."""
    square = mass = 0.0
    for item in items:
        place = where[item.zone].behind_m
        if item.mass_kg is None or place is None:
            return None
        mass += item.mass_kg.value.value
        square += item.mass_kg.value.value * (place.value.value - trailer.axle_m.value.value) ** 2
    return math.sqrt(square / mass) if mass else None


def _even_spread(trailer: Trailer) -> float:
    """The same for a load spread evenly over the floor."""
    front, back = (end - trailer.axle_m.value.value for end in trailer.floor_m)
    return math.sqrt((back**3 - front**3) / (3 * (back - front)))


def _notes(trailer: Trailer, sums: Sums, spread: float | None, even: float, how: How) -> Iterator[Reason]:
    """What no plate says: ends, axles in a group, a scale that disagrees with the list."""
    if spread is not None:
        sentence = say(
            "The cargo lies {spread} from the axle (root mean square), an even load {even}. Heavy ends "
            "can balance on the nose and still sway.",
            spread=metres(spread),
            even=metres(even),
        )
        yield Reason("load.ends", sentence, Level.LOOK if spread > even else Level.FINE, how)
    if trailer.axles > 1:
        sentence = say(
            "{trailer} has {axles} axles: how they share the axle load is not known here.",
            trailer=trailer.key,
            axles=trailer.axles,
        )
        yield Reason("load.axles", sentence, Level.LOOK, how)
    for quantity, scale in sums.scale.items():
        computed = sums.computed[quantity]
        near = Given(Near(scale.value, scale.together), Basis.MEASURED)
        if not computed.missing and apart(listed=_estimate(computed), scale=near).differs:
            sentence = say(
                "{quantity}: the scale says {scale} kg, the list {computed} kg. Something aboard is not on "
                "the list, or lies elsewhere.",
                quantity=quantity,
                scale=round(scale.value, 1),
                computed=round(computed.value, 1),
            )
            yield Reason("load.scale_differs", sentence, Level.LOOK, how)
