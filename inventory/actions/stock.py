"""WRITE stock: lots and packages received, opened, drawn from, split, counted, held, written off."""

from collections.abc import Sequence
from datetime import date
from typing import Any
from uuid import UUID

from inventory.actions import cards
from inventory.actions.days import day_of
from inventory.actions.delivery import LotRow, receive
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute.codes import Code, Kind
from inventory.compute.steps import Basis
from inventory.compute.units import Amount
from inventory.errors import Refused, say
from inventory.models import Package
from inventory.queries import ledger as read
from inventory.queries import people, stock
from inventory.roles import Right, may


@happening
def receive_lot(
    act: Act,
    /,
    *,
    material: UUID,
    number: str,
    packages: Sequence[Amount],
    made_on: date | None = None,
    expires_on: date | None = None,
    supplier: UUID | None = None,
    place: UUID | None = None,
    codes: Sequence[Code] = (),
    order_line: UUID | None = None,
) -> None:
    """Receive packages of one lot.

    Afterwards: the lot is known, once however often it is delivered; each package is born with its amount, a
    code, and a place when one is given. Without a printed date the shelf life on the card counts from the
    making.
    Refused: stock.no_packages, stock.codes_apart, stock.unknown_material, stock.made_after_expiry,
    stock.not_made_yet, stock.other_dates, stock.wrong_unit, stock.not_positive, tag.taken, tag.wrong_kind,
    tag.never_printed, order.no_line.
    """
    row = LotRow(material, number, tuple(packages), made_on, expires_on, tuple(codes), order_line=order_line)
    receive(act, row, supplier, place)


@happening
def open_package(act: Act, /, *, package: UUID) -> None:
    """Open a package: its opened life begins.

    Afterwards: it is open since the first opening.
    Refused: stock.not_a_package, stock.on_hold, thing.unborn.
    """
    kind, _ = read.kinds([package]).get(package, (Kind.PACKAGE, ""))
    if kind is not Kind.PACKAGE:
        raise _no_package(package)
    act.record("opened", observed=[Entry(package)])


@happening
def draw(
    act: Act, /, *, package: UUID, amount: Amount, basis: Basis = Basis.UNSAID, override: str = ""
) -> None:
    """Take an amount out of a package.

    Afterwards: that much less is in it, and what has a life once opened is open.
    Refused: stock.short, stock.wrong_unit, stock.not_positive, stock.on_hold, stock.expired,
    stock.owner_overrides, thing.unborn.
    """
    facts = check_in_date(act, [package], override)
    open_by_use(act, [package])
    act.record("drawn", inputs=[Entry(package, amount, basis)], facts=facts)


@happening
def split_package(act: Act, /, *, package: UUID, amount: Amount, into: Code | None = None) -> None:
    """Pour part of a package into a smaller container of the same lot.

    Afterwards: the new package holds `amount`, the old one that much less. The new one's date is the old
    one's last day, so that pouring gives no opened jug a new life; a re-test of the old one was its own,
    too.
    Refused: stock.short, stock.wrong_unit, stock.on_hold, stock.not_a_package, tag.taken, tag.wrong_kind,
    tag.never_printed, thing.unborn.
    """
    source = stock.package(package)
    if source is None:
        raise _no_package(package)
    open_by_use(act, [package])
    lasts = stock.usable([package])[package]
    small = act.born(Kind.PACKAGE, base=amount.base, code=into)
    state = read.states([package]).get(package)
    place = state.place if state else None
    act.record("split", inputs=[Entry(package, amount)], outputs=[Entry(small.id, amount, to=place)])
    extended = source.extended_through
    expires_on = source.expires_on if extended else lasts.through
    kept: dict[str, Any] = {"extended_through": extended} if extended else {}
    if source.written_in:
        kept["written_in"] = source.written_in
    cards.save(act, Package, small.id, lot_id=source.lot_id, expires_on=expires_on, **kept)


