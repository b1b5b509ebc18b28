"""How much of a schedule has run along a curve: two sums, gaps, silent probes."""

from dataclasses import replace

import pytest

from inventory.compute.cure import Log
from inventory.compute.reasons import Basis, Level
from tests.compute.curve_runs import TABLE_C, TABLE_MIN, codes, integral, run, table_log
from tests.compute.press_logs import (
    HOUR,
    MINUTE,
    good_log,
    log_of,
    steady,
    without,
)


def test_progress_of_a_worked_log_agrees_with_its_three_sums():
    """Through the sheet's points: 0.918 exact (scipy), 0.928 trapezoid, 0.835 cooler end (computed).

    The exact one is integrated here by scipy on the same straight lines.
    """
    result = run(table_log())
    assert result.cautious_share == pytest.approx(0.835, abs=0.0005)
    assert result.plain_share == pytest.approx(0.928, abs=0.0005)
    exact = integral(TABLE_MIN, TABLE_C)
    assert exact == pytest.approx(0.918, abs=0.0005)
    assert result.cautious_share < exact < result.plain_share
    assert not result.reached


@pytest.mark.parametrize(
    ("celsius", "hours", "share"),
    [(80.0, 1.0, 1.0), (23.0, 8.0, 0.5), (23.0, 16.0, 1.0), (50.0, 2.0, 0.5), (120.0, 0.5, 0.5)],
)
def test_progress_when_held_steady_is_time_over_listed_time(celsius, hours, share):
    """Through the points 1 h at 80 °C is 1.000. Both sums agree; hotter gains nothing."""
    result = run(steady(celsius, hours))
    assert result.cautious_share == pytest.approx(share, abs=1e-9)
    assert result.plain_share == pytest.approx(share, abs=1e-9)
    assert result.reached is (share == 1.0)


def test_progress_when_a_hold_is_exactly_the_listed_time_is_reached_at_its_end():
    """An exact hour at 80 °C, in tenths of minutes too, passes; a second less does not."""
    assert run(steady(80.0, 1.0)).reached_at_s == pytest.approx(HOUR, abs=1e-3)
    assert run(steady(80.0, 1.0, every_min=0.1)).reached_at_s == pytest.approx(HOUR, abs=1e-3)
    assert run(steady(80.0, 1.0), until_min=60 - 1 / 60).reached_at_s is None


def test_progress_when_reached_says_when_within_the_interval():
    """Two hours at 80 °C read each 40 minutes: reached after one hour."""
    result = run(steady(80.0, 2.0, every_min=40))
    assert result.reached_at_s == pytest.approx(HOUR)
    assert result.cautious_share == pytest.approx(2.0)
    assert result.cautious_along == pytest.approx((0, 2 / 3, 4 / 3, 2))


def test_progress_when_fifteen_hours_fall_from_17_to_10_counts_nothing():
    """A real build cured 15 h at 50 psi, falling 17 to 10 °C, came out brittle and delaminated.

    Source: a ski builders' forum, viewtopic t=258, read. None of it counts here: over 5 K below the sheet.
    """
    result = run(log_of(lambda m: 17 - 7 * m / 900, until_min=900, every_min=10))
    assert result.cautious_share == result.plain_share == 0.0
    assert result.too_cold_s == 15 * HOUR
    assert {"cure.too_cold_to_count", "cure.cold"} <= set(codes(result))


def test_progress_when_at_most_five_kelvin_below_counts():
    """18 °C counts a little; 17.9 °C counts nothing and is said; 15 °C is not yet warned of as cold."""
    just = run(steady(18.0, 8.0))
    assert 0.2 < just.cautious_share < 0.5
    assert "cure.too_cold_to_count" not in codes(just)
    below = run(steady(17.9, 8.0))
    assert below.cautious_share == 0
    assert "cure.too_cold_to_count" in codes(below)
    assert "cure.cold" not in codes(run(steady(15.0, 1.0)))
    assert "cure.cold" in codes(run(steady(14.9, 1.0)))


def test_progress_when_partly_too_cold_says_how_long():
    """One of two intervals has a cold end: ten minutes count nothing by the cautious sum."""
    result = run(Log([0, 600, 1200], {"p1": [17.0, 23.0, 23.0], "p2": [30.0, 30.0, 30.0]}))
    assert result.too_cold_s == 600
    sentence = next(note.sentence for note in result.notes if note.code == "cure.too_cold_to_count")
    assert str(sentence) == "10 min were more than 5.0 K below the coldest listed 23.0 °C and count nothing."


