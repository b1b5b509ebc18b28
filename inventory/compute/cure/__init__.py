"""The verdict on a finished press cycle, from its log.

The room's door: schedule, progress, forecast, pressure and opening are called from here too. Knows no
press, no ski and no clock. It speaks of a share of the data sheet's schedule and never of how hard a resin
is.
"""

import math
from bisect import bisect_left
from dataclasses import dataclass
from enum import StrEnum

from inventory.compute.cure.curve import Log, Ramp, Span
from inventory.compute.cure.opening import Limits, Opening, may_open, rounded_down
from inventory.compute.cure.pressure import PressureHold, PressureLog, pressure_held
from inventory.compute.cure.progress import ROUNDING, Forecast, Progress, forecast, progress
from inventory.compute.cure.schedule import (
    RequiredTime,
    Schedule,
    SchedulePoint,
    required_time,
    schedule_through,
)
from inventory.compute.reasons import How, Level, Reason, Verdict, verdict
from inventory.errors import say

__all__ = [
    "CycleVerdict",
    "Forecast",
    "Limits",
    "Log",
    "Opening",
    "Outcome",
    "PressureHold",
    "PressureLog",
    "Progress",
    "Ramp",
    "RequiredTime",
    "Schedule",
    "SchedulePoint",
    "Span",
    "forecast",
    "judge",
    "may_open",
    "pressure_held",
    "progress",
    "required_time",
    "schedule_through",
]

SHARE_BEFORE_PRESSURE = 0.05


class Outcome(StrEnum):
    """What a finished cycle's log comes to."""

    PASSES = "passes"
    DOES_NOT_PASS = "does not pass"  # noqa: S105 (a verdict in words, no password)
    CANNOT_BE_JUDGED = "cannot be judged"


@dataclass(frozen=True, slots=True)
class CycleVerdict:
    """The judgement of a finished press cycle, with everything it rests on."""

    outcome: Outcome
    verdict: Verdict
    opening: Opening
    how: How

    @property
    def progress(self) -> Progress:
        """The schedule along the curve."""
        return self.opening.progress

    @property
    def pressure(self) -> PressureHold:
        """The pressure along the cycle."""
        return self.opening.pressure


def _pressure_reasons(run: Progress, hold: PressureHold, limits: Limits, closed_at_s: float) -> list[Reason]:
    """Time at pressure against what is asked, and a pressure that came late."""
    reasons = []
    if limits.hours_at_pressure is not None and hold.highest_kpa is not None:
        asked_s = limits.hours_at_pressure.value * 3600 - 1e-3
        missing_s = sum(gap.seconds for gap in hold.gaps)
        if hold.seconds < asked_s:
            sentence = say(
                "{minutes} min at pressure were read, of {asked} min asked.",
                minutes=math.floor(hold.seconds / 60),
                asked=math.ceil(asked_s / 60),
            )
            level = Level.UNKNOWN if hold.seconds + missing_s >= asked_s else Level.STOP
            reasons.append(Reason("cure.pressure_short", sentence, level, hold.how))
    if hold.first_at_s is not None:
        row = min(bisect_left(run.at_s, hold.first_at_s), len(run.at_s) - 1)
        share = run.plain_along[row]
        if share > SHARE_BEFORE_PRESSURE:
            sentence = say(
                "Pressure was first read {minutes} min after closing, when {share} of the schedule had run.",
                minutes=round((hold.first_at_s - closed_at_s) / 60),
                share=rounded_down(share),
            )
            reasons.append(Reason("cure.pressure_late", sentence, Level.LOOK, hold.how))
    return reasons


def _temperature_reasons(run: Progress, limits: Limits) -> list[Reason]:
    """Highest temperature and ramps against their limits, and the alarm."""
    reasons = [run.alarm] if run.alarm is not None else []
    if limits.highest_c is not None and run.highest_c > limits.highest_c.value:
        sentence = say(
            "{probe} read {highest} °C, above the {limit} °C its weakest part stands.",
            probe=run.highest_probe,
            highest=round(run.highest_c, 2),
            limit=limits.highest_c.value,
        )
        reasons.append(Reason("cure.above_limit", sentence, Level.STOP, run.how))
    if limits.heating_k_per_min is not None and run.heating is not None:
        reasons += _ramp_reason(run.heating, limits.heating_k_per_min.value, "cure.heated_fast")
    if limits.cooling_k_per_min is not None and run.cooling is not None:
        reasons += _ramp_reason(run.cooling, limits.cooling_k_per_min.value, "cure.cooled_fast")
    return reasons


def _ramp_reason(ramp: Ramp, limit: float, code: str) -> list[Reason]:
    if ramp.kelvin_per_min <= limit + ROUNDING:
        return []
    sentence = say(
        "{probe} changed by {ramp} K/min over five minutes, faster than the {limit} K/min entered.",
        probe=ramp.probe,
        ramp=round(ramp.kelvin_per_min, 2),
        limit=limit,
    )
    return [Reason(code, sentence, Level.LOOK)]


def _gaps_left_out(run: Progress) -> list[Reason]:
    """Gaps that decide nothing are still said."""
    if not run.gaps or run.gap_decides:
        return []
    sentence = say(
        "{minutes} min without readings count nothing.",
        minutes=round(sum(gap.seconds for gap in run.gaps) / 60),
    )
    return [Reason("cure.gap_left_out", sentence, Level.LOOK, run.how)]


def judge(
    *,
    schedule: Schedule,
    log: Log,
    pressure: PressureLog | None,
    closed_at_s: float,
    opened_at_s: float,
    limits: Limits,
) -> CycleVerdict:
    """Judge a finished press cycle: passes, does not pass, or cannot be judged, with reasons.

    Formula: passes when the cautious share is >= 1, the pressure was unbroken for as long as it was
        needed, every probe was cool at opening, and no limit entered was passed. Cannot be judged when a
        gap, a silent probe or a missing pressure log leaves one of these open and none has failed: a gap
        leaves the schedule open when crediting it at the hottest listed point's rate would reach the
        whole. Above the highest listed temperature: no gain, and an alarm.
    Units: seconds from any origin, °C, gauge kPa, hours, K/min.
    Shapes: see progress and pressure_held; the two logs need not share their times.
    Refuses: cure.open_below, cure.limit, and what progress and pressure_held refuse
    Source: schedule equivalence, gap rule, pressure and opening rules: common practice, no source.
    Caution: a pass says that the data sheet's schedule has run by this log. It says nothing of the mix, the
        bond or the ski, and certifies nothing; inspection decides.
    """
    opening = may_open(
        schedule=schedule,
        log=log,
        pressure=pressure,
        closed_at_s=closed_at_s,
        at_s=opened_at_s,
        limits=limits,
    )
    run, hold = opening.progress, opening.pressure
    kept = [reason for reason in opening.verdict.reasons if reason.code != "cure.probe_silent"]
    judged = verdict(
        *kept,
        *_temperature_reasons(run, limits),
        *_pressure_reasons(run, hold, limits, closed_at_s),
        *_gaps_left_out(run),
        *run.notes,
    )
    outcomes = {Level.STOP: Outcome.DOES_NOT_PASS, Level.UNKNOWN: Outcome.CANNOT_BE_JUDGED}
    how = How(
        "passes when nothing stops it and nothing is unknown",
        opening.how.source,
        opening.how.inputs,
    )
    return CycleVerdict(outcomes.get(judged.level, Outcome.PASSES), judged, opening, how)
