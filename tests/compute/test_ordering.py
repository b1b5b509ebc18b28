"""Orders from one supplier: published recursions, all ways to cut, freight, least orders."""

import itertools
import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.compute.buying import Arrivals, Raised, Season, Wanted
from inventory.compute.ordering import Desk, cheapest_segments
from inventory.compute.reasons import Given
from inventory.compute.suppliers import Offer, Supplier

WEEKS = tuple(range(1000, 1000 + 70, 7))
ARRIVALS = Arrivals(WEEKS, 0)

# Wagner and Whitin 1958, as printed in a public test (read): demand, cost of an order, holding 1 a period.
PAPER_NEEDS = (69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56)
PAPER_ORDER = (85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114)


def season(holding=0.0, carried=0.5):
    return Season(WEEKS, tuple(day + 1 for day in WEEKS), WEEKS[-1] + 1, holding, carried)


def wanted(rows, material="M", pack=10, prices=((1, 100),), life=None, least_packs=1):
    return Wanted(
        material, Offer("S", pack, prices, Given(0), None, least_packs), tuple(rows), ARRIVALS, life
    )


def lots(needs, order_cost, holding, price=None, life=10**6):
    """The cheapest lots of one material, ordered at any period up to the first use: cost, and amounts."""
    price = price or [0] * len(needs)

    def at(begin, end):
        if not any(needs[begin:end]):
            return 0, -begin
        days = range(max(0, end - life), begin + 1)
        each = [
            (
                order_cost[day]
                + sum(needs[use] * (price[day] + holding * (use - day)) for use in range(begin, end)),
                -day,
            )
            for day in days
        ]
        return min(each, default=(math.inf, 0))

    begins = cheapest_segments(len(needs), lambda begin, end: at(begin, end)[0])
    cost, amounts = 0.0, [0] * len(needs)
    for begin, end in itertools.pairwise([*begins, len(needs)]):
        here, day = at(begin, end)
        cost += here
        amounts[-day] += sum(needs[begin:end])
    return cost, amounts


def test_cheapest_segments_of_the_textbook_lots():
    """Snyder and Shen, example 3.9: 1380, ordering 210, 0, 150, 0 (read second-hand)."""
    assert lots((90, 120, 80, 70), [500] * 4, 2) == (1380, [210, 0, 150, 0])


def test_cheapest_segments_of_the_paper_of_1958():
    """Wagner and Whitin 1958: 864, ordering 98 0 97 0 121 0 0 112 0 67 135 0."""
    assert lots(PAPER_NEEDS, PAPER_ORDER, 1) == (864, [98, 0, 97, 0, 121, 0, 0, 112, 0, 67, 135, 0])


@pytest.mark.parametrize(("life", "cost"), [(3, 864), (2, 901), (1, 1234)])
def test_cheapest_segments_of_the_paper_with_a_shelf_life(life, cost):
    """The same with 3, 2 and 1 periods of life (computed; 1 period is one order each: the sum of all)."""
    assert lots(PAPER_NEEDS, PAPER_ORDER, 1, life=life)[0] == cost
    if life == 1:
        assert cost == sum(PAPER_ORDER)
    if life == 2:
        assert lots(PAPER_NEEDS, PAPER_ORDER, 1, life=2)[1] == [98, 0, 97, 0, 87, 0, 34, 112, 0, 67, 135, 0]


def test_cheapest_segments_when_ordering_only_at_zero_stock_would_cost_more():
    """Prices and order costs that change: ordering apart from running out costs 101, not 109 (computed)."""
    needs, order = (0, 0, 14, 9, 5, 1, 0, 1), (26, 27, 29, 29, 13, 27, 23, 32)
    price = (3, 5, 1, 5, 5, 2, 6, 2)
    assert lots(needs, order, 1, price, life=4)[0] == 101


@settings(deadline=None)
@given(st.integers(0, 7).flatmap(lambda n: st.lists(st.integers(0, 50), min_size=n * n, max_size=n * n)))
def test_cheapest_segments_equal_trying_all(values):
    """Every way to cut was compared: nothing is cheaper (brute force up to 7)."""
    count = math.isqrt(len(values))

    def cost(begin, end):
        return values[begin * count + end - 1]

    def total(begins):
        return sum(cost(begin, end) for begin, end in itertools.pairwise([*begins, count]))

    got = cheapest_segments(count, cost)
    if not count:
        assert got == []
        return
    ways = ((0, *inner) for size in range(count) for inner in itertools.combinations(range(1, count), size))
    assert total(got) == min(map(total, ways))
    assert got[0] == 0


