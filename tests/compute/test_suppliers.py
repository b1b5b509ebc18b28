"""By when to order, and offers and suppliers that cannot be."""

import math
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.compute.reasons import Basis, Given
from inventory.compute.suppliers import Closed, Offer, OpenDays, Supplier, order_by, refuse_bad_offer
from inventory.errors import Refused

PLAIN = Supplier("S")
WEEKEND = frozenset({5, 6})


def by(load, put_away=3, lead=21, supplier=PLAIN):
    return order_by(
        load_on=load,
        put_away_days=Given(put_away),
        lead_days=Given(lead, Basis.DATA_SHEET),
        supplier=supplier,
    )


def refused(code, job):
    with pytest.raises(Refused) as caught:
        job()
    assert caught.value.code == code
    return str(caught.value.sentence)


def test_order_by_counts_back_from_the_load_day():
    """Load 13 May 2026, 3 days to put away, 21 days lead: received 10 May, ordered by 19 April (by hand)."""
    answer = by(date(2026, 5, 13))
    assert answer.receive_on == date(2026, 5, 10)
    assert answer.order_by == date(2026, 4, 19)
    facts = {item.name: (item.value, item.basis) for item in answer.how.inputs}
    assert facts["lead time"] == (21, Basis.DATA_SHEET)
    assert facts["put away"] == (3, Basis.ASSUMED)


def test_order_by_counts_open_days_only():
    """Closed at weekends: 10 May is a Sunday, so in by Friday 8 May; 5 open days before is Friday 1 May."""
    answer = by(date(2026, 5, 13), lead=5, supplier=Supplier("S", closed_weekdays=WEEKEND))
    assert answer.receive_on == date(2026, 5, 8)
    assert answer.order_by == date(2026, 5, 1)


def test_order_by_skips_closed_stretches():
    """Three weeks closed in July do not count as lead time, and nothing is ordered on their days."""
    shut = Supplier("S", closed=(Closed(date(2026, 7, 6), date(2026, 7, 26)),))
    assert by(date(2026, 8, 3), lead=10, supplier=shut).order_by == date(2026, 6, 30)
    assert by(date(2026, 8, 3), lead=4, supplier=shut).order_by == date(2026, 7, 27)
    assert by(date(2026, 8, 3), lead=5, supplier=shut).order_by == date(2026, 7, 5)
    inside = by(date(2026, 7, 20), put_away=0, lead=0, supplier=shut)
    assert inside.receive_on == inside.order_by == date(2026, 7, 5)


def test_order_by_of_a_supplier_next_door_is_the_day_itself():
    """No lead and nothing to put away: order on the load day."""
    answer = by(date(2026, 5, 13), put_away=0, lead=0)
    assert answer.order_by == answer.receive_on == date(2026, 5, 13)


@settings(deadline=None)
@given(
    st.dates(date(2025, 1, 1), date(2027, 1, 1)),
    st.integers(0, 10),
    st.integers(0, 40),
    st.frozensets(st.integers(0, 6), max_size=6),
    st.lists(st.tuples(st.integers(0, 700), st.integers(0, 30)), max_size=3),
)
def test_order_by_leaves_the_lead_time_in_open_days(load, put_away, lead, weekdays, shut):
    """Both days are open; the lead lies between them; no later open day would do. Counted day by day."""
    first = date(2024, 6, 1)
    closed = tuple(
        Closed(first + timedelta(start), first + timedelta(start + length)) for start, length in shut
    )
    answer = by(load, put_away, lead, Supplier("S", closed=closed, closed_weekdays=weekdays))

    def is_open(day):
        return day.weekday() not in weekdays and not any(one.first <= day <= one.last for one in closed)

    def between(start, end):
        return [
            start + timedelta(n) for n in range(1, (end - start).days + 1) if is_open(start + timedelta(n))
        ]

    latest = load - timedelta(put_away)
    assert is_open(answer.order_by)
    assert is_open(answer.receive_on)
    assert answer.order_by <= answer.receive_on <= latest
    assert between(answer.receive_on, latest) == []
    assert len(between(answer.order_by, answer.receive_on)) == lead


def open_days(first, last, **kwargs):
    return OpenDays(Supplier("S", **kwargs), first.toordinal(), last.toordinal())


def test_open_days_forward_counts_from_the_next_open_day():
    """Ordered on Friday 8 May with 2 open days: Tuesday 12 May; on the Saturday it counts from Monday."""
    days = open_days(date(2026, 5, 1), date(2026, 5, 31), closed_weekdays=WEEKEND)
    assert days.forward(date(2026, 5, 8).toordinal(), 2) == date(2026, 5, 12).toordinal()
    assert days.forward(date(2026, 5, 9).toordinal(), 2) == date(2026, 5, 13).toordinal()
    assert days.forward(date(2026, 5, 9).toordinal(), 0) == date(2026, 5, 11).toordinal()
    assert days.forward(date(2026, 5, 11).toordinal(), 0) == date(2026, 5, 11).toordinal()


def test_open_days_hold_their_first_and_last_day_and_nothing_beyond():
    """The first day can be counted back to, the last one forward to; one step more is refused."""
    days = open_days(date(2026, 5, 4), date(2026, 5, 8))
    monday, friday = date(2026, 5, 4).toordinal(), date(2026, 5, 8).toordinal()
    assert days.back(friday, 4) == monday
    assert days.forward(monday, 4) == friday
    assert "2026-05-08" in refused("planning.closed", lambda: days.back(friday, 5))
    assert "2026-05-04" in refused("planning.closed", lambda: days.forward(monday, 5))


