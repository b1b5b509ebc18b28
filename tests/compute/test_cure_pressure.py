"""Whether pressure came, stayed as long as needed, or cannot be told."""

import math
from dataclasses import replace

import pytest
from scipy import constants

from inventory.compute.cure import PressureLog, pressure_held
from inventory.compute.cure.pressure import KPA_PER
from inventory.compute.reasons import Basis, Given, Level
from tests.compute.press_logs import HOUR, MINUTE, pressure_of, refused, steady_pressure

NEEDED = Given(300.0, Basis.MEASURED)
END_S = 220 * MINUTE


def held(log, *, closed_min=0.0, until_min=220.0, needed_until_min=None, needed=NEEDED):
    return pressure_held(
        log=log,
        at_least_kpa=needed,
        closed_at_s=closed_min * MINUTE,
        until_s=until_min * MINUTE,
        needed_until_s=None if needed_until_min is None else needed_until_min * MINUTE,
    )


def until(minute, kpa=345.0, then=0.0):
    return lambda m: kpa if m <= minute else then


def facts(hold):
    return hold.unbroken, hold.reason.code, hold.reason.level


def test_units_when_compared_with_a_reference_library_agree():
    """1 psi is 6.894757 kPa, 1 bar 100 kPa (scipy.constants)."""
    assert KPA_PER["psi"] * 1000 == pytest.approx(constants.psi, rel=1e-6)
    assert KPA_PER["bar"] * 1000 == pytest.approx(constants.bar)


def test_pressure_when_steady_is_unbroken_and_timed():
    """From the first reading to the last; exactly what is needed is enough, a little less never is."""
    hold = held(steady_pressure())
    assert facts(hold) == (True, "cure.pressure_held", Level.FINE)
    assert (hold.first_at_s, hold.seconds, hold.highest_kpa, hold.lost_at_s) == (0.0, END_S, 345.0, None)
    assert held(steady_pressure(300.0)).unbroken is True
    assert facts(held(steady_pressure(299.9))) == (False, "cure.no_pressure", Level.STOP)


def test_pressure_when_it_falls_while_needed_is_lost():
    """One reading below, even if it comes back; the minute is said."""
    dip = held(pressure_of(lambda m: 200.0 if m == 60 else 345.0))
    assert facts(dip) == (False, "cure.pressure_lost", Level.STOP)
    assert dip.lost_at_s == HOUR
    assert "fell below 300.0 kPa by 60 min after closing" in str(dip.reason.sentence)
    assert dip.seconds == END_S - 10 * MINUTE
    assert held(pressure_of(lambda _: 345.0)).lost_at_s is None


def test_pressure_when_vented_after_it_was_needed_is_unbroken():
    """Needed until minute 150, vented after minute 150: unbroken. At 145 it would have been lost."""
    vented = held(pressure_of(until(150)), needed_until_min=150)
    assert (vented.unbroken, vented.lost_at_s, vented.highest_kpa) == (True, None, 345.0)
    assert held(pressure_of(until(140)), needed_until_min=150).unbroken is False


def test_pressure_when_it_fell_between_two_readings_around_the_moment_cannot_be_told():
    """Good at 145, low at 150, needed until 148: it may have fallen before."""
    hold = held(pressure_of(until(145)), needed_until_min=148)
    assert facts(hold) == (None, "cure.pressure_gap", Level.UNKNOWN)
    assert "about 145 min after closing" in str(hold.reason.sentence)
    assert held(pressure_of(until(145)), needed_until_min=145).unbroken is True
    assert held(pressure_of(until(145)), needed_until_min=151).unbroken is False


def test_pressure_when_low_exactly_as_it_is_no_longer_needed_cannot_be_told():
    """Read low at the very moment it might be vented: it fell some time before."""
    assert held(pressure_of(until(145)), needed_until_min=150).unbroken is None


def test_pressure_when_it_comes_late_counts_from_there():
    """Twenty minutes to inflate: time at pressure begins with the first reading at pressure."""
    hold = held(pressure_of(lambda m: 345.0 if m >= 20 else 50.0))
    assert (hold.unbroken, hold.first_at_s, hold.seconds) == (True, 20 * MINUTE, 200 * MINUTE)