def places(orders):
    return sorted(orders.goods_at)


def test_desk_shares_freight_between_materials():
    """Dear freight brings everything in one order; free freight brings each for its own workshop."""
    both = [wanted([(0, 10), (5, 10)], "A"), wanted([(2, 10), (7, 10)], "B")]
    dear = Desk(Supplier("S", freight_cents=500), both, season(0.0001)).cheapest()
    assert places(dear) == [0]
    assert (dear.freight_cents, dear.handling_cents) == (500, 0)
    free = Desk(Supplier("S"), both, season(0.0001)).cheapest()
    assert places(free) == [0, 2, 5, 7]


def test_desk_counts_freight_and_handling_by_hand():
    """Two orders of 300 and 100 cents: freight is free from 300 on, handling is paid twice."""
    supplier = Supplier("S", freight_cents=40, free_from_cents=300, order_cents=7)
    orders = Desk(supplier, [wanted([(0, 30), (5, 10)])], season()).buy_all([0, 5])
    assert orders.goods_at == {0: 300, 5: 100}
    assert (orders.freight_at(0), orders.freight_at(5)) == (0, 40)
    assert (orders.freight_cents, orders.handling_cents) == (40, 14)
    assert orders.cost == 400 + 40 + 14


def test_desk_gathers_needs_to_free_an_order_from_freight():
    """Holding would split the order; freight, free from 400 cents, keeps it in one."""
    rows = [wanted([(0, 20), (6, 20)])]
    split = Desk(Supplier("S", freight_cents=30), rows, season(0.005)).cheapest()
    one = Desk(Supplier("S", freight_cents=30, free_from_cents=400), rows, season(0.005)).cheapest()
    assert places(split) == [0, 6]
    assert places(one) == [0]
    assert one.freight_cents == 0
    assert Desk(Supplier("S", 30, 400), rows, season(0.005)).cut() == [0]
    assert Desk(Supplier("S", 30, 401), rows, season(0.005)).cut() == [0, 6]


def test_desk_does_not_order_in_one_go_what_would_pass_its_date():
    """However dear the freight, 10 days of use do not reach five weeks."""
    orders = Desk(
        Supplier("S", freight_cents=10_000), [wanted([(0, 10), (5, 10)], life=10)], season()
    ).cheapest()
    assert places(orders) == [0, 5]
    assert orders.bought[0].lost == 0


def test_desk_brings_an_order_up_to_the_least_one():
    """250 cents at least: a third pack; exactly the least needs nothing more."""
    supplier = Supplier("S", least_cents=250)
    short = Desk(supplier, [wanted([(0, 20)])], season()).cheapest()
    assert short.goods_at == {0: 300}
    assert short.bought[0].purchases[0].raised is Raised.LEAST_ORDER
    exact = Desk(Supplier("S", least_cents=200), [wanted([(0, 20)])], season()).cheapest()
    assert exact.goods_at == {0: 200}
    assert exact.bought[0].purchases[0].raised is None


def test_desk_tops_up_with_what_keeps():
    """What passes its date is lost, what keeps is worth half: more of what keeps is ordered."""
    both = [wanted([(0, 10)], "passes", life=10), wanted([(0, 10)], "keeps")]
    orders = Desk(Supplier("S", least_cents=500), both, season()).cheapest()
    packs = {one.wanted.material: one.purchases[0].packs for one in orders.bought}
    assert packs == {"passes": 1, "keeps": 4}
    assert orders.goods_at == {0: 500}


def test_desk_keeps_an_earlier_top_up_when_a_later_order_needs_one():
    """Both orders reach the least one, and the first stays as it was topped up."""
    both = [wanted([(0, 10), (8, 80)], "A", life=30), wanted([(0, 10)], "B", life=30)]
    orders = Desk(Supplier("S", least_cents=500), both, season()).buy_all([0, 8])
    assert all(goods >= 500 for goods in orders.goods_at.values())
    again = Desk(Supplier("S", least_cents=900), both, season()).buy_all([0, 8])
    assert all(goods >= 900 for goods in again.goods_at.values())


