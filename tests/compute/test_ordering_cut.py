"""Where one supplier's season is cut into orders: against all ways to cut it, strictly and loosely."""

import itertools
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.compute.buying import Arrivals, Season, Wanted
from inventory.compute.ordering import SMALL, Desk
from inventory.compute.reasons import Given
from inventory.compute.suppliers import Offer, Supplier

WEEKS = tuple(range(1000, 1000 + 70, 7))
ARRIVALS = Arrivals(WEEKS, 0)


def season(holding=0.0, carried=0.5):
    return Season(WEEKS, tuple(day + 1 for day in WEEKS), WEEKS[-1] + 1, holding, carried)


def wanted(rows, material="M", pack=10, prices=((1, 100),), life=None, least_packs=1):
    return Wanted(
        material, Offer("S", pack, prices, Given(0), None, least_packs), tuple(rows), ARRIVALS, life
    )


def places(orders):
    return sorted(orders.goods_at)


@pytest.mark.parametrize("small", [0, 10**6])
def test_desk_leaves_out_an_arrival_that_rests_make_needless(small):
    """Cut at 0, 2 and 3, as if nothing were left over; bought through, rests spare the last order."""
    rows = [wanted([(0, 5), (2, 10), (3, 15)], life=20)]
    desk = Desk(Supplier("S", freight_cents=20), rows, season(0.02), small)
    assert desk.cut() == [0, 2, 3]
    orders = desk.cheapest()
    assert places(orders) == [0, 2]
    assert orders.cost < min(desk.buy_all([0, 2, 3]).cost, desk.buy_all([0]).cost)
    assert orders.cost == pytest.approx(best_of_all(desk))


def test_desk_of_a_large_supplier_leaves_out_what_saves():
    """Ten materials over ten workshops: no arrival can be left out to save, and one order costs more."""
    source = random.Random(6)
    rows = [
        wanted([(place, source.randint(1, 60)) for place in range(10)], f"M{at}", source.randint(5, 40))
        for at in range(10)
    ]
    desk = Desk(Supplier("S", 300), rows, season(0.002))
    assert len(desk.places) * len(desk.wanted) > SMALL
    got = desk.cheapest()
    assert got.cost <= min(desk.buy_all(desk.places[:1]).cost, desk.buy_all(desk.places).cost)
    for fewer in itertools.combinations(places(got), len(places(got)) - 1):
        assert got.cost <= desk.buy_all(fewer).cost + 1e-6


def best_of_all(desk):
    """The least cost over all sets of arrivals that begin with the first need."""
    first, *others = desk.places
    return min(
        desk.buy_all([first, *some]).cost
        for size in range(len(others) + 1)
        for some in itertools.combinations(others, size)
    )


HOLDINGS = st.sampled_from([0.0, 0.001, 0.01])


@st.composite
def plain_desks(draw, packs, lives, holding, free_from):
    """Single prices, no least packs: where the recursion is exact."""
    rows = []
    for at in range(draw(st.integers(1, 3))):
        chosen = sorted(draw(st.sets(st.integers(0, 6), min_size=1)))
        needs = [(place, draw(st.integers(1, 60))) for place in chosen]
        price = ((1, draw(st.integers(1, 30))),)
        rows.append(wanted(needs, f"M{at}", draw(packs), price, draw(lives)))
    supplier = Supplier("S", draw(st.integers(0, 400)), draw(free_from), draw(st.integers(0, 50)))
    return Desk(supplier, rows, season(draw(holding), 0.9))


@settings(deadline=None, max_examples=60)
@given(plain_desks(st.just(1), st.sampled_from([None, 8, 15, 40]), HOLDINGS, st.none()))
def test_cut_is_exact_when_nothing_is_left_over(desk):
    """Packs of one: no set of arrivals is cheaper, with freight, handling, holding and dates."""
    assert desk.buy_all(desk.cut()).cost == pytest.approx(best_of_all(desk))


@settings(deadline=None, max_examples=60)
@given(plain_desks(st.just(1), st.none(), HOLDINGS, st.sampled_from([300, 900])))
def test_cut_is_exact_for_what_keeps_when_freight_may_be_free(desk):
    """Packs of one, freight free from some goods on: no set of arrivals is cheaper."""
    assert desk.buy_all(desk.cut()).cost == pytest.approx(best_of_all(desk))


@settings(deadline=None, max_examples=60)
@given(plain_desks(st.integers(2, 40), st.none(), st.just(0.0), st.sampled_from([None, 300, 900])))
def test_cut_is_exact_for_what_keeps_when_holding_is_free(desk):
    """Packs over the season so far: no set of arrivals is cheaper."""
    assert desk.buy_all(desk.cut()).cost == pytest.approx(best_of_all(desk))


