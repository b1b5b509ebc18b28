"""WRITE loading lists: what is to go aboard for a trip, and how much of a package is set aside for it.

A list says what shall go; whether it is aboard, its place says. The same thing has the same line on every
laptop, so that two who list it apart have listed it once.
"""

from collections.abc import Iterable, Sequence
from uuid import UUID

from django.utils import timezone

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.compute.codes import Kind, derived
from inventory.compute.units import Amount, Base, Spoken
from inventory.errors import Refused, say
from inventory.models import Listed, Trip
from inventory.queries import ledger, stock
from inventory.queries import loading as read

NO_GOODS = frozenset(
    {Kind.YARD, Kind.STORE, Kind.TRAILER, Kind.TOW_CAR, Kind.ZONE, Kind.LOT, Kind.PRESS_CYCLE}
)
LONGEST_WHY = 120


@happening
def put_on_list(
    act: Act, /, *, trip: UUID, things: Sequence[UUID], zone: UUID | None = None, why: str = ""
) -> None:
    """Put things on a trip's loading list, each as a whole; a bin goes with all that is in it.

    Afterwards: the list names them, the answer counts them as coming along, and no other trip's does.
    Refused: loading.nothing, loading.over, loading.no_goods, loading.not_a_zone, loading.taken,
    stock.on_hold, thing.unborn, card.unknown.
    """
    row = _open_trip(act, trip)
    wanted = list(dict.fromkeys(things))
    if not wanted:
        raise Refused(
            "loading.nothing", say("Nothing was scanned for the list."), say("Scan the things first.")
        )
    check_goods(wanted)
    check_held(wanted)
    _check_zone(row, zone)
    for thing in wanted:
        check_free(row, thing)
        put_line(act, row, thing, amount=None, zone_id=zone, why=why)


@happening
def set_aside(
    act: Act, /, *, trip: UUID, package: UUID, amount: Amount, zone: UUID | None = None, why: str = ""
) -> None:
    """Set an amount of a package aside for a trip; the package is on its loading list.

    Afterwards: so much of it counts for this trip, and for no other that is still to come.
    Refused: loading.over, loading.not_a_zone, loading.taken, loading.too_much, stock.not_a_package,
    stock.wrong_unit, stock.not_positive, stock.on_hold, card.unknown.
    """
    row = _open_trip(act, trip)
    found = stock.package(package)
    if found is None:
        raise Refused(
            "stock.not_a_package",
            say("{thing} is no package.", thing=ledger.name(package)),
            say("Scan the can, jug, roll or box."),
        )
    base = Base(found.lot.material.base)
    if amount.base is not base:
        raise Refused(
            "stock.wrong_unit",
            say(
                "{thing} is kept in {kept}, not in {typed}.",
                thing=ledger.name(package),
                kept=base,
                typed=amount.base,
            ),
            say("Enter the amount in a unit of the same kind."),
        )
    if amount.value < 1:
        raise Refused(
            "stock.not_positive",
            say("{value} {unit} is no amount that can be moved.", value=amount.value, unit=amount.base),
            say("Enter an amount above nothing, as weighed or counted."),
        )
    check_goods([package])
    check_held([package])
    _check_zone(row, zone)
    check_free(row, package, part=True)
    free = read.free(package, but=trip, today=timezone.localdate(act.at))
    if amount.value > free:
        raise Refused(
            "loading.too_much",
            say(
                "{wanted} cannot be set aside: {free} of {thing} is free.",
                wanted=Spoken(amount, exact=True),
                free=Spoken(Amount(free, base), exact=True) if free else "nothing",
                thing=ledger.name(package),
            ),
            say("Take less, or take another package."),
        )
    put_line(act, row, package, amount=amount.value, zone_id=zone, why=why)


@happening
def take_off_list(act: Act, /, *, trip: UUID, things: Sequence[UUID]) -> None:
    """Take things off a trip's loading list.

    Afterwards: they need not go, and what was set aside is free again. What is aboard stays aboard.
    Refused: loading.not_listed, card.unknown.
    """
    cards.there(Trip, trip)
    on_it = {line.thing_id for line in read.lines(trip)}
    for thing in dict.fromkeys(things):
        if thing not in on_it:
            raise Refused(
                "loading.not_listed",
                say("{thing} is not on the list of this trip.", thing=ledger.name(thing)),
                say("Look at the list; a bin that is on it brings what is in it along."),
            )
        take_off(act, trip, thing)


def take_off(act: Act, trip: UUID, thing: UUID) -> None:
    """End a thing's line of a trip's list, within an act."""
    cards.save(act, Listed, line_id(trip, thing), ended=True)


def line_id(trip: UUID, thing: UUID) -> UUID:
    """The line of a thing on a trip's list: the same on every laptop."""
    return derived(trip, 0, of=f"listed {thing}")


def put_line(act: Act, row: Trip, thing: UUID, **fields: object) -> None:
    """Write a thing's line of a trip's list, within an act."""
    fields["ended"] = False
    id = line_id(row.id, thing)
    fields["why"] = str(fields["why"])[:LONGEST_WHY]
    cards.save(act, Listed, id, trip_id=row.id, thing_id=thing, **fields)
    act.things.append(id)


def _open_trip(act: Act, trip: UUID) -> Trip:
    row = cards.there(Trip, trip)
    assert isinstance(row, Trip)  # noqa: S101 - for the type checker
    if row.cancelled or row.back_on < timezone.localdate(act.at):
        raise Refused(
            "loading.over",
            say("The trip to {name} is over, or was cancelled.", name=row.name),
            say("Choose a trip that is still to come."),
        )
    return row


def check_goods(things: Iterable[UUID]) -> None:
    """Refuse what cannot be carried aboard, and what was never born."""
    wanted = list(things)
    kinds, states = ledger.kinds(wanted), ledger.states(wanted)
    for thing in wanted:
        if thing not in kinds or thing not in states:
            raise Refused(
                "thing.unborn",
                say(
                    "{thing} is not in the books: it was never recorded, or what recorded it was undone.",
                    thing=ledger.name(thing),
                ),
                say("Record it first."),
            )
        if kinds[thing][0] in NO_GOODS:
            raise Refused(
                "loading.no_goods",
                say("A {kind} is not loaded as one thing.", kind=kinds[thing][0]),
                say("Scan what goes aboard: a bin, a package, a piece of equipment, a pair's parts."),
            )


def check_held(things: Iterable[UUID]) -> None:
    """Refuse what is on hold, itself or by its lot."""
    held = read.held(things)
    if held:
        raise Refused(
            "stock.on_hold",
            say("{thing} is on hold.", thing=ledger.name(held[0])),
            say("Set it apart. An owner can lift the hold once the reason is dealt with."),
        )


def _check_zone(row: Trip, zone: UUID | None) -> None:
    if zone is not None and zone not in read.zones_of(row):
        raise Refused(
            "loading.not_a_zone",
            say("{zone} is in no trailer or tow car of this trip.", zone=ledger.name(zone)),
            say("Choose a zone of a trailer that goes, or leave it open."),
        )


def check_free(row: Trip, thing: UUID, *, part: bool = False) -> None:
    """A whole thing cannot go on two trips at once, nor where some of it is set aside for another."""
    other = read.taken_by(row, thing, part=part)
    if other is not None:
        raise Refused(
            "loading.taken",
            say(
                "{thing} is on the list of the trip to {name}, which is away from {leave} to {back}.",
                thing=ledger.name(thing),
                name=other.name,
                leave=other.leaves_on,
                back=other.back_on,
            ),
            say("Take it off that list first, or take another."),
        )
