"""WRITE stock: lots and packages received, opened, drawn from, split, counted, held, written off."""

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute.codes import Code, Kind
from inventory.compute.steps import Basis
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say
from inventory.models import Lot, Material, Package
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
) -> None:
    """Receive packages of one lot.

    Afterwards: the lot is known, once however often it is delivered; each package is born with its amount, a
    code, and a place when one is given.
    Refused: stock.no_packages, stock.codes_apart, stock.unknown_material, stock.made_after_expiry,
    stock.not_made_yet, stock.other_dates, stock.wrong_unit, stock.not_positive, tag.taken, tag.wrong_kind,
    tag.never_printed.
    """
    card = Material.objects.filter(id=material).first()
    if card is None:
        raise Refused(
            "stock.unknown_material", say("There is no such material."), say("Make its card first.")
        )
    _check_delivery(act, packages, codes, made_on, expires_on)
    lot = stock.lot_of(material, number, supplier) if number else None
    lot_id = lot.thing_id if lot else _new_lot(act, card, number, supplier, made_on, expires_on)
    if lot and (lot.made_on, lot.expires_on) != (made_on or lot.made_on, expires_on or lot.expires_on):
        raise Refused(
            "stock.other_dates",
            say("Lot {number} is known with other dates: to {known}.", number=number, known=lot.expires_on),
            say("Read the label again; if the card is wrong, put the card right first."),
        )
    born = [
        act.born(Kind.PACKAGE, base=Base(card.base), code=codes[index] if codes else None)
        for index in range(len(packages))
    ]
    act.record(
        "received",
        inputs=[Entry(lot_id)],
        outputs=[
            Entry(package.id, amount, Basis.COUNTED, place)
            for package, amount in zip(born, packages, strict=True)
        ],
        where=place,
    )
    expires = expires_on or (lot.expires_on if lot else None)
    for package in born:
        cards.save(act, Package, package.id, lot_id=lot_id, expires_on=expires)


def _check_delivery(
    act: Act,
    packages: Sequence[Amount],
    codes: Sequence[Code],
    made_on: date | None,
    expires_on: date | None,
) -> None:
    if not packages:
        raise Refused("stock.no_packages", say("No package was entered."), say("Enter one amount a package."))
    if codes and len(codes) != len(packages):
        raise Refused(
            "stock.codes_apart",
            say("{codes} tags for {packages} packages.", codes=len(codes), packages=len(packages)),
            say("Scan one tag a package, or none."),
        )
    if made_on and expires_on and expires_on < made_on:
        raise Refused(
            "stock.made_after_expiry",
            say(
                "Made on {made}, to {expires}: it would have passed its date before it was made.",
                made=made_on,
                expires=expires_on,
            ),
            say("Read both dates on the label again; day and month may be swapped."),
        )
    if made_on and made_on > act.at.date():
        raise Refused(
            "stock.not_made_yet",
            say("Made on {made} lies after the delivery.", made=made_on),
            say("Read the date on the label again; day and month may be swapped."),
        )


def _new_lot(
    act: Act,
    material: Material,
    number: str,
    supplier: UUID | None,
    made_on: date | None,
    expires_on: date | None,
) -> UUID:
    lot = act.born(Kind.LOT)
    act.record("lot known", outputs=[Entry(lot.id)])
    cards.save(
        act,
        Lot,
        lot.id,
        material_id=material.id,
        supplier_id=supplier,
        number=number,
        made_on=made_on,
        expires_on=expires_on,
    )
    return lot.id


@happening
def open_package(act: Act, /, *, package: UUID) -> None:
    """Open a package: its opened life begins.

    Afterwards: it is open since the first opening.
    Refused: stock.on_hold, thing.unborn.
    """
    act.record("opened", observed=[Entry(package)])


@happening
def draw(
    act: Act, /, *, package: UUID, amount: Amount, basis: Basis = Basis.UNSAID, override: str = ""
) -> None:
    """Take an amount out of a package.

    Afterwards: that much less is in it.
    Refused: stock.short, stock.wrong_unit, stock.not_positive, stock.on_hold, stock.expired,
    stock.owner_overrides, thing.unborn.
    """
    facts = check_in_date(act, [package], override)
    act.record("drawn", inputs=[Entry(package, amount, basis)], facts=facts)


@happening
def split_package(act: Act, /, *, package: UUID, amount: Amount, into: Code | None = None) -> None:
    """Pour part of a package into a smaller container of the same lot.

    Afterwards: the new package holds `amount`, the old one that much less; the date stays the same.
    Refused: stock.short, stock.wrong_unit, stock.on_hold, stock.not_a_package, tag.taken, tag.wrong_kind,
    tag.never_printed, thing.unborn.
    """
    source = stock.package(package)
    if source is None:
        raise Refused(
            "stock.not_a_package",
            say("{thing} is no package.", thing=read.name(package)),
            say("Scan the can, jug, roll or box."),
        )
    small = act.born(Kind.PACKAGE, base=amount.base, code=into)
    place = read.states([package])[package].place if package in read.states([package]) else None
    act.record("split", inputs=[Entry(package, amount)], outputs=[Entry(small.id, amount, to=place)])
    cards.save(act, Package, small.id, lot_id=source.lot_id, expires_on=source.expires_on)


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


def check_in_date(act: Act, packages: list[UUID], override: str) -> dict[str, object]:
    """Refuse packages past their date, unless an owner says why; return the facts to record.

    Refuses: stock.expired, stock.owner_overrides
    """
    day = act.at.date()
    past = [row for row in stock.packages(packages) if row.expires_on and row.expires_on < day]
    if not past:
        return {}
    if not override.strip():
        raise Refused(
            "stock.expired",
            say(
                "{thing} passed its date on {date}.",
                thing=read.name(past[0].thing_id),
                date=past[0].expires_on,
            ),
            say("Take one that is in date. An owner may use it all the same, with a reason on record."),
        )
    if not may(people.role_of(act.by.person), Right.OWN):
        raise Refused(
            "stock.owner_overrides",
            say("Only an owner decides to use what has passed its date."),
            say("Ask an owner, or take a package that is in date."),
        )
    return {"past_date": [str(row.thing_id) for row in past], "override": override}
