"""Suppliers and offers: packs, prices, least orders, lead times and closed days; when to order what by when.

Knows plain values; no demand, no stock, no plan.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from inventory.compute.reasons import Given, How, Input, number
from inventory.errors import Refused, say

LONGEST_DAYS = 3_650
_WEEK = frozenset(range(7))


@dataclass(frozen=True, slots=True)
class Closed:
    """Days, both included, on which a supplier neither works on an order nor delivers."""

    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Supplier:
    """What an order costs beyond its goods, and when the supplier is closed.

    `freight_cents` an order, nothing from `free_from_cents` of goods on; `order_cents` for placing and
    receiving one. An order has at least `least_cents` of goods. `closed_weekdays`: 0 is Monday.
    """

    code: str
    freight_cents: int = 0
    free_from_cents: int | None = None
    order_cents: int = 0
    least_cents: int = 0
    closed: tuple[Closed, ...] = ()
    closed_weekdays: frozenset[int] = frozenset()
    currency: str = ""


@dataclass(frozen=True, slots=True)
class Offer:
    """One material from one supplier, in packs.

    `prices` are (from so many packs, cents a pack), from 1 pack on, not rising; all packs of an order have
    the price of its number (all-units price break). `life_days` is how long it may be used after it is
    received, None when it has no date.
    """

    supplier: str
    pack: int
    prices: tuple[tuple[int, int], ...]
    lead_days: Given[int]
    life_days: Given[int] | None = None
    least_packs: int = 1

    def price_cents(self, packs: int) -> int:
        """Cents a pack when so many are ordered."""
        if len(self.prices) == 1:
            return self.prices[0][1]
        return next(price for least, price in reversed(self.prices) if packs >= least)

    @property
    def list_cents(self) -> int:
        """Cents of a single pack."""
        return self.prices[0][1]

    @property
    def lowest_cents(self) -> int:
        """Cents a pack at the last price break."""
        return self.prices[-1][1]


@dataclass(frozen=True, slots=True)
class OrderBy:
    """The last day to order so that goods are there in time, and the day they then come in."""

    order_by: date
    receive_on: date
    how: How


class OpenDays:
    """The days a supplier is open over a stretch of time, to count lead times along."""

    def __init__(self, supplier: Supplier, first: int, last: int) -> None:
        self.code = supplier.code
        shut = {
            day
            for closed in supplier.closed
            for day in range(max(first, closed.first.toordinal()), min(last, closed.last.toordinal()) + 1)
        }
        weekdays = supplier.closed_weekdays
        days = range(first, last + 1)
        # the ordinal 1 is a Monday
        self.days = [day for day in days if (day - 1) % 7 not in weekdays and day not in shut]

    def back(self, day: int, lead: int) -> int:
        """The last open day with `lead` open days after it up to `day`.

        Refuses: planning.closed
        """
        return self._at(bisect_right(self.days, day) - 1 - lead, day)

    def forward(self, day: int, lead: int) -> int:
        """The day goods come in when ordered on `day`, or on the next open day after it.

        Refuses: planning.closed
        """
        return self._at(bisect_right(self.days, day - 1) + lead, day)

    def _at(self, place: int, day: int) -> int:
        if 0 <= place < len(self.days):
            return self.days[place]
        raise Refused(
            "planning.closed",
            say("{code} has no open day left around {day}.", code=self.code, day=date.fromordinal(day)),
            say("Check the closed days and the dates, or choose another supplier."),
        )


def order_by(
    *, load_on: date, put_away_days: Given[int], lead_days: Given[int], supplier: Supplier
) -> OrderBy:
    """By when to order so that goods are put away before a load day.

    Formula: received on the supplier's last open day up to load_on - put_away_days; ordered on the last open
        day with lead_days open days after it, up to and including the day of receipt.
    Units: days; lead days are days the supplier is open.
    Refuses: planning.lead, planning.put_away, planning.closed, planning.weekdays, planning.supplier,
        planning.price, planning.days
    Source: common practice, no source.
    """
    refuse_bad_supplier(supplier)
    refuse_bad_days_count(lead_days.value, "planning.lead", "The lead time")
    refuse_bad_days_count(put_away_days.value, "planning.put_away", "The time to put away")
    if not isinstance(load_on, date) or isinstance(load_on, datetime):
        raise Refused("planning.days", say("{day} is no day.", day=load_on), say("Enter a day."))
    latest = load_on.toordinal() - put_away_days.value
    reach = stretch(lead_days.value, supplier)
    days = OpenDays(supplier, max(1, latest - reach), latest)
    receive, order = days.back(latest, 0), days.back(latest, lead_days.value)
    how = How(
        "Load day less the time to put away; back over the lead time, counting the supplier's open days.",
        "common practice, no source",
        (
            Input("load day", load_on),
            Input("put away", put_away_days.value, "days", put_away_days.basis),
            Input("lead time", lead_days.value, "days", lead_days.basis),
            Input("closed stretches", len(supplier.closed)),
        ),
    )
    return OrderBy(date.fromordinal(order), date.fromordinal(receive), how)


def stretch(lead: int, supplier: Supplier) -> int:
    """How many days back are enough to find so many open ones.

    Formula: (lead + 2) x 7 / open weekdays + 14 + all closed days.
    Units: days.
    Source: arithmetic: an upper bound.
    """
    shut = sum((closed.last - closed.first + timedelta(1)).days for closed in supplier.closed)
    open_weekdays = 7 - len(supplier.closed_weekdays)
    return (lead + 2) * 7 // open_weekdays + 14 + shut


def refuse_bad_supplier(supplier: Supplier) -> None:
    """Refuse a supplier without a code, with impossible amounts of money, or closed all week.

    Formula: cents >= 0, whole; closed.first <= closed.last; weekdays from 0 to 6, not all seven.
    Units: cents; days.
    Refuses: planning.supplier, planning.price, planning.closed, planning.weekdays
    Source: common practice, no source.
    """
    if not supplier.code.strip():
        raise Refused("planning.supplier", say("A supplier has no code."), say("Give each supplier a code."))
    for cents, name in (
        (supplier.freight_cents, "The freight"),
        (supplier.order_cents, "The cost of an order"),
        (supplier.least_cents, "The least order"),
        (supplier.free_from_cents or 0, "The goods value that frees from freight"),
    ):
        refuse_bad_cents(cents, name, supplier.code)
    for closed in supplier.closed:
        if closed.last < closed.first:
            raise Refused(
                "planning.closed",
                say(
                    "{code} is closed from {first} to {last}, which ends before it begins.",
                    code=supplier.code,
                    first=closed.first,
                    last=closed.last,
                ),
                say("Enter the first day first."),
            )
    if not supplier.closed_weekdays < _WEEK:
        raise Refused(
            "planning.weekdays",
            say(
                "{code} is closed on the weekdays {days}.",
                code=supplier.code,
                days=sorted(supplier.closed_weekdays),
            ),
            say("Enter weekdays from 0 (Monday) to 6, not all seven."),
        )


def refuse_bad_offer(offer: Offer, material: str) -> None:
    """Refuse an offer without a pack, a price from one pack on, a lead time or a life that can be.

    Formula: pack and least_packs >= 1, whole; prices from 1 pack on, packs rising, cents not rising.
    Units: base units a pack; cents a pack; days.
    Refuses: planning.pack, planning.prices, planning.price, planning.lead, planning.life
    Source: common practice, no source.
    """
    for count, name in ((offer.pack, "The pack"), (offer.least_packs, "The least number of packs")):
        if type(count) is not int or count < 1:
            raise Refused(
                "planning.pack",
                say("{name} of {material} is {count}.", name=name, material=material, count=count),
                say("Enter a whole number from 1 on."),
            )
    for _, cents in offer.prices:
        refuse_bad_cents(cents, "The price", material)
    _refuse_bad_breaks(offer.prices, material)
    refuse_bad_days_count(offer.lead_days.value, "planning.lead", "The lead time")
    if offer.life_days is not None:
        refuse_bad_days_count(offer.life_days.value, "planning.life", "The life after receipt")


def _refuse_bad_breaks(prices: Sequence[tuple[int, int]], material: str) -> None:
    steps = [least for least, _ in prices]
    cents = [price for _, price in prices]
    whole = all(type(least) is int for least in steps)
    if (
        not prices
        or not whole
        or steps[0] != 1
        or steps != sorted(set(steps))
        or cents != sorted(cents, reverse=True)
    ):
        raise Refused(
            "planning.prices",
            say("The prices of {material} are {prices}.", material=material, prices=tuple(prices)),
            say("Enter (from so many packs, cents a pack), from 1 pack on, prices not rising."),
        )


def refuse_bad_days_count(days: int, code: str, name: str) -> None:
    """Refuse a number of days that is none, with the caller's code.

    Formula: 0 <= days <= 3650, whole.
    Units: days.
    Refuses: the caller's code
    Source: common practice, no source.
    """
    number(days, code=code, name=name, unit="days", at_least=0, at_most=LONGEST_DAYS)
    if type(days) is not int:
        raise Refused(
            code,
            say("{name} is {days} days, not a whole number.", name=name, days=days),
            say("Enter whole days."),
        )


def refuse_bad_cents(cents: int, name: str, of: str) -> None:
    """Refuse an amount of money that is not whole cents from zero on.

    Formula: cents >= 0, whole.
    Units: cents.
    Refuses: planning.price
    Source: common practice, no source.
    """
    if type(cents) is not int or cents < 0:
        raise Refused(
            "planning.price",
            say("{name} of {of} is {cents} cents.", name=name, of=of, cents=cents),
            say("Enter whole cents from 0 on."),
        )