@happening
def count(act: Act, /, *, thing: UUID, amount: Amount, basis: Basis = Basis.COUNTED) -> None:
    """Say how much is there.

    Afterwards: that much is there; the difference to the books is derived, and any shortfall is settled.
    Refused: stock.wrong_unit, stock.not_positive, thing.unborn.
    """
    act.record("counted", observed=[Entry(thing, amount, basis)])


@happening
def hold(act: Act, /, *, things: list[UUID], reason: str) -> None:
    """Put things on hold: neither they nor anything made of them may be used.

    Afterwards: use of them is refused on every machine that knows; they may be moved and counted.
    Refused: stock.no_reason, thing.unborn.
    """
    if not reason.strip():
        raise Refused(
            "stock.no_reason", say("A hold needs a reason."), say("Say in a few words what is wrong.")
        )
    act.record("held", observed=[Entry(thing) for thing in dict.fromkeys(things)], note=reason)


@happening
def lift_hold(act: Act, /, *, hold: UUID, reason: str) -> None:
    """Lift one hold, by its event, from everything it was put on.

    Afterwards: this hold no longer stops anything; others do.
    Refused: stock.no_hold, stock.owner_lifts.
    """
    holds = stock.holds_of(hold)
    if not holds:
        raise Refused("stock.no_hold", say("There is no such hold."), say("Open the thing's page again."))
    if not may(people.role_of(act.by.person), Right.OWN):
        raise Refused(
            "stock.owner_lifts", say("Only an owner lifts a hold."), say("Ask an owner to look at it.")
        )
    act.record(
        "hold lifted",
        observed=[Entry(held.thing_id) for held in holds],
        facts={"lifts": [str(hold)]},
        note=reason,
    )


@happening
def write_off(act: Act, /, *, thing: UUID, amount: Amount, reason: str) -> None:
    """Write an amount off: spilt, spoilt, thrown away.

    Afterwards: that much less is there. A thing on hold may be written off.
    Refused: stock.short, stock.wrong_unit, stock.not_positive, stock.no_reason, thing.unborn.
    """
    if not reason.strip():
        raise Refused(
            "stock.no_reason", say("A write-off needs a reason."), say("Say in a few words what happened.")
        )
    act.record("written off", inputs=[Entry(thing, amount)], note=reason)


def open_by_use(act: Act, packages: Sequence[UUID]) -> None:
    """Record that closed packages are open now, where a life once opened begins with that.

    Refuses: stock.on_hold, thing.unborn
    """
    closed = stock.closed_with_opened_life(packages)
    if closed:
        act.record("opened", observed=[Entry(package) for package in closed])


def check_in_date(act: Act, packages: Sequence[UUID], override: str) -> dict[str, object]:
    """Refuse packages past their last day, unless an owner says why; return the facts to record.

    Refuses: stock.expired, stock.owner_overrides
    """
    day = day_of(act)
    past = {thing: lasts for thing, lasts in stock.usable(packages).items() if lasts.past(day)}
    if not past:
        return {}
    thing, lasts = next(iter(past.items()))
    if not override.strip():
        raise Refused(
            "stock.expired",
            say(
                "{thing} passed its date on {date}, by {by}.",
                thing=read.name(thing),
                date=lasts.through,
                by=lasts.by,
            ),
            say("Take one that is in date. An owner may use it all the same, with a reason on record."),
        )
    if not may(people.role_of(act.by.person), Right.OWN):
        raise Refused(
            "stock.owner_overrides",
            say("Only an owner decides to use what has passed its date."),
            say("Ask an owner, or take a package that is in date."),
        )
    return {"past_date": [str(thing) for thing in past], "override": override}


def _no_package(thing: UUID) -> Refused:
    return Refused(
        "stock.not_a_package",
        say("{thing} is no package.", thing=read.name(thing)),
        say("Scan the can, jug, roll or box."),
    )
