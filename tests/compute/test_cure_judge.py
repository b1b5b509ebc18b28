"""The verdict on a finished cycle: passes, does not pass, cannot be judged, each beside the other."""

import math
from dataclasses import replace

from inventory.compute.cure import Limits, Log, Outcome, PressureLog, judge
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


def judged(log=None, *, pressure="steady", opened_min=220.0, closed_min=0.0, limits=LIMITS):
    return judge(
        schedule=SCHEDULE,
        log=log or good_log(),
        pressure=steady_pressure() if pressure == "steady" else pressure,
        closed_at_s=closed_min * MINUTE,
        opened_at_s=opened_min * MINUTE,
        limits=limits,
    )


def codes(result, level=None):
    return [r.code for r in result.verdict.reasons if level is None or r.level == level]


def sentence(result, code):
    return str(next(r.sentence for r in result.verdict.reasons if r.code == code))


def test_judge_when_everything_is_in_order_passes_and_says_why():
    """Schedule, pressure, cool: three fine reasons and nothing else."""
    result = judged()
    assert result.outcome is Outcome.PASSES
    assert result.verdict.ok
    assert codes(result) == ["cure.reached", "cure.pressure_held", "cure.cool"]
    assert sentence(result, "cure.reached") == "The schedule was reached 82 min after closing."


def test_judge_when_it_reached_its_temperature_late_passes():
    """Three hours of warming before the hold: late, and whole."""
    late = log_of(
        lambda m: good_celsius(max(m - 180, 0)), lambda m: good_celsius(max(m - 180, 0)), until_min=400
    )
    result = judged(late, pressure=steady_pressure(until_min=400), opened_min=400)
    assert result.outcome is Outcome.PASSES


def test_judge_when_too_cold_does_not_pass():
    """The same cycle at most at 55 °C has run a part only, and the part is rounded down."""
    cold = log_of(lambda m: min(good_celsius(m), 55.0), lambda m: min(good_celsius(m), 55.0))
    result = judged(cold)
    assert result.outcome is Outcome.DOES_NOT_PASS
    assert codes(result, Level.STOP) == ["cure.not_reached"]
    share = result.progress.cautious_share
    assert f"{math.floor(share * 100) / 100} of the schedule has run" in sentence(result, "cure.not_reached")


def test_judge_when_just_short_is_never_shown_as_whole():
    """0.9999 of the schedule is shown as 0.99 and does not pass."""
    log = log_of(lambda _: 23.0, lambda _: 23.0, until_min=960)
    result = judged(log, pressure=steady_pressure(until_min=960), opened_min=959.9)
    assert "0.99 of the schedule" in sentence(result, "cure.not_reached")
    whole = judged(log, pressure=steady_pressure(until_min=960), opened_min=960)
    assert whole.outcome is Outcome.PASSES


def test_judge_when_a_gap_could_make_the_difference_cannot_be_judged():
    """An hour of the hold is missing: it may have been reached. In a longer hold that decides nothing."""
    result = judged(without(good_log(), 35, 95))
    assert result.outcome is Outcome.CANNOT_BE_JUDGED
    assert codes(result, Level.UNKNOWN) == ["cure.gap"]
    assert sentence(result, "cure.gap").startswith("60 min without readings count nothing: 0.94 of")
    long_hold = log_of(
        lambda m: 80.0 if 30 < m < 170 else good_celsius(m),
        lambda m: 80.0 if 30 < m < 170 else good_celsius(m),
        until_min=250,
    )
    enough = judged(without(long_hold, 35, 95), pressure=steady_pressure(until_min=250), opened_min=250)
    assert enough.outcome is Outcome.PASSES
    assert codes(enough, Level.LOOK) == ["cure.gap_left_out"]
    assert sentence(enough, "cure.gap_left_out") == "60 min without readings count nothing."


