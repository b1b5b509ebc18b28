"""Buying one material through a season: packs, rests, dates, price breaks and what they cost."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.compute.buying import Arrivals, Raised, Season, Wanted, buy, cheapest
from inventory.compute.reasons import Given
from inventory.compute.suppliers import Offer

WEEKS = tuple(range(1000, 1000 + 70, 7))
SEASON = Season(WEEKS, tuple(day + 1 for day in WEEKS), WEEKS[-1] + 1, 0.0, 0.5)


def wanted(rows, pack=10, prices=((1, 100),), life=None, least_packs=1, put_away=0, earliest=0):
    offer = Offer("S", pack, prices, Given(0), None, least_packs)
    return Wanted("M", offer, tuple(rows), Arrivals(tuple(day - put_away for day in WEEKS), earliest), life)


def shown(bought):
    return [(one.place, one.packs, one.rest, one.serves) for one in bought.purchases]


def test_buy_rounds_up_to_packs_and_uses_the_rest_later():
    """12 then 5: two packs first, whose rest of 8 covers the 5; then nothing is bought."""
    answer = buy(wanted([(0, 12), (1, 5)]), SEASON, [0, 1])
    assert shown(answer) == [(0, 2, 8, [(0, 12)])]
    assert (answer.left, answer.lost, answer.goods_cents) == (3, 0, 200)


def test_buy_gathers_needs_up_to_the_next_arrival():
    """Arriving for the first and the third: the first order serves two workshops, the second the rest."""
    answer = buy(wanted([(0, 12), (1, 5), (2, 9), (3, 9)]), SEASON, [0, 2])
    assert shown(answer) == [(0, 2, 3, [(0, 12), (1, 5)]), (2, 2, 5, [(2, 6), (3, 9)])]


def test_buy_before_the_first_arrival_buys_for_the_need_itself():
    """A need before every given arrival is still bought, for its own load day."""
    assert shown(buy(wanted([(1, 10), (3, 10)]), SEASON, [3])) == [
        (1, 1, 0, [(1, 10)]),
        (3, 1, 0, [(3, 10)]),
    ]


def test_buy_brings_goods_early_when_they_share_an_arrival():
    """An arrival for an earlier workshop takes along what a later one needs."""
    assert shown(buy(wanted([(4, 10)]), SEASON, [2])) == [(2, 1, 0, [(4, 10)])]


def test_buy_orders_again_where_something_would_pass_its_date():
    """15 days of use: in for day 0 it reaches the third workshop (day 15), not the fourth (day 22)."""
    rows = [(place, 10) for place in range(5)]
    answer = buy(wanted(rows, life=15), SEASON, [0])
    assert shown(answer) == [
        (0, 3, 0, [(0, 10), (1, 10), (2, 10)]),
        (3, 2, 0, [(3, 10), (4, 10)]),
    ]
    shorter = buy(wanted(rows, life=14), SEASON, [0])
    assert [one.place for one in shorter.purchases] == [0, 2, 4]


def test_buy_does_not_use_a_rest_past_its_date():
    """5 left over pass on day 8: the second workshop (day 8) may have them, the third (day 15) may not."""
    second = buy(wanted([(0, 5), (1, 5)], life=8), SEASON, [0, 1])
    third = buy(wanted([(0, 5), (2, 5)], life=8), SEASON, [0, 2])
    assert (len(second.purchases), second.left, second.lost) == (1, 0, 0)
    assert (len(third.purchases), third.left, third.lost) == (2, 0, 10)


def test_buy_at_an_arrival_that_cannot_reach_the_need_buys_for_the_need():
    """In for day 0 with 8 days of use it cannot serve day 22: it is bought for that day."""
    assert shown(buy(wanted([(3, 10)], life=8), SEASON, [0])) == [(3, 1, 0, [(3, 10)])]


def test_buy_counts_the_life_from_the_day_it_is_there():
    """Put away 2 days before the load day, the life is 2 days shorter for use; late goods are younger."""
    assert [
        one.place for one in buy(wanted([(0, 1), (1, 1)], life=9, put_away=2), SEASON, [0]).purchases
    ] == [0, 1]
    assert [
        one.place for one in buy(wanted([(0, 1), (1, 1)], life=10, put_away=2), SEASON, [0]).purchases
    ] == [0]
    late = buy(wanted([(0, 1), (1, 1)], life=9, put_away=2, earliest=999), SEASON, [0])
    assert [one.place for one in late.purchases] == [0]


def test_buy_takes_the_least_packs():
    """3 packs at least: what is more than needed is a rest, and says why."""
    answer = buy(wanted([(0, 12)], least_packs=3), SEASON, [0])
    assert shown(answer) == [(0, 3, 18, [(0, 12)])]
    assert answer.purchases[0].raised is Raised.LEAST_PACKS
    assert buy(wanted([(0, 21)], least_packs=3), SEASON, [0]).purchases[0].raised is None


def test_buy_takes_the_packs_that_are_asked_for_an_arrival():
    """Four packs asked where two would do; one asked changes nothing."""
    more = buy(wanted([(0, 12)]), SEASON, [0], least={0: 4})
    assert (more.purchases[0].packs, more.purchases[0].raised) == (4, Raised.LEAST_ORDER)
    assert buy(wanted([(0, 12)]), SEASON, [0], least={0: 1, 5: 9}).purchases[0].raised is None


def test_buy_costs_holding_from_receipt_to_use_and_for_the_rest():
    """A tenth of a cent a day on each cent: by hand.

    10 at 10 cents in on day 0: 4 used on day 0, 4 on day 7, the rest of 2 held to the season's end on day 64.
    """
    season = Season(WEEKS, SEASON.lasts, SEASON.ends, 0.1, 0.5)
    answer = buy(wanted([(0, 4), (1, 4)], prices=((1, 100),)), season, [0])
    assert answer.holding_cents == pytest.approx((4 * 7 + 2 * 64) * 10 * 0.1)
    assert answer.carried_cents == pytest.approx(2 * 10 * 0.5)
    assert answer.cost == pytest.approx(100 + 156 - 10)
    passing = buy(wanted([(0, 4), (1, 4)], life=20), season, [0])
    assert passing.holding_cents == pytest.approx((4 * 7 + 2 * 20) * 10 * 0.1)
    assert (passing.carried_cents, passing.lost) == (0, 2)
    early = buy(wanted([(0, 10)], put_away=3), season, [0])
    assert early.holding_cents == pytest.approx(10 * 3 * 10 * 0.1)
    late = buy(wanted([(0, 10)], put_away=3, earliest=1005), season, [0])
    assert late.holding_cents == 0


def test_buy_values_a_rest_by_the_lowest_price_and_holds_by_that_of_a_single_pack():
    """What is left over is worth its part of the price at the last break; holding goes by the list price."""
    season = Season(WEEKS, SEASON.lasts, SEASON.ends, 0.1, 0.5)
    answer = buy(wanted([(0, 4)], prices=((1, 100), (9, 60))), season, [0])
    assert answer.carried_cents == pytest.approx(6 * 6 * 0.5)
    assert answer.holding_cents == pytest.approx(6 * 64 * 10 * 0.1)


def test_cheapest_takes_a_price_break_when_it_pays():
    """4 packs cost 400, 5 cost 350: five are bought although four would do; at 99 a pack four are."""
    pays = cheapest(wanted([(0, 40)], prices=((1, 100), (5, 70))), SEASON, [0])
    assert (pays.purchases[0].packs, pays.purchases[0].raised, pays.goods_cents) == (5, Raised.BREAK, 350)
    plain = cheapest(wanted([(0, 40)], prices=((1, 100), (5, 99))), SEASON, [0])
    assert (plain.purchases[0].packs, plain.purchases[0].raised) == (4, None)


def test_cheapest_orders_in_one_go_when_a_price_break_asks_it():
    """Twice 3 packs cost 600, six in one go 420; what passes its date is not ordered in one go."""
    rows, prices = [(0, 30), (4, 30)], ((1, 100), (6, 70))
    one = cheapest(wanted(rows, prices=prices), SEASON, [0, 4])
    assert ([each.packs for each in one.purchases], one.goods_cents) == ([6], 420)
    short = cheapest(wanted(rows, prices=prices, life=10), SEASON, [0, 4])
    assert [each.packs for each in short.purchases] == [3, 3]


def test_cheapest_leaves_a_price_break_that_holding_eats():
    """Six in one go save 30 cents a pack, but holding half of them for four weeks costs more than that."""
    rows, prices = [(0, 30), (4, 30)], ((1, 100), (6, 70))
    dear = Season(WEEKS, SEASON.lasts, SEASON.ends, 0.03, 0.5)
    answer = cheapest(wanted(rows, prices=prices), dear, [0, 4])
    assert [each.packs for each in answer.purchases] == [3, 3]


def packs_with_breaks(rows, prices, **kwargs):
    return [one.packs for one in buy(wanted(rows, prices=prices, **kwargs), SEASON, [0, 4, 8]).purchases]


def test_buy_takes_a_break_that_costs_no_more_outright():
    """4 packs at 100 cost 400: 5 at 79 cost 395, at 80 as much, at 90 more than the rest is worth (half)."""
    assert packs_with_breaks([(0, 40)], ((1, 100), (5, 79))) == [5]
    assert packs_with_breaks([(0, 40)], ((1, 100), (5, 88))) == [5]
    assert packs_with_breaks([(0, 40)], ((1, 100), (5, 90))) == [4]
    assert packs_with_breaks([(0, 40)], ((1, 100), (5, 88)), life=200) == [4]
    assert packs_with_breaks([(0, 40)], ((1, 100), (5, 79)), life=200) == [5]


def test_buy_takes_a_break_that_later_needs_use_up():
    """6 in one go at 95, not 3 and 3 at 100: 570 against 600; not when they would pass, nor for a 7th."""
    prices = ((1, 100), (6, 95))
    assert packs_with_breaks([(0, 30), (4, 30)], prices) == [6]
    assert packs_with_breaks([(0, 30), (4, 30)], prices, life=29) == [6]
    assert packs_with_breaks([(0, 30), (4, 30)], prices, life=28) == [3, 3]
    assert packs_with_breaks([(0, 30), (4, 3)], prices, life=200) == [3, 1]


def test_buy_counts_the_rest_it_has_before_a_break_saves():
    """25 are 3 packs with 5 left; later 25 need 20 more, not 25: a break at 6 would leave 10 over."""
    prices = ((1, 100), (6, 90))
    assert packs_with_breaks([(0, 25), (4, 25)], prices, life=200) == [3, 2]
    assert packs_with_breaks([(0, 25), (4, 35)], prices, life=200) == [6]


def test_buy_values_what_stays_after_later_needs():
    """A break at 6 leaves 20 of 30 over, worth half: at 79 it pays, at 80 it is the same, at 85 not."""
    rows = [(0, 30), (4, 10)]
    assert packs_with_breaks(rows, ((1, 100), (6, 79))) == [6]
    assert packs_with_breaks(rows, ((1, 100), (6, 80))) == [3, 1]
    assert packs_with_breaks(rows, ((1, 100), (6, 85))) == [3, 1]


def test_buy_takes_the_last_break_that_pays():
    """Two breaks: both pay, the larger is taken; only the smaller pays, it is taken."""
    assert packs_with_breaks([(0, 40)], ((1, 100), (5, 70), (6, 50))) == [6]
    assert packs_with_breaks([(0, 40)], ((1, 100), (5, 70), (60, 50)), life=200) == [5]


def test_buy_holds_a_rest_until_it_is_drawn():
    """6 of the first pack stay; 4 of them are drawn on day 7, 2 held to the end on day 64 (by hand)."""
    season = Season(WEEKS, SEASON.lasts, SEASON.ends, 0.1, 0.5)
    answer = buy(wanted([(0, 4), (1, 4)]), season, [0, 1])
    assert answer.holding_cents == pytest.approx((4 * 7 + 2 * 64) * 10 * 0.1)
    late = buy(wanted([(0, 4), (1, 4)], earliest=1012), season, [0, 1])
    assert late.holding_cents == pytest.approx(2 * 52 * 10 * 0.1)
    early = buy(wanted([(0, 4), (1, 4)], put_away=2), season, [0, 1])
    assert early.holding_cents == pytest.approx((4 * 2 + 4 * 9 + 2 * 66) * 10 * 0.1)


def test_buy_at_an_arrival_that_just_reaches_the_need_stays_there():
    """In for day 0, usable through day 15: it serves the third workshop to its last day; a day less not."""
    assert [one.place for one in buy(wanted([(2, 10)], life=15), SEASON, [0]).purchases] == [0]
    assert [one.place for one in buy(wanted([(2, 10)], life=14), SEASON, [0]).purchases] == [2]


def test_buy_counts_a_rest_usable_on_the_last_day_as_left():
    """Usable through the season's last day it is left over, a day less it is lost; neither has a worth."""
    last = SEASON.ends - WEEKS[0]
    on_the_day, before = (buy(wanted([(0, 4)], life=days), SEASON, [0]) for days in (last, last - 1))
    assert (on_the_day.left, on_the_day.lost, on_the_day.carried_cents) == (6, 0, 0)
    assert (before.left, before.lost) == (0, 6)


