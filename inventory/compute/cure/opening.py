"""What a press cycle's log says about opening the press: three facts, each true, false or not known.

Knows no press, no ski and no clock.
"""

import math
from bisect import bisect_left
from dataclasses import dataclass

from inventory.compute.cure.curve import Log
from inventory.compute.cure.pressure import PressureHold, PressureLog, pressure_held
from inventory.compute.cure.progress import ROUNDING, Progress, progress
from inventory.compute.cure.schedule import COLDEST_C, HOTTEST_C, Schedule
from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import say

OPEN_BELOW_C: Given[float] = Given(40.0, Basis.ASSUMED, "common practice, no source")
MOST_K_PER_MIN = 100.0
MOST_HOURS = 31 * 24.0


@dataclass(frozen=True, slots=True)
class Limits:
    """What a cycle has to keep to. A shop may open cooler than the default, never warmer."""

    pressure_at_least_kpa: Given[float]
    open_below_c: Given[float] = OPEN_BELOW_C
    highest_c: Given[float] | None = None  # what the weakest part stands: hose, base, bladder, mould
    hours_at_pressure: Given[float] | None = None
    heating_k_per_min: Given[float] | None = None
    cooling_k_per_min: Given[float] | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """What a log says about opening the press at a moment. None: cannot be told, and so no."""

    schedule_reached: bool | None
    pressure_unbroken: bool | None
    cool: bool | None
    verdict: Verdict
    progress: Progress
    pressure: PressureHold
    how: How

    @property
    def all_hold(self) -> bool:
        """Every fact a log can give holds; heat off, vented and gauge zero are for people to see."""
        return bool(self.schedule_reached and self.pressure_unbroken and self.cool)


def _check_limits(limits: Limits) -> None:
    number(
        limits.open_below_c.value,
        code="cure.open_below",
        name="The temperature below which a press is opened",
        unit="°C",
        above=0,
        at_most=OPEN_BELOW_C.value,
    )
    others = (
        (limits.highest_c, "The highest temperature the parts stand", "°C", COLDEST_C, HOTTEST_C),
        (limits.hours_at_pressure, "The time at pressure", "h", 0.0, MOST_HOURS),
        (limits.heating_k_per_min, "The limit of heating", "K/min", 0.0, MOST_K_PER_MIN),
        (limits.cooling_k_per_min, "The limit of cooling", "K/min", 0.0, MOST_K_PER_MIN),
    )
    for given, name, unit, low, high in others:
        if given is not None:
            number(given.value, code="cure.limit", name=name, unit=unit, above=low, at_most=high)


def rounded_down(share: float) -> float:
    """A share for a sentence, rounded down: one that has not run is never shown as a whole."""
    return math.floor(share * 100) / 100


def _schedule_reason(run: Progress, closed_at_s: float) -> Reason:
    if run.reached_at_s is not None:
        minute = math.ceil((run.reached_at_s - closed_at_s) / 60)
        sentence = say("The schedule was reached {minute} min after closing.", minute=minute)
        return Reason("cure.reached", sentence, Level.FINE, run.how)
    share, plain = rounded_down(run.cautious_share), rounded_down(run.plain_share)
    if run.gap_decides:
        sentence = say(
            "{minutes} min without readings count nothing: {share} of the schedule has run outside them, "
            "and whether all of it has cannot be told.",
            minutes=round(sum(gap.seconds for gap in run.gaps) / 60),
            share=share,
        )
        return Reason("cure.gap", sentence, Level.UNKNOWN, run.how)
    if run.plain_share >= 1:
        sentence = say(
            "By the cooler end of each interval {share} of the schedule has run, by the mean {plain}: the "
            "readings are too far apart to show the whole. Only the first counts.",
            share=share,
            plain=plain,
        )
        return Reason("cure.only_plain", sentence, Level.STOP, run.how)
    sentence = say(
        "{share} of the schedule has run (by the mean {plain}); the whole is needed.",
        share=share,
        plain=plain,
    )
    return Reason("cure.not_reached", sentence, Level.STOP, run.how)