def test_judge_when_even_a_hot_gap_could_not_make_the_difference_does_not_pass():
    """Too cold, and twenty minutes missing: even at 80 °C they would not have been enough."""
    cold = log_of(lambda m: min(good_celsius(m), 45.0), lambda m: min(good_celsius(m), 45.0))
    result = judged(without(cold, 40, 60))
    assert result.outcome is Outcome.DOES_NOT_PASS
    assert codes(result, Level.STOP) == ["cure.not_reached"]
    assert "cure.gap_left_out" in codes(result, Level.LOOK)


def test_judge_when_a_gap_could_exactly_make_up_cannot_be_judged():
    """Half an hour at 80 °C and half an hour missing: just enough, if it was hot."""
    celsius = [80.0] * 7 + [20.0]
    log = Log([*(300.0 * row for row in range(7)), 3600.0], {"p1": celsius, "p2": celsius})
    pressure = steady_pressure(until_min=60)
    assert judged(log, pressure=pressure, opened_min=60).outcome is Outcome.CANNOT_BE_JUDGED
    assert judged(log, pressure=pressure, opened_min=59.9).outcome is Outcome.DOES_NOT_PASS


def test_judge_when_only_the_plain_sum_reaches_does_not_pass():
    """Readings too far apart to show it: the cautious sum decides, the other stands beside it."""
    at_s = [0.0, 2400.0, 4800.0, 7200.0, 9600.0]
    log = Log(at_s, {"p1": [60.0, 80.0, 60.0, 80.0, 30.0], "p2": [60.0, 80.0, 60.0, 80.0, 30.0]})
    result = judged(log, pressure=steady_pressure(), opened_min=160)
    assert result.progress.plain_share > 1 > result.progress.cautious_share
    assert codes(result, Level.STOP) == ["cure.only_plain"]
    assert result.outcome is Outcome.DOES_NOT_PASS
    finer = Log(at_s, {"p1": [80.0] * 4 + [30.0], "p2": [80.0] * 4 + [30.0]})
    assert judged(finer, pressure=steady_pressure(), opened_min=160).outcome is Outcome.PASSES


def test_judge_when_a_probe_was_silent_cannot_be_judged_until_left_out():
    """One dead probe: a person leaves it out on purpose, and that stays visible."""
    log = log_of(good_celsius, good_celsius, lambda _: None)
    result = judged(log)
    assert result.outcome is Outcome.CANNOT_BE_JUDGED
    assert codes(result, Level.UNKNOWN) == ["cure.probe_silent"]
    left_out = judged(replace(log, left_out=("p3",)))
    assert left_out.outcome is Outcome.PASSES
    assert codes(left_out, Level.LOOK) == ["cure.without_probe"]


def test_judge_when_nobody_read_the_pressure_cannot_be_judged():
    """Temperatures alone do not pass a cycle; where they fail, it fails."""
    assert judged(pressure=None).outcome is Outcome.CANNOT_BE_JUDGED
    cold = log_of(lambda _: 30.0, lambda _: 30.0)
    assert judged(cold, pressure=None).outcome is Outcome.DOES_NOT_PASS
    both = replace(LIMITS, hours_at_pressure=Given(1.0))
    assert codes(judged(pressure=None, limits=both), Level.STOP) == []


def test_judge_when_the_pressure_was_lost_does_not_pass():
    """At minute 120, hot; after the skis were cool it is the venting."""
    lost = judged(pressure=pressure_of(lambda m: 0.0 if m >= 120 else 345.0))
    assert codes(lost, Level.STOP) == ["cure.pressure_lost"]
    vented = judged(pressure=pressure_of(lambda m: 0.0 if m >= 200 else 345.0))
    assert vented.outcome is Outcome.PASSES


def test_judge_when_opened_warm_does_not_pass():
    """Whole schedule, opened at 60 °C; at 200 minutes it is cool."""
    assert codes(judged(opened_min=140), Level.STOP) == ["cure.not_cool"]
    assert judged(opened_min=200).outcome is Outcome.PASSES


def test_judge_when_opened_early_does_not_pass():
    """Opened after a quarter of an hour: all of it is said."""
    result = judged(opened_min=15)
    assert result.outcome is Outcome.DOES_NOT_PASS
    assert codes(result, Level.STOP) == ["cure.not_reached", "cure.not_cool"]


