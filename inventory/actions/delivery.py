"""WRITE deliveries: several lots that came in one van, each with its packages; and a lot's card put right."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.days import day_of
from inventory.actions.ledger import Act, happening
from inventory.actions.papers import File, attach_to
from inventory.actions.refusals import Entry
from inventory.compute.codes import Code, Kind
from inventory.compute.expiry import months_later
from inventory.compute.steps import Basis
from inventory.compute.units import Amount, Base, Spoken
from inventory.errors import Refused, say
from inventory.models import Lot, Material, OrderLine, Package
from inventory.queries import stock


@dataclass(frozen=True, slots=True)
class Apart:
    """Some of a lot's packages, by their amounts, that go to another place than the rest of the delivery."""

    place: UUID
    packages: tuple[Amount, ...]


@dataclass(frozen=True, slots=True)
class LotRow:
    """One lot of a delivery, as its labels say. Without a printed date the shelf life on the card counts.

    `order_line`: what it was ordered by. `damaged`: in a state that has to be looked at before any use.
    `apart`: which of the packages go elsewhere than the delivery's place.
    """

    material: UUID
    number: str
    packages: tuple[Amount, ...]
    made_on: date | None = None
    expires_on: date | None = None
    codes: tuple[Code, ...] = ()
    written_in: str = ""  # as compute.units has it: to be shown again in the same units
    order_line: UUID | None = None
    damaged: bool = False
    apart: tuple[Apart, ...] = ()


@happening
def receive_delivery(
    act: Act,
    /,
    *,
    lots: Sequence[LotRow],
    supplier: UUID | None = None,
    place: UUID | None = None,
    papers: Sequence[File] = (),
) -> None:
    """Receive the lots of one delivery; its papers are kept with each of them.

    Afterwards: every lot is known and every package is born in the place, or where its row puts it apart; or
    nothing of it is. What came damaged is on hold. An order line that a row names has that much less to come.
    Refused: stock.nothing_came, stock.more_apart, order.no_line, and for any row what `stock.receive_lot`
    refuses.
    """
    if not lots:
        raise Refused(
            "stock.nothing_came", say("No lot was entered."), say("Enter at least one lot and its packages.")
        )
    for row in lots:
        lot = receive(act, row, supplier, place)
        for paper in papers:
            attach_to(act, lot, paper)


def receive(act: Act, row: LotRow, supplier: UUID | None, place: UUID | None) -> UUID:
    """Receive one lot within an act; return its id.

    Refuses: stock.no_packages, stock.codes_apart, stock.unknown_material, stock.made_after_expiry,
    stock.not_made_yet, stock.other_dates, stock.more_apart, order.no_line
    """
    card = Material.objects.filter(id=row.material).first()
    if card is None:
        raise Refused(
            "stock.unknown_material", say("There is no such material."), say("Make its card first.")
        )
    _check_packages(row)
    check_dates(row.made_on, row.expires_on, day_of(act))
    known = stock.lot_of(row.material, row.number, supplier) if row.number else None
    expires_on, by_shelf_life = _expiry(card, row)
    if known is None:
        lot = _new_lot(act, card, row, supplier, expires_on, by_shelf_life)
    else:
        lot, expires_on = known.thing_id, row.expires_on or known.expires_on
        _check_same(known, row)
    born = [
        act.born(Kind.PACKAGE, base=Base(card.base), code=row.codes[index] if row.codes else None)
        for index in range(len(row.packages))
    ]
    facts = _tie(row)
    act.record(
        "received",
        facts=facts,
        inputs=[Entry(lot)],
        outputs=[
            Entry(package.id, amount, Basis.COUNTED, to)
            for package, amount, to in zip(born, row.packages, places_of(row, place), strict=True)
        ],
        where=place,
    )
    for package in born:
        typed = {"written_in": row.written_in} if row.written_in else {}
        cards.save(act, Package, package.id, lot_id=lot, expires_on=expires_on, **typed)
    if row.damaged:
        act.record("held", observed=[Entry(package.id) for package in born], note="came in damaged")
    return lot


def places_of(row: LotRow, place: UUID | None) -> list[UUID | None]:
    """Where each package of a row goes, in their order; what is put apart is taken from the end.

    Refuses: stock.more_apart
    """
    found: list[UUID | None] = [place] * len(row.packages)
    free = list(range(len(row.packages)))
    for apart in row.apart:
        for amount in apart.packages:
            one = next((each for each in reversed(free) if row.packages[each] == amount), None)
            if one is None:
                raise _more_apart(row, amount)
            free.remove(one)
            found[one] = apart.place
    return found