def test_progress_when_several_probes_follows_the_coldest_at_each_moment():
    """Probes that cross: the lower at each reading counts, the higher gives the highest temperature."""
    log = Log([0, 600, 1200], {"p1": [50.0, 50.0, 80.0], "p2": [80.0, 50.0, 50.0]})
    both = run(log)
    assert both.coldest_c == (50.0, 50.0, 50.0)
    assert both.hottest_c == (80.0, 50.0, 80.0)
    assert both.cautious_share == pytest.approx(20 / 240)
    assert (both.highest_c, both.highest_probe, both.highest_at_s) == (80.0, "p1", 1200)
    assert (both.last_coldest_c, both.last_hottest_c, both.last_hottest_probe) == (50.0, 80.0, "p1")


def test_progress_when_one_probe_only_says_so():
    """Another place may be colder; two probes need no such note."""
    assert codes(run(steady(50.0, 1.0))) == ["cure.one_probe", "cure.never_cool"]
    assert codes(run(log_of(lambda _: 40.0, lambda _: 41.0, until_min=60))) == []


# Gaps


def test_progress_when_a_gap_counts_nothing_and_is_listed():
    """Five-minute readings: 15 minutes between two of them count, 20 do not."""
    full = run(good_log())
    fine = run(without(good_log(), 50, 65))
    assert fine.gaps == ()
    assert fine.cautious_share == pytest.approx(full.cautious_share)
    gap = run(without(good_log(), 50, 70))
    assert [(span.from_s, span.to_s, span.seconds) for span in gap.gaps] == [(3000, 4200, 1200)]
    assert gap.cautious_share == pytest.approx(full.cautious_share - 20 / 60)
    assert gap.plain_share == pytest.approx(full.plain_share - 20 / 60)
    assert gap.could_be_share == pytest.approx(full.cautious_share)


@pytest.mark.parametrize(
    ("every_min", "longest_min"), [(1, 15), (5, 15), (6, 18), (10, 30), (20, 60), (30, 60), (50, 60)]
)
def test_progress_when_the_logger_is_slow_gaps_are_longer(every_min, longest_min):
    """Three intervals, at least 15 minutes, at most 60: a 20-minute logger is not all gaps."""
    result = run(steady(50.0, 10.0, every_min=every_min))
    assert result.gap_limit_s == longest_min * MINUTE
    assert result.gaps == ()


def test_progress_when_readings_are_more_than_an_hour_apart_every_interval_is_a_gap():
    """A reading each hour counts; each 61 minutes counts nothing."""
    assert run(steady(50.0, 8.0, every_min=60)).cautious_share == pytest.approx(2.0)
    sparse = run(log_of(lambda _: 50.0, until_min=61 * 8, every_min=61))
    assert (sparse.cautious_share, len(sparse.gaps)) == (0.0, 8)
    assert sparse.gap_decides


def test_progress_when_the_loggers_interval_is_given_it_wins():
    """The table's one hour between readings is a gap for a ten-minute logger, not for a twenty-minute one."""
    assert run(table_log(interval=None)).gap_limit_s == 30 * MINUTE
    assert len(run(table_log(interval=None)).gaps) == 1
    assert run(table_log()).gaps == ()
    assert ("a gap is more than", 60.0, Basis.DATA_SHEET) in [
        (line.name, line.value, line.basis) for line in run(table_log()).how.inputs
    ]


def test_progress_when_time_stamps_are_rounded_is_no_gap():
    """Half a millisecond more than the limit comes from rounding; a second more does not."""
    at_s = [0.0, 300.0, 600.0, 1500.0005, 1800.0]
    assert run(Log(at_s, {"p1": [50.0] * 5})).gaps == ()
    assert len(run(Log([0.0, 300.0, 600.0, 1501.0, 1801.0], {"p1": [50.0] * 5})).gaps) == 1


def test_progress_when_the_log_starts_late_or_ends_early_has_gaps_at_its_ends():
    """Closed half an hour before the first reading; asked half an hour after the last."""
    log = log_of(lambda _: 50.0, until_min=120)
    whole = run(log, until_min=120)
    late = run(log, closed_min=-30, until_min=120)
    assert [(g.from_s, g.to_s) for g in late.gaps] == [(-1800, 0)]
    early = run(log, until_min=150)
    assert [(g.from_s, g.to_s) for g in early.gaps] == [(7200, 9000)]
    assert late.cautious_share == early.cautious_share == whole.cautious_share
    assert run(log, closed_min=-15, until_min=135).gaps == ()


