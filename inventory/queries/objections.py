"""READ what speaks against a scan at loading, and the taps that put it right.

Where the thing goes is `aboard`; what the whole answer says is `readiness`.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from inventory.errors import Refused, Sentence, say
from inventory.queries import ledger
from inventory.queries.aboard import (
    Scan,
    chain_of,
    last_day,
    packed_of,
    stays,
    swapped,
    target,
    vehicle_of,
    vehicles_of,
    zone_listed,
    zone_name,
)
from inventory.queries.readiness.facts import Facts, Packed, Piece
from inventory.queries.readiness.masses import Side, carried, lying


@dataclass(frozen=True, slots=True)
class Fix:
    """One tap that puts a scan right: what to load, where to, and of what a person is sure."""

    label: Sentence
    code: str
    to: str = ""
    sure: str = ""


@dataclass(frozen=True, slots=True)
class Objection:
    """Why a scan is not done as it is."""

    refused: Refused
    fixes: tuple[Fix, ...] = ()


def objection(facts: Facts, scan: Scan) -> Objection | None:
    """What speaks against a scan, the hardest first; None when nothing does."""
    aboard = stays(facts, scan)
    checks = [] if aboard else [_elsewhere, _not_listed, _which_zone]
    if not scan.late:
        checks = [_held, *checks, *([_past] if aboard else [_other_trailer, _past, _better, _beside])]
    return next((found for check in checks if (found := check(facts, scan)) is not None), None)


def _held(facts: Facts, scan: Scan) -> Objection | None:
    """A package or piece that is on hold itself: another of the material may go in its place."""
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    found = next((each for each in rows if each.id == scan.thing and each.held), None)
    if found is None:
        return None
    last = last_day(facts)
    return Objection(
        Refused(
            "stock.on_hold",
            say("{thing} is on hold.", thing=ledger.name(scan.thing)),
            say("Set it apart. An owner can lift the hold once the reason is dealt with."),
        ),
        tuple(_instead(facts, found, last)) if isinstance(found, Packed) else (),
    )


def _elsewhere(facts: Facts, scan: Scan) -> Objection | None:
    """A place that is in no trailer or tow car of this trip."""
    if scan.to is None or vehicle_of(facts, scan.to) is not None:
        return None
    row = next((line for line in facts.listed if line.thing_id == scan.thing), None)
    zone = facts.places.get(row.zone_id) if row and row.zone_id else None
    fixes = (
        (Fix(say("Put it into {zone}", zone=zone_name(facts, zone)), scan.code, zone.code),) if zone else ()
    )
    return Objection(
        Refused(
            "loading.other_trailer",
            say("{place} is in no trailer of this trip.", place=ledger.name(scan.to)),
            say("Carry it to a trailer of this trip, and scan one of its zones."),
        ),
        fixes,
    )


def _other_trailer(facts: Facts, scan: Scan) -> Objection | None:
    """The place scanned is in a trailer of this trip, and the list says another one."""
    listed = zone_listed(facts, scan)
    if scan.to is None or listed is None or listed not in facts.places or "trailer" in scan.sure:
        return None
    zone, to = facts.places[listed], facts.places[scan.to]
    if vehicle_of(facts, zone.id) in {None, vehicle_of(facts, to.id)}:
        return None
    here = Fix(
        say("Load it here all the same"), scan.code, to.code, ",".join(sorted({*scan.sure, "trailer"}))
    )
    return Objection(
        Refused(
            "loading.wrong_trailer",
            say(
                "The list says {zone} for {thing}, and {place} was scanned.",
                zone=zone_name(facts, zone),
                thing=ledger.name(scan.thing),
                place=to.name if to.id in vehicles_of(facts) else zone_name(facts, to),
            ),
            say("Carry it there; or load it here all the same, and look at both nose weights again."),
        ),
        (Fix(say("Put it into {zone}", zone=zone_name(facts, zone)), scan.code, zone.code), here),
    )


def _not_listed(facts: Facts, scan: Scan) -> Objection | None:
    """What the list does not name: it lies in a bin that goes whole, or another package is meant."""
    on_it = {line.thing_id for line in facts.listed}
    if scan.thing in on_it or scan.wanted:
        return None
    packed = packed_of(facts, scan.thing)
    chain = chain_of(facts, scan.thing)
    bin_ = next((facts.places[at] for at in chain if at in on_it and at in facts.places), None)
    if bin_ is not None:
        return Objection(
            Refused(
                "loading.in_bin",
                say(
                    "{thing} lies in {bin}, which goes as a whole.",
                    thing=ledger.name(scan.thing),
                    bin=bin_.name,
                ),
                say("Load the bin; or take it out of the bin's line on the list."),
            ),
            (Fix(say("Load {bin} with all in it", bin=bin_.name), bin_.code),),
        )
    other = swapped(facts, scan)
    if other is not None and packed is not None:
        return Objection(
            Refused(
                "loading.wrong_lot",
                say(
                    "The list names {other} (lot {lot}) of this material, not {thing}.",
                    other=other.code,
                    lot=other.number or "–",
                    thing=packed.code,
                ),
                say("Take that one, or take this in its place."),
            ),
            (
                Fix(say("Load {thing}, as the list says", thing=other.code), other.code),
                Fix(say("Take this one in its place"), scan.code, sure=f"swap:{other.code}"),
            ),
        )
    return Objection(
        Refused(
            "loading.not_listed",
            say("{thing} is not on the list of this trip.", thing=ledger.name(scan.thing)),
            say("Leave it, or put it on the list and load it."),
        ),
        (Fix(say("Put it on the list and load it"), scan.code, sure="listed"),),
    )


def _which_zone(facts: Facts, scan: Scan) -> Objection | None:
    """Neither the list nor a scan says where to."""
    if target(facts, scan) is not None:
        return None
    zones = [place for trailer in facts.trailers for place, _ in trailer.zones][:6]
    return Objection(
        Refused(
            "loading.which_zone",
            say("Where {thing} goes is not chosen yet.", thing=ledger.name(scan.thing)),
            say("Scan the zone first, or choose one."),
        ),
        tuple(
            Fix(
                say("Put it into {zone}", zone=zone_name(facts, zone)),
                scan.code,
                zone.code,
                ",".join(scan.sure),
            )
            for zone in zones
        ),
    )


def _past(facts: Facts, scan: Scan) -> Objection | None:
    """A package that passes its date before the last workshop of the trip ends."""
    packed = packed_of(facts, scan.thing)
    if packed is None or packed.through is None or "past" in scan.sure:
        return None
    last = last_day(facts)
    if packed.through >= last:
        return None
    words = {"thing": packed.code, "day": packed.through}
    refused = Refused(
        "loading.past",
        say("{thing} passes its date on {day}, before the trip is done.", **words),
        say("Leave it here and take one that lasts; or load it all the same, for what comes first."),
    )
    if packed.through < facts.today:
        refused = Refused(
            "loading.past",
            say("{thing} is past its date: its last day was {day}.", **words),
            say("Leave it here and take one that lasts."),
        )
    return Objection(refused, (*_instead(facts, packed, last), _all_the_same(scan, "past")))


def _instead(facts: Facts, packed: Packed, last: date) -> Iterator[Fix]:
    better = [p for p in _free(facts, packed) if p.through is None or p.through >= last]
    for each in sorted(better, key=lambda p: (p.through or date.max, p.code))[:1]:
        yield _in_its_place(facts, packed, each)


def _in_its_place(facts: Facts, packed: Packed, other: Packed) -> Fix:
    """Another for what was scanned: it takes over its line, and no third package's; else it has its own."""
    listed = any(line.thing_id == packed.id for line in facts.listed)
    sure = f"swap:{packed.code}" if listed else "listed"
    return Fix(say("Take {thing} in its place", thing=other.code), other.code, sure=sure)


