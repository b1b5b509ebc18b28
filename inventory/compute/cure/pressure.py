"""Whether the pressure of one press cycle came, and stayed, by its readings.

Knows no schedule: until when the pressure is needed comes in. Knows no press and what its parts stand.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress
from operator import and_

from inventory.compute.cure.curve import (
    Span,
    check_column,
    check_cycle,
    check_times,
    gap_limit_s,
    intervals_and_gaps,
    rows_of,
    spoken,
)
from inventory.compute.reasons import Given, How, Input, Level, Reason, number
from inventory.errors import Refused, Sentence, say

LOWEST_KPA, HIGHEST_KPA = -20.0, 2_000.0  # a gauge at rest may read a little below zero
KPA_PER = {"psi": 6.894757, "bar": 100.0}  # NIST SP 811, from memory
SOURCE = "pressure stays until the schedule is reached and the skis are cool, common practice, no source"


@dataclass(frozen=True, slots=True)
class PressureLog:
    """Gauge pressure of one press cycle: read by a logger, or by a person now and then."""

    at_s: Sequence[float]
    kpa: Sequence[float | None]
    interval_s: Given[float] | None = None


@dataclass(frozen=True, slots=True)
class PressureHold:
    """What the readings say about the pressure of one cycle."""

    first_at_s: float | None  # first reading at pressure
    seconds: float  # between readings that are both at pressure, gaps left out
    unbroken: bool | None  # None: cannot be told
    lost_at_s: float | None  # the first reading below, when it was lost
    highest_kpa: float | None
    gaps: tuple[Span, ...]
    reason: Reason
    how: How


def _how(at_least_kpa: Given[float], limit_s: float | None) -> How:
    inputs = [Input("pressure needed, at least", at_least_kpa.value, "kPa", at_least_kpa.basis)]
    if limit_s is not None:
        inputs.append(Input("a gap is more than", round(limit_s / 60, 1), "min"))
    rule = "unbroken: from the first reading at pressure until it may be vented, none is below, no gap"
    return How(rule, SOURCE, tuple(inputs))


def unknown_hold(at_least_kpa: Given[float]) -> PressureHold:
    """The answer when nobody read the pressure."""
    how = _how(at_least_kpa, None)
    sentence = say("No pressure was read: whether it stayed cannot be told.")
    reason = Reason("cure.pressure_unknown", sentence, Level.UNKNOWN, how)
    return PressureHold(None, 0.0, None, None, None, (), reason, how)


def _never_reached(highest_kpa: float, at_least_kpa: float) -> Sentence:
    for unit, factor in KPA_PER.items():
        if 0.75 <= highest_kpa * factor / at_least_kpa <= 1.5:
            return say(
                "The highest pressure read is {highest} kPa, below the {needed} kPa needed; if the gauge "
                "reads {unit}, it was {converted} kPa.",
                highest=highest_kpa,
                needed=at_least_kpa,
                unit=unit,
                converted=round(highest_kpa * factor, 1),
            )
    return say(
        "The highest pressure read is {highest} kPa, below the {needed} kPa needed.",
        highest=highest_kpa,
        needed=at_least_kpa,
    )


def _too_late(minute: int, at_least_kpa: float, how: How) -> Reason:
    sentence = say(
        "{needed} kPa was first read {minute} min after closing, when it was no longer of use.",
        needed=at_least_kpa,
        minute=minute,
    )
    return Reason("cure.pressure_too_late", sentence, Level.STOP, how)


def _first_low(held: list[bool], first: int) -> int | None:
    return next((row for row in range(first + 1, len(held)) if not held[row]), None)


def _unbroken(
    at_s: list[float], low: int | None, gaps: tuple[Span, ...], needed_until_s: float
) -> bool | None:
    """False: read below while still needed. None: a gap, or it fell somewhere between needed and not."""
    if low is not None and at_s[low] < needed_until_s:
        return False
    if any(gap.from_s < needed_until_s for gap in gaps):
        return None
    fell_between = low is not None and at_s[low - 1] < needed_until_s
    return None if fell_between else True


def _reason(unbroken: bool | None, minute: int, at_least_kpa: float, how: How) -> Reason:
    if unbroken:
        sentence = say(
            "The pressure stayed at {needed} kPa or more while it was needed.", needed=at_least_kpa
        )
        return Reason("cure.pressure_held", sentence, Level.FINE, how)
    if unbroken is None:
        sentence = say(
            "Whether the pressure stayed at {needed} kPa cannot be told: readings are missing about "
            "{minute} min after closing.",
            needed=at_least_kpa,
            minute=minute,
        )
        return Reason("cure.pressure_gap", sentence, Level.UNKNOWN, how)
    sentence = say(
        "The pressure fell below {needed} kPa by {minute} min after closing, while it was still needed.",
        needed=at_least_kpa,
        minute=minute,
    )
    return Reason("cure.pressure_lost", sentence, Level.STOP, how)


def _when_in_doubt(
    at_s: list[float], low: int | None, gaps: tuple[Span, ...], unbroken: bool | None, closed_at_s: float
) -> int:
    """The minute after closing that a person should look at."""
    moment = closed_at_s
    if unbroken is None and gaps:
        moment = gaps[0].from_s
    elif low is not None:
        moment = at_s[low] if unbroken is False else at_s[low - 1]
    return round((moment - closed_at_s) / 60)


def pressure_held(
    *,
    log: PressureLog | None,
    at_least_kpa: Given[float],
    closed_at_s: float,
    until_s: float,
    needed_until_s: float | None = None,
) -> PressureHold:
    """Whether the pressure came and stayed until it was no longer needed.

    Formula: unbroken when, from the first reading at pressure until needed_until_s (else until_s), no
        reading is below at_least_kpa and no time between readings is a gap; time at pressure adds the
        intervals whose both ends are at pressure. A gap is more than 3 logging intervals, at least 15 and
        at most 60 minutes. A fall between a last good reading and the moment it was no longer needed:
        cannot be told.
    Units: gauge kPa, seconds.
    Shapes: at_s and kpa of equal length, times going up, None where nothing was read.
    Refuses: cure.pressure_needed, cure.time, cure.reversed, cure.too_long, cure.too_few, cure.not_in_order,
        cure.columns, cure.reading, cure.interval, cure.log_elsewhere, cure.no_rows
    Source: common practice, no source; gap rule common practice, no source.
    Caution: a reading is not the gauge: before a press is opened the gauge itself shows zero, vented, heat
        off.
    """
    number(
        at_least_kpa.value,
        code="cure.pressure_needed",
        name="The pressure needed",
        unit="kPa",
        above=0,
        at_most=HIGHEST_KPA,
    )
    check_cycle(closed_at_s, until_s)
    if log is None:
        return unknown_hold(at_least_kpa)
    intervals_s = check_times(log.at_s)
    check_column("The pressure", log.kpa, len(log.at_s), LOWEST_KPA, HIGHEST_KPA, "kPa")
    limit_s = gap_limit_s(intervals_s, log.interval_s)
    rows = rows_of(log.at_s, closed_at_s, until_s)
    until = bisect_right(log.at_s, until_s)
    times, column = log.at_s[rows.start : until], log.kpa[rows.start : until]
    at_s = [at for at, read in zip(times, column, strict=True) if read is not None]
    kpa = spoken(column)
    if not at_s:
        raise Refused(
            "cure.no_rows",
            say("The pressure log has no reading during this cycle."),
            say("Fetch the log again, or judge without a pressure log."),
        )
    return _hold(at_s, kpa, at_least_kpa, limit_s, Span(closed_at_s, until_s), needed_until_s)


def _hold(
    at_s: list[float],
    kpa: list[float],
    at_least_kpa: Given[float],
    limit_s: float,
    cycle: Span,
    needed_until_s: float | None,
) -> PressureHold:
    how = _how(at_least_kpa, limit_s)
    seconds, gaps = intervals_and_gaps(at_s, cycle.from_s, cycle.to_s, limit_s)
    needed = at_least_kpa.value
    held = [read >= needed for read in kpa]
    highest = max(kpa)
    if True not in held:
        reason = Reason("cure.no_pressure", _never_reached(highest, needed), Level.STOP, how)
        return PressureHold(None, 0.0, False, None, highest, gaps, reason, how)
    first = held.index(True)
    until = cycle.to_s if needed_until_s is None else needed_until_s
    if at_s[first] >= until:
        reason = _too_late(round((at_s[first] - cycle.from_s) / 60), needed, how)
        return PressureHold(at_s[first], 0.0, False, None, highest, gaps, reason, how)
    low = _first_low(held, first)
    unbroken = _unbroken(at_s, low, gaps, until)
    minute = _when_in_doubt(at_s, low, gaps, unbroken, cycle.from_s)
    at_pressure = sum(compress(seconds, map(and_, held, held[1:])))
    lost = at_s[low] if low is not None and unbroken is False else None
    reason = _reason(unbroken, minute, needed, how)
    return PressureHold(
        max(at_s[first], cycle.from_s), at_pressure, unbroken, lost, highest, gaps, reason, how
    )