def test_judge_when_the_log_ends_before_opening():
    """Ended cool and reached shortly before: passes. Ended hot, or half an hour before: not."""
    short = good_log(until_min=200)
    assert judged(short, opened_min=210).outcome is Outcome.PASSES
    late = judged(short, opened_min=220)
    assert late.outcome is Outcome.CANNOT_BE_JUDGED
    assert codes(late, Level.UNKNOWN) == ["cure.cool_unknown"]
    assert judged(good_log(until_min=120), opened_min=130).outcome is Outcome.DOES_NOT_PASS


def test_judge_when_the_log_starts_after_closing():
    """What was before it counts nothing; long before it, a gap that decides nothing here."""
    result = judged(closed_min=-60)
    assert "cure.gap_left_out" in codes(result, Level.LOOK)
    assert codes(result, Level.UNKNOWN) == ["cure.pressure_gap"]
    assert judged(closed_min=-10).outcome is Outcome.PASSES


def test_judge_when_above_the_highest_listed_passes_with_an_alarm():
    """85 °C where 80 is the highest listed: alarm. Above what the parts stand: does not pass."""
    hot = log_of(lambda m: good_celsius(m), lambda m: 85.0 if m == 60 else good_celsius(m))
    alarmed = judged(hot)
    assert alarmed.outcome is Outcome.PASSES
    assert codes(alarmed, Level.LOOK) == ["cure.above_listed"]
    within = judged(hot, limits=replace(LIMITS, highest_c=Given(85.0)))
    assert within.outcome is Outcome.PASSES
    above = judged(hot, limits=replace(LIMITS, highest_c=Given(84.9)))
    assert codes(above, Level.STOP) == ["cure.above_limit"]
    assert "p2 read 85.0 °C, above the 84.9 °C" in sentence(above, "cure.above_limit")


def test_judge_when_ramps_are_limited_says_which_was_steeper():
    """2 K/min up and 0.5 down against limits just at them, and just below."""
    at = replace(LIMITS, heating_k_per_min=Given(2.0), cooling_k_per_min=Given(0.5))
    assert codes(judged(limits=at), Level.LOOK) == []
    below = replace(LIMITS, heating_k_per_min=Given(1.9), cooling_k_per_min=Given(0.4))
    result = judged(limits=below)
    assert codes(result, Level.LOOK) == ["cure.heated_fast", "cure.cooled_fast"]
    assert "changed by 2.0 K/min" in sentence(result, "cure.heated_fast")
    assert result.outcome is Outcome.PASSES


def test_judge_when_the_log_is_too_short_for_ramps_judges_the_rest():
    """Four minutes of readings have no ramp, and no complaint about one."""
    limits = replace(LIMITS, heating_k_per_min=Given(0.1), cooling_k_per_min=Given(0.1))
    result = judged(good_log(until_min=4, every_min=1), opened_min=4, limits=limits)
    assert "cure.heated_fast" not in codes(result)


def test_judge_when_time_at_pressure_is_asked_counts_it():
    """220 minutes were read; 220 may be asked, 221 not; a gap that could hold the rest leaves it open."""
    assert judged(limits=replace(LIMITS, hours_at_pressure=Given(220 / 60))).outcome is Outcome.PASSES
    longer = judged(limits=replace(LIMITS, hours_at_pressure=Given(221 / 60)))
    assert codes(longer, Level.STOP) == ["cure.pressure_short"]
    assert sentence(longer, "cure.pressure_short") == "220 min at pressure were read, of 221 min asked."
    gappy = pressure_of(lambda m: None if 185 < m < 205 else 345.0)
    asked = replace(LIMITS, hours_at_pressure=Given(210 / 60))
    open_question = judged(pressure=gappy, limits=asked)
    assert codes(open_question, Level.UNKNOWN) == ["cure.pressure_short"]
    assert judged(pressure=gappy, limits=LIMITS).outcome is Outcome.PASSES