def _more_apart(row: LotRow, amount: Amount) -> Refused:
    return Refused(
        "stock.more_apart",
        say(
            "Packages of {size} that came: {came}. Put into other places: {apart}.",
            size=Spoken(amount, exact=True),
            came=row.packages.count(amount),
            apart=sum(apart.packages.count(amount) for apart in row.apart),
        ),
        say("Count them again: what goes elsewhere is some of what came."),
    )


def _tie(row: LotRow) -> dict[str, object]:
    """What the event says of the order: which line, whether it is another material, whether it is damaged."""
    facts: dict[str, object] = {"damaged": True} if row.damaged else {}
    if row.order_line is not None:
        line = OrderLine.objects.filter(id=row.order_line).select_related("order").first()
        if line is None or line.order.given_up:
            raise Refused(
                "order.no_line",
                say("That order line is not there, or its order was given up."),
                say("Receive it without an order, or choose another line."),
            )
        facts |= {"order_line": str(line.id)}
        if line.material_id != row.material:
            facts |= {"instead": True}
    return facts


def _expiry(card: Material, row: LotRow) -> tuple[date | None, bool]:
    """The printed date; without one the making and the card's shelf life; and whether it is the latter."""
    if row.expires_on is None and row.made_on is not None and card.shelf_life_months is not None:
        return months_later(day=row.made_on, months=card.shelf_life_months), True
    return row.expires_on, False


def _check_packages(row: LotRow) -> None:
    if not row.packages:
        raise Refused("stock.no_packages", say("No package was entered."), say("Enter one amount a package."))
    if row.codes and len(row.codes) != len(row.packages):
        raise Refused(
            "stock.codes_apart",
            say("{codes} tags for {packages} packages.", codes=len(row.codes), packages=len(row.packages)),
            say("Scan one tag a package, or none."),
        )


def check_dates(made_on: date | None, expires_on: date | None, today: date) -> None:
    """Refuse a label's dates that cannot both be true.

    Refuses: stock.made_after_expiry, stock.not_made_yet
    """
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
    if made_on and made_on > today:
        raise Refused(
            "stock.not_made_yet",
            say("Made on {made} lies after the delivery.", made=made_on),
            say("Read the date on the label again; day and month may be swapped."),
        )


def _check_same(lot: Lot, row: LotRow) -> None:
    """The label of a known lot must not say otherwise than the label before."""
    if (lot.made_on, lot.expires_on) != (row.made_on or lot.made_on, row.expires_on or lot.expires_on):
        raise Refused(
            "stock.other_dates",
            say(
                "Lot {number} is known with other dates: to {known}.", number=lot.number, known=lot.expires_on
            ),
            say("Read the label again; if the card is wrong, put the card right first."),
        )


def _new_lot(
    act: Act,
    material: Material,
    row: LotRow,
    supplier: UUID | None,
    expires_on: date | None,
    by_shelf_life: bool,
) -> UUID:
    lot = act.born(Kind.LOT)
    act.record("lot known", outputs=[Entry(lot.id)])
    cards.save(
        act,
        Lot,
        lot.id,
        material_id=material.id,
        supplier_id=supplier,
        number=row.number,
        made_on=row.made_on,
        expires_on=expires_on,
        **({"by_shelf_life": True} if by_shelf_life else {}),
    )
    return lot.id


@happening
def edit_lot(act: Act, /, *, lot: UUID, changes: Mapping[str, object]) -> None:
    """Put a lot's card right: what its label says.

    Afterwards: the card and its packages have the date; a package whose own date is earlier keeps it.
    Refused: card.unknown, stock.made_after_expiry, stock.not_made_yet, stock.lot_known.
    """
    if changes.get("expires_on") is not None:
        changes = {**changes, "by_shelf_life": False}
    before = cards.edit(act, Lot, lot, changes)
    after = Lot.objects.get(thing_id=lot)
    assert isinstance(before, Lot)  # noqa: S101 - for the type checker
    check_dates(after.made_on, after.expires_on, day_of(act))
    twin = stock.lot_of(after.material_id, after.number, after.supplier_id) if after.number else None
    if twin is not None and twin.thing_id != lot:
        raise Refused(
            "stock.lot_known",
            say("There is another lot {number} of this material.", number=after.number),
            say("Read the label again; two lots of one number cannot be told apart."),
        )
    if after.expires_on == before.expires_on:
        return
    for package in Package.objects.filter(lot_id=lot):
        follows = package.expires_on in (None, before.expires_on)
        late = after.expires_on is not None and (package.expires_on or after.expires_on) > after.expires_on
        if follows or late:
            cards.save(act, Package, package.thing_id, expires_on=after.expires_on)
