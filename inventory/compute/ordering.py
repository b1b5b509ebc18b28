"""Ordering from one supplier: for which load days goods arrive, so that freight, holding and rests cost
least.

Knows what has to be bought from one supplier; no stock, no other supplier. Goods always arrive for a load
day: earlier costs only holding and freshness.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate

from inventory.compute.buying import Bought, Raised, Season, Wanted, buy, cheapest
from inventory.compute.suppliers import Offer, Supplier

SMALL = 30
_NEVER = float("inf")


@dataclass(frozen=True, slots=True)
class Ordered:
    """All orders from one supplier, and the cents of goods by place of arrival."""

    supplier: Supplier
    bought: tuple[Bought, ...]
    goods_at: Mapping[int, int]

    def freight_at(self, place: int) -> int:
        """Cents of freight of the order that arrives for a place."""
        free = self.supplier.free_from_cents
        return self.supplier.freight_cents if free is None or self.goods_at[place] < free else 0

    @property
    def freight_cents(self) -> int:
        """Freight of all orders."""
        return sum([self.freight_at(place) for place in self.goods_at])

    @property
    def handling_cents(self) -> int:
        """Placing and receiving all orders."""
        return len(self.goods_at) * self.supplier.order_cents

    @property
    def cost(self) -> float:
        """All of it, in cents."""
        return sum([each.cost for each in self.bought]) + self.freight_cents + self.handling_cents


def cheapest_segments(count: int, cost: Callable[[int, int], float]) -> list[int]:
    """Where each segment of 0..count begins when their costs add up to least; exact over all ways to cut.

    Formula: best[k] = least of best[j] + cost(j, k) over j < k.
    Units: those of the cost.
    Shapes: `cost(begin, end)` for 0 <= begin < end <= count; infinite where it cannot be.
    Source: Wagner and Whitin 1958 (from memory); their example and Snyder and Shen's 3.9 in the tests.
    """
    best, begins = [0.0] + [_NEVER] * count, [0] * (count + 1)
    for end in range(1, count + 1):
        for begin in range(end):
            total = best[begin] + cost(begin, end)
            if total < best[end]:
                best[end], begins[end] = total, begin
    out, end = [], count
    while end:
        end = begins[end]
        out.append(end)
    return out[::-1]


class Desk:
    """One supplier's wanted materials, to be bought for one set of arrival dates after another."""

    def __init__(
        self, supplier: Supplier, wanted: Sequence[Wanted], season: Season, small: int = SMALL
    ) -> None:
        self.supplier, self.wanted, self.season, self.small = supplier, wanted, season, small
        self.places = sorted({place for each in wanted for place, _ in each.rows})

    def cut(self, *, loose: bool = False) -> list[int]:
        """The arrivals of the cheapest way to cut the season into orders, holding of rests left out.

        Strict: what has a date is rounded up to packs at each order, no less than the least, at the price of
        their number: exact when packs are small. Loose: rests serve later orders, so packs are those of the
        season so far, at the price of the season's number.
        """
        goods, other = self._segments(loose)

        def cost(begin: int, end: int) -> float:
            return other[begin][end] + self._beyond_goods(goods[begin][end])

        return [self.places[begin] for begin in cheapest_segments(len(self.places), cost)]

    def cheapest(self) -> Ordered:
        """The cheapest orders found: the season cut both ways, or in one order; then changed."""
        cuts = [self.cut(), self.cut(loose=True), self.places[:1]]
        best = min([self.buy_all(list(some)) for some in dict.fromkeys(map(tuple, cuts))], key=_cost)
        while True:
            nearby = [self.buy_all(some) for some in self._nearby(sorted(best.goods_at))]
            found = min(nearby, key=_cost, default=best)
            if found.cost >= best.cost:
                return best
            best = found

    def _nearby(self, starts: Sequence[int]) -> Iterator[list[int]]:
        """The same arrivals with one left out; for a small supplier also with one more, or one moved."""
        fewer = [[*starts[:at], *starts[at + 1 :]] for at in range(len(starts))]
        yield from fewer[1:]
        if len(self.places) * len(self.wanted) <= self.small:
            for place in self.places:
                if place not in starts:
                    yield from (sorted([*some, place]) for some in (starts, *fewer))

    def buy_all(self, starts: Sequence[int]) -> Ordered:
        """Every material bought for these arrivals, each order brought up to the supplier's least one."""
        bought = self._brought_up([cheapest(each, self.season, starts) for each in self.wanted])
        return Ordered(self.supplier, tuple(bought), _goods_at(bought))

    def _brought_up(self, bought: list[Bought]) -> list[Bought]:
        """Each order brought up to the supplier's least one, in order: more there may spare a later one."""
        looked_at = -1
        while True:
            below = [
                place
                for place, goods in _goods_at(bought).items()
                if place > looked_at and goods < self.supplier.least_cents
            ]
            if not below:
                return bought
            looked_at = min(below)
            self._top_up(bought, looked_at)

    def _top_up(self, bought: list[Bought], place: int) -> None:
        """More packs of what costs least to have more of."""
        short = self.supplier.least_cents - _goods_at(bought)[place]
        ways = []
        for at, each in enumerate(bought):
            packs = sum([purchase.packs for purchase in each.purchases if purchase.place == place])
            lowest = each.wanted.offer.lowest_cents
            if packs and lowest:
                least = {**_least(each), place: packs + -(-short // lowest)}
                more = buy(each.wanted, self.season, each.starts, least=least, breaks=each.breaks)
                ways.append((more.cost - each.cost, at, more))
        if ways:
            _, at, more = min(ways, key=lambda way: way[:2])
            bought[at] = more

    def _segments(self, loose: bool) -> tuple[list[list[float]], list[list[float]]]:
        """Cents of goods, and of holding, of one order for the needs from each place up to before another."""
        count = len(self.places)
        goods, other = ([[0.0] * (count + 1) for _ in range(count)] for _ in range(2))
        for each in self.wanted:
            self._add_segments(each, goods, other, loose)
        return goods, other

    def _add_segments(
        self, wanted: Wanted, goods: list[list[float]], other: list[list[float]], loose: bool
    ) -> None:
        """What one material adds to each segment; never, where it would pass its date.

        What has no date is rounded to packs over the season so far, as rests carry on. All is held to the
        season's end: cuts then differ as when it is held to its use.
        """
        at, season = dict(wanted.rows), self.season
        amounts = [at.get(place, 0) for place in self.places]
        needs = list(accumulate(amounts, initial=0))
        offer, shelf = wanted.offer, wanted.cents_a_unit * season.holding
        pack, cents = offer.pack, _cents_of_packs(offer, -(-needs[-1] // offer.pack), loose)
        rounded = [-(-need // pack) for need in needs] if loose or wanted.life is None else None
        for begin, place in enumerate(self.places):
            there = wanted.arrivals.there(place)
            through = wanted.usable_through(there)
            for end in range(begin + 1, len(needs)):
                if amounts[end - 1] and season.lasts[self.places[end - 1]] > through:
                    other[begin][end:] = [_NEVER] * (len(needs) - end)
                    break
                need = needs[end] - needs[begin]
                goods[begin][end] += cents[rounded[end] - rounded[begin] if rounded else -(-need // pack)]
                other[begin][end] += shelf * (season.ends - there) * need

    def _beyond_goods(self, goods: float) -> float:
        """Freight and handling of an order, and what it may cost to bring it up to the least one."""
        if not goods:
            return 0.0
        free = self.supplier.free_from_cents
        freight = self.supplier.freight_cents if free is None or goods < free else 0
        below = max(0.0, self.supplier.least_cents - goods)
        return goods + freight + self.supplier.order_cents + below * (1 - self.season.carried)


def _cents_of_packs(offer: Offer, most: int, loose: bool) -> list[int]:
    """What 0, 1, ... packs cost at once; loose: each at the price of the most, and no least number."""
    if loose:
        cents = offer.price_cents(most)
        return [packs * cents for packs in range(most + 1)]
    ordered = [max(packs, offer.least_packs) for packs in range(1, most + 1)]
    return [0, *[packs * offer.price_cents(packs) for packs in ordered]]


def _cost(orders: Ordered) -> float:
    return orders.cost


def _goods_at(bought: Sequence[Bought]) -> dict[int, int]:
    """Cents of goods by place of arrival."""
    out: dict[int, int] = {}
    for each in bought:
        for purchase in each.purchases:
            cents = purchase.packs * each.wanted.offer.price_cents(purchase.packs)
            out[purchase.place] = out.get(purchase.place, 0) + cents
    return out


def _least(bought: Bought) -> dict[int, int]:
    """What was topped up before, so that it stays."""
    return {
        purchase.place: purchase.packs
        for purchase in bought.purchases
        if purchase.raised is Raised.LEAST_ORDER
    }
