"""READ orders: what was ordered where, what of it came in, what is still on the way, at what price."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from uuid import UUID

from django.db.models import QuerySet, Sum
from django.utils import timezone

from inventory.compute.steps import Role
from inventory.compute.supply import Lead, lead_time, open_days
from inventory.compute.units import Amount, Base
from inventory.models import Event, Line, Lot, Order, OrderLine
from inventory.queries.ledger import chunks


class Stage(StrEnum):
    """How far an order is."""

    WRITING = "being written"
    SENT = "sent"
    PART = "part here"
    HERE = "all here"
    OVER = "given up"


@dataclass(frozen=True, slots=True)
class Arrival:
    """One lot that came in for an order line."""

    lot: UUID
    on: date
    amount: Amount
    damaged: bool
    instead: str  # of another material: its name


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line of an order, and what came of it. `cents`: None when no price is known."""

    line: OrderLine
    ordered: Amount
    came: Amount
    damaged: Amount
    arrivals: tuple[Arrival, ...]

    @property
    def left(self) -> Amount:
        """What is still waited for."""
        left = 0 if self.line.ended else max(0, self.ordered.value - self.came.value)
        return Amount(left, self.ordered.base)

    @property
    def over(self) -> Amount:
        """What came beyond what was ordered."""
        return Amount(max(0, self.came.value - self.ordered.value), self.ordered.base)

    @property
    def short(self) -> Amount:
        """What was given up of it."""
        short = max(0, self.ordered.value - self.came.value) if self.line.ended else 0
        return Amount(short, self.ordered.base)

    @property
    def cents(self) -> int | None:
        """What its packs cost."""
        return None if self.line.price is None else self.line.price * self.line.packs


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One order with its lines. Money in whole minor units; None: a price is not known."""

    order: Order
    lines: tuple[LineRow, ...]
    stage: Stage

    @property
    def goods(self) -> int | None:
        """All lines together."""
        cents = [row.cents for row in self.lines]
        return None if None in cents else sum(each for each in cents if each is not None)

    @property
    def total(self) -> int | None:
        """Goods and freight."""
        return None if self.goods is None else self.goods + (self.order.freight or 0)

    @property
    def by_the_list(self) -> int | None:
        """What the season's list counts for it: the work of an order beside; None where it counts none."""
        work = self.order.season.an_order if self.order.season else None
        return self.total + work if self.total is not None and work else None

    @property
    def waited_for(self) -> bool:
        """True while something of it is to come."""
        return self.stage in (Stage.WRITING, Stage.SENT, Stage.PART)

    @property
    def unsaid(self) -> bool:
        """True when something of it came in though nobody said that it was sent."""
        return self.order.sent_on is None and self.stage in (Stage.PART, Stage.HERE)

    def late(self, today: date) -> bool:
        """True when it is waited for beyond the day it was promised."""
        promised = self.order.promised_on
        return self.stage in (Stage.SENT, Stage.PART) and promised is not None and promised < today


def _all() -> QuerySet[Order]:
    return Order.objects.select_related("supplier", "season").prefetch_related("lines__material")


def order(id: UUID) -> OrderRow | None:
    """One order with its lines."""
    row = _all().filter(id=id).first()
    return _rows([row])[0] if row else None


def line(id: UUID) -> OrderLine | None:
    """One line with its material and order."""
    return OrderLine.objects.filter(id=id).select_related("material", "order").first()


def orders(season: UUID | None = None) -> list[OrderRow]:
    """Every order, those that are waited for first; a flat number of statements."""
    rows = _all() if season is None else _all().filter(season_id=season)
    found = _rows(list(rows.order_by("order_by", "sent_on", "id")))
    return sorted(found, key=lambda row: (not row.waited_for, row.order.sent_on is not None))


def _rows(orders: Sequence[Order]) -> list[OrderRow]:
    came = arrivals(line.id for order in orders for line in order.lines.all())
    found = []
    for order in orders:
        lines = sorted(order.lines.all(), key=lambda line: (line.material.name, line.pack, str(line.id)))
        rows = tuple(_line(line, came.get(line.id, ())) for line in lines)
        found.append(OrderRow(order, rows, _stage(order, rows)))
    return found


def _line(line: OrderLine, came: Sequence[Arrival]) -> LineRow:
    base = Base(line.material.base)
    own = [each for each in came if not each.instead]
    return LineRow(
        line,
        Amount(line.pack * line.packs, base),
        Amount(sum(each.amount.value for each in own), base),
        Amount(sum(each.amount.value for each in own if each.damaged), base),
        tuple(came),
    )


