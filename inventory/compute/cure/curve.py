"""A logged curve made ready for judging: its rows within the cycle, coldest and hottest probe, gaps, ramps.

Knows no schedule and no verdict. Times are seconds from any one origin; a face turns them into clock times.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import compress
from operator import sub, truediv
from statistics import median_low
from typing import cast

from inventory.compute.cure.schedule import COLDEST_C, HOTTEST_C
from inventory.compute.reasons import Given, number
from inventory.errors import Refused, say

GAP_INTERVALS = 3
GAP_AT_LEAST_S, GAP_AT_MOST_S = 15 * 60.0, 60 * 60.0
CLOCK_SLACK_S = 1e-3  # what rounding of a time stamp may add
RAMP_OVER_S = 5 * 60.0
LONGEST_S = 31 * 86_400.0

Column = Sequence[float | None]


@dataclass(frozen=True, slots=True)
class Log:
    """Temperatures of one press cycle: a time column, and a column for each probe, `None` where silent."""

    at_s: Sequence[float]
    probes_c: Mapping[str, Column]
    left_out: tuple[str, ...] = ()  # probes a person set aside on purpose
    interval_s: Given[float] | None = None  # the logger's own; else the middle one of its intervals


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time."""

    from_s: float
    to_s: float

    @property
    def seconds(self) -> float:
        """How long it is."""
        return self.to_s - self.from_s


@dataclass(frozen=True, slots=True)
class Window:
    """The rows of a log that tell about one cycle: the usable ones inside, the one before and after."""

    at_s: list[float]
    seconds: list[float]  # of each interval between rows: the part inside the cycle, 0 in a gap
    probes_c: dict[str, list[float]]
    coldest_c: list[float]
    hottest_c: list[float]
    inside: slice  # the rows between closing and the end
    gaps: tuple[Span, ...]
    gap_limit_s: float
    silent: tuple[str, ...]  # probes without a single reading
    skips: dict[str, int]  # probes with some readings missing: how many rows that cost


@dataclass(frozen=True, slots=True)
class Ramp:
    """The steepest change of one probe over at least five minutes."""

    kelvin_per_min: float
    probe: str


def check_times(at_s: Sequence[float]) -> list[float]:
    """The intervals between times; refuses times that are not numbers, or do not go up."""
    if len(at_s) < 2:
        raise Refused(
            "cure.too_few",
            say("The log has {count} readings; two are the least a time can be taken from.", count=len(at_s)),
            say("Wait for the next reading, or fetch the whole log."),
        )
    if not set(map(type, at_s)) <= {int, float} or not math.isfinite(sum(at_s)):
        raise Refused(
            "cure.time",
            say("The log has a time that is not a number."),
            say("Fetch the log again, or take the broken row out."),
        )
    intervals_s = list(map(sub, at_s[1:], at_s))
    if min(intervals_s) <= 0:
        row = next(row for row, interval in enumerate(intervals_s, start=2) if interval <= 0)
        raise Refused(
            "cure.not_in_order",
            say("Reading {row} of the log is not later than the one before it.", row=row),
            say("Put the readings in order of time, each time once; look for a clock that was set back."),
        )
    return intervals_s


def spoken(column: Column) -> list[float]:
    """The readings of a column, silent rows left out."""
    if None not in column:
        return list(cast("Sequence[float]", column))
    return [reading for reading in column if reading is not None]


def check_column(name: str, column: Column, rows: int, low: float, high: float, unit: str) -> None:
    """Refuse a column of another length, or with readings no sensor of this kind gives."""
    if len(column) != rows:
        raise Refused(
            "cure.columns",
            say("{name} has {count} readings for {rows} times.", name=name, count=len(column), rows=rows),
            say("Fetch the log again: each time needs one reading, or an empty one."),
        )
    if not set(map(type, column)) <= {int, float, type(None)}:
        raise Refused(
            "cure.reading",
            say("{name} has a reading that is not a number.", name=name),
            say("Leave an empty reading where the sensor gave none."),
        )
    present = spoken(column)
    if not present:
        return
    ends = (sum(present), min(present), max(present))  # a NaN anywhere shows in the sum
    worst = next((end for end in ends if not math.isfinite(end)), None)
    if worst is None:
        worst = next((end for end in ends[1:] if not low <= end <= high), None)
    if worst is not None:
        raise Refused(
            "cure.reading",
            say(
                "{name} reads {worst} {unit}; between {low} and {high} {unit} is possible.",
                name=name,
                worst=worst,
                unit=unit,
                low=low,
                high=high,
            ),
            say(
                "Check the logger's unit, and for a broken sensor; leave an empty reading where it gave none."
            ),
        )


