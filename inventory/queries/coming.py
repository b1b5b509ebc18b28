"""READ what is on order of each material, and the day it is taken to come in.

What is promised counts; without a promise the lead time; what is overdue comes in a week.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from inventory.queries import orders as order_queries
from inventory.queries.orders import LineRow, OrderRow, Seen

OVERDUE_DAYS = 7  # what is waited for beyond its day is taken to come a week from today


@dataclass(frozen=True, slots=True)
class Coming:
    """What is on order of a material: the order, its line, and the day it is taken to come in."""

    order: OrderRow
    line: LineRow
    comes_on: date
    promised: bool
    overdue: bool

    @property
    def key(self) -> str:
        """What the plan calls it."""
        return f"on order from {self.order.order.supplier.name}, {self.line.line.id.hex[-6:]}"


def on_order(orders: Iterable[OrderRow], took: Sequence[Seen], today: date) -> dict[UUID, tuple[Coming, ...]]:
    """What of these orders is still to come, by material's id."""
    found: dict[UUID, list[Coming]] = {}
    for order in orders:
        if not order.waited_for:
            continue
        for line in order.lines:
            if line.left.value:
                found.setdefault(line.line.material_id, []).append(_one(order, line, took, today))
    return {id: tuple(rows) for id, rows in found.items()}


def _one(order: OrderRow, line: LineRow, took: Sequence[Seen], today: date) -> Coming:
    promised = order.order.promised_on
    if promised is None:
        lead = order_queries.lead_of(order.order.supplier_id, line.line.lead_days, took).planned.value
        comes = (order.order.sent_on or today) + timedelta(lead * 7 // 5 + 2)
    else:
        comes = promised
    overdue = comes < today
    return Coming(
        order,
        line,
        today + timedelta(OVERDUE_DAYS) if overdue else comes,
        promised is not None,
        overdue,
    )
