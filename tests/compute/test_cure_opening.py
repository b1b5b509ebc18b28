"""What a log says about opening: three facts; less than the whole schedule permits nothing."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.cure import Limits, Log, PressureLog, may_open
from inventory.compute.reasons import Given, Level
from tests.compute.press_logs import (
    LIMITS,
    MINUTE,
    SCHEDULE,
    good_celsius,
    good_log,
    log_of,
    pressure_of,
    refused,
    steady,
    steady_pressure,
    without,
)


def asked(minute, *, log=None, pressure=None, limits=LIMITS):
    return may_open(
        schedule=SCHEDULE,
        log=log or good_log(),
        pressure=pressure or steady_pressure(),
        closed_at_s=0.0,
        at_s=minute * MINUTE,
        limits=limits,
    )


def facts(opening):
    return opening.schedule_reached, opening.pressure_unbroken, opening.cool


def codes(opening):
    return [reason.code for reason in opening.verdict.reasons]


def test_may_open_when_reached_unbroken_and_cool_all_hold():
    """The good cycle at minute 200: nothing speaks against it, and three facts say so."""
    opening = asked(200)
    assert facts(opening) == (True, True, True)
    assert opening.all_hold
    assert opening.verdict.level == Level.FINE
    assert codes(opening) == ["cure.reached", "cure.pressure_held", "cure.cool"]


@pytest.mark.parametrize(("minute", "share"), [(45, 0.5), (60, 0.7), (70, 0.86)])
def test_may_open_when_part_of_the_schedule_has_run_permits_nothing(minute, share):
    """Half a schedule permits nothing: the glass transition may still be below room temperature.

    Pressure unbroken and everything below 40 °C change nothing about that.
    """
    cold_after = log_of(
        lambda m: good_celsius(m) if m < minute else 25.0,
        lambda m: good_celsius(m) if m < minute else 25.0,
    )
    opening = asked(200, log=cold_after)
    assert opening.progress.cautious_share == pytest.approx(share, abs=0.04)
    assert facts(opening) == (False, True, True)
    assert not opening.all_hold
    assert codes(opening)[0] == "cure.not_reached"


def test_may_open_when_still_hot_does_not_hold():
    """Reached at minute 100, still 80 °C; at 180 exactly 40 °C is not below it; at 185 it is."""
    assert facts(asked(100)) == (True, True, False)
    exactly = log_of(good_celsius, good_celsius)
    assert facts(asked(180, log=exactly)) == (True, True, False)
    assert facts(asked(181, log=log_of(good_celsius, good_celsius, every_min=1))) == (True, True, True)
    assert facts(asked(185)) == (True, True, True)
    assert "Probe p1 is still at 80.0 °C; every probe has to be below 40.0 °C." in [
        str(reason.sentence) for reason in asked(100).verdict.reasons
    ]


def test_may_open_when_only_the_coldest_probe_is_cool_does_not_hold():
    """One end at 30 °C, the other at 45: wait for both."""
    uneven = log_of(good_celsius, lambda m: min(good_celsius(m) + 15, 80.0))
    assert facts(asked(200, log=uneven)) == (True, True, False)
    assert facts(asked(200)) == (True, True, True)


def test_may_open_when_the_pressure_was_lost_does_not_hold():
    """Lost at minute 60; the same loss after it was reached and cool is the venting."""
    lost = pressure_of(lambda m: 0.0 if m >= 60 else 345.0)
    assert facts(asked(200, pressure=lost)) == (True, False, True)
    vented = pressure_of(lambda m: 0.0 if m > 195 else 345.0)
    assert facts(asked(210, pressure=vented)) == (True, True, True)


def test_may_open_when_vented_hot_does_not_hold():
    """Reached, and vented at 60 °C: the pressure was still needed until the skis were cool."""
    vented = pressure_of(lambda m: 0.0 if m >= 140 else 345.0)
    assert facts(asked(200, pressure=vented)) == (True, False, True)


def test_may_open_when_vented_at_the_very_moment_it_is_cool_follows_the_readings():
    """Exactly 40 °C at 180 is not cool, so low at 185 may have been early; low after 185 is venting."""
    exactly = log_of(good_celsius, good_celsius)
    early = pressure_of(lambda m: 0.0 if m >= 185 else 345.0)
    assert facts(asked(200, log=exactly, pressure=early)) == (True, None, True)
    just_after = pressure_of(lambda m: 0.0 if m >= 186 else 345.0, every_min=1)
    assert facts(asked(187, log=exactly, pressure=just_after)) == (True, True, True)


def test_may_open_when_the_whole_ran_to_the_minute_may_be_vented_then():
    """Exactly sixteen hours at 23 °C, then too cold to count: nothing more is needed despite rounding."""
    log = log_of(lambda m: 23.0 if m <= 960 else 10.0, lambda _: 23.0, until_min=1020, every_min=10)
    pressure = PressureLog(log.at_s, [345.0 if at <= 57_600 else 0.0 for at in log.at_s])
    assert facts(asked(1020, log=log, pressure=pressure)) == (True, True, True)


def test_may_open_when_asked_with_an_old_reading_cannot_tell():
    """The last reading of minute 220 will do until 235, not at 240."""
    assert facts(asked(235)) == (True, True, True)
    old = [str(reason.sentence) for reason in asked(320).verdict.reasons]
    assert "The last reading is 100 min old: whether it is cool cannot be told." in old
    stale = asked(240)
    assert stale.cool is None
    assert not stale.all_hold
    assert "The last reading is 20 min old" in str(stale.verdict.reasons[0].sentence)


def test_may_open_when_a_gap_decides_cannot_tell():
    """With the hold's readings missing the schedule may have been reached, or not."""
    opening = asked(200, log=without(good_log(), 35, 95))
    assert facts(opening) == (None, True, True)
    assert codes(opening)[0] == "cure.gap"