def test_judge_when_time_at_pressure_is_half_a_second_short_is_short():
    """Rounded down where it was read and up where it is asked, so that short never looks whole."""
    asked = replace(LIMITS, hours_at_pressure=Given(13_200.5 / 3600))
    result = judged(limits=asked)
    assert sentence(result, "cure.pressure_short") == "220 min at pressure were read, of 221 min asked."
    cut_short = PressureLog([300.0 * row for row in range(44)] + [13_199.7], [345.0] * 45)
    result = judged(pressure=cut_short, limits=replace(LIMITS, hours_at_pressure=Given(220 / 60)))
    assert sentence(result, "cure.pressure_short") == "219 min at pressure were read, of 220 min asked."


def test_judge_when_pressure_came_late_is_said():
    """Twenty minutes are no matter, half an hour has let a tenth of the schedule run without pressure."""
    early = judged(pressure=pressure_of(lambda m: 345.0 if m >= 15 else 0.0))
    assert codes(early, Level.LOOK) == []
    late = judged(pressure=pressure_of(lambda m: 345.0 if m >= 30 else 0.0))
    assert codes(late, Level.LOOK) == ["cure.pressure_late"]
    assert "first read 30 min after closing, when 0.17 of the schedule" in sentence(
        late, "cure.pressure_late"
    )
    assert late.outcome is Outcome.PASSES


def test_judge_when_a_twentieth_has_run_before_pressure_is_said():
    """At 80 °C 2.8 minutes are 0.047 of the schedule and pass unsaid, 3.2 are 0.053."""
    hot = log_of(
        lambda m: 80.0 if m < 90 else 25.0, lambda m: 80.0 if m < 90 else 25.0, until_min=100, every_min=0.2
    )

    def late(minute):
        column = [345.0 if at >= minute * 60 - 1e-6 else 0.0 for at in hot.at_s]
        return codes(judged(hot, pressure=PressureLog(hot.at_s, column), opened_min=100), Level.LOOK)

    assert late(2.8) == []
    assert late(3.2) == ["cure.pressure_late"]


def test_judge_when_pressure_is_read_after_the_last_temperature_does_not_trip():
    """Pressure first read once the temperatures had ended: what had run by their end is said."""
    short = log_of(lambda _: 50.0, lambda _: 50.0, until_min=50)
    pressure = pressure_of(lambda m: 345.0 if m >= 55 else 0.0)
    result = judged(short, pressure=pressure, opened_min=60)
    assert "cure.pressure_lost" not in codes(result)
    assert "first read 55 min after closing, when 0.2 of the schedule" in sentence(
        result, "cure.pressure_late"
    )
    late = judged(
        good_log(until_min=210), pressure=pressure_of(lambda m: 345.0 if m >= 215 else 0.0), opened_min=220
    )
    assert codes(late, Level.STOP) == ["cure.pressure_too_late"]


def test_judge_when_the_clock_starts_elsewhere_says_the_same():
    """Seconds may count from any origin: no sentence, share or reason changes."""
    gappy = without(log_of(lambda m: good_celsius(m) + 7, lambda _: None, good_celsius), 120, 150)
    pressure = pressure_of(lambda m: 0.0 if m < 30 else 200.0 if m == 60 else 345.0)
    limits = Limits(Given(300.0), Given(35.0), Given(80.0), Given(4.0), Given(1.0), Given(0.1))
    here = judge(
        schedule=SCHEDULE,
        log=gappy,
        pressure=pressure,
        closed_at_s=-1200.0,
        opened_at_s=13_200.0,
        limits=limits,
    )
    shift = 1_000_000.0
    there = judge(
        schedule=SCHEDULE,
        log=replace(gappy, at_s=[at + shift for at in gappy.at_s]),
        pressure=replace(pressure, at_s=[at + shift for at in pressure.at_s]),
        closed_at_s=shift - 1200.0,
        opened_at_s=shift + 13_200.0,
        limits=limits,
    )
    good = judged(
        replace(good_log(), at_s=[at + shift for at in good_log().at_s]),
        pressure=None,
        closed_min=shift / 60,
        opened_min=shift / 60 + 220,
    )
    assert sentence(good, "cure.reached") == sentence(judged(), "cure.reached")
    assert len(here.verdict.reasons) > 9
    assert [str(r.sentence) for r in here.verdict.reasons] == [str(r.sentence) for r in there.verdict.reasons]
    assert there.pressure.lost_at_s - shift == here.pressure.lost_at_s == 3600.0


