"""Outside checks through the screens' own path: dew point, schedule, mix, and the integral of a curve.

The curve's share is the integral of 1/t(T) along the coldest probe: checked against scipy.integrate on the
same points. Sources of the other figures stand beside them.
"""

import math
from datetime import timedelta

import numpy as np
import pytest
from django.utils import timezone
from scipy import integrate

from inventory.actions import pressing
from inventory.actions.pressing import Logged
from inventory.compute.damp import Air
from inventory.queries import cycles, mixing
from tests import bench_world, press_runs
from tests.press_runs import closed, laid_up, machine

pytestmark = pytest.mark.django_db
R = 8.314462618  # J/(mol K), CODATA 2018


@pytest.fixture
def world(shop):
    shop.at = timezone.now() - timedelta(hours=9)
    return bench_world.world(shop)


def hours_at(celsius: float) -> float:
    """The listed times of `bench_world.SHEET` along a straight line of ln t over 1/T; written anew here."""
    points = [(60.0, 4.0), (70.0, 2.0), (80.0, 1.0)]
    if celsius < 55:
        return math.inf
    if celsius >= 80:
        return 1.0
    if celsius < 60:
        (cold, slow), (hot, fast) = points[:2]
        slope = max(45_000 / R, math.log(slow / fast) / (1 / (cold + 273.15) - 1 / (hot + 273.15)))
        return 4.0 * math.exp(slope * (1 / (celsius + 273.15) - 1 / 333.15))
    (cold, slow), (hot, fast) = points[:2] if celsius < 70 else points[1:]
    slope = math.log(slow / fast) / (1 / (cold + 273.15) - 1 / (hot + 273.15))
    return slow * math.exp(slope * (1 / (celsius + 273.15) - 1 / (cold + 273.15)))


def test_share_of_a_log_equals_scipys_integral_of_the_same_points(world):
    """Trapezoid by scipy.integrate; the cautious sum takes the cooler end of each step instead."""
    cycle = closed(world, machine(world), laid_up(world))
    press_runs.run(world, cycle, "reached-late")
    told = cycles.judged(cycles.one(cycle), world.shop.at)
    run = told.opening.progress
    at_h = np.array(run.at_s) / 3600
    rates = np.array([1 / hours_at(celsius) for celsius in run.coldest_c])
    assert run.plain_share == pytest.approx(integrate.trapezoid(rates, at_h), rel=1e-9)
    lower = np.minimum(rates[1:], rates[:-1])
    assert run.cautious_share == pytest.approx(float(np.sum(lower * np.diff(at_h))), rel=1e-9)
    along = integrate.cumulative_trapezoid(rates, at_h, initial=0.0)
    assert np.allclose(run.plain_along, along, rtol=1e-9, atol=1e-12)
    assert run.cautious_share <= run.plain_share


@pytest.mark.parametrize(("celsius", "hours"), [(60.0, 4.0), (70.0, 2.0), (80.0, 1.0)])
def test_steady_hold_for_a_listed_time_reaches_the_schedule_exactly_and_a_minute_less_does_not(
    world, celsius, hours
):
    """A listed time is a complete schedule by itself: never shorter than the sheet."""

    def share(minutes: float) -> float:
        cycle = closed(world, machine(world), laid_up(world, f"Guest {minutes} {celsius}"))
        row = cycles.one(cycle)
        times = tuple(60.0 * minute for minute in range(int(minutes) + 1))
        held = (celsius,) * len(times)
        log = Logged(row.closed_at, times, {"1": held, "2": held}, (275.0,) * len(times))
        world.shop.at = row.closed_at + timedelta(minutes=minutes)
        world.shop.do(pressing.read_log, cycle=cycle, log=log)
        found = cycles.judged(row, world.shop.at).opening.progress.cautious_share
        world.shop.do(pressing.opened_early, cycle=cycle, why="a trial")
        return found

    assert share(60 * hours) == pytest.approx(1.0, rel=1e-9)
    assert share(60 * hours - 1) < 1


@pytest.mark.parametrize(
    ("air", "humidity", "dew"),
    [(20.0, 50.0, 9.26), (25.0, 60.0, 16.69), (10.0, 80.0, 6.71), (30.0, 40.0, 14.93)],
)
def test_dew_point_of_the_mix_page_agrees_with_published_values(world, air, humidity, dew):
    """Dew points of moist air as in psychrometric tables (from memory), within 0.1 K; the page says them."""
    _, left, _ = world.pair()
    plan = mixing.plan(
        skis=[left],
        air=Air(air, humidity, air, False),
        step_mg=100,
        first_timers=True,
        now=world.shop.at,
    )
    values = [note.sentence.values["dew"] for note in plan.answer.reasons if "dew" in note.sentence.values]
    assert values[0] == pytest.approx(dew, abs=0.1)


@pytest.mark.parametrize(
    ("resin_g", "per_hundred", "hardener_g"),
    [(100.0, 30.0, 30.0), (130.0, 30.0, 39.0), (87.0, 30.0, 26.1)],
)
def test_cups_of_the_mix_page_keep_the_sheets_table(world, resin_g, per_hundred, hardener_g):
    """Rows of a product sheet's table of weights: so much hardener to so much resin (arithmetic)."""
    _, left, _ = world.pair()
    total = round((resin_g + hardener_g) * 1000)
    plan = mixing.plan(
        skis=[left], air=bench_world.DRY, step_mg=100, first_timers=True, now=world.shop.at, total_mg=total
    )
    assert per_hundred == plan.product.per_hundred.value
    assert plan.next == (pytest.approx(resin_g, abs=0.05), pytest.approx(hardener_g, abs=0.05))