def test_may_open_when_a_probe_was_silent_cannot_tell():
    """Neither reached nor cool is known of a place nobody measured; what failed elsewhere has failed."""
    log = log_of(good_celsius, lambda _: None)
    opening = asked(200, log=log)
    assert facts(opening) == (None, True, None)
    assert codes(opening)[0] == "cure.probe_silent"
    assert facts(asked(200, log=replace(log, left_out=("p2",)))) == (True, True, True)
    assert facts(asked(100, log=log)) == (None, True, False)
    assert facts(asked(60, log=log)) == (False, True, False)


def test_may_open_when_no_pressure_was_read_cannot_tell():
    """Also when everything else holds."""
    opening = may_open(
        schedule=SCHEDULE, log=good_log(), pressure=None, closed_at_s=0, at_s=200 * MINUTE, limits=LIMITS
    )
    assert facts(opening) == (True, None, True)
    assert not opening.all_hold


def test_may_open_when_cold_all_along_is_decided_by_the_schedule():
    """An unheated cycle at 23 °C: cool from the start, reached after 16 hours."""
    log, pressure = steady(23.0, 17.0), steady_pressure(until_min=17 * 60)
    assert facts(asked(15 * 60, log=log, pressure=pressure)) == (False, True, True)
    assert facts(asked(16 * 60, log=log, pressure=pressure)) == (True, True, True)


def test_may_open_when_readings_come_later_ignores_them():
    """Asked at minute 60 of a whole log: nothing after it counts."""
    early = asked(60)
    assert early.progress.last_at_s == 60 * MINUTE
    assert early.progress.cautious_share < 1


def test_may_open_when_cool_lies_after_the_moment_asked_pressure_is_needed_until_then():
    """Asked between two readings, the later of which would be cool: it is not cool yet."""
    log = Log([0.0, 3600.0, 7200.0, 9000.0], {"p1": [80.0, 80.0, 80.0, 30.0]}, interval_s=Given(1200.0))
    vented = pressure_of(lambda m: 0.0 if m >= 130 else 345.0)
    opening = asked(140, log=log, pressure=vented)
    assert facts(opening) == (True, False, False)


def test_may_open_when_the_shop_opens_cooler_follows_it():
    """35 °C instead of 40: at minute 185 it is not cool yet. Warmer than 40 °C is refused."""
    cooler = replace(LIMITS, open_below_c=Given(35.0))
    assert facts(asked(185, limits=cooler)) == (True, True, False)
    assert facts(asked(195, limits=cooler)) == (True, True, True)
    assert facts(asked(200, limits=replace(LIMITS, open_below_c=Given(40.0)))) == (True, True, True)
    with refused("cure.open_below", "40.1 °C", "above what is possible"):
        asked(200, limits=replace(LIMITS, open_below_c=Given(40.1)))


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"open_below_c": Given(0.0)}, "cure.open_below"),
        ({"open_below_c": Given(math.nan)}, "cure.open_below"),
        ({"highest_c": Given(-60.0)}, "cure.limit"),
        ({"highest_c": Given(math.inf)}, "cure.limit"),
        ({"hours_at_pressure": Given(0.0)}, "cure.limit"),
        ({"hours_at_pressure": Given(745.0)}, "cure.limit"),
        ({"heating_k_per_min": Given(-1.0)}, "cure.limit"),
        ({"cooling_k_per_min": Given(101.0)}, "cure.limit"),
        ({"pressure_at_least_kpa": Given(0.0)}, "cure.pressure_needed"),
    ],
)
def test_may_open_when_a_limit_is_impossible_is_refused(change, code):
    """The same limits without it are taken."""
    whole = Limits(Given(300.0), Given(40.0), Given(400.0), Given(744.0), Given(100.0), Given(100.0))
    assert asked(200, limits=whole).all_hold
    with refused(code):
        asked(200, limits=replace(whole, **change))


def test_may_open_says_how():
    """Sheet, probes, gaps, pressure and opening temperature, each with its basis."""
    names = [line.name for line in asked(200).how.inputs]
    assert {"listed time", "probes", "pressure needed, at least", "opened only below"} <= set(names)


@given(st.integers(1, 220), st.integers(10, 220), st.floats(20, 60))
def test_may_open_never_holds_with_less_than_the_whole(minute, lost_min, cool_c):
    """Whatever is asked when: only with the whole schedule, pressure until cool, every probe cool."""
    log = log_of(lambda m: max(good_celsius(m), 20.0), lambda m: max(good_celsius(m), cool_c))
    opening = asked(minute, log=log, pressure=pressure_of(lambda m: 0.0 if m >= lost_min else 345.0))
    if opening.all_hold:
        assert opening.progress.cautious_share >= 1 - 1e-9
        assert max(opening.progress.last_hottest_c, opening.progress.last_coldest_c) < 40
        assert lost_min > 100
    assert opening.all_hold == (facts(opening) == (True, True, True))