def test_pressure_when_it_comes_after_it_was_needed_is_refused_as_too_late():
    """First at pressure at minute 160 of no use: needed until 150. At 140 it is late, and was there."""
    late = held(pressure_of(lambda m: 345.0 if m >= 160 else 50.0), needed_until_min=150)
    assert facts(late) == (False, "cure.pressure_too_late", Level.STOP)
    assert "first read 160 min after closing" in str(late.reason.sentence)
    assert late.seconds == 0
    assert held(pressure_of(lambda m: 345.0 if m >= 140 else 50.0), needed_until_min=150).unbroken is True
    at_the_moment = pressure_of(lambda m: 345.0 if m >= 150 else 50.0)
    assert held(at_the_moment, needed_until_min=150).unbroken is False


def gappy(from_min, to_min):
    return pressure_of(lambda m: None if from_min < m < to_min else 345.0)


def test_pressure_when_readings_are_missing_cannot_be_told():
    """A quarter of an hour without a reading is bridged, more is a gap; later it does not matter."""
    assert held(gappy(60, 75)).unbroken is True
    gap = held(gappy(60, 80))
    assert facts(gap) == (None, "cure.pressure_gap", Level.UNKNOWN)
    assert "about 60 min after closing" in str(gap.reason.sentence)
    assert gap.seconds == END_S - 20 * MINUTE
    assert held(gappy(60, 80), needed_until_min=60).unbroken is True
    assert held(gappy(60, 80), needed_until_min=61).unbroken is None


def test_pressure_when_lost_and_gappy_is_lost():
    """A reading below outweighs what is missing elsewhere."""
    both = pressure_of(lambda m: None if 60 < m < 80 else 100.0 if m == 100 else 345.0)
    assert held(both).unbroken is False
    assert "100 min" in str(held(both).reason.sentence)


def test_pressure_when_the_log_ends_early_or_starts_late_cannot_be_told():
    """Closed half an hour before the first reading, or opened half an hour after the last."""
    assert held(steady_pressure(), closed_min=-15, until_min=235).unbroken is True
    assert held(steady_pressure(), closed_min=-30).unbroken is None
    assert held(steady_pressure(), until_min=250).unbroken is None


def test_pressure_when_read_by_a_person_each_half_hour_can_be_told():
    """Three intervals, at most an hour: half-hourly readings are no gaps, seventy minutes are."""
    assert held(steady_pressure(until_min=210, every_min=30), until_min=210).unbroken is True
    assert held(steady_pressure(until_min=210, every_min=70), until_min=210).unbroken is None
    own = replace(steady_pressure(until_min=220, every_min=20), interval_s=Given(60.0))
    assert held(own).unbroken is None


def test_pressure_when_the_log_runs_on_only_the_cycle_counts():
    """Vented and read at zero after the end: not part of the cycle. What was before counts from closing."""
    log = pressure_of(until(120))
    hold = held(log, closed_min=12, until_min=120)
    assert (hold.unbroken, hold.first_at_s, hold.seconds) == (True, 12 * MINUTE, 108 * MINUTE)
    assert held(log, until_min=122).unbroken is True
    assert held(log, until_min=125).unbroken is None
    assert held(log, until_min=126).unbroken is False


def test_pressure_when_nobody_read_it_is_unknown():
    """No log, no claim."""
    hold = held(None)
    assert facts(hold) == (None, "cure.pressure_unknown", Level.UNKNOWN)
    assert (hold.first_at_s, hold.highest_kpa, hold.seconds) == (None, None, 0.0)


@pytest.mark.parametrize(
    ("read", "mention"),
    [
        (50.0, "if the gauge reads psi, it was 344.7 kPa"),
        (3.45, "if the gauge reads bar, it was 345.0 kPa"),
        (33.0, "if the gauge reads psi, it was 227.5 kPa"),
        (65.0, "if the gauge reads psi, it was 448.2 kPa"),
        (32.0, "32.0 kPa, below the 300.0 kPa needed."),
        (66.0, "66.0 kPa, below the 300.0 kPa needed."),
        (150.0, "150.0 kPa, below the 300.0 kPa needed."),
        (20.0, "20.0 kPa, below the 300.0 kPa needed."),
    ],
)
def test_pressure_when_never_reached_names_a_likely_slip_of_unit(read, mention):
    """50 psi and 3.45 bar typed as kPa are named; half the pressure is just too little."""
    hold = held(steady_pressure(read))
    assert facts(hold) == (False, "cure.no_pressure", Level.STOP)
    assert (hold.seconds, hold.highest_kpa) == (0.0, read)
    assert mention in str(hold.reason.sentence)


