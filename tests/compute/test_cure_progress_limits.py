"""How much of a schedule has run along a curve: alarm, ramps, refusals, and what holds for any curve."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from inventory.compute.cure import Log, SchedulePoint, progress, schedule_through
from inventory.compute.reasons import Given, Level
from tests.compute.curve_runs import codes, integral, run
from tests.compute.press_logs import (
    MINUTE,
    SCHEDULE,
    good_celsius,
    good_log,
    log_of,
    refused,
    steady,
    without,
)


def test_progress_when_above_the_highest_listed_gives_an_alarm_and_no_credit():
    """81 °C in the warmest probe alarms though the coldest stayed below; exactly 80 °C does not."""
    assert run(steady(80.0, 0.5)).alarm is None
    log = log_of(lambda _: 70.0, lambda m: 81.0 if m == 30 else 70.0, until_min=60)
    result = run(log)
    assert (result.alarm.code, result.alarm.level) == ("cure.above_listed", Level.LOOK)
    assert "p2 read 81.0 °C, above the highest listed 80.0 °C" in str(result.alarm.sentence)
    assert run(steady(140.0, 1.0)).cautious_share == pytest.approx(1.0)


def test_progress_when_the_logger_writes_fahrenheit_is_noticed():
    """68 °F all night would be twenty hours at 68 °C; the good log is cool at its ends."""
    assert "cure.never_cool" in codes(run(steady(68.0, 8.0)))
    assert "cure.never_cool" not in codes(run(good_log()))
    assert "cure.never_cool" in codes(run(steady(45.0, 1.0)))
    assert "cure.never_cool" not in codes(run(steady(44.9, 1.0)))


def test_progress_ramps_are_the_steepest_over_five_minutes():
    """2 K/min up, 0.5 K/min down, whether read each minute or each five; of the probe that had it."""
    for every in (1, 5):
        result = run(good_log(every_min=every))
        assert result.heating.kelvin_per_min == pytest.approx(2.0)
        assert result.cooling.kelvin_per_min == pytest.approx(0.5)
    log = log_of(lambda _: 50.0, lambda m: 50 + m / 2, until_min=60)
    assert (run(log).heating.probe, run(log).heating.kelvin_per_min) == ("p2", 0.5)
    assert run(log).cooling.kelvin_per_min == 0.0


def test_progress_ramps_when_readings_jump_are_not_taken_from_one_step():
    """A logger of 10 s that flips by half a kelvin: 3 K/min step by step, 0.1 over five minutes."""
    log = log_of(lambda m: 50.0 + 0.5 * (round(m * 6) % 2), until_min=20, every_min=1 / 6)
    assert run(log).heating.kelvin_per_min <= 0.1 + 1e-9


def test_progress_ramps_when_readings_are_uneven_still_span_five_minutes():
    """A burst of readings seconds apart gives no steep ramp of its own, nor hides one."""
    at_s = [0.0, 600.0, 601.0, 602.0, 1200.0, 1800.0]
    log = Log(at_s, {"p1": [50.0, 60.0, 50.0, 60.0, 70.0, 71.0]})
    assert run(log).heating.kelvin_per_min == pytest.approx((70 - 50) / (599 / 60))
    assert run(log).cooling.kelvin_per_min == 0.0


def test_progress_ramps_when_the_log_is_shorter_than_five_minutes_are_unknown():
    """Four minutes give none."""
    short = run(log_of(good_celsius, until_min=4, every_min=1))
    assert (short.heating, short.cooling) == (None, None)
    assert run(log_of(good_celsius, until_min=5, every_min=1)).heating.kelvin_per_min == pytest.approx(2.0)


def test_progress_says_how():
    """Sheet's points, the assumption, probes, rows, gap; the rule never speaks of hardness."""
    how = run(good_log()).how
    assert [line.name for line in how.inputs][-3:] == ["probes", "rows used", "a gap is more than"]
    assert how.inputs[-2].value == 45
    odd = run(replace(good_log(), interval_s=Given(367.0)))
    assert odd.how.inputs[-1].value == 18.4
    assert "gaps count nothing" in how.rule
    assert "cured" not in how.rule


# Refusals


