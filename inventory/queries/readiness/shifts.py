"""Which one thing, carried into another zone, takes a trailer below a plate.

Reads facts only and judges no load. What it names is by what was entered, and certifies nothing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from uuid import UUID

from inventory.compute.load import Against, Quantity, Word
from inventory.errors import Sentence, say
from inventory.queries.notes import Cure
from inventory.queries.readiness.cures import move
from inventory.queries.readiness.facts import Facts
from inventory.queries.readiness.masses import MG_IN_KG, Carried, Loaded, Side, harder, loaded, told

TRIED = 12  # moves that are worked out before none is named
_BACKWARD = frozenset({Quantity.NOSE, Quantity.REAR_AXLE})


def moves(
    facts: Facts, found: Loaded, line: Against, loads: Sequence[Carried]
) -> Iterator[tuple[Sentence, Cure]]:
    """The least to carry into another zone that brings this below its plate and nothing else above."""
    tried = 0
    for each, zone in _candidates(found, line):
        tried += 1
        if tried > TRIED:
            return
        moved = replace(each, zone=zone)
        after = loaded(facts, found.trailer, [moved if other is each else other for other in loads])
        if after.load is None or not _better(found, after, line.quantity):
            continue
        values = {
            "thing": each.name,
            "zone": found.names[zone],
            "quantity": line.quantity,
            "kg": told(after.load.of(line.quantity).estimate.kg),
            "mass": told(each.mass_mg / MG_IN_KG),
        }
        template = "With {thing}, {mass}, in {zone} instead it is {kg}, by what was entered."
        yield say(template, **values), move(facts, each, facts.places[zone])
        return


def _better(before: Loaded, after: Loaded, quantity: Quantity) -> bool:
    """This one is below, and no other is judged harder than before."""
    below = after.load is not None and after.load.of(quantity).word is Word.BELOW
    return below and not harder(before, after)


def _candidates(found: Loaded, line: Against) -> list[tuple[Carried, UUID]]:
    """What could go where: what still waits, then the lightest; never beside what it must not lie beside."""
    behind = {p.id: card.behind_mm for p, card in found.trailer.zones if card.behind_mm is not None}
    right = {p.id: card.right_mm or 0 for p, card in found.trailer.zones}
    pairs = [
        (each, zone)
        for each in found.loads
        if each.zone in behind and each.mass_mg and not each.unknown
        for zone in behind
        if zone != each.zone and _beside(found, each, zone)
        if _helps(line, found, behind[each.zone], behind[zone], right[each.zone], right[zone])
        if _enough(line, found, each.mass_mg, behind[zone] - behind[each.zone])
    ]

    def effort(pair: tuple[Carried, UUID]) -> tuple[bool, int]:
        each, zone = pair
        return each.aboard, each.mass_mg * abs(behind[zone] - behind[each.zone])  # type: ignore[index]

    return sorted(pairs, key=effort)


def _enough(line: Against, found: Loaded, mass_mg: int, by_mm: int) -> bool:
    """False when a move cannot take the nose below its plate, by its lever alone."""
    axle, room = found.trailer.card.axle_mm, line.room_kg
    if line.quantity is not Quantity.NOSE or not axle or room is None or line.estimate.low_kg < 0:
        return True
    return mass_mg / MG_IN_KG * by_mm / axle >= -room


def _beside(found: Loaded, each: Carried, zone: UUID) -> bool:
    there = {side for other in found.in_zone(zone) for side in other.sides} | each.sides
    return not {Side.CLEAN, Side.HARM} <= there


def _helps(line: Against, found: Loaded, was: int, becomes: int, right: int, new_right: int) -> bool:
    """True when the move pulls the quantity the right way at all."""
    if line.quantity is Quantity.SIDE and found.load is not None:
        lean = found.load.right_over_left_kg.kg
        return new_right < right if lean > 0 else new_right > right
    lifts = line.estimate.low_kg < 0
    if line.quantity in _BACKWARD and not lifts:
        return becomes > was
    return line.quantity in (Quantity.AXLE, Quantity.NOSE) and becomes < was