def _cool_reason(run: Progress, at_s: float, below_c: float) -> Reason:
    if run.last_hottest_c >= below_c:
        sentence = say(
            "Probe {probe} is still at {celsius} °C; every probe has to be below {below} °C.",
            probe=run.last_hottest_probe,
            celsius=round(run.last_hottest_c, 2),
            below=below_c,
        )
        return Reason("cure.not_cool", sentence, Level.STOP)
    age_s = at_s - run.last_at_s
    if age_s > run.gap_limit_s:
        sentence = say(
            "The last reading is {minutes} min old: whether it is cool cannot be told.",
            minutes=round(age_s / 60),
        )
        return Reason("cure.cool_unknown", sentence, Level.UNKNOWN)
    sentence = say("Every probe is below {below} °C.", below=below_c)
    return Reason("cure.cool", sentence, Level.FINE)


def _settled_at_s(run: Progress, below_c: float) -> float | None:
    """The first reading with the schedule reached and every probe cool: from then on it may be vented."""
    first = bisect_left(run.cautious_along, 1 - ROUNDING)
    rows = zip(run.at_s[first:], run.hottest_c[first:], strict=True)
    return next((at for at, hottest in rows if hottest < below_c and at <= run.last_at_s), None)


def _facts(run: Progress, cool: Reason) -> tuple[bool | None, bool | None]:
    """Schedule reached, and cool; a silent probe might be colder, or hotter, than those that speak."""
    reached: bool | None = run.reached
    if run.gap_decides or (run.reached and run.silent):
        reached = None
    is_cool: bool | None = cool.level == Level.FINE
    if cool.level == Level.UNKNOWN or (is_cool and run.silent):
        is_cool = None
    return reached, is_cool


def may_open(
    *,
    schedule: Schedule,
    log: Log,
    pressure: PressureLog | None,
    closed_at_s: float,
    at_s: float,
    limits: Limits,
) -> Opening:
    """What the log says about opening a press at a moment: three facts, each true, false or not known.

    Formula: schedule reached: cautious share >= 1. Pressure unbroken: from the first reading at pressure
        until the first reading at which the schedule is reached and every probe is cool, else until now.
        Cool: the last reading of every probe, the coldest and the hottest, is below the opening
        temperature (40 °C or less) and not older than a gap.
    Units: seconds from any origin, °C, gauge kPa.
    Refuses: cure.open_below, cure.limit, and what progress and pressure_held refuse
    Source: schedule, pressure, below 40 °C: common practice, no source.
    Caution: stored energy and heat. Less than the whole schedule permits nothing. The log is not the
        press: heat off, vented, the gauge itself at zero, cooled are each checked by a person who stands
        clear of the ends; the press maker's instructions and the shop's own risk assessment win.
    """
    _check_limits(limits)
    run = progress(schedule=schedule, log=log, closed_at_s=closed_at_s, until_s=at_s)
    below_c = limits.open_below_c.value
    hold = pressure_held(
        log=pressure,
        at_least_kpa=limits.pressure_at_least_kpa,
        closed_at_s=closed_at_s,
        until_s=at_s,
        needed_until_s=_settled_at_s(run, below_c),
    )
    cool = _cool_reason(run, at_s, below_c)
    reached, is_cool = _facts(run, cool)
    silent = [note for note in run.notes if note.code == "cure.probe_silent"]
    inputs = (
        *run.how.inputs,
        *hold.how.inputs,
        Input("opened only below", below_c, "°C", limits.open_below_c.basis),
    )
    rule = (
        "opened only at share >= 1 by the cautious sum, pressure unbroken, every probe below this temperature"
    )
    return Opening(
        schedule_reached=reached,
        pressure_unbroken=hold.unbroken,
        cool=is_cool,
        verdict=verdict(_schedule_reason(run, closed_at_s), hold.reason, cool, *silent),
        progress=run,
        pressure=hold,
        how=How(rule, "common practice, no source", inputs),
    )