@pytest.mark.parametrize(
    ("change", "code", "mention"),
    [
        ({"at_s": []}, "cure.too_few", "0 readings"),
        ({"at_s": [0.0]}, "cure.too_few", "1 readings"),
        ({"at_s": [0.0, math.nan, 1200.0]}, "cure.time", "not a number"),
        ({"at_s": [0.0, 600.0, math.inf]}, "cure.time", "not a number"),
        ({"at_s": [0.0, "600", 1200.0]}, "cure.time", "not a number"),
        ({"at_s": [0.0, True, 1200.0]}, "cure.time", "not a number"),
        ({"at_s": [0.0, 600.0, 600.0]}, "cure.not_in_order", "Reading 3"),
        ({"at_s": [600.0, 0.0, 1200.0]}, "cure.not_in_order", "Reading 2"),
        ({"at_s": [0.0, 600.0]}, "cure.columns", "p1 has 3 readings for 2 times"),
        ({"probes_c": {"p1": [50.0, math.nan, 50.0]}}, "cure.reading", "p1 reads nan °C"),
        ({"probes_c": {"p1": [50.0, math.inf, 50.0]}}, "cure.reading", "inf °C"),
        ({"probes_c": {"p1": [50.0, math.inf, -math.inf]}}, "cure.reading", "°C"),
        ({"probes_c": {"p1": [50.0, -127.0, 50.0]}}, "cure.reading", "−127.0 °C"),
        ({"probes_c": {"p1": [50.0, 999.0, 50.0]}}, "cure.reading", "999.0 °C"),
        ({"probes_c": {"p1": [50.0, "50", 50.0]}}, "cure.reading", "not a number"),
        ({"probes_c": {}}, "cure.no_probe", "No probe"),
        ({"left_out": ("p1",)}, "cure.no_probe", "No probe"),
        ({"left_out": ("p9",)}, "cure.left_out", "no probe p9"),
        ({"probes_c": {"p1": [None, None, None]}}, "cure.no_readings", "No probe gave"),
        ({"probes_c": {"p1": [50.0, None, None]}}, "cure.no_rows", "silent: p1"),
        (
            {"probes_c": {"p1": [50.0, None, 50.0], "p2": [None, 50.0, 50.0]}},
            "cure.no_rows",
            "silent: p1, p2",
        ),
        ({"interval_s": Given(0.0)}, "cure.interval", "0.0 s"),
        ({"interval_s": Given(math.nan)}, "cure.interval", "nan s"),
        ({"interval_s": Given(90_000.0)}, "cure.interval", "90000.0 s"),
    ],
)
def test_progress_when_the_log_is_broken_is_refused(change, code, mention):
    """The log that differs by one fact is judged."""
    log = Log([0.0, 600.0, 1200.0], {"p1": [50.0, 50.0, 50.0]})
    assert progress(schedule=SCHEDULE, log=log, closed_at_s=0, until_s=1200).cautious_share > 0
    with refused(code, mention):
        progress(schedule=SCHEDULE, log=replace(log, **change), closed_at_s=0, until_s=1200)


@pytest.mark.parametrize(
    ("closed_s", "until_s", "code", "mention"),
    [
        (1200, 0, "cure.reversed", "1200 s before"),
        (600, 600, "cure.reversed", "0 s before"),
        (math.nan, 600, "cure.time", "closing"),
        (0, math.inf, "cure.time", "end of the cycle"),
        (0, 32 * 86_400, "cure.too_long", "32.0 days"),
        (-86_400, 0, "cure.log_elsewhere", "to 1440 min: they do not meet"),
        (1200, 7200, "cure.log_elsewhere", "from −20 to 0 min"),
    ],
)
def test_progress_when_the_cycle_is_impossible_or_another_is_refused(closed_s, until_s, code, mention):
    """Dates reversed, a year of points, another cycle's log."""
    log = Log([0.0, 600.0, 1200.0], {"p1": [50.0, 50.0, 50.0]})
    assert progress(schedule=SCHEDULE, log=log, closed_at_s=0, until_s=31 * 86_400).gaps
    with refused(code, mention):
        progress(schedule=SCHEDULE, log=log, closed_at_s=closed_s, until_s=until_s)


def test_progress_when_a_year_was_logged_judges_the_cycle_in_it():
    """A year of hourly points is refused as a cycle, and read when closing and opening are given."""
    log = log_of(lambda _: 50.0, until_min=365 * 1440, every_min=60)
    assert run(log, closed_min=6000, until_min=6240).cautious_share == pytest.approx(1.0)
    with refused("cure.too_long", "365.0 days"):
        run(log)


# Properties


CURVES = st.lists(
    st.tuples(st.integers(1, 40), st.floats(-10, 120), st.floats(-10, 120)), min_size=2, max_size=25
)


def drawn(rows):
    minutes, at = [], 0
    for step, _, _ in rows:
        minutes.append(at)
        at += step
    return Log(
        [minute * MINUTE for minute in minutes], {"p1": [a for _, a, _ in rows], "p2": [b for *_, b in rows]}
    )