def test_desk_cannot_top_up_with_what_costs_nothing():
    """A free sample brings no order up to the least one; it is ordered as it is."""
    orders = Desk(Supplier("S", least_cents=500), [wanted([(0, 10)], prices=((1, 0),))], season()).cheapest()
    assert orders.goods_at == {0: 0}


def test_desk_expects_the_least_order_when_it_cuts_the_season():
    """A least order that each half would miss keeps the season in one, though holding would split it."""
    rows = [wanted([(0, 50), (6, 50)])]
    split = Desk(Supplier("S"), rows, season(0.0005)).cheapest()
    one = Desk(Supplier("S", least_cents=1_000), rows, season(0.0005)).cheapest()
    assert places(split) == [0, 6]
    assert places(one) == [0]


@st.composite
def desks(draw):
    """A supplier with one to three materials and anything that can be."""
    rows = []
    for at in range(draw(st.integers(1, 3))):
        at_places = sorted(draw(st.sets(st.integers(0, 6), min_size=1)))
        rows.append(
            wanted(
                [(place, draw(st.integers(1, 60))) for place in at_places],
                f"M{at}",
                draw(st.integers(5, 40)),
                draw(st.sampled_from([((1, 100),), ((1, 100), (3, 90))])),
                draw(st.sampled_from([None, 9, 20])),
                draw(st.integers(1, 2)),
            )
        )
    supplier = Supplier(
        "S",
        draw(st.integers(0, 400)),
        draw(st.sampled_from([None, 300, 900])),
        draw(st.integers(0, 50)),
        draw(st.sampled_from([0, 0, 300])),
    )
    return Desk(supplier, rows, season(draw(st.sampled_from([0.0, 0.001, 0.01])), 0.9))


@settings(deadline=None, max_examples=60)
@given(desks())
def test_desk_buys_all_and_is_never_dearer_than_one_order(desk):
    """Bought = needed + left + lost; at least the least order; the sums are those of the purchases."""
    got = desk.cheapest()
    assert got.cost <= desk.buy_all(desk.places[:1]).cost + 1e-6
    for one in got.bought:
        total = sum(amount for _, amount in one.wanted.rows)
        packs = sum(each.packs for each in one.purchases)
        assert packs * one.wanted.offer.pack == total + one.left + one.lost
    if desk.supplier.least_cents:
        assert all(goods >= desk.supplier.least_cents for goods in got.goods_at.values())
    assert sum(got.goods_at.values()) == sum(one.goods_cents for one in got.bought)


def test_desk_finds_the_best_arrival_dates_of_most_small_shops():
    """Of 60 invented shops all sets of dates are tried: most are met exactly, the rest nearly."""
    source = random.Random(1)
    over = []
    for _ in range(60):
        rows = []
        for at in range(source.randint(1, 3)):
            chosen = sorted(source.sample(range(6), source.randint(1, 6)))
            prices, life = source.choice([((1, 100),), ((1, 100), (3, 90))]), source.choice([None, None, 40])
            needs = [(place, source.randint(1, 60)) for place in chosen]
            rows.append(wanted(needs, f"M{at}", source.randint(5, 40), prices, life))
        supplier = Supplier(
            "S", source.randint(0, 400), source.choice([None, 300, 900]), source.randint(0, 50)
        )
        desk = Desk(supplier, rows, season(source.choice([0.0, 0.001, 0.01]), 0.9))
        best = min(
            desk.buy_all(some).cost
            for size in range(1, len(desk.places) + 1)
            for some in itertools.combinations(desk.places, size)
        )
        over.append(desk.cheapest().cost / best - 1)
    assert sum(each < 1e-9 for each in over) >= 55
    assert max(over) < 0.05
    assert sum(over) / len(over) < 0.005


def test_cheapest_segments_when_nothing_can_be_is_one_segment():
    """Nothing possible at all is one stretch, to be bought where it can be."""
    assert cheapest_segments(3, lambda begin, end: math.inf) == [0]


def test_desk_tops_up_by_what_more_costs_not_by_what_is_there():
    """Much of what keeps is ordered already: still it is what more is ordered of."""
    both = [wanted([(0, 10)], "passes", life=10), wanted([(0, 100)], "keeps")]
    orders = Desk(Supplier("S", least_cents=1_500), both, season()).cheapest()
    packs = {one.wanted.material: one.purchases[0].packs for one in orders.bought}
    assert packs == {"passes": 1, "keeps": 14}
