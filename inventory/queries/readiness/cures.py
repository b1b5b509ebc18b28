"""What puts a reason right: bringing something along, and putting it elsewhere aboard.

Reads facts only; knows no room.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from uuid import UUID

from inventory.compute.units import Amount, Base, show
from inventory.errors import Sentence, say
from inventory.queries.notes import Cure
from inventory.queries.readiness.facts import Facts, Piece, PlaceOf, Spot, TrailerOf
from inventory.queries.readiness.masses import CLEAN_SORTS, Carried, Side, carried, side_of

MOST_FETCHED = 3

_EXACT = {Base.MG: "MGM", Base.MM: "MMT", Base.MM2: "MMK", Base.UL: "4G", Base.PIECE: "H87"}


def zone_like(facts: Facts, alike: Iterable[Spot]) -> UUID | None:
    """Where most of what is alike goes; None when nothing alike comes along."""
    zones = Counter(spot.goes_zone for spot in alike if spot.goes_zone is not None)
    return zones.most_common(1)[0][0] if zones else None


def bring(
    facts: Facts,
    code: str,
    sentence: Sentence,
    alike: Iterable[Spot] = (),
    *,
    why: str = "",
    part: Amount | None = None,
    told: object = None,
) -> Cure:
    """One click lists a thing, or sets a part of a package aside, into the zone of what is alike.

    Where nothing alike comes along: the one nearest to an axle that holds nothing it must not lie beside.
    `told`: the part as its sentence has it.
    """
    zone = zone_like(facts, alike)
    if zone is None:
        near = best_zone(facts, side=_side_of(facts, code))
        zone = near.id if near else None
    values = {"zone": str(zone) if zone else "", "why": why}
    if part is not None:
        values |= {"package": code, "amount": str(show(amount=part, unit=_EXACT[part.base]))}
        page, button = "trips-set-aside", say("Set {amount} aside", amount=told)
    else:
        values |= {"things": code}
        page, button = "trips-put-on", say("Put {code} on the list", code=code)
    return Cure(sentence, page=page, about=(str(facts.trip.id),), values=values, button=button)


def _side_of(facts: Facts, code: str) -> Side | None:
    """What a package must not lie beside, by its material."""
    found = next((each for each in facts.packages if each.code == code), None)
    return side_of(facts.materials[found.material].purpose) if found else None


def nearest(facts: Facts, pieces: Iterable[Piece], *alike: str) -> Iterator[Cure]:
    """Put the first of these on the list, where such things go."""
    spots = [each.spot for each in facts.of_sort(*alike)]
    for each in list(pieces)[:MOST_FETCHED]:
        sentence = say(
            "{name}: {code} in {place}.",
            name=each.row.name,
            code=each.code,
            place=facts.where(each.spot) or say("no place yet"),
        )
        yield bring(facts, each.code, sentence, spots, why=each.row.name)


def fetch(facts: Facts, *sorts: str, into: UUID | None = None) -> Iterator[Cure]:
    """Equipment of these sorts that is in order and stays at home so far: one click lists it.

    `into`: the trailer it has to go into; otherwise any of the trip's.
    """
    there = [piece for piece in facts.of_sort(*sorts, coming=False) if not piece.spot.goes and piece.free]
    for piece in there[:MOST_FETCHED]:
        clean = Side.CLEAN if piece.sort in CLEAN_SORTS else None
        zone = best_zone(facts, into, clean)
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


def best_zone(facts: Facts, into: UUID | None = None, side: Side | None = None) -> PlaceOf | None:
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
    button = say("Put {thing} into {zone}", **values)
    if each.aboard:
        sent = {"things": each.code, "to": zone.code}
        return Cure(sentence, "places-move", values=sent, button=button)
    about = (str(facts.trip.id),)
    line = next((line for line in facts.listed if line.id == each.line), None)
    if line is None or line.thing_id != each.id or line.amount is not None:
        return Cure(sentence, "trips-list", about)
    sent = {"things": each.code, "zone": str(zone.id), "why": line.why}
    return Cure(sentence, "trips-put-on", about, values=sent, button=button)
