"""Lots and needs that cannot be: refused, beside the nearest that can."""

from datetime import UTC, datetime

import pytest

from inventory.compute.choose import KEEPS, Lot, Need
from inventory.errors import Refused
from tests.compute.lots import START, choose, day, lot, need


def refused(code, make, *mentions):
    with pytest.raises(Refused) as caught:
        make()
    assert caught.value.code == code
    for mention in mentions:
        assert mention in str(caught.value)


@pytest.mark.parametrize("amount", [-1, 1.5, float("nan"), float("inf"), True, "5"])
def test_lot_and_need_when_the_amount_is_no_whole_number_are_refused(amount):
    """Zero and five are amounts."""
    assert Lot("a", 0, KEEPS).amount == 0
    refused("choose.amount", lambda: Lot("a", amount, KEEPS), "a", str(amount).replace("-", "−"))
    assert Need("W", 5, START, START).amount == 5
    refused("choose.amount", lambda: Need("W", amount, START, START), "W")


def test_lot_and_need_when_a_day_has_an_hour_are_refused():
    """A moment cannot be compared with a day; the day alone can."""
    moment = datetime(2026, 1, 1, 12, tzinfo=UTC)
    assert Lot("a", 5, START, available_from=START)
    refused("choose.date", lambda: Lot("a", 5, moment))
    refused("choose.date", lambda: Lot("a", 5, KEEPS, available_from=moment))
    refused("choose.date", lambda: Need("W", 5, moment, START))
    refused("choose.date", lambda: Need("W", 5, START, "tomorrow"))
    refused("choose.date", lambda: choose([], [], horizon=moment), "the horizon")


def test_lot_when_it_comes_after_its_last_day_is_refused():
    """The same day is possible."""
    assert lot("a", 5, 20, start=20)
    refused("choose.lot_dates", lambda: lot("a", 5, 20, start=21), "2026-01-22", "2026-01-21")


def test_need_when_its_days_are_reversed_is_refused():
    """A day workshop loads and ends on one day."""
    assert need("W", 5, 10, 10)
    refused("choose.need_dates", lambda: need("W", 5, 11, 10), "2026-01-12", "2026-01-11")


def test_choose_when_a_key_is_listed_twice_is_refused():
    """A lot and a need may share a key; two lots or two needs may not."""
    assert choose([lot("a", 5, 20)], [need("a", 5, 8, 10)]).short == 0
    refused("choose.twice", lambda: choose([lot("a", 5, 20), lot("a", 5, 30)], []), "a")
    refused("choose.twice", lambda: choose([], [need("W", 5, 8, 10), need("W", 5, 18, 20)]), "W")


def test_choose_when_the_horizon_comes_before_the_last_use_is_refused():
    """The last day of use itself is far enough."""
    assert choose([], [need("W", 5, 8, 10)], horizon=day(10)).short == 5
    refused("choose.horizon", lambda: choose([], [need("W", 5, 8, 10)], horizon=day(9)), "2026-01-10")
