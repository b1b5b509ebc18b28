"""What to expect of a supplier: open days, lead times from own orders, life left of what comes in."""

from datetime import date, timedelta

import numpy
import pytest

from inventory.compute.reasons import Basis
from inventory.compute.supply import NOBODY_SAID, lead_time, life_left, open_days


@pytest.mark.parametrize("start", range(7))
def test_open_days_are_those_of_numpy(start):
    """numpy.busday_count counts from the first day up to before the last; here the first day is not counted
    and the last is: moved by one day it is the same."""
    first = date(2026, 11, 30) + timedelta(start)
    for days in range(40):
        last = first + timedelta(days)
        expected = numpy.busday_count(first + timedelta(1), last + timedelta(1))
        assert open_days(first=first, last=last) == max(0, expected)


def test_lead_time_is_the_cards_until_three_own_orders_took_longer():
    """Two slow orders do not count yet; three do, by the day 4 of 5 were here; quick ones shorten nothing."""
    assert lead_time(seen=[30, 30], said=10).planned.value == 10
    slow = lead_time(seen=[30, 12, 14, 15, 16], said=10)
    assert (slow.planned.value, slow.planned.basis, slow.orders) == (16, Basis.LEARNED, 5)
    assert (slow.shortest, slow.middle, slow.longest) == (12, 15, 30)
    assert lead_time(seen=[3, 4, 5, 6], said=10).planned.value == 10


def test_nearest_rank_of_five_is_the_fourth_and_of_the_textbooks_list_the_textbooks():
    """Nearest-rank 40 % of 15 20 35 40 50 is 20, from memory of the textbook list; here 80 %: the 4th, 40,
    as numpy's method `inverted_cdf` has it."""
    values = [15, 20, 35, 40, 50]
    assert lead_time(seen=values, said=1).planned.value == 40
    assert numpy.percentile(values, 80, method="inverted_cdf") == 40


def test_lead_time_when_nobody_said_is_long_and_called_assumed():
    """Never shorter than four weeks of open days."""
    found = lead_time(seen=[], said=None)
    assert (found.planned.value, found.planned.basis, found.orders) == (NOBODY_SAID, Basis.ASSUMED, 0)
    assert lead_time(seen=[35], said=None).planned.value == 35
    assert lead_time(seen=[3, 3, 3], said=None).planned.value == NOBODY_SAID


def test_only_the_last_eight_orders_are_looked_at():
    """A supplier that got quicker is not held to what it took years ago."""
    assert lead_time(seen=[10] * 8 + [90] * 5, said=5).planned.value == 10


def test_life_left_is_learned_from_three_lots_else_assumed_from_the_shelf_life():
    """No lot and no shelf life: it has no date."""
    assert life_left(seen=[], shelf_days=None) is None
    assert life_left(seen=[200, 210], shelf_days=400).value == 300
    assert life_left(seen=[200, 210, 220], shelf_days=400).value == 210
    assert life_left(seen=[200, 90], shelf_days=None).value == 90
    assert life_left(seen=[-5], shelf_days=None).value == 0
