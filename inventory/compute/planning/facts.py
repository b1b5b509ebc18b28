"""What goes into a season's plan and what comes out: plain values. Computes nothing."""

from dataclasses import dataclass
from datetime import date

from inventory.compute import money
from inventory.compute.choose import Lot
from inventory.compute.demand_facts import Needed
from inventory.compute.netting import Net
from inventory.compute.reasons import Given, How, Reason, Verdict
from inventory.compute.suppliers import Offer
from inventory.compute.units import Base

HOLDING = Given(0.15)
CARRIED = Given(0.92)
PUT_AWAY = Given(3)
NO_MARGIN = Given(0)


@dataclass(frozen=True, slots=True)
class Price:
    """Whole minor units of one currency, that say themselves with all decimals when a sentence is read."""

    minor: int
    currency: str = ""

    def __str__(self) -> str:
        if not self.currency:
            return f"{self.minor} cents"
        return f"{money.show(minor=self.minor, currency=self.currency)} {self.currency}"


@dataclass(frozen=True, slots=True)
class Costs:
    """What money and rest cost: a part of the price a year on the shelf; the part of the lowest price that a
    rest without a date is worth after the season; the days from receipt to on the shelf.
    """

    holding_a_year: Given[float] = HOLDING
    carried: Given[float] = CARRIED
    put_away_days: Given[int] = PUT_AWAY


@dataclass(frozen=True, slots=True)
class Material:
    """One material: what the season needs, the lots on hand and on the way, who sells it.

    `margin_days` before the last day of use, taken off the life of what is bought; lots come with theirs off.
    """

    needed: Needed
    lots: tuple[Lot, ...] = ()
    offers: tuple[Offer, ...] = ()
    margin_days: Given[int] = NO_MARGIN


@dataclass(frozen=True, slots=True)
class Unmet:
    """What no order can cover: nobody sells it, it would pass its date, or as much is on its way, `late`."""

    workshop: str
    amount: int
    late: bool = False


@dataclass(frozen=True, slots=True)
class OrderLine:
    """So many packs of one material in one order, and why.

    `amount` = `needed` + `rest`; the rest serves later workshops or stays over. `usable_through` is None when
    there is no date.
    """

    material: str
    base: Base
    packs: int
    amount: int
    needed: int
    rest: int
    cents_a_pack: int
    cents: int
    covers: tuple[str, ...]
    usable_through: date | None
    order_by: date
    late_for: tuple[str, ...]
    reasons: tuple[Reason, ...]
    how: How


@dataclass(frozen=True, slots=True)
class Order:
    """One order: by when, when it comes in (`earliest` if sent today), and what it costs."""

    supplier: str
    order_by: date
    receive_on: date
    earliest: date
    lines: tuple[OrderLine, ...]
    goods_cents: int
    freight_cents: int
    handling_cents: int
    verdict: Verdict

    @property
    def late(self) -> bool:
        """True when some line is too late for a workshop, even if ordered today."""
        return any(line.late_for for line in self.lines)


@dataclass(frozen=True, slots=True)
class MaterialPlan:
    """One material over the season: needed, covered by lots, bought, left, and what stays unmet.

    Totals in the base unit: `planned` at the level to cover, `booked` if no further seat fills, `full` if
    every seat does. `short` and `short_booked` are what the lots leave open of the first two. `left` stays
    after the season, `lost` passes its date, both of what is bought.
    """

    material: str
    base: Base
    offer: Offer | None
    planned: int
    booked: int
    full: int
    short: int
    short_booked: int
    bought: int
    left: int
    lost: int
    unmet: tuple[Unmet, ...]
    net: Net
    verdict: Verdict
    how: How


@dataclass(frozen=True, slots=True)
class Cost:
    """What a plan costs, in whole cents that add up; what rests are worth is taken off."""

    orders: int
    goods_cents: int
    freight_cents: int
    handling_cents: int
    holding_cents: int
    carried_cents: int

    @property
    def total_cents(self) -> int:
        """All of it."""
        spent = self.goods_cents + self.freight_cents + self.handling_cents + self.holding_cents
        return spent - self.carried_cents


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """What to order from whom by when, soonest first, beside what two simpler ways would cost.

    `in_time`: for each workshop what it lacks. `at_once`: everything for the first workshop, and again where
    it would pass its date.
    """

    orders: tuple[Order, ...]
    materials: tuple[MaterialPlan, ...]
    cost: Cost
    in_time: Cost
    at_once: Cost
    currency: str
    verdict: Verdict
    how: How
