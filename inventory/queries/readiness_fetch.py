"""Cures that bring something along or put it elsewhere aboard: where it is, and where it would go.

Reads facts only; knows no room.
"""

from collections.abc import Iterator
from uuid import UUID

from inventory.errors import say
from inventory.queries.notes import Cure
from inventory.queries.readiness_facts import Facts, PlaceOf, TrailerOf
from inventory.queries.readiness_masses import CLEAN_SORTS, Carried, Side, carried

MOST_FETCHED = 3


def fetch(facts: Facts, *sorts: str, into: UUID | None = None) -> Iterator[Cure]:
    """Equipment of these sorts that is in order and stays at home so far: one click lists it.

    `into`: the trailer it has to go into; otherwise any of the trip's.
    """
    there = [piece for piece in facts.of_sort(*sorts, coming=False) if not piece.spot.goes and not piece.held]
    for piece in there[:MOST_FETCHED]:
        clean = Side.CLEAN if piece.sort in CLEAN_SORTS else None
        zone = _zone(facts, into, clean)
        values = {
            "thing": piece.row.name,
            "code": piece.code,
            "where": facts.where(piece.spot) or "–",
            "zone": zone.name if zone else "",
        }
        sent = {"things": piece.code, "zone": str(zone.id) if zone else "", "why": ""}
        about = (str(facts.trip.id),)
        sentence = say("{thing} {code} is in: {where}.", **values)
        button = say("Put {thing} on the list", **values)
        yield Cure(sentence, "trips-put-on", about, values=sent, button=button)


def _zone(facts: Facts, into: UUID | None, side: Side | None) -> PlaceOf | None:
    """The zone nearest to an axle that holds nothing this must not lie beside."""
    loads = carried(facts)
    found: list[tuple[int, str, PlaceOf]] = []
    for trailer in facts.trailers:
        if into in (None, trailer.id):
            found += [
                (_from_axle(trailer, card.behind_mm), place.name, place)
                for place, card in trailer.zones
                if side is None or not _opposite(loads, place.id, side)
            ]
    return min(found, key=lambda row: row[:2])[2] if found else None


def _from_axle(trailer: TrailerOf, behind_mm: int | None) -> int:
    axle = trailer.card.axle_mm
    return 10**6 if behind_mm is None or axle is None else abs(behind_mm - axle)


def _opposite(loads: list[Carried], zone: UUID, side: Side) -> bool:
    return any(each.zone == zone and each.sides - {side} for each in loads)


def move(facts: Facts, each: Carried, zone: PlaceOf) -> Cure:
    """Put a load into another zone: aboard it is moved; on the list, the list is changed."""
    values = {"thing": each.name, "zone": zone.name}
    sentence = say("Put {thing} into {zone}.", **values)
    button = say("Put it into {zone}", **values)
    if each.aboard:
        sent = {"things": each.code, "to": zone.code}
        return Cure(sentence, "places-move", values=sent, button=button)
    about = (str(facts.trip.id),)
    line = next((line for line in facts.listed if line.id == each.line), None)
    if line is None or line.thing_id != each.id or line.amount is not None:
        return Cure(sentence, "trips-list", about)
    sent = {"things": each.code, "zone": str(zone.id), "why": line.why}
    return Cure(sentence, "trips-put-on", about, values=sent, button=button)