def check_cycle(closed_at_s: float, until_s: float) -> None:
    """Refuse a cycle that ends before it begins, or is no press cycle by its length."""
    number(closed_at_s, code="cure.time", name="The time of closing", unit="s")
    number(until_s, code="cure.time", name="The end of the cycle", unit="s")
    if until_s <= closed_at_s:
        raise Refused(
            "cure.reversed",
            say("The cycle ends {seconds} s before it begins.", seconds=closed_at_s - until_s),
            say("Check the times of closing and opening, and their dates."),
        )
    if until_s - closed_at_s > LONGEST_S:
        raise Refused(
            "cure.too_long",
            say(
                "The cycle lasts {days} days; {most} is the most a press cycle may last.",
                days=round((until_s - closed_at_s) / 86_400, 1),
                most=round(LONGEST_S / 86_400),
            ),
            say("Enter when the press was closed and opened; the rest of the log is left aside."),
        )


def gap_limit_s(intervals_s: list[float], interval_s: Given[float] | None) -> float:
    """How long a time between readings may be before it is a gap: 3 intervals, 15 to 60 minutes."""
    if interval_s is None:
        own = float(median_low(intervals_s))
    else:
        own = number(
            interval_s.value,
            code="cure.interval",
            name="The logger's interval",
            unit="s",
            above=0,
            at_most=86_400,
        )
    return min(max(GAP_INTERVALS * own, GAP_AT_LEAST_S), GAP_AT_MOST_S)


def rows_of(at_s: Sequence[float], closed_at_s: float, until_s: float) -> slice:
    """The rows between two moments, and the one before and after; refuses a log of another time."""
    first = max(bisect_right(at_s, closed_at_s) - 1, 0)
    last = min(bisect_left(at_s, until_s), len(at_s) - 1)
    if first >= last:
        raise Refused(
            "cure.log_elsewhere",
            say(
                "The log runs from {from_min} to {to_min} min after closing, the cycle to {end_min} min: "
                "they do not meet.",
                from_min=round((at_s[0] - closed_at_s) / 60),
                to_min=round((at_s[-1] - closed_at_s) / 60),
                end_min=round((until_s - closed_at_s) / 60),
            ),
            say("Check that this is the log of this cycle, and the logger's clock and time zone."),
        )
    return slice(first, last + 1)


def intervals_and_gaps(
    at_s: Sequence[float], closed_at_s: float, until_s: float, limit_s: float
) -> tuple[list[float], tuple[Span, ...]]:
    """Seconds of each interval that lie inside the cycle, none in a gap; and the gaps, both ends included."""
    limit_s += CLOCK_SLACK_S
    seconds = list(map(sub, at_s[1:], at_s))
    any_long = max(seconds, default=0.0) > limit_s
    long = [row for row, length in enumerate(seconds) if length > limit_s] if any_long else []
    clipped = [*at_s]
    clipped[0], clipped[-1] = max(clipped[0], closed_at_s), min(clipped[-1], until_s)
    if seconds:
        seconds[0], seconds[-1] = clipped[1] - clipped[0], clipped[-1] - clipped[-2]
    gaps = []
    for row in long:
        seconds[row] = 0.0
        gaps.append(Span(clipped[row], clipped[row + 1]))
    if at_s[0] - closed_at_s > limit_s:
        gaps.insert(0, Span(closed_at_s, at_s[0]))
    if until_s - at_s[-1] > limit_s:
        gaps.append(Span(at_s[-1], until_s))
    return seconds, tuple(gaps)


def _used_probes(log: Log) -> dict[str, Column]:
    for name in log.left_out:
        if name not in log.probes_c:
            raise Refused(
                "cure.left_out",
                say("There is no probe {name} in this log to leave out.", name=name),
                say("Choose from: {names}.", names=", ".join(log.probes_c)),
            )
    used = {name: column for name, column in log.probes_c.items() if name not in log.left_out}
    if not used:
        raise Refused(
            "cure.no_probe",
            say("No probe is left to judge by."),
            say("Give the readings of at least one probe at the ski."),
        )
    return used


