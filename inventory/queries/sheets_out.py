"""READ materials, offers and orders as rows of the sheets they may come in by: what leaves reads back."""

from collections.abc import Iterator
from decimal import Decimal

from inventory.compute import money
from inventory.compute.units import Amount, Base, show
from inventory.formats.sheets import Cell
from inventory.models import Material, Offer, OrderLine
from inventory.queries import shop
from inventory.queries.sheets_in import What
from inventory.queries.sheets_kinds import KEPT_BY

_EXACT = {Base.MG: "MGM", Base.MM: "MMT", Base.MM2: "MMK", Base.UL: "4G", Base.PIECE: "H87"}
_WORDS = {base: word for word, base in KEPT_BY.items()}
OUT = (What.MATERIALS, What.OFFERS, What.ORDERS)


def rows(what: What) -> Iterator[tuple[Cell, ...]]:
    """Every row of one kind, in the order of its template's columns."""
    card = shop.card()
    currency = card.currency if card else ""
    if what is What.MATERIALS:
        return _materials()
    return _offers(currency) if what is What.OFFERS else _orders(currency)


def _amount(value: int, base: str) -> str:
    """An amount that reads back to the same: in a usual unit, or its base unit where that would round."""
    amount = Amount(value, Base(base))
    usual = show(amount=amount)
    return str(usual if usual.exact else show(amount=amount, unit=_EXACT[amount.base]))


def _price(minor: int | None, currency: str) -> Decimal | None:
    return None if minor is None else Decimal(money.show(minor=minor, currency=currency))


def _materials() -> Iterator[tuple[Cell, ...]]:
    for row in Material.objects.order_by("name", "key"):
        lowest = None if row.lowest_stock is None else _amount(row.lowest_stock, row.base)
        yield (
            row.name,
            _WORDS[Base(row.base)],
            row.purpose,
            row.shelf_life_months,
            row.opened_life_days,
            lowest,
        )


def _offers(currency: str) -> Iterator[tuple[Cell, ...]]:
    """A row a price; an offer without a price has one row."""
    found = Offer.objects.filter(ended=False).select_related("supplier", "material")
    for row in found.order_by("supplier__name", "material__name", "pack", "id"):
        for least, price in row.prices or [[1, None]]:
            yield (
                row.supplier.name,
                row.material.name,
                _amount(row.pack, row.material.base),
                _price(price, currency),
                currency,
                least,
                row.lead_days,
                row.least_packs,
                row.article,
                None,
            )


def _orders(currency: str) -> Iterator[tuple[Cell, ...]]:
    found = OrderLine.objects.filter(order__given_up=False, order__sent_on__isnull=False)
    for row in found.select_related("order__supplier", "material").order_by(
        "order__sent_on", "order_id", "material__name", "id"
    ):
        yield (
            row.order.supplier.name,
            row.material.name,
            _amount(row.pack, row.material.base),
            row.packs,
            _price(row.price, currency),
            currency,
            row.order.sent_on,
            row.order.promised_on,
        )