def test_pressure_says_how():
    """What was needed with its basis, and the gap."""
    lines = [(line.name, line.value, line.basis) for line in held(steady_pressure()).how.inputs]
    assert lines == [
        ("pressure needed, at least", 300.0, Basis.MEASURED),
        ("a gap is more than", 15.0, Basis.MEASURED),
    ]
    odd = replace(steady_pressure(), interval_s=Given(367.0))
    assert held(odd).how.inputs[-1].value == 18.4


def test_pressure_when_the_clock_starts_elsewhere_says_the_same():
    """Seconds may count from any origin: lost, too late and missing are said at the same minute."""
    for log, needed in (
        (pressure_of(lambda m: 0.0 if m == 100 else 345.0), None),
        (pressure_of(lambda m: 345.0 if m >= 160 else 0.0), 150.0),
        (gappy(60, 80), None),
        (steady_pressure(), None),
    ):
        moved = replace(log, at_s=[at + 90_000.0 for at in log.at_s])
        here = held(log, closed_min=2, needed_until_min=needed)
        there = held(
            moved,
            closed_min=1502,
            until_min=1720,
            needed_until_min=None if needed is None else needed + 1500,
        )
        assert str(here.reason.sentence) == str(there.reason.sentence)
        assert (here.seconds, here.first_at_s) == (there.seconds, there.first_at_s - 90_000.0)


@pytest.mark.parametrize(
    ("log", "code", "mention"),
    [
        (PressureLog([0.0], [345.0]), "cure.too_few", "1 readings"),
        (PressureLog([0.0, 60.0], [345.0]), "cure.columns", "1 readings for 2 times"),
        (PressureLog([60.0, 0.0], [345.0, 345.0]), "cure.not_in_order", "Reading 2"),
        (PressureLog([0.0, 60.0], [345.0, math.nan]), "cure.reading", "nan kPa"),
        (PressureLog([0.0, 60.0], [345.0, -20.5]), "cure.reading", "−20.5 kPa"),
        (PressureLog([0.0, 60.0], [345.0, 2000.5]), "cure.reading", "2000.5 kPa"),
        (PressureLog([0.0, 60.0], [None, None]), "cure.no_rows", "no reading during this cycle"),
        (PressureLog([-60.0, 99_999.0], [None, 345.0]), "cure.no_rows", "no reading during this cycle"),
        (PressureLog([-9000.0, -8000.0], [345.0, 345.0]), "cure.log_elsewhere", "do not meet"),
        (PressureLog([0.0, 60.0], [345.0, 345.0], Given(-1.0)), "cure.interval", "−1.0 s"),
    ],
)
def test_pressure_when_the_log_is_broken_is_refused(log, code, mention):
    """Two readings in order are enough, even if only one of them speaks."""
    assert held(PressureLog([0.0, 60.0], [345.0, 345.0])).first_at_s == 0
    assert held(PressureLog([0.0, 60.0], [345.0, None]), until_min=10).unbroken is True
    assert held(PressureLog([0.0, 60.0], [345.0, None]), until_min=16).unbroken is None
    with refused(code, mention):
        held(log)


@pytest.mark.parametrize("needed", [0.0, -1.0, math.nan, 2_001.0])
def test_pressure_when_what_is_needed_is_impossible_is_refused(needed):
    """300 kPa is judged, and 2,000 and a half; a gauge a little below zero at rest is read."""
    assert held(steady_pressure(2_000.0), needed=Given(2_000.0)).unbroken is True
    assert held(steady_pressure(), needed=Given(0.5)).unbroken is True
    assert held(pressure_of(lambda m: -20.0 if m < 5 else 345.0)).unbroken is True
    assert held(pressure_of(lambda m: -0.4 if m < 5 else 345.0)).unbroken is True
    with refused("cure.pressure_needed", "kPa"):
        held(steady_pressure(), needed=Given(needed))


def test_pressure_when_the_cycle_ends_before_it_begins_is_refused():
    """Also when there is no log at all."""
    assert held(None, closed_min=0, until_min=1).unbroken is None
    with refused("cure.reversed", "60.0 s before"):
        held(None, closed_min=1, until_min=0)
