"""READ a scan at loading: where the thing goes by the list and by what was scanned before, where it lies.

What is on the list is `loading`; what speaks against a scan is `objections`.
"""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.models import State, Trip
from inventory.queries import road
from inventory.queries.readiness.facts import Facts, Packed, Piece, PlaceOf
from inventory.queries.readiness.reader import read


@dataclass(frozen=True, slots=True)
class Scan:
    """One thing scanned at a trip's loading. `to`: the place scanned before it; None: as the list says.

    `sure`: what a person is sure of; "swap", or "swap:CODE" with the one it stands for, is in its place.
    `late`: it waited on its phone, so that what could still be carried back is past.
    """

    thing: UUID
    code: str
    to: UUID | None
    sure: frozenset[str] = frozenset()
    late: bool = False

    @property
    def swap(self) -> str | None:
        """The code of what it stands for, empty where none is named; None: it stands for nothing."""
        words = (word.partition(":") for word in self.sure)
        return next((code for word, _, code in words if word == "swap"), None)

    @property
    def wanted(self) -> bool:
        """True when somebody is sure that it goes, although no line names it."""
        return "listed" in self.sure or self.swap is not None


def target(facts: Facts, scan: Scan) -> UUID | None:
    """Where it goes: the place scanned, the zone of the list when that is in it; or as the list says."""
    zone = zone_listed(facts, scan)
    if scan.to is None:
        return zone
    around = facts.places[zone].inside if zone is not None and zone in facts.places else None
    return zone if around == scan.to else scan.to


def zone_listed(facts: Facts, scan: Scan) -> UUID | None:
    """The zone that the list says for it, or for what it is swapped for."""
    line = next((line for line in facts.listed if line.thing_id == scan.thing), None)
    if line is not None and line.zone_id:
        return line.zone_id
    other = swapped(facts, scan) if scan.swap is not None else None
    row = next((line for line in facts.listed if other and line.thing_id == other.id), None)
    return row.zone_id if row else None


def stays(facts: Facts, scan: Scan) -> bool:
    """True when a thing that no line names lies aboard already, and no other place was scanned for it."""
    if scan.wanted or any(line.thing_id == scan.thing for line in facts.listed):
        return False
    chain = chain_of(facts, scan.thing)
    return bool(vehicles_of(facts).intersection(chain)) and (scan.to is None or scan.to in chain)


def chain_of(facts: Facts, thing: UUID) -> tuple[UUID, ...]:
    """What a thing or a bin lies in, innermost first; nothing when it is not known.

    Not all that is loaded holds something or is equipment: of an offcut or an empty jug the books are asked.
    """
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    chain = [*next((each.spot.chain for each in rows if each.id == thing), ())]
    at = None
    if not chain:
        at = State.objects.filter(thing_id=thing).values_list("place_id", flat=True).first()
    while at is not None and at in facts.places and at not in chain:
        chain.append(at)
        at = facts.places[at].inside
    return tuple(chain)


def aboard_since(facts: Facts, thing: UUID, scan: UUID) -> datetime | None:
    """Since when a thing, or the bin it lies in, was where it is; None: this scan put it there.

    `scan`: its token.
    """
    chain = chain_of(facts, thing)
    bins = [at for at in chain if at in facts.places and facts.places[at].kind is Kind.BIN]
    act, at = road.put_there([thing, *bins]) or (scan, None)
    return None if act == scan else at


def last_day(facts: Facts) -> date:
    """Through when what comes along must last: the last day of the last workshop, else of the trip."""
    return max((row.row.ends_on for row in facts.workshops), default=facts.trip.back_on)


def vehicles_of(facts: Facts) -> frozenset[UUID]:
    """The trailers and tow cars of the trip."""
    cars = {trailer.car.thing_id for trailer in facts.trailers if trailer.car}
    return frozenset(cars | {trailer.id for trailer in facts.trailers})


def vehicle_of(facts: Facts, place: UUID) -> UUID | None:
    """The trailer or tow car of the trip that a place is in; None: in none of them."""
    ours = vehicles_of(facts)
    at: UUID | None = place
    for _ in range(6):
        if at is None or at in ours:
            return at
        at = facts.places[at].inside if at in facts.places else None
    return None


def zone_name(facts: Facts, zone: PlaceOf) -> str:
    """A zone with its trailer: "zone 2, Wren"."""
    outer = facts.places.get(zone.inside) if zone.inside else None
    return f"{zone.name}, {outer.name}" if outer else zone.name


def swapped(facts: Facts, scan: Scan) -> Packed | None:
    """The package on the list, not aboard yet, that a scanned one of the same material would stand for.

    The one that is named; where none is, the first.
    """
    packed = packed_of(facts, scan.thing)
    on_it = {line.thing_id for line in facts.listed}
    if packed is None:
        return None
    same = (
        p for p in facts.packages if p.material == packed.material and p.id in on_it and not p.spot.aboard
    )
    others = [p for p in same if p.id != packed.id]
    return next((p for p in others if not scan.swap or p.code == scan.swap), None)


def packed_of(facts: Facts, thing: UUID) -> Packed | None:
    """The package a thing is; None when it is none that is looked at."""
    return next((each for each in facts.packages if each.id == thing), None)


def facts_of(row: Trip, today: date) -> Facts:
    """All that is looked at, read once."""
    return read(row, today)
