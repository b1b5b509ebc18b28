"""What lots on hand and on the way cover of a season."""

from datetime import date, timedelta

import pytest

from inventory.compute.choose import KEEPS, Lot, Method
from inventory.compute.demand_facts import WorkshopNeed
from inventory.compute.netting import arriving, net
from inventory.compute.reasons import Given
from inventory.compute.units import Base
from inventory.errors import Refused

YEAR_END = date(2026, 12, 31)


def need(code, load, last, planned, booked=0):
    return WorkshopNeed(code, load, last, planned, booked, planned)


def netted(needs, lots, horizon=YEAR_END):
    return net(needs=needs, lots=lots, base=Base.MG, horizon=horizon)


def test_net_of_equal_totals_is_short_when_days_are_looked_at():
    """10 kg usable to 30 June and 6 kg to 31 December, 8 kg asked in May and in September: short 2 kg, 2 kg
    expire.

    Stock 16 = demand 16, so totals would say enough (worked by hand).
    """
    needs = [
        need("May", date(2026, 5, 15), date(2026, 5, 16), 8, 3),
        need("September", date(2026, 9, 1), date(2026, 9, 2), 8, 6),
    ]
    lots = [Lot("A", 10, date(2026, 6, 30)), Lot("B", 6, YEAR_END)]
    answer = netted(needs, lots)
    assert answer.uncovered == (0, 2)
    assert [(rest.lot, rest.amount) for rest in answer.planned.expiring] == [("A", 2)]
    assert answer.booked.short == 0
    assert [(rest.lot, rest.amount) for rest in answer.booked.expiring] == [("A", 7)]


def test_net_says_each_shortage_for_itself():
    """Booked pairs alone are covered; with the open seats that may fill, two are short: two answers."""
    needs = [need("W", date(2026, 5, 15), date(2026, 5, 16), 12, 9)]
    answer = netted(needs, [Lot("A", 10, YEAR_END)])
    assert (answer.planned.short, answer.booked.short) == (2, 0)


def test_net_when_windows_cross_uses_the_exact_method():
    """Loaded long before a late stop: the sweep covers 5 of 10, the maximum flow all (by hand)."""
    day = date(2026, 1, 1)
    needs = [
        need("early end", day + timedelta(20), day + timedelta(21), 5),
        need("late end", day + timedelta(1), day + timedelta(29), 5),
    ]
    lots = [
        Lot("A", 5, day + timedelta(30)),
        Lot("B", 5, day + timedelta(60), available_from=day + timedelta(10)),
    ]
    answer = netted(needs, lots)
    assert answer.uncovered == (0, 0)
    assert answer.planned.method is Method.FLOW


def arrival(**kwargs):
    facts = {
        "code": "PO 7",
        "amount": 500,
        "promised_on": date(2026, 5, 1),
        "put_away_days": Given(3),
        "life_days": Given(90),
        "margin_days": Given(10),
    }
    return arriving(**facts | kwargs)


def test_arriving_counts_put_away_and_margin():
    """Promised on 1 May: there from 4 May, usable through 90 - 10 days later; without a life it keeps."""
    lot = arrival()
    assert (lot.key, lot.amount) == ("PO 7", 500)
    assert lot.available_from == date(2026, 5, 4)
    assert lot.last_day == date(2026, 5, 1) + timedelta(80)
    assert arrival(life_days=None).last_day == KEEPS


def test_arriving_serves_only_what_it_is_there_for():
    """There on 4 May it serves a load day of 4 May, not of 3 May."""
    needs = [
        need("3 May", date(2026, 5, 3), date(2026, 5, 5), 100),
        need("4 May", date(2026, 5, 4), date(2026, 5, 6), 100),
    ]
    assert netted(needs, [arrival()]).uncovered == (100, 0)


@pytest.mark.parametrize(
    ("code", "kwargs"),
    [
        ("planning.put_away", {"put_away_days": Given(-1)}),
        ("planning.life", {"life_days": Given(-1)}),
        ("planning.margin", {"margin_days": Given(-1)}),
        ("planning.margin", {"margin_days": Given(1.5)}),
        ("choose.amount", {"amount": -1}),
        ("choose.lot_dates", {"life_days": Given(12)}),
    ],
)
def test_arriving_when_something_is_impossible_is_refused(code, kwargs):
    """An order of nothing that is just in date when put away is a lot; one that has passed by then is not."""
    assert arrival(life_days=Given(13), amount=0).last_day == date(2026, 5, 4)
    with pytest.raises(Refused) as caught:
        arrival(**kwargs)
    assert caught.value.code == code