def _stage(order: Order, lines: Sequence[LineRow]) -> Stage:
    if order.given_up:
        return Stage.OVER
    if any(row.arrivals for row in lines):
        return Stage.PART if any(row.left.value for row in lines) else Stage.HERE
    if lines and all(row.line.ended for row in lines):
        return Stage.OVER
    return Stage.SENT if order.sent_on else Stage.WRITING


def arrivals(lines: Iterable[UUID]) -> dict[UUID, tuple[Arrival, ...]]:
    """What came in for each of these order lines, as the deliveries say that were not undone."""
    wanted = {str(line) for line in lines}
    found: dict[UUID, list[Arrival]] = {}
    if not wanted:
        return {}
    events = Event.objects.filter(step="received", skipped__isnull=True, facts__has_key="order_line")
    rows = [
        row
        for row in events.order_by("sort").values_list("id", "at", "facts")
        if row[2]["order_line"] in wanted
    ]
    sums: dict[UUID, int] = {}
    lots: dict[UUID, Lot] = {}
    for part in chunks(row[0] for row in rows):
        lines_ = Line.objects.filter(event_id__in=part)
        of = lines_.filter(role=Role.OUTPUT).values("event_id").annotate(sum=Sum("amount"))
        sums |= {each["event_id"]: each["sum"] or 0 for each in of}
        ins = lines_.filter(role=Role.INPUT).select_related("thing__lot__material")
        lots |= {each.event_id: each.thing.lot for each in ins}
    for id, at, facts in rows:
        lot = lots[id]
        found.setdefault(UUID(facts["order_line"]), []).append(
            Arrival(
                lot.thing_id,
                timezone.localtime(at).date(),
                Amount(sums.get(id, 0), Base(lot.material.base)),
                bool(facts.get("damaged")),
                lot.material.name if facts.get("instead") else "",
            )
        )
    return {line: tuple(each) for line, each in found.items()}


def first_came(order: UUID) -> date | None:
    """The day on which the first of an order came in; None while nothing did."""
    came = arrivals(OrderLine.objects.filter(order_id=order).values_list("id", flat=True))
    return min((each.on for line in came.values() for each in line), default=None)


def came_unsent(act: UUID) -> list[str]:
    """Who an act received something from by an order that nobody said was sent."""
    received = Event.objects.filter(act=act, step="received", facts__has_key="order_line")
    lines = [facts["order_line"] for facts in received.values_list("facts", flat=True)]
    rows = Order.objects.filter(lines__id__in=lines, sent_on__isnull=True).distinct()
    return sorted(rows.values_list("supplier__name", flat=True))


@dataclass(frozen=True, slots=True)
class Seen:
    """One order line that came: how many open days it took from sending to the first of it."""

    supplier: UUID
    on: date
    days: int


def seen(rows: Iterable[OrderRow]) -> list[Seen]:
    """How long each line took that came, the newest first."""
    found = [
        Seen(row.order.supplier_id, came.on, open_days(first=row.order.sent_on, last=came.on))
        for row in rows
        if row.order.sent_on
        for came in (line.arrivals[0] for line in row.lines if line.arrivals)
    ]
    return sorted(found, key=lambda each: each.on, reverse=True)


def lead_of(supplier: UUID, said: int | None, took: Sequence[Seen]) -> Lead:
    """What to plan with for one offer of a supplier."""
    return lead_time(seen=[each.days for each in took if each.supplier == supplier], said=said)


@dataclass(frozen=True, slots=True)
class Paid:
    """What one pack of a material was bought for."""

    supplier: str
    on: date
    pack: Amount
    packs: int
    price: int
    a_base: float  # price of one base unit


def price_history(material: UUID) -> list[Paid]:
    """What a material was ordered for, the newest first."""
    rows = OrderLine.objects.filter(
        material_id=material, price__isnull=False, order__sent_on__isnull=False, order__given_up=False
    ).select_related("order__supplier", "material")
    found = []
    for row in rows.order_by("-order__sent_on", "id"):
        sent, price = row.order.sent_on, row.price
        if sent is not None and price is not None:
            pack = Amount(row.pack, Base(row.material.base))
            found.append(Paid(row.order.supplier.name, sent, pack, row.packs, price, price / row.pack))
    return found


def open_lines(materials: Iterable[UUID] = ()) -> list[tuple[OrderRow, LineRow]]:
    """Lines that are still waited for, of these materials or of all."""
    wanted = set(materials)
    return [
        (row, line)
        for row in orders()
        if row.waited_for
        for line in row.lines
        if line.left.value and (not wanted or line.line.material_id in wanted)
    ]