def test_progress_when_the_log_is_longer_than_the_cycle_only_the_cycle_counts():
    """A logger left running: what lies before closing and after the end is left aside, mid-interval too."""
    log = steady(50.0, 10.0)
    assert run(log, closed_min=60, until_min=180).cautious_share == pytest.approx(0.5)
    assert run(log, closed_min=63, until_min=180).cautious_share == pytest.approx(117 / 240)
    assert run(log, closed_min=62, until_min=68).cautious_share == pytest.approx(6 / 240)
    assert run(log, closed_min=62, until_min=68).last_at_s == 60 * MINUTE
    assert run(log, closed_min=62, until_min=68).at_s == (62 * MINUTE, 68 * MINUTE)


def test_progress_when_hot_only_outside_the_cycle_has_no_alarm():
    """A probe pulled off onto the hot platen after opening does not speak of the cycle."""
    log = Log([-600.0, 0, 600, 1200, 1800], {"p1": [95.0, 50.0, 50.0, 50.0, 95.0], "p2": [20.0] * 5})
    assert run(log, until_min=20).alarm is None
    assert run(log, until_min=30).alarm is not None
    assert run(log, closed_min=-10, until_min=20).alarm is not None


def test_progress_when_the_end_is_cut_mid_interval_takes_the_cooler_end():
    """Opened between a hot and a cold reading: the part of the interval counts at the colder one."""
    log = Log([0.0, 600.0, 1200.0], {"p1": [80.0, 80.0, 23.0]})
    result = run(log, until_min=15)
    assert result.cautious_share == pytest.approx(10 / 60 + 5 / 960)
    assert result.at_s == (0.0, 600.0, 900.0)


# Probes that are silent


def silent_after(minute):
    return lambda m: None if m > minute else 50.0


def test_progress_when_a_probe_falls_silent_counts_nothing_from_there():
    """The silent one might be the coldest; left out on purpose, the other counts alone and that is said."""
    log = log_of(lambda _: 50.0, silent_after(60), until_min=120)
    result = run(log)
    assert result.cautious_share == pytest.approx(0.25)
    assert [(g.from_s, g.to_s) for g in result.gaps] == [(3600, 7200)]
    assert "p2 is silent in 12 rows; those rows are not used." in [str(n.sentence) for n in result.notes]
    alone = run(replace(log, left_out=("p2",)))
    assert alone.cautious_share == pytest.approx(0.5)
    assert "cure.without_probe" in codes(alone)
    assert "cure.one_probe" in codes(alone)


def test_progress_when_a_probe_is_silent_now_and_then_bridges_it():
    """A few missing readings are no gap: the interval over them counts at its cooler end."""
    log = log_of(lambda _: 50.0, lambda m: None if m == 30 else 50.0, until_min=120)
    assert run(log).cautious_share == pytest.approx(0.5)


def test_progress_when_a_probe_never_spoke_is_not_known():
    """Weighs as unknown; the others still show how far it would be."""
    log = log_of(lambda _: 50.0, lambda _: None, until_min=120)
    result = run(log)
    assert result.silent == ("p2",)
    note = next(note for note in result.notes if note.code == "cure.probe_silent")
    assert (note.level, "p2" in str(note.sentence)) == (Level.UNKNOWN, True)
    assert result.cautious_share == pytest.approx(0.5)
    assert run(replace(log, left_out=("p2",))).silent == ()


def test_progress_notes_are_things_to_look_at_and_only_a_silent_probe_is_unknown():
    """Too cold to count, cold, one probe, silent rows, left out, unit: none of them judges by itself."""
    patchy = log_of(lambda _: 12.345678, lambda m: None if m == 30 else 20.0, lambda _: None, until_min=60)
    cold = run(replace(patchy, left_out=("p3",)))
    hot = run(steady(68.0, 1.0))
    notes = {note.code: note for note in (*cold.notes, *hot.notes)}
    assert set(notes) == {
        "cure.too_cold_to_count",
        "cure.cold",
        "cure.probe_skips",
        "cure.without_probe",
        "cure.one_probe",
        "cure.never_cool",
    }
    assert {note.level for note in notes.values()} == {Level.LOOK}
    assert str(notes["cure.cold"].sentence).startswith("The coldest reading is 12.35 °C: below 15.0 °C")
    assert [note.level for note in run(patchy).notes if note.code == "cure.probe_silent"] == [Level.UNKNOWN]


# Alarm, unit, ramps