def test_judge_when_readings_have_many_digits_shows_two():
    """Two digits of temperatures and ramps are shown; the judgement takes all."""
    log = log_of(
        lambda m: good_celsius(m) + 0.123456, lambda m: 85.123456 if m == 60 else good_celsius(m) + 0.123456
    )
    limits = replace(LIMITS, highest_c=Given(85.0), heating_k_per_min=Given(0.5))
    result = judged(log, limits=limits)
    assert "p2 read 85.12 °C, above the 85.0 °C" in sentence(result, "cure.above_limit")
    assert "p2 read 85.12 °C, above the highest listed" in sentence(result, "cure.above_listed")
    warm = log_of(lambda _: 45.123456, lambda _: 45.0)
    assert "p1 is still at 45.12 °C" in sentence(judged(warm), "cure.not_cool")
    uneven = log_of(lambda m: 20 + 0.123456 * m, lambda m: 20 + 0.123456 * m)
    assert "changed by 0.12 K/min" in sentence(
        judged(uneven, limits=replace(LIMITS, heating_k_per_min=Given(0.1))), "cure.heated_fast"
    )


def test_judge_when_unheated_overnight_passes():
    """Sixteen hours at 23 °C; at 22 °C not yet."""
    overnight = steady_pressure(until_min=960)
    warm = log_of(lambda _: 23.0, lambda _: 23.5, until_min=960)
    assert judged(warm, pressure=overnight, opened_min=960).outcome is Outcome.PASSES
    cool = log_of(lambda _: 22.0, lambda _: 23.5, until_min=960)
    assert judged(cool, pressure=overnight, opened_min=960).outcome is Outcome.DOES_NOT_PASS


def test_judge_when_an_unheated_log_is_in_fahrenheit_does_not_pass():
    """68 °F taken for °C would be many schedules; it is never cool, and the unit is asked about."""
    result = judged(steady(68.0, 16.0), pressure=steady_pressure(until_min=960), opened_min=960)
    assert result.outcome is Outcome.DOES_NOT_PASS
    assert {"cure.not_cool", "cure.never_cool"} <= set(codes(result))


def test_judge_when_the_log_is_another_cycles_is_refused():
    """Yesterday's log; today's is judged."""
    with refused("cure.log_elsewhere", "this cycle"):
        judged(closed_min=1440, opened_min=1660)


def test_judge_never_speaks_of_a_degree_of_cure():
    """No sentence, rule or source has a percentage or says that something is cured or safe."""
    results = [
        judged(),
        judged(opened_min=15),
        judged(without(good_log(), 35, 95)),
        judged(pressure=None),
        judged(steady(85.0, 3.6)),
    ]
    texts = []
    for result in results:
        texts += [str(reason.sentence) for reason in result.verdict.reasons]
        texts += [result.how.rule, result.how.source, result.progress.how.rule, result.opening.how.rule]
    joined = " ".join(texts).lower()
    assert not any(word in joined for word in ("%", "cured", "safe", "certif"))


def test_judge_when_reasons_differ_in_weight_puts_the_heaviest_first():
    """Stop before unknown before look before fine, and a silent probe once only."""
    log = log_of(lambda m: min(good_celsius(m) + 6, 85.0), lambda _: None)
    result = judged(log, pressure=pressure_of(lambda m: 0.0 if m >= 60 else 345.0))
    levels = [reason.level for reason in result.verdict.reasons]
    assert levels == sorted(levels, reverse=True)
    assert codes(result).count("cure.probe_silent") == 1
    assert result.pressure is result.opening.pressure
    assert result.how.inputs == result.opening.how.inputs


def test_limits_when_nothing_else_is_given_open_below_forty():
    """The default is the trade's: below 40 °C (common practice, no source)."""
    assert Limits(Given(300.0)).open_below_c.value == 40.0
