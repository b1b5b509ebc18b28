"""READ the load of a trip as it stands while it is loaded: what is left, masses, the zone that helps next.

Reads facts only; judges by `readiness.masses`. It certifies nothing.
"""

from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from inventory.compute.load import Quantity, Word
from inventory.errors import Sentence, say
from inventory.queries.aboard import vehicle_of, zone_name
from inventory.queries.readiness.facts import Facts, Packed, Piece, PlaceOf
from inventory.queries.readiness.masses import Carried, Loaded, carried, loaded


def lies_in(facts: Facts, thing: UUID) -> str:
    """Where a thing lies, in words, innermost first."""
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    chain = next((each.spot.chain for each in rows if each.id == thing), ())
    at = facts.places[thing].inside if thing in facts.places else None
    names = [facts.places[place].name for place in chain if place in facts.places]
    while at is not None and at in facts.places and len(names) < 6:
        names.append(facts.places[at].name)
        at = facts.places[at].inside
    return ", ".join(names[:2])


def left(facts: Facts) -> int:
    """How many lines of the list are not aboard."""
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    lies = {each.id: each.spot.aboard for each in rows}
    for line in facts.listed:
        if line.thing_id in facts.places:
            lies[line.thing_id] = vehicle_of(facts, line.thing_id) is not None
    return sum(not lies.get(line.thing_id, False) for line in facts.listed)


def masses(facts: Facts) -> list[Sentence]:
    """Each trailer's mass and nose weight by what is aboard now, and the zone that helps what is next."""
    found, coming = [], carried(facts)
    loads = [each for each in coming if each.aboard]
    waits = [each for each in coming if not each.aboard]
    for trailer in facts.trailers:
        now = loaded(facts, trailer, loads)
        if now.load is None:
            found.append(
                say(
                    "{trailer}: its load cannot be worked out; its card lacks something.",
                    trailer=trailer.name,
                )
            )
            continue
        gross, nose = now.load.of(Quantity.GROSS), now.load.of(Quantity.NOSE)
        found.append(
            say(
                "{trailer}: {gross} kg of {gross_most}, nose {nose} kg of {nose_most}. By what was entered.",
                trailer=trailer.name,
                gross=round(gross.estimate.kg),
                gross_most=_plate(gross.lowest_kg),
                nose=round(nose.estimate.kg),
                nose_most=_plate(nose.lowest_kg),
            )
        )
        mine = [each for each in waits if each.vehicle == trailer.id]
        zone = _helps(facts, now, loads, mine[0]) if mine else None
        if zone is not None:
            found.append(
                say("{thing} next: best into {zone}.", thing=mine[0].name, zone=zone_name(facts, zone))
            )
    return found


def _plate(kg: float | None) -> str:
    return "–" if kg is None else str(round(kg))


def _helps(facts: Facts, now: Loaded, loads: Sequence[Carried], next_: Carried) -> PlaceOf | None:
    """The zone that leaves the most room to the nose's plate and parts what must be apart."""
    order = list(Word)
    tried: list[tuple[int, float, str, PlaceOf]] = []
    for place, _ in now.trailer.zones:
        if any(each.sides - next_.sides for each in loads if each.zone == place.id) and next_.sides:
            continue
        after = loaded(facts, now.trailer, [*loads, replace(next_, zone=place.id)])
        if after.load is not None:
            worst = max(order.index(each.word) for each in after.load.against)
            room = after.load.of(Quantity.NOSE).room_kg
            tried.append(
                (worst, -abs(room) if room is not None and room < 0 else -(room or 0.0), place.name, place)
            )
    return min(tried, key=lambda row: row[:3])[3] if tried else None
