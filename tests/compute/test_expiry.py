"""Last days: against the standard library's calendar, and each way of ending beside the one that differs."""

import calendar
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.expiry import Ends, days_of_months, months_later, opened_through, usable
from tests.make import day, refused

days = st.dates(date(1990, 1, 1), date(2200, 12, 31))


@given(days, st.integers(0, 120))
def test_months_later_walks_the_calendar_as_the_standard_library_does(start, months):
    """Outside check: month by month, the last day of a month by `calendar.monthcalendar`."""
    year, month = start.year, start.month
    for _ in range(months):
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)
    last = max(max(week) for week in calendar.monthcalendar(year, month))
    assert months_later(day=start, months=months) == date(year, month, min(start.day, last))


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        ("2025-05-03", 24, "2027-05-03"),
        ("2025-08-31", 6, "2026-02-28"),
        ("2027-08-31", 6, "2028-02-29"),
        ("2028-02-29", 12, "2029-02-28"),
        ("2025-12-01", 1, "2026-01-01"),
    ],
)
def test_months_later_at_the_end_of_a_month_stays_in_the_month(start, months, end):
    """The 31st of a month without one is its last day; a year has its February."""
    assert months_later(day=day(start), months=months) == day(end)


def test_months_later_of_no_months_or_of_the_absurd_is_refused():
    """Fractions and centuries are slips; nought and 600 months are not."""
    for wrong in (-1, 601, 1.5):
        with refused("expiry.months"):
            months_later(day=day("2025-05-03"), months=wrong)
    assert months_later(day=day("2025-05-03"), months=600) == day("2075-05-03")
    with refused("expiry.day", "0025"):
        months_later(day=date(25, 5, 3), months=1)


@given(days, st.integers(1, 9_999))
def test_opened_through_is_as_many_days_later_as_the_standard_library_says(start, life):
    """Outside check: `timedelta` and ordinals."""
    end = opened_through(opened_on=start, days=life)
    assert end - start == timedelta(days=life)
    assert end.toordinal() - start.toordinal() == life


@given(days, st.integers(1, 120))
def test_days_of_months_is_within_four_days_of_the_calendar(start, months):
    """Rounded down from mean months: within four days of any calendar months."""
    calendar_days = (months_later(day=start, months=months) - start).days
    assert -4 <= calendar_days - days_of_months(months=months) <= 4


@pytest.mark.parametrize(
    ("facts", "through", "by"),
    [
        ({"expires_on": day("2027-06-01")}, "2027-06-01", Ends.LABEL),
        ({"expires_on": day("2027-06-01"), "by_shelf_life": True}, "2027-06-01", Ends.SHELF_LIFE),
        (
            {"expires_on": day("2027-06-01"), "opened_on": day("2026-12-01"), "opened_life_days": 30},
            "2026-12-31",
            Ends.OPENED,
        ),
        (
            {"expires_on": day("2026-12-20"), "opened_on": day("2026-12-01"), "opened_life_days": 30},
            "2026-12-20",
            Ends.LABEL,
        ),
        (
            {"expires_on": None, "opened_on": day("2026-12-01"), "opened_life_days": 1},
            "2026-12-02",
            Ends.OPENED,
        ),
        (
            {"expires_on": day("2027-06-01"), "extended_through": day("2027-09-01")},
            "2027-09-01",
            Ends.RETEST,
        ),
    ],
)
def test_usable_takes_the_earlier_end_and_says_which(facts, through, by):
    """Label or opening, whichever is first; a re-test stands for both."""
    found = usable(**facts)
    assert (found.through, found.by) == (day(through), by)
    assert not found.past(day(through))
    assert found.past(day(through) + timedelta(days=1))


def test_usable_when_nothing_is_known_is_not_known_and_never_past():
    """Opened with a life that nobody entered says nothing; with one it does."""
    found = usable(expires_on=None, opened_on=day("2026-12-01"))
    assert (found.through, found.by) == (None, Ends.UNKNOWN)
    assert not found.past(date.max)
    assert usable(expires_on=None, opened_on=day("2026-12-01"), opened_life_days=5).past(day("2026-12-07"))
