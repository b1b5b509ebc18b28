"""Hours that age as all the readings they are made of."""

import math
import random
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate

from inventory.compute import hours
from inventory.compute.hours import Hour, Thinner, differences, joined, packed, stays, unpacked
from inventory.compute.hours_fold import fold
from inventory.compute.storage import kinetic_c
from inventory.errors import Refused

START = datetime(2026, 7, 1, tzinfo=UTC)
K = 10_000.0


def kept(pairs):
    thinner = Thinner()
    for minutes, celsius in pairs:
        thinner.take(START + timedelta(minutes=minutes), celsius)
    return thinner.kept()


def charged_days(found, label_c, until=timedelta(days=400)):
    total = 0.0
    for stay in stays(found, starts=START, ends=START + until):
        rate = max(1.0, math.exp(K * (1 / (label_c + 273.15) - 1 / (stay.celsius.value + 273.15))))
        total += stay.hours / 24 * rate
    return total


def test_charge_of_a_hot_day_is_the_integral_scipy_gives():
    """A smooth day between 20 and 38 °C at every second minute, above a label of 15 °C.

    Outside: scipy.integrate.simpson over the same points. The hotter of two readings charges a little more.
    """
    minutes = np.arange(0, 24 * 60 + 1, 2)
    celsius = 29 + 9 * np.sin(minutes / (24 * 60) * 2 * np.pi)
    rates = np.exp(K * (1 / 288.15 - 1 / (celsius + 273.15)))
    outside = integrate.simpson(rates, x=minutes / (24 * 60))
    found = kept(zip(minutes.tolist(), celsius.tolist(), strict=True))
    charged = charged_days(found.hours, 15.0)
    assert charged == pytest.approx(outside, rel=0.01)
    assert charged >= outside


@settings(max_examples=40)
@given(
    start=st.floats(-10, 40),
    steps=st.lists(st.floats(-3, 3), min_size=30, max_size=200),
    label=st.floats(5, 35),
    every=st.sampled_from([1.0, 7.0, 10.0, 20.0]),
)
def test_charge_is_never_below_that_of_all_readings_and_equal_beside_the_label(start, steps, label, every):
    """Outside: the sum over the readings, each span at its hotter end, written in numpy."""
    celsius = np.clip(np.cumsum([start, *steps]), -30, 60).round(2)
    minutes = np.arange(len(celsius)) * every
    found = kept(zip(minutes.tolist(), celsius.tolist(), strict=True))
    hot = np.maximum(celsius[:-1], celsius[1:])
    for at in (label, -40.0):  # -40: every hour lies above it
        whole = np.maximum(1.0, np.exp(K * (1 / (at + 273.15) - 1 / (hot + 273.15)))).sum() * every / 1440
        charged = charged_days(found.hours, at)
        assert charged >= whole * (1 - 1e-3)
        if at == -40.0:
            assert charged == pytest.approx(whole, rel=2e-3)
    assert found.lowest_c == celsius.min()
    assert found.highest_c == celsius.max()
    assert min(hour.lowest for hour in found.hours) == round(celsius.min() * 100)
    assert max(hour.highest for hour in found.hours) == round(celsius.max() * 100)


def test_mean_kinetic_of_equal_times_at_two_temperatures_is_kept():
    """A day at 25 °C and a day at 35 °C do as much as 31.22 °C.

    Outside: constants of USP 1160, 83.144 kJ/mol and 8.3144 J/(mol K) (read); the value computed from them.
    """
    day = [(minute, 25.0) for minute in range(0, 1440, 10)]
    found = kept([*day, *[(minute, 35.0) for minute in range(1430, 2870, 10) if minute > 1430]])
    measured = list(stays(found.hours, starts=START, ends=START + timedelta(days=3)))
    assert kinetic_c(measured) == pytest.approx(31.22, abs=0.03)


def test_gap_longer_than_three_intervals_is_a_hole():
    """Ten minutes apart: 70 minutes without a reading is a gap; the same of an hourly logger is none."""
    short = [(minute, 20.0) for minute in range(0, 300, 10)]
    found = kept([*short, *[(minute + 360, 20.0) for minute in range(0, 300, 10)]])
    assert [(hole.ends - hole.starts) for hole in found.holes] == [timedelta(minutes=70)]
    assert sum(hour.seconds for hour in found.hours) == (290 + 290) * 60
    hourly = kept([(minute, 20.0) for minute in range(0, 1200, 60)] + [(1210 + 60, 20.0), (1330, 20.0)])
    assert hourly.holes == ()