def _all_the_same(scan: Scan, word: str) -> Fix:
    return Fix(say("Load it all the same"), scan.code, sure=",".join(sorted({*scan.sure, word})))


def _free(facts: Facts, packed: Packed) -> list[Packed]:
    """Other packages of the material that stay at home so far and may be used."""
    return [
        each
        for each in facts.packages
        if each.material == packed.material
        and each.id != packed.id
        and not (each.spot.goes or each.spot.out or each.held or each.set_aside)
        and each.spot.vehicle is None
    ]


def _better(facts: Facts, scan: Scan) -> Objection | None:
    """First expired, first out: another package here lasts long enough and passes its date first."""
    packed = packed_of(facts, scan.thing)
    if packed is None or scan.swap is not None or scan.sure & {"better", "past"}:
        return None
    last = last_day(facts)
    line = next((line for line in facts.listed if line.thing_id == scan.thing), None)
    wanted = (line.amount if line and line.amount else None) or packed.left
    sooner = [
        each
        for each in _free(facts, packed)
        if each.through is not None
        and last <= each.through < (packed.through or date.max)
        and each.left >= wanted
    ]
    if not sooner:
        return None
    first = min(sooner, key=lambda each: (each.through or date.max, each.code))
    return Objection(
        Refused(
            "loading.better",
            say(
                "{other} of the same material passes its date first, on {day}; it lies in: {where}.",
                other=first.code,
                day=first.through,
                where=facts.where(first.spot) or "–",
            ),
            say("Take that one first; or load this one all the same."),
        ),
        (
            _in_its_place(facts, packed, first),
            _all_the_same(scan, "better"),
        ),
    )


def _beside(facts: Facts, scan: Scan) -> Objection | None:
    """Food, clothing and clean gear in a zone with resin, solvent or waste."""
    zone = target(facts, scan)
    own, loads = (
        _sides(facts, scan.thing),
        [each for each in carried(facts) if each.aboard and each.id != scan.thing],
    )
    there = [each for each in loads if each.zone == zone]
    if zone is None or not own or not any(each.sides - own for each in there):
        return None
    free = [
        place
        for trailer in facts.trailers
        for place, _ in trailer.zones
        if place.id != zone and not any(each.sides - own for each in loads if each.zone == place.id)
    ]
    return Objection(
        Refused(
            "loading.beside",
            say(
                "{thing} would lie beside {others}.",
                thing=ledger.name(scan.thing),
                others=", ".join(each.name for each in there if each.sides - own),
            ),
            say("Food, clothing and clean gear never share a zone with resin, hardener, solvent or waste."),
        ),
        tuple(
            Fix(
                say("Put it into {zone}", zone=zone_name(facts, place)),
                scan.code,
                place.code,
                ",".join(scan.sure),
            )
            for place in free[:3]
        ),
    )


def _sides(facts: Facts, thing: UUID) -> frozenset[Side]:
    """What a thing, or what is in a bin, must not lie beside."""
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    own = [lying(facts, each).side for each in rows if each.id == thing or thing in each.spot.chain]
    return frozenset(each for each in own if each)
