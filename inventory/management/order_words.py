"""A season's list told in words, line by line, for a terminal: what the screen is handed. Knows no table."""

from collections.abc import Iterator
from datetime import date

from inventory.compute.planning.facts import Price
from inventory.errors import say
from inventory.forms.sentences import day, text
from inventory.management.words import amount
from inventory.queries.season.facts import CostFact, LineFact, ListFact, MaterialFact, OrderFact

_INDENT = "  "


def lines(fact: ListFact) -> Iterator[str]:
    """The whole list: pairs, what to look at, order by order, what other ways cost, material by material."""
    yield text(say("{name}, as of {day}", name=fact.name, day=day(fact.as_of)))
    pairs = say(
        "Pairs: {booked} booked, {planned} planned for, {full} if everything fills.",
        booked=fact.pairs_booked,
        planned=fact.pairs_planned,
        full=fact.pairs_full,
    )
    yield _INDENT + text(pairs)
    yield from (f"{_INDENT}{note.level}: {note.sentence}" for note in fact.notes)
    for order in fact.orders:
        yield from _order(order, fact.currency)
    if fact.plan and fact.for_each_workshop and fact.all_at_once:
        yield ""
        yield text(say("What other ways would cost"))
        yield _cost(say("this list"), fact.plan, fact.currency)
        yield _cost(say("for each workshop"), fact.for_each_workshop, fact.currency)
        yield _cost(say("all at once"), fact.all_at_once, fact.currency)
    if fact.materials:
        yield ""
        yield text(say("Material by material"))
        yield from (_INDENT + _material(row) for row in fact.materials)


def _money(minor: int, currency: str) -> str:
    return str(Price(minor, currency))


def _order(order: OrderFact, currency: str) -> Iterator[str]:
    yield ""
    values = {
        "supplier": order.supplier,
        "by": _day(order.order_by),
        "comes": _day(order.comes_in),
        "today": _day(order.if_sent_today),
    }
    if order.late:
        yield text(say("{supplier}: late, was to be sent by {by}; sent today it comes in {today}", **values))
    else:
        yield text(say("{supplier}: send it by {by}; it comes in {comes}", **values))
    for line in order.lines:
        yield _INDENT + _line(line, currency)
        yield from (f"{_INDENT}{_INDENT}{sentence}" for sentence in line.why)
    yield _INDENT + text(
        say(
            "goods {goods}, freight {freight}, work {work}: {total}",
            goods=_money(order.goods, currency),
            freight=_money(order.freight, currency),
            work=_money(order.work, currency),
            total=_money(order.total, currency),
        )
    )


def _line(line: LineFact, currency: str) -> str:
    return text(
        say(
            "{packs} x {pack} {name}, {price} each: {cost}",
            packs=line.packs,
            pack=amount(line.pack),
            name=line.name,
            price=_money(line.price, currency),
            cost=_money(line.cost, currency),
        )
    )


def _cost(way: object, cost: CostFact, currency: str) -> str:
    return _INDENT + text(
        say(
            "{way}: {total} in {orders} orders",
            way=way,
            total=_money(cost.total, currency),
            orders=cost.orders,
        )
    )


def _material(row: MaterialFact) -> str:
    values = {
        "name": row.name,
        "needed": amount(row.needed),
        "short": amount(row.short_without_order),
        "bought": amount(row.bought),
    }
    if row.cannot_be_met.value:
        missing = amount(row.cannot_be_met)
        return text(say("{name}: {needed} needed, {missing} cannot be had", missing=missing, **values))
    return text(say("{name}: {needed} needed, {short} not covered, {bought} to buy", **values))


def _day(value: date) -> str:
    return day(value)