def test_readings_before_the_one_before_are_left_out():
    """A clock that was set back makes no time twice; all that is left out is counted, also its warmest."""
    found = kept([(0, 20.0), (10, 21.0), (5, 30.0), (20, 22.0)])
    assert (found.readings, found.highest_c) == (3, 22.0)
    assert (found.left_out, found.left_out_highest_c) == (1, 30.0)
    ahead = kept([(0, 20.0), (10, 21.0), (90, 20.0), (20, 22.0), (30, 38.0), (40, 21.0), (100, 20.0)])
    assert (ahead.readings, ahead.left_out, ahead.left_out_highest_c) == (4, 3, 38.0)
    assert kept([(0, 20.0), (10, 21.0)]).left_out == 0
    assert sum(hour.seconds for hour in found.hours) == 1200


def test_one_reading_says_nothing_and_two_say_something():
    """Between two readings something is known."""
    with pytest.raises(Refused) as caught:
        kept([(0, 20.0)])
    assert caught.value.code == "hours.none"
    assert kept([(0, 20.0), (10, 20.0)]).readings == 2


def test_more_than_five_years_in_one_file_is_refused(monkeypatch):
    """The limit is on hours that were measured; here two are enough to see it."""
    monkeypatch.setattr(hours, "HOURS_MOST", 1)
    assert len(kept([(0, 20.0), (50, 20.0)]).hours) == 1
    with pytest.raises(Refused) as caught:
        kept([(0, 20.0), (50, 20.0), (90, 20.0)])
    assert caught.value.code == "hours.many"


def test_joined_takes_the_fuller_hour_else_the_warmer_in_any_order():
    """Files in any order, also one twice, give the same hours."""
    full, part = Hour(10, 0, 3600, 2000, 2500, 100), Hour(10, 0, 1800, 3000, 3500, 100)
    warm, next_ = Hour(10, 0, 3600, 2000, 2600, 100), Hour(11, 0, 3600, 2000, 2000, 3600)
    files = [[full], [part, next_], [warm], [warm]]
    assert joined(files) == [warm, next_]
    for _ in range(5):
        random.Random(1).shuffle(files)
        assert joined(files) == [warm, next_]
    assert differences([full, next_], [warm, next_]) == (2, 1.0)
    assert differences([full], [next_]) == (0, 0)


def test_packed_hours_come_back_whole_and_odd_rows_are_left_out():
    """What a bundle brings may be anything."""
    found = kept([(minute, 20 + minute % 7) for minute in range(50, 400, 5)]).hours
    assert unpacked(packed(found)) == list(found)
    assert unpacked([[5, 2000, 2100, 3700], [1], [6, 2000, 2100, "x"], [7, 1, 2, 3, 3000, 900]]) == []


def test_stays_cut_an_hour_evenly():
    """Half of an hour has half of its warm part."""
    hour = Hour(100, 0, 3600, 1000, 3000, 1800)
    starts = hours.moment_of(hour)
    whole = list(stays([hour], starts=starts, ends=starts + timedelta(hours=1)))
    half = list(stays([hour], starts=starts + timedelta(minutes=30), ends=starts + timedelta(hours=1)))
    assert [stay.hours for stay in whole] == [0.5, 0.5]
    assert [(stay.celsius.value, stay.hours) for stay in half] == [(30.0, 0.25), (10.0, 0.25)]
    assert list(stays([hour], starts=starts + timedelta(hours=2), ends=starts + timedelta(hours=3))) == []


@settings(max_examples=30)
@given(
    steps=st.lists(st.floats(-4, 4), min_size=200, max_size=600),
    label=st.floats(5, 35),
    cut=st.integers(0, 40),
    hole=st.booleans(),
)
def test_folded_days_are_charged_as_their_hours(steps, label, cut, hole):
    """Any label, any hour to begin with, a hole or none: the same charge, the same time measured."""
    celsius = np.clip(20 + np.cumsum(steps), -20, 50).round(1).tolist()
    rows = [(number * 20, c) for number, c in enumerate(celsius)]
    found = kept([row for row in rows if not (hole and 1000 < row[0] < 1400)]).hours
    starts, ends = START + timedelta(hours=cut), START + timedelta(days=30)
    plain, folded = (
        list(stays(found, starts=starts, ends=ends)),
        list(fold(found, label).within(starts, ends)),
    )

    def charge(own):
        return sum(
            stay.hours * max(1.0, math.exp(K * (1 / (label + 273.15) - 1 / (stay.celsius.value + 273.15))))
            for stay in own
        )

    assert charge(folded) == pytest.approx(charge(plain), rel=1e-9)
    assert sum(stay.hours for stay in folded) == pytest.approx(sum(stay.hours for stay in plain))
    assert all(before.ends <= after.starts for before, after in pairwise(folded))
