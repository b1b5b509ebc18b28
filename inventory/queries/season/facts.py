"""READ a season's list as plain rows: what `manage.py order --json` and the page's JSON file hold.

A field keeps its name and meaning; what is added is added. The version rises when a field changes.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.compute import money
from inventory.compute.planning.facts import Cost
from inventory.compute.reasons import How, Level
from inventory.compute.units import Amount, show
from inventory.queries.season.plan import SeasonList

FORMAT, VERSION = "tip-to-tail order list", 1


@dataclass(frozen=True, slots=True)
class LineFact:
    """One line of an order to be written: packs of a material, for whom, why; money in minor units."""

    material: str
    name: str
    packs: int
    pack: Amount
    price: int
    cost: int
    rest: Amount
    covers: tuple[str, ...]
    usable_through: date | None
    late_for: tuple[str, ...]
    why: tuple[str, ...]
    how: How


@dataclass(frozen=True, slots=True)
class OrderFact:
    """One order to be written: by when, when it comes in, and what it costs."""

    supplier: str
    order_by: date
    comes_in: date
    if_sent_today: date
    late: bool
    goods: int
    freight: int
    work: int
    total: int
    lines: tuple[LineFact, ...]


@dataclass(frozen=True, slots=True)
class MaterialFact:
    """One material over the season: what is needed, how far stock and orders go, what is bought."""

    material: str
    name: str
    needed: Amount
    needed_booked: Amount
    needed_full: Amount
    short_without_order: Amount
    bought: Amount
    left_after: Amount
    passes_its_date: Amount
    cannot_be_met: Amount
    a_week_later_costs: int
    a_week_later_is_late_for: tuple[str, ...]
    by_hand: bool
    by_hand_costs: int | None
    how: How


@dataclass(frozen=True, slots=True)
class CostFact:
    """What a way to order costs, in whole minor units; worth is what is left over and still good."""

    orders: int
    goods: int
    freight: int
    work: int
    shelf: int
    worth: int
    total: int


@dataclass(frozen=True, slots=True)
class NoteFact:
    """One thing that is not known, or has to be looked at."""

    level: str
    sentence: str


@dataclass(frozen=True, slots=True)
class ListFact:
    """The whole list, as of a day."""

    format: str
    version: int
    season: UUID
    name: str
    as_of: date
    what_if: str
    currency: str
    workshops: int
    pairs_booked: int
    pairs_planned: int
    pairs_full: int
    orders: tuple[OrderFact, ...]
    materials: tuple[MaterialFact, ...]
    plan: CostFact | None
    for_each_workshop: CostFact | None
    all_at_once: CostFact | None
    notes: tuple[NoteFact, ...]


def list_fact(answer: SeasonList, today: date) -> ListFact:
    """The list as plain rows."""
    plan, pairs = answer.plan, answer.pairs
    return ListFact(
        FORMAT,
        VERSION,
        answer.season.id,
        answer.season.name,
        today,
        answer.what_if.value,
        answer.currency,
        len(answer.ahead),
        pairs.booked if pairs else 0,
        pairs.planned if pairs else 0,
        pairs.full if pairs else 0,
        _orders(answer),
        _materials(answer),
        _cost(plan.cost) if plan else None,
        _cost(plan.in_time) if plan else None,
        _cost(plan.at_once) if plan else None,
        tuple(NoteFact(Level(note.level).name.lower(), str(note.sentence)) for note in answer.notes),
    )


def _orders(answer: SeasonList) -> tuple[OrderFact, ...]:
    names = {row.card.key: row for row in answer.rows}
    return tuple(
        OrderFact(
            order.supplier,
            order.order_by,
            order.receive_on,
            order.earliest,
            order.late,
            order.goods_cents,
            order.freight_cents,
            order.handling_cents,
            order.goods_cents + order.freight_cents + order.handling_cents,
            tuple(
                LineFact(
                    line.material,
                    names[line.material].card.name,
                    line.packs,
                    Amount(line.amount // line.packs, line.base),
                    line.cents_a_pack,
                    line.cents,
                    Amount(line.rest, line.base),
                    line.covers,
                    line.usable_through,
                    line.late_for,
                    tuple(str(reason.sentence) for reason in line.reasons),
                    line.how,
                )
                for line in order.lines
            ),
        )
        for order in answer.orders
    )


def _materials(answer: SeasonList) -> tuple[MaterialFact, ...]:
    return tuple(
        MaterialFact(
            row.card.key,
            row.card.name,
            row.amount(row.plan.planned),
            row.amount(row.plan.booked),
            row.amount(row.plan.full),
            row.amount(row.plan.short),
            row.amount(row.plan.bought),
            row.amount(row.plan.left),
            row.amount(row.plan.lost),
            row.amount(sum(each.amount for each in row.plan.unmet)),
            row.later_cents,
            row.later_late,
            row.ruling is not None,
            row.by_hand_cents,
            row.plan.how,
        )
        for row in answer.rows
    )


def _cost(cost: Cost) -> CostFact:
    return CostFact(
        cost.orders,
        cost.goods_cents,
        cost.freight_cents,
        cost.handling_cents,
        cost.holding_cents,
        cost.carried_cents,
        cost.total_cents,
    )


def decimal(minor: int, currency: str) -> Decimal:
    """Money as a number with the currency's decimals, for a sheet."""
    return Decimal(money.show(minor=minor, currency=currency))


def words(amount: Amount) -> str:
    """An amount with its unit, as printed."""
    return str(show(amount=amount))