@given(CURVES)
def test_progress_cautious_is_never_above_plain(rows):
    """At every reading, exactly, and both only go up."""
    result = run(drawn(rows))
    assert all(c <= p for c, p in zip(result.cautious_along, result.plain_along, strict=True))
    assert list(result.cautious_along) == sorted(result.cautious_along)
    assert list(result.plain_along) == sorted(result.plain_along)
    assert result.cautious_share <= result.could_be_share
    assert result.lowest_c <= result.highest_c


@given(CURVES, st.floats(0.0, 30.0))
def test_progress_when_everything_is_warmer_is_never_less(rows, warmer):
    """Adding the same kelvins everywhere never takes away from either sum."""
    warm = [(step, a + warmer, b + warmer) for step, a, b in rows]
    cold_run, warm_run = run(drawn(rows)), run(drawn(warm))
    assert warm_run.cautious_share >= cold_run.cautious_share
    assert warm_run.plain_share >= cold_run.plain_share


@given(CURVES)
def test_progress_when_a_probe_is_added_is_never_more(rows):
    """A further probe can only be colder; leaving one out can only add."""
    log = drawn(rows)
    assert run(log).cautious_share <= run(replace(log, left_out=("p2",))).cautious_share


@given(CURVES, st.data())
def test_progress_when_a_reading_is_lost_that_was_no_dip_is_never_more(rows, data):
    """By the cautious sum a coarser log earns no more, unless what is lost was colder than both its sides."""
    log = replace(drawn(rows), interval_s=Given(1200.0))
    full = run(log)
    inner = range(1, len(rows) - 1)
    cold = full.coldest_c
    steps = [row for row in inner if cold[row] >= min(cold[row - 1], cold[row + 1])]
    if steps:
        lost = data.draw(st.sampled_from(steps))
        thin = without(log, log.at_s[lost - 1] / MINUTE, log.at_s[lost + 1] / MINUTE)
        coarse = run(replace(thin, interval_s=log.interval_s))
        assert len(coarse.at_s) == len(full.at_s) - 1
        assert coarse.cautious_share <= full.cautious_share + 1e-12


@given(CURVES, st.floats(0.1, 0.9))
def test_progress_when_cut_in_two_is_the_sum_of_its_parts(rows, part):
    """Conservation: what ran until a reading and what ran from it on is what ran."""
    log = replace(drawn(rows), interval_s=Given(1200.0))
    cut = log.at_s[int(part * (len(rows) - 1))]
    end = log.at_s[-1]
    if log.at_s[0] < cut < end:
        first = progress(schedule=SCHEDULE, log=log, closed_at_s=0, until_s=cut)
        second = progress(schedule=SCHEDULE, log=log, closed_at_s=cut, until_s=end)
        whole = progress(schedule=SCHEDULE, log=log, closed_at_s=0, until_s=end)
        assert first.cautious_share + second.cautious_share == pytest.approx(whole.cautious_share, abs=1e-9)
        assert first.plain_share + second.plain_share == pytest.approx(whole.plain_share, abs=1e-9)


@given(st.lists(st.floats(23.0, 80.0), min_size=3, max_size=12))
def test_progress_when_integrated_by_scipy_lies_between(celsius):
    """The exact integral of the same straight lines: above the cautious sum, below the trapezoid."""
    minutes = [20 * row for row in range(len(celsius))]
    log = Log([minute * MINUTE for minute in minutes], {"p1": celsius})
    result, exact = run(log), integral(minutes, celsius)
    assert result.cautious_share - 1e-9 <= exact <= result.plain_share + 1e-9


def test_progress_when_read_finely_both_sums_come_to_the_integral():
    """Each ten seconds: within 1 % of scipy's integral, from below and above."""
    schedule = schedule_through(points=Given((SchedulePoint(23.0, 16.0), SchedulePoint(80.0, 1.0))))
    log = log_of(good_celsius, until_min=220, every_min=1 / 6)
    fine = run(log, schedule=schedule)

    def rate(minute):
        here = good_celsius(minute)
        return 1 / (schedule.hours_at((here,))[here] * 60)

    exact = sum(quad(rate, a, b)[0] for a, b in ((0, 30), (30, 100), (100, 200), (200, 210), (210, 220)))
    assert fine.cautious_share == pytest.approx(exact, rel=0.01)
    assert fine.plain_share == pytest.approx(exact, rel=0.001)
    assert fine.cautious_share <= exact