def test_cut_expects_what_bringing_an_order_up_costs():
    """A least order that each half would miss keeps the season in one; one that both reach does not."""
    rows = [wanted([(0, 50), (6, 50)])]
    assert Desk(Supplier("S"), rows, season(0.0005)).cut() == [0, 6]
    assert Desk(Supplier("S", least_cents=500), rows, season(0.0005)).cut() == [0, 6]
    assert Desk(Supplier("S", least_cents=1_000), rows, season(0.0005)).cut() == [0]
    worth_all = Desk(Supplier("S", least_cents=1_000), rows, season(0.0005, carried=1.0))
    assert worth_all.cut() == [0, 6]


def test_cut_knows_the_least_packs_and_the_price_of_their_number():
    """Three packs at least, each time: one order for both; with a price of their number, by that price."""
    needs = [(0, 10), (9, 10)]
    assert Desk(Supplier("S"), [wanted(needs)], season(0.001)).cut() == [0, 9]
    assert Desk(Supplier("S"), [wanted(needs, least_packs=2)], season(0.001)).cut() == [0]
    breaks = wanted(needs, prices=((1, 100), (2, 60)))
    assert Desk(Supplier("S"), [breaks], season(0.001)).cut() == [0]


def test_desk_leaves_out_the_arrival_in_the_middle():
    """Cut at 0, 3 and 5; the rest of the first covers half of the second: the middle one is left out."""
    rows = [wanted([(0, 5), (3, 10), (5, 10)], life=30)]
    desk = Desk(Supplier("S", freight_cents=20), rows, season(0.02), small=0)
    assert desk.cut() == [0, 3, 5]
    assert places(desk.cheapest()) == [0, 5]


def test_cut_rounds_what_keeps_over_the_season_and_what_does_not_at_each_order():
    """15 and 15 in packs of 10: three in all when it keeps, so a second order costs no pack; else four, or
    one order.

    Holding 15 for nine weeks at a hundredth of a cent a day is 9.45, freight 5.
    """
    needs = [(0, 15), (9, 15)]
    assert Desk(Supplier("S", freight_cents=5), [wanted(needs)], season(0.001)).cut() == [0, 9]
    assert Desk(Supplier("S", freight_cents=5), [wanted(needs, life=90)], season(0.001)).cut() == [0]
    assert Desk(Supplier("S", freight_cents=10), [wanted(needs)], season(0.001)).cut() == [0]


def test_desk_of_a_small_supplier_tries_one_more_arrival():
    """The cut sees one order; one more arrival, tried as two places of one material are few, costs less."""
    rows = [wanted([(1, 10), (3, 5)], prices=((1, 100), (3, 80)))]
    supplier = Supplier("S", freight_cents=20)
    assert Desk(supplier, rows, season(0.02, carried=0.0)).cut() == [1]
    large = Desk(supplier, rows, season(0.02, carried=0.0), small=1).cheapest()
    small = Desk(supplier, rows, season(0.02, carried=0.0), small=2).cheapest()
    assert (places(large), places(small)) == ([1], [1, 3])
    assert small.cost < large.cost


def test_cut_loosely_expects_rests_to_serve_later_orders():
    """Two packs at least, 10 and 10 of 10: strictly each order takes two, loosely the season needs two."""
    needs = [(0, 10), (9, 10)]
    desk = Desk(Supplier("S"), [wanted(needs, least_packs=2)], season(0.001))
    assert (desk.cut(), desk.cut(loose=True)) == ([0], [0, 9])
    breaks = Desk(Supplier("S"), [wanted(needs, prices=((1, 100), (2, 60)))], season(0.001))
    assert (breaks.cut(), breaks.cut(loose=True)) == ([0], [0, 9])
    dated = Desk(Supplier("S", freight_cents=5), [wanted([(0, 15), (9, 15)], life=90)], season(0.001))
    assert (dated.cut(), dated.cut(loose=True)) == ([0], [0, 9])
    short = Desk(Supplier("S", freight_cents=999), [wanted(needs, life=20)], season(0.001))
    assert short.cut(loose=True) == [0, 9]


def test_desk_takes_the_loose_cut_when_it_is_cheaper():
    """Least packs of one material would keep all in one order; the dear other one is cheaper in two."""
    rows = [
        wanted([(0, 15), (9, 15)], "least", least_packs=2),
        wanted([(0, 10), (9, 10)], "dear", prices=((1, 2_000),)),
    ]
    desk = Desk(Supplier("S", freight_cents=60), rows, season(0.001), small=0)
    assert (desk.cut(), desk.cut(loose=True)) == ([0], [0, 9])
    assert places(desk.cheapest()) == [0, 9]
