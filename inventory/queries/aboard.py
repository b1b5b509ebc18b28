"""READ what a scan at loading meets: what speaks against it, what puts it right, and the load as it stands.

What is on the list is `loading`; what the whole answer says is `readiness`.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.errors import Refused, Sentence, say
from inventory.models import Trip
from inventory.queries import ledger, road
from inventory.queries.readiness.facts import Facts, Packed, Piece, PlaceOf
from inventory.queries.readiness.masses import Side, carried, lying
from inventory.queries.readiness.reader import read


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


@dataclass(frozen=True, slots=True)
class Scan:
    """One thing scanned at a trip's loading. `to`: the place scanned before it; None: as the list says.

    `late`: it waited on its phone, so that what could still be carried back is past.
    """

    thing: UUID
    code: str
    to: UUID | None
    sure: frozenset[str] = frozenset()
    late: bool = False


def target(facts: Facts, scan: Scan) -> UUID | None:
    """Where it goes: the place scanned, or as the list says."""
    if scan.to is not None:
        return scan.to
    line = next((line for line in facts.listed if line.thing_id == scan.thing), None)
    if line is not None and line.zone_id:
        return line.zone_id
    other = swapped(facts, scan) if "swap" in scan.sure else None
    row = next((line for line in facts.listed if other and line.thing_id == other.id), None)
    return row.zone_id if row else None


def objection(facts: Facts, scan: Scan) -> Objection | None:
    """What speaks against a scan, the hardest first; None when nothing does."""
    aboard = stays(facts, scan)
    checks = [_held] if aboard else [_held, _elsewhere, _not_listed, _which_zone]
    if not scan.late:
        checks += [_past] if aboard else [_past, _better, _beside]
    return next((found for check in checks if (found := check(facts, scan)) is not None), None)


def stays(facts: Facts, scan: Scan) -> bool:
    """True when a thing that no line names lies aboard already, and no other place was scanned for it."""
    if scan.sure & {"listed", "swap"} or any(line.thing_id == scan.thing for line in facts.listed):
        return False
    chain = chain_of(facts, scan.thing)
    return bool(vehicles_of(facts).intersection(chain)) and (scan.to is None or scan.to in chain)


def chain_of(facts: Facts, thing: UUID) -> tuple[UUID, ...]:
    """What a thing or a bin lies in, innermost first; nothing when it is not known."""
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    chain = [*next((each.spot.chain for each in rows if each.id == thing), ())]
    at = facts.places[thing].inside if thing in facts.places else None
    while at is not None and at in facts.places and at not in chain:
        chain.append(at)
        at = facts.places[at].inside
    return tuple(chain)


def aboard_since(facts: Facts, thing: UUID) -> datetime | None:
    """When a thing, or the bin it lies in, was last put where it is."""
    chain = chain_of(facts, thing)
    bins = [at for at in chain if at in facts.places and facts.places[at].kind is Kind.BIN]
    return road.put_there_at([thing, *bins])


def _held(facts: Facts, scan: Scan) -> Objection | None:
    """A package or piece that is on hold itself: another of the material may go in its place."""
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    found = next((each for each in rows if each.id == scan.thing and each.held), None)
    if found is None:
        return None
    last = max((row.row.ends_on for row in facts.workshops), default=facts.trip.back_on)
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


def _not_listed(facts: Facts, scan: Scan) -> Objection | None:
    """What the list does not name: it lies in a bin that goes whole, or another package is meant."""
    on_it = {line.thing_id for line in facts.listed}
    if scan.thing in on_it or scan.sure & {"listed", "swap"}:
        return None
    packed = _packed(facts, scan.thing)
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
                Fix(say("Take this one in its place"), scan.code, sure="swap"),
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


def swapped(facts: Facts, scan: Scan) -> Packed | None:
    """The package on the list, not aboard yet, that a scanned one of the same material would stand for."""
    packed = _packed(facts, scan.thing)
    on_it = {line.thing_id for line in facts.listed}
    if packed is None:
        return None
    same = (
        p for p in facts.packages if p.material == packed.material and p.id in on_it and not p.spot.aboard
    )
    return next((p for p in same if p.id != packed.id), None)


def _packed(facts: Facts, thing: UUID) -> Packed | None:
    return next((each for each in facts.packages if each.id == thing), None)


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
    packed = _packed(facts, scan.thing)
    if packed is None or packed.through is None or "past" in scan.sure:
        return None
    last = max((row.row.ends_on for row in facts.workshops), default=facts.trip.back_on)
    if packed.through >= last:
        return None
    return Objection(
        Refused(
            "loading.past",
            say(
                "{thing} passes its date on {day}, before the trip is done.",
                thing=packed.code,
                day=packed.through,
            ),
            say("Leave it here and take one that lasts; or load it all the same, for what comes first."),
        ),
        (*_instead(facts, packed, last), _all_the_same(scan, "past")),
    )


def _instead(facts: Facts, packed: Packed, last: date) -> Iterator[Fix]:
    better = [p for p in _free(facts, packed) if p.through is None or p.through >= last]
    for each in sorted(better, key=lambda p: (p.through or date.max, p.code))[:1]:
        yield Fix(say("Take {thing} in its place", thing=each.code), each.code, sure="swap")


def _all_the_same(scan: Scan, word: str) -> Fix:
    return Fix(say("Load it all the same"), scan.code, sure=",".join(sorted({*scan.sure, word})))


def _free(facts: Facts, packed: Packed) -> list[Packed]:
    """Other packages of the material that stay at home so far and may be used."""
    return [
        each
        for each in facts.packages
        if each.material == packed.material
        and each.id != packed.id
        and not (each.spot.goes or each.held or each.set_aside)
        and each.spot.vehicle is None
    ]


def _better(facts: Facts, scan: Scan) -> Objection | None:
    """First expired, first out: another package here lasts long enough and passes its date first."""
    packed = _packed(facts, scan.thing)
    if packed is None or scan.sure & {"better", "swap", "past"}:
        return None
    last = max((row.row.ends_on for row in facts.workshops), default=facts.trip.back_on)
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
            Fix(say("Take {thing} in its place", thing=first.code), first.code, sure="swap"),
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


def facts_of(row: Trip, today: date) -> Facts:
    """All that is looked at, read once."""
    return read(row, today)