def test_open_days_take_closed_stretches_out_at_both_ends():
    """A stretch that begins before, and one that ends after, the days looked at, close what lies inside."""
    shut = (Closed(date(2026, 4, 1), date(2026, 5, 4)), Closed(date(2026, 5, 8), date(2026, 9, 1)))
    days = open_days(date(2026, 5, 4), date(2026, 5, 8), closed=shut)
    assert days.days == [date(2026, 5, day).toordinal() for day in (5, 6, 7)]


def test_supplier_and_offer_cost_nothing_that_is_not_said():
    """No freight, no handling, no least order, one pack at least, no date, unless said."""
    assert (PLAIN.freight_cents, PLAIN.order_cents, PLAIN.least_cents, PLAIN.free_from_cents) == (
        0,
        0,
        0,
        None,
    )
    plain = Offer("S", 1, ((1, 1),), Given(1))
    assert (plain.least_packs, plain.life_days) == (1, None)


def test_order_by_before_the_calendar_begins_is_refused():
    """The first days of the calendar have no open day before them; a year later there is one."""
    assert by(date(2, 1, 5)).order_by == date(1, 12, 12)
    assert "S has no open day" in refused("planning.closed", lambda: by(date(1, 1, 5)))


@pytest.mark.parametrize(
    ("code", "kwargs"),
    [
        ("planning.lead", {"lead": -1}),
        ("planning.lead", {"lead": 2.5}),
        ("planning.lead", {"lead": 3_651}),
        ("planning.lead", {"lead": math.nan}),
        ("planning.put_away", {"put_away": -1}),
        ("planning.put_away", {"put_away": 0.5}),
        ("planning.days", {"load": datetime(2026, 5, 1)}),
        ("planning.supplier", {"supplier": Supplier(" ")}),
        ("planning.price", {"supplier": Supplier("S", freight_cents=-1)}),
        ("planning.price", {"supplier": Supplier("S", free_from_cents=-1)}),
        ("planning.price", {"supplier": Supplier("S", order_cents=0.5)}),
        ("planning.price", {"supplier": Supplier("S", least_cents=-5)}),
        (
            "planning.closed",
            {"supplier": Supplier("S", closed=(Closed(date(2026, 7, 2), date(2026, 7, 1)),))},
        ),
        ("planning.weekdays", {"supplier": Supplier("S", closed_weekdays=frozenset(range(7)))}),
        ("planning.weekdays", {"supplier": Supplier("S", closed_weekdays=frozenset({7}))}),
    ],
)
def test_order_by_when_something_is_impossible_is_refused(code, kwargs):
    """Six closed weekdays, one closed day and ten years of lead are possible; beyond that not."""
    widest = Supplier("S", 0, 0, 0, 0, (Closed(date(2026, 7, 1), date(2026, 7, 1)),), frozenset(range(6)))
    assert by(date(2026, 8, 3), lead=1, supplier=widest).order_by == date(2026, 7, 19)
    assert by(date(2026, 8, 3), lead=3_650)
    refused(code, lambda: by(**{"load": date(2026, 8, 3)} | kwargs))


def test_offer_price_is_that_of_all_packs_of_its_number():
    """From 5 packs on all of them cost 90, from 20 on 80."""
    offer = Offer("S", 1, ((1, 100), (5, 90), (20, 80)), Given(1))
    assert [offer.price_cents(packs) for packs in (1, 4, 5, 19, 20, 500)] == [100, 100, 90, 90, 80, 80]
    assert (offer.list_cents, offer.lowest_cents) == (100, 80)
    assert Offer("S", 1, ((1, 70),), Given(1)).price_cents(9) == 70


@pytest.mark.parametrize(
    ("code", "kwargs"),
    [
        ("planning.pack", {"pack": 0}),
        ("planning.pack", {"pack": 1.5}),
        ("planning.pack", {"least_packs": 0}),
        ("planning.prices", {"prices": ()}),
        ("planning.prices", {"prices": ((2, 100),)}),
        ("planning.prices", {"prices": ((1, 100), (1, 90))}),
        ("planning.prices", {"prices": ((1, 100), (5, 90), (3, 80))}),
        ("planning.prices", {"prices": ((1, 100), (5, 101))}),
        ("planning.prices", {"prices": ((1, 100), (5.5, 90))}),
        ("planning.price", {"prices": ((1, -1),)}),
        ("planning.price", {"prices": ((1, 9.5),)}),
        ("planning.lead", {"lead_days": Given(-1)}),
        ("planning.life", {"life_days": Given(-1)}),
        ("planning.life", {"life_days": Given(30.5)}),
    ],
)
def test_offer_when_something_is_impossible_is_refused(code, kwargs):
    """A free sample with falling prices and a day of life is an offer; rising prices are not."""
    facts = {"supplier": "S", "pack": 1, "prices": ((1, 100), (5, 100), (9, 0)), "lead_days": Given(0)}
    refuse_bad_offer(Offer(**facts, life_days=Given(1)), "resin")
    refused(code, lambda: refuse_bad_offer(Offer(**facts | kwargs), "resin"))
