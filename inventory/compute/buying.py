"""Buying one material from one offer: how many packs arrive for which load days, and what that costs.

Knows uncovered needs, one offer and the days goods come in; no stock, no other material. Money is in cents,
amounts in the material's base unit, days are ordinals.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from inventory.compute.suppliers import Offer

NO_LEAST: Mapping[int, int] = MappingProxyType({})
_FOREVER = 10**9


class Raised(StrEnum):
    """Why more packs are ordered than the need asks."""

    LEAST_PACKS = "least number of packs"
    BREAK = "price break"
    LEAST_ORDER = "least order"


@dataclass(frozen=True, slots=True)
class Season:
    """The workshops' days in the order of their load days, and what money and rest cost.

    `holding` is the cents a day that each cent on the shelf costs; `carried` the part of the lowest price
    that a rest without a date is worth after the season.
    """

    loads: tuple[int, ...]
    lasts: tuple[int, ...]
    ends: int
    holding: float
    carried: float


@dataclass(frozen=True, slots=True)
class Arrivals:
    """An offer's days: when goods come in for each workshop, and the first day anything can come in."""

    comes_in: tuple[int, ...]
    earliest: int

    def there(self, place: int) -> int:
        """The day goods ordered for a workshop are there, late ones too."""
        return max(self.comes_in[place], self.earliest)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What has to be bought of one material: (place of the workshop, amount) by load day, from one offer.

    `life` is the days of use after receipt, the margin taken off; None when there is no date.
    """

    material: str
    offer: Offer
    rows: tuple[tuple[int, int], ...]
    arrivals: Arrivals
    life: int | None = None

    def usable_through(self, there: int) -> int:
        """The last day of use of what comes in on a day."""
        return _FOREVER if self.life is None else there + self.life

    @property
    def cents_a_unit(self) -> float:
        """What one base unit is worth on the shelf: by the price of a single pack."""
        return self.offer.list_cents / self.offer.pack


@dataclass(slots=True)
class Purchase:
    """Packs of one material that arrive for the workshop at `place`, and the needs they are bought for."""

    place: int
    usable_through: int
    serves: list[tuple[int, int]]
    packs: int = 0
    raised: Raised | None = None
    rest: int = 0


@dataclass(frozen=True, slots=True)
class Bought:
    """All purchases of one material and what they cost; what of them is left over, and lost past its date.

    `starts` and `breaks` are how it was bought, so that it can be bought so again with more in one place.
    """

    wanted: Wanted
    starts: tuple[int, ...]
    breaks: bool
    purchases: tuple[Purchase, ...]
    goods_cents: int
    holding_cents: float
    carried_cents: float
    left: int
    lost: int

    @property
    def cost(self) -> float:
        """Goods and holding, less what the rest is worth."""
        return self.goods_cents + self.holding_cents - self.carried_cents


def buy(
    wanted: Wanted,
    season: Season,
    starts: Sequence[int],
    *,
    least: Mapping[int, int] = NO_LEAST,
    breaks: bool = True,
) -> Bought:
    """Buy through the season, arriving for the workshops at `starts`, and wherever something would pass its
    date.

    Formula: at each arrival what is uncovered up to the next one, after what earlier packs left over,
        rounded up to packs, at least the offer's and `least` at a place; with `breaks` a price break is
        taken when its extra packs save or are worth more than they cost. Holding = amount x cents a unit x
        holding x days on the shelf.
    Units: base units; cents; days as ordinals.
    Shapes: `starts` rising places of workshops; needs by load day.
    Source: arithmetic of a plan given its arrivals; all-units price breaks: common practice, no source.
    """
    shelf = _Shelf(wanted, season, least, breaks)
    coming = list(reversed(starts))
    date = None
    for row, (place, amount) in enumerate(wanted.rows):
        while coming and coming[-1] <= place:
            shelf.close(row)
            date = coming.pop()
        left = shelf.draw(place, amount)
        if left:
            shelf.add(row, place if date is None else date, place, left)
    return shelf.done(starts, breaks)


def cheapest(wanted: Wanted, season: Season, starts: Sequence[int]) -> Bought:
    """The cheaper of buying with and without price breaks.

    Formula: least of goods + holding - worth of rests.
    Units: cents.
    Shapes: `starts` rising places of workshops.
    Source: common practice, no source.
    """
    plain = buy(wanted, season, starts, breaks=False)
    if len(wanted.offer.prices) == 1:
        return plain
    return min(plain, buy(wanted, season, starts), key=lambda way: way.cost)


class _Shelf:
    """What was bought and is not used yet, packs that arrive together growing until they are closed."""

    def __init__(self, wanted: Wanted, season: Season, least: Mapping[int, int], breaks: bool) -> None:
        self.wanted, self.season, self.arrivals, self.least = wanted, season, wanted.arrivals, least
        self.breaks = wanted.offer.prices[1:] if breaks else ()
        self.rests: list[list[int]] = []  # amount, usable through, came in
        self.current: Purchase | None = None
        self.came_in = 0
        self.purchases: list[Purchase] = []
        self.unit_days = 0
        self.goods = 0

    def draw(self, place: int, amount: int) -> int:
        """Take from what earlier packs left over, first in first; what is still wanted."""
        last, load = self.season.lasts[place], self.season.loads[place]
        for rest in self.rests:
            if rest[0] and rest[1] >= last:
                take = min(rest[0], amount)
                rest[0] -= take
                amount -= take
                self.unit_days += take * max(0, load - rest[2])
        return amount

    def add(self, row: int, date: int, place: int, amount: int) -> None:
        """Buy this with what arrives for `date`; when that would pass too soon, for the workshop itself."""
        last, load = self.season.lasts[place], self.season.loads[place]
        if self.current is None or self.current.usable_through < last:
            self.close(row)
            self.came_in = self.arrivals.there(date)
            if self.wanted.usable_through(self.came_in) < last:
                date, self.came_in = place, self.arrivals.there(place)
            self.current = Purchase(date, self.wanted.usable_through(self.came_in), [])
        self.current.serves.append((place, amount))
        self.unit_days += amount * max(0, load - self.came_in)

    def close(self, row: int) -> None:
        """Round what is growing up to packs; `row` is the first need not yet looked at."""
        if self.current is None:
            return
        bought, offer = self.current, self.wanted.offer
        needed = sum([amount for _, amount in bought.serves])
        bought.packs = -(-needed // offer.pack)
        self._raise_to(bought, offer.least_packs, Raised.LEAST_PACKS)
        self._raise_to(bought, self.least.get(bought.place, 0), Raised.LEAST_ORDER)
        for packs, _ in self.breaks:
            if packs > bought.packs and self._pays(bought, packs, bought.packs * offer.pack - needed, row):
                self._raise_to(bought, packs, Raised.BREAK)
        bought.rest = bought.packs * offer.pack - needed
        if bought.rest:
            self.rests.append([bought.rest, bought.usable_through, self.came_in])
        self.goods += bought.packs * offer.price_cents(bought.packs)
        self.purchases.append(bought)
        self.current = None

    def _raise_to(self, bought: Purchase, packs: int, why: Raised) -> None:
        if packs > bought.packs:
            bought.packs, bought.raised = packs, why

    def _pays(self, bought: Purchase, packs: int, rest: int, row: int) -> bool:
        """Whether the packs of a price break cost less more than they save later, or are worth after.

        Holding is left out here: whoever asks compares with buying without breaks.
        """
        offer = self.wanted.offer
        more = packs * offer.price_cents(packs) - bought.packs * offer.price_cents(bought.packs)
        extra = (packs - bought.packs) * offer.pack
        later = sum(
            [
                amount
                for place, amount in self.wanted.rows[row:]
                if self.season.lasts[place] <= bought.usable_through
            ]
        )
        saved = min(extra, max(0, later - rest))
        kept = extra - saved if self.wanted.life is None else 0
        worth = (
            saved * self.wanted.cents_a_unit + kept * self.season.carried * offer.lowest_cents / offer.pack
        )
        return more < worth

    def done(self, starts: Sequence[int], breaks: bool) -> Bought:
        """Close what grows, and add up."""
        self.close(len(self.wanted.rows))
        left = lost = 0
        for amount, through, came_in in self.rests:
            self.unit_days += amount * max(0, min(through, self.season.ends) - came_in)
            if through < self.season.ends:
                lost += amount
            else:
                left += amount
        offer = self.wanted.offer
        carried = (
            left * self.season.carried * offer.lowest_cents / offer.pack if self.wanted.life is None else 0.0
        )
        holding = self.unit_days * self.wanted.cents_a_unit * self.season.holding
        return Bought(
            self.wanted,
            tuple(starts),
            breaks,
            tuple(self.purchases),
            self.goods,
            holding,
            carried,
            left,
            lost,
        )