def _speaking_rows(
    at_s: Sequence[float], columns: dict[str, Column], skips: dict[str, int]
) -> tuple[list[float], dict[str, list[float]]]:
    """The rows in which every probe speaks: a silent one might be the coldest."""
    times = [*at_s]
    if skips:
        keep = [None not in row for row in zip(*columns.values(), strict=True)]
        times = list(compress(at_s, keep))
        columns = {name: list(compress(column, keep)) for name, column in columns.items()}
    probes = {name: list(cast("Sequence[float]", column)) for name, column in columns.items()}
    if len(times) < 2:
        raise Refused(
            "cure.no_rows",
            say(
                "Fewer than two rows of the cycle have a reading of every probe; silent: {names}.",
                names=", ".join(skips),
            ),
            say("Leave a silent probe out on purpose, or fetch its readings."),
        )
    return times, probes


def _lower(one: list[float], other: list[float]) -> list[float]:
    return [a if a < b else b for a, b in zip(one, other, strict=True)]


def _higher(one: list[float], other: list[float]) -> list[float]:
    return [a if a > b else b for a, b in zip(one, other, strict=True)]


def window(log: Log, *, closed_at_s: float, until_s: float) -> Window:
    """The part of a log that tells about a cycle, checked; what is missing in it stays missing."""
    check_cycle(closed_at_s, until_s)
    intervals_s = check_times(log.at_s)
    used = _used_probes(log)
    for name, column in used.items():
        check_column(name, column, len(log.at_s), COLDEST_C, HOTTEST_C, "°C")
    limit_s = gap_limit_s(intervals_s, log.interval_s)
    rows = rows_of(log.at_s, closed_at_s, until_s)
    columns = {name: column[rows] for name, column in used.items()}
    unread = {name: column.count(None) for name, column in columns.items()}
    silent = tuple(name for name, count in unread.items() if count == rows.stop - rows.start)
    if len(silent) == len(columns):
        raise Refused(
            "cure.no_readings",
            say("No probe gave a reading during this cycle."),
            say("Fetch the log again, or record by hand what was seen and who saw it."),
        )
    speaking = {name: column for name, column in columns.items() if name not in silent}
    skips = {name: unread[name] for name in speaking if unread[name]}
    at_s, probes = _speaking_rows(log.at_s[rows], speaking, skips)
    seconds, gaps = intervals_and_gaps(at_s, closed_at_s, until_s, limit_s)
    inside = slice(bisect_left(at_s, closed_at_s), bisect_right(at_s, until_s))
    if inside.start == inside.stop:
        inside = slice(0, 1)  # the whole cycle lies between two readings
    every = list(probes.values())
    coldest, hottest = reduce(_lower, every), reduce(_higher, every)
    return Window(at_s, seconds, probes, coldest, hottest, inside, gaps, limit_s, silent, skips)


def _partners(at_s: list[float]) -> Sequence[int]:
    """For each row the first row at least five minutes later, as far as there is one; even logs: a range."""
    rows = len(at_s)
    step = bisect_left(at_s, at_s[0] + RAMP_OVER_S)
    even = step < rows and min(map(sub, at_s[step:], at_s)) >= RAMP_OVER_S
    if even and max(map(sub, at_s[step - 1 :], at_s)) < RAMP_OVER_S:
        return range(step, rows)  # always as many rows ahead
    later = (bisect_left(at_s, time + RAMP_OVER_S) for time in at_s)
    return [ahead for ahead in later if ahead < rows]


def _later(column: list[float], partners: Sequence[int]) -> list[float]:
    if isinstance(partners, range):
        return column[partners.start :]
    return [column[row] for row in partners]


def ramps(seen: Window) -> tuple[Ramp | None, Ramp | None]:
    """The steepest heating and the steepest cooling of any probe, each over at least five minutes."""
    at_s = seen.at_s[seen.inside]
    partners = _partners(at_s)
    if not partners:
        return None, None
    spans_s = list(map(sub, _later(at_s, partners), at_s))
    heating, cooling = [], []
    for name, column in seen.probes_c.items():
        celsius = column[seen.inside]
        changes = map(sub, _later(celsius, partners), celsius)
        per_s = list(map(truediv, changes, spans_s))
        heating.append(Ramp(max(max(per_s), 0.0) * 60, name))
        cooling.append(Ramp(max(-min(per_s), 0.0) * 60, name))
    return (
        max(heating, key=lambda ramp: ramp.kelvin_per_min),
        max(cooling, key=lambda ramp: ramp.kelvin_per_min),
    )
