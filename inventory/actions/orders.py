"""WRITE orders: written, sent, changed, given up. What comes in is a delivery, which names the order line."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.days import day_of
from inventory.actions.ledger import Act, happening
from inventory.compute import money
from inventory.errors import Refused, say
from inventory.models import Material, Order, OrderLine, Season, Supplier
from inventory.queries import orders as read

MOST_PACKS = 10_000


@dataclass(frozen=True, slots=True)
class Packs:
    """So many packs of one material, at the price of one. An empty price is not known."""

    material: UUID
    pack: int
    packs: int
    price: int | None = None
    article: str = ""
    lead_days: int | None = None


@happening
def write_order(
    act: Act,
    /,
    *,
    supplier: UUID,
    lines: Sequence[Packs],
    season: UUID | None = None,
    order_by: date | None = None,
    freight: int | None = None,
) -> None:
    """Write an order to one supplier.

    Afterwards: it is being written; what it holds counts as on the way, so that the list asks for it no more.
    Refused: card.unknown, order.nothing, order.packs.
    """
    cards.there(Supplier, supplier)
    if season is not None:
        cards.there(Season, season)
    if not lines:
        raise Refused("order.nothing", say("Nothing is to be ordered."), say("Enter at least one line."))
    order = act.id("order")
    cards.save(
        act,
        Order,
        order,
        supplier_id=supplier,
        season_id=season,
        order_by=order_by,
        freight=freight,
    )
    act.things.append(order)
    for line in lines:
        add(act, order, line)


def add(act: Act, order: UUID, line: Packs) -> None:
    """Write one line within an act. Refuses: card.unknown, order.packs"""
    cards.there(Material, line.material)
    _check_packs(line.packs, line.pack, line.price)
    id = act.id("order line")
    cards.save(
        act,
        OrderLine,
        id,
        order_id=order,
        material_id=line.material,
        article=line.article,
        pack=line.pack,
        packs=line.packs,
        price=line.price,
        lead_days=line.lead_days,
    )
    act.things.append(id)


def _check_packs(packs: int, pack: int, price: int | None) -> None:
    if not 1 <= packs <= MOST_PACKS or pack < 1 or (price is not None and not 0 <= price <= money.MOST):
        raise Refused(
            "order.packs",
            say("{packs} packs of {pack} cannot be ordered.", packs=packs, pack=pack),
            say("Enter 1 to {most} packs that hold something.", most=MOST_PACKS),
        )


@happening
def add_line(act: Act, /, *, order: UUID, line: Packs) -> None:
    """Add a line to an order that is being written.

    Afterwards: it is in the order.
    Refused: card.unknown, order.sent, order.came, order.packs.
    """
    _may_change(order)
    add(act, order, line)


@happening
def edit_line(act: Act, /, *, line: UUID, changes: Mapping[str, object]) -> None:
    """Change a line: its packs and price while the order is being written; later only that its rest is over.

    Afterwards: the card says so. `ended`: nothing more of it is waited for.
    Refused: card.unknown, order.sent, order.came, order.packs.
    """
    row = cards.there(OrderLine, line)
    assert isinstance(row, OrderLine)  # noqa: S101 - for the type checker
    if set(changes) - {"ended"}:
        _may_change(row.order_id)
    cards.save(act, OrderLine, line, **changes)
    after = OrderLine.objects.get(id=line)
    _check_packs(after.packs, after.pack, after.price)


@happening
def send_order(
    act: Act, /, *, order: UUID, sent_on: date | None = None, promised_on: date | None = None
) -> None:
    """Say that an order was sent, by whatever way, and for when it is promised.

    Afterwards: it is sent. What came of it before anybody said so stays received.
    Refused: card.unknown, order.over, order.sent, order.promised, order.came_before, order.nothing.
    """
    row = _being_written(order)
    day = sent_on or day_of(act)
    came = read.first_came(order)
    if came is not None and came < day:
        raise Refused(
            "order.came_before",
            say("Something of this order came in on {day}: it was sent by then.", day=came),
            say("Enter the day it was sent."),
        )
    if not row.lines.filter(ended=False).exists():
        raise Refused("order.nothing", say("The order has no lines."), say("Enter at least one line."))
    _check_days(day, promised_on, day_of(act))
    cards.save(act, Order, order, sent_on=day, promised_on=promised_on)


@happening
def edit_order(act: Act, /, *, order: UUID, changes: Mapping[str, object]) -> None:
    """Change what is known of an order: the day it is promised for, its freight.

    Afterwards: the card says so, and the list reckons with the new day. A day left as it is may be past.
    Refused: card.unknown, order.promised, order.promised_past.
    """
    before = cards.there(Order, order)
    assert isinstance(before, Order)  # noqa: S101 - for the type checker
    cards.edit(act, Order, order, changes)
    row = Order.objects.get(id=order)
    today = day_of(act)
    if row.sent_on:
        _check_days(row.sent_on, row.promised_on, max(today, row.sent_on))
    if row.promised_on is not None and row.promised_on != before.promised_on and row.promised_on < today:
        raise Refused(
            "order.promised_past",
            say("It would be promised for {day}, which is past.", day=row.promised_on),
            say("Ask the supplier, and enter the day they promise now: {today} or later.", today=today),
        )


@happening
def give_up_order(act: Act, /, *, order: UUID) -> None:
    """Give an order up: what has not come in is waited for no more.

    Afterwards: it is given up, and the list asks for what is missing again. What came in stays in stock.
    Refused: card.unknown.
    """
    cards.there(Order, order)
    cards.save(act, Order, order, given_up=True)


def _being_written(order: UUID) -> Order:
    row = cards.there(Order, order)
    assert isinstance(row, Order)  # noqa: S101 - for the type checker
    if row.given_up:
        raise Refused("order.over", say("This order was given up."), say("Write another one from the list."))
    if row.sent_on is not None:
        raise Refused(
            "order.sent",
            say("This order was sent on {day}.", day=row.sent_on),
            say("Agree with the supplier what changes, and write another order for what is added."),
        )
    return row


def _may_change(order: UUID) -> None:
    """Refuse lines to an order that is out: sent, or something of it came in though nobody said it was."""
    _being_written(order)
    came = read.first_came(order)
    if came is not None:
        raise Refused(
            "order.came",
            say("Something of this order came in on {day}: it was sent.", day=came),
            say("Enter on its page when it was sent, and write another order for what is added."),
        )


def _check_days(sent_on: date, promised_on: date | None, today: date) -> None:
    if sent_on > today or (promised_on is not None and promised_on < sent_on):
        raise Refused(
            "order.promised",
            say(
                "Sent on {sent} and promised for {promised} cannot be.",
                sent=sent_on,
                promised=promised_on or "–",
            ),
            say("Enter the day it was sent, not after today, and a day after it."),
        )