@st.composite
def buyings(draw):
    """A material's season with anything that can be, and the places goods arrive for."""
    rows = [
        (place, draw(st.integers(1, 60))) for place in sorted(draw(st.sets(st.integers(0, 9), min_size=1)))
    ]
    prices = draw(st.sampled_from([((1, 100),), ((1, 100), (3, 90)), ((1, 100), (2, 95), (8, 60))]))
    life = draw(st.sampled_from([None, 1, 8, 20, 40]))
    made = wanted(rows, draw(st.integers(1, 40)), prices, life, draw(st.integers(1, 4)))
    return made, sorted(draw(st.sets(st.integers(0, 9)))), draw(st.sampled_from([0.0, 0.001, 0.02]))


@settings(deadline=None)
@given(buyings())
def test_cheapest_loses_nothing_and_uses_nothing_past_its_date(given_buying):
    """Bought = used + left + lost; every need is covered by what is there and in date, first in first out."""
    made, starts, holding = given_buying
    season = Season(WEEKS, SEASON.lasts, SEASON.ends, holding, 0.5)
    answer = cheapest(made, season, starts)
    pack = made.offer.pack
    total = sum(amount for _, amount in made.rows)
    assert sum(one.packs for one in answer.purchases) * pack == total + answer.left + answer.lost
    assert answer.goods_cents == sum(
        one.packs * made.offer.price_cents(one.packs) for one in answer.purchases
    )
    shelf = []
    coming = sorted(answer.purchases, key=lambda one: one.place)
    for place, amount in made.rows:
        while coming and coming[0].place <= place:
            one = coming.pop(0)
            shelf.append([one.packs * pack, one.usable_through])
        for rest in shelf:
            if rest[1] >= season.lasts[place]:
                take = min(rest[0], amount)
                rest[0] -= take
                amount -= take
        assert amount == 0
    for one in answer.purchases:
        assert one.packs >= made.offer.least_packs
        assert 0 <= one.rest == one.packs * pack - sum(amount for _, amount in one.serves)
        assert one.place in starts or one.place in dict(made.rows)
    assert answer.cost <= buy(made, season, starts, breaks=False).cost
