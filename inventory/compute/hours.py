"""A logger's readings kept hour by hour, so that ageing is charged as by all of them. Knows no place.

An hour keeps its lowest and its highest temperature, how long it was measured, and for how many seconds the
highest counts: as many as give the same kinetic sum as the readings. Two files of one place become one.
"""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

from inventory.compute.reasons import Basis, Given
from inventory.compute.storage import KINETIC_K, LEAST_GAP, MOST_GAP, ZERO_C, Stay, check_celsius
from inventory.errors import Refused, say

HOUR_S = 3600
HOURS_MOST = 45_000  # five years
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_SECOND = timedelta(seconds=1)
_LEAST_S, _MOST_S = LEAST_GAP.total_seconds(), MOST_GAP.total_seconds()


class Hour(NamedTuple):
    """One hour of the clock in UTC. Temperatures in hundredths of a degree Celsius."""

    hour: int  # whole hours since 1970
    begins_s: int  # into the hour, where the measured part begins
    seconds: int  # that were measured
    lowest: int
    highest: int
    hot_s: int  # of the seconds, at the highest; all others at the lowest


class Hole(NamedTuple):
    """A stretch of time without a reading that is longer than the logger's own interval explains."""

    starts: datetime
    ends: datetime


@dataclass(frozen=True, slots=True)
class Kept:
    """What is kept of one file."""

    hours: tuple[Hour, ...]
    readings: int
    first_at: datetime
    last_at: datetime
    lowest_c: float
    highest_c: float
    interval_s: float  # the usual one
    holes: tuple[Hole, ...]
    left_out: int  # readings that are not later than one before them
    left_out_highest_c: float | None


class _Sum:
    """One hour as it fills."""

    __slots__ = ("begins", "highest", "kinetic", "lowest", "seconds")

    def __init__(self, begins: float, lowest: float, highest: float) -> None:
        self.begins, self.lowest, self.highest = begins, lowest, highest
        self.seconds = self.kinetic = 0.0


class Thinner:
    """Takes readings one after the other, in the order of time, and gives what is kept of them.

    Formula: between two readings the hotter one, as in `storage.history`, cut at whole hours. An hour keeps
        s seconds, lowest L, highest H, and hot seconds h = s (g - g(L)) / (g(H) - g(L)), rounded up, with
        g(T) = exp(-10 000 K / T) and g its mean over the hour. A gap is more than 3 x the usual interval, at
        least 1 h, at most 6 h.
    Units: moments with a time zone; °C; seconds.
    Shapes: any number of readings; one that is not later than the last that counts is left out, and counted.
    Refuses: hours.none, hours.many, storage.temperature
    Source: USP 1160 (read) for g; two temperatures in the place of many: common practice, no source.
    Caution: Where a label's limit lies between L and H the charge is too high by at most what the hour's
        swing allows, never too low.
    """

    def __init__(self) -> None:
        self._sums: dict[int, _Sum] = {}
        self._steps: Counter[int] = Counter()
        self._unsure: list[tuple[float, float, float, float]] = []
        self._rates: dict[float, float] = {}
        self._first = self._last = -1.0
        self._celsius = 0.0
        self._lowest, self._highest = math.inf, -math.inf
        self.readings = self._left_out = 0
        self._left_out_highest = -math.inf

    def take(self, at: datetime, celsius: float) -> None:
        """One more reading."""
        moment = (at - EPOCH).total_seconds()
        if self.readings and moment <= self._last:
            self._left_out += 1
            self._left_out_highest = max(self._left_out_highest, celsius)
            return
        self._lowest, self._highest = min(self._lowest, celsius), max(self._highest, celsius)
        if self.readings:
            step = moment - self._last
            self._steps[round(step)] += 1
            if step <= _LEAST_S:
                self._span(self._last, moment, self._celsius, celsius)
            else:
                self._unsure.append((self._last, moment, self._celsius, celsius))
        else:
            self._first = moment
        self.readings += 1
        self._last, self._celsius = moment, celsius

    def kept(self) -> Kept:
        """What is kept, once all were taken."""
        if self.readings < 2:
            raise Refused(
                "hours.none",
                say(
                    "Of its readings {count} can be believed; it takes two to know how warm it was.",
                    count=self.readings,
                ),
                say("Choose another probe, or export the file again; a sensor may be broken."),
            )
        check_celsius(self._lowest, "The lowest reading")
        check_celsius(self._highest, "The highest reading")
        usual = self._usual()
        most = min(_MOST_S, max(_LEAST_S, 3 * usual))
        holes = []
        for begins, ends, before, after in self._unsure:
            if ends - begins <= most:
                self._span(begins, ends, before, after)
            else:
                holes.append(Hole(moment_at(begins), moment_at(ends)))
        self._unsure = []
        if len(self._sums) > HOURS_MOST:
            raise Refused(
                "hours.many",
                say(
                    "The readings fill {hours} hours; {most} are kept of one file.",
                    hours=len(self._sums),
                    most=HOURS_MOST,
                ),
                say("Split it by date, and attach one part after the other."),
            )
        return Kept(
            hours=tuple(_hour(number, self._sums[number]) for number in sorted(self._sums)),
            readings=self.readings,
            first_at=moment_at(self._first),
            last_at=moment_at(self._last),
            lowest_c=self._lowest,
            highest_c=self._highest,
            interval_s=usual,
            holes=tuple(holes),
            left_out=self._left_out,
            left_out_highest_c=self._left_out_highest if self._left_out else None,
        )

    def _span(self, begins: float, ends: float, before: float, after: float) -> None:
        """From one reading to the next, at the hotter of both, cut at whole hours."""
        low, high = (before, after) if before <= after else (after, before)
        rate = self._rates.get(high)
        if rate is None:
            rate = self._rates[high] = _rate(high)
            if len(self._rates) > 100_000:
                self._rates.clear()
        number = int(begins // HOUR_S)
        while begins < ends:
            edge = min(ends, (number + 1) * HOUR_S)
            found = self._sums.get(number)
            if found is None:
                found = self._sums[number] = _Sum(begins, low, high)
            elif low < found.lowest:
                found.lowest = low
            if high > found.highest:
                found.highest = high
            if begins < found.begins:
                found.begins = begins
            found.seconds += edge - begins
            found.kinetic += rate * (edge - begins)
            begins, number = edge, number + 1

    def _usual(self) -> float:
        """The median interval."""
        middle, passed = sum(self._steps.values()) / 2, 0
        for step in sorted(self._steps):
            passed += self._steps[step]
            if passed >= middle:
                return float(step)
        return 0.0


def joined(files: Iterable[Sequence[Hour]]) -> list[Hour]:
    """The hours of several files of one place as one: of each hour the fuller one counts, else the warmer.

    The order of the files does not matter.
    """
    best: dict[int, Hour] = {}
    for hours in files:
        for hour in hours:
            known = best.get(hour.hour)
            if known is None or _weight(hour) > _weight(known):
                best[hour.hour] = hour
    return [best[number] for number in sorted(best)]


def differences(one: Sequence[Hour], other: Sequence[Hour]) -> tuple[int, float]:
    """In how many full hours two files both speak, and by how many K their hours differ at most."""
    full = {hour.hour: hour for hour in other if hour.seconds == HOUR_S}
    both = [(hour, full[hour.hour]) for hour in one if hour.seconds == HOUR_S and hour.hour in full]
    apart = [max(abs(a.lowest - b.lowest), abs(a.highest - b.highest)) for a, b in both]
    return len(both), max(apart, default=0) / 100


def stays(
    hours: Iterable[Hour], *, starts: datetime, ends: datetime, source: str = "logger"
) -> Iterator[Stay]:
    """The measured stretches within a span, the warm part of an hour first; what is cut off is cut evenly."""
    first, last = (starts - EPOCH).total_seconds(), (ends - EPOCH).total_seconds()
    for hour in hours:
        begins = hour.hour * HOUR_S + hour.begins_s
        stops = begins + hour.seconds
        low, high = max(begins, first), min(stops, last)
        if low >= high:
            continue
        turn = low + (high - low) * hour.hot_s / hour.seconds
        if turn > low:
            yield Stay(moment_at(low), moment_at(turn), Given(hour.highest / 100, Basis.MEASURED, source))
        if high > turn:
            yield Stay(moment_at(turn), moment_at(high), Given(hour.lowest / 100, Basis.MEASURED, source))


def packed(hours: Sequence[Hour]) -> list[list[int]]:
    """Hours as plain numbers, small enough to be kept in the books.

    Each row: hours since the row before, lowest, highest, hot seconds; where less than the hour was measured
    also where that begins and how long it lasts. The first row counts from 1970.
    """
    rows, before = [], 0
    for hour in hours:
        row = [hour.hour - before, hour.lowest, hour.highest, hour.hot_s]
        if hour.seconds != HOUR_S:
            row += [hour.begins_s, hour.seconds]
        rows.append(row)
        before = hour.hour
    return rows


def unpacked(rows: Iterable[Sequence[int]]) -> list[Hour]:
    """The hours of plain numbers; a row that is none is left out, as a bundle may bring anything."""
    found, number = [], 0
    for row in rows:
        if len(row) not in (4, 6) or not all(isinstance(value, int) for value in row):
            continue
        number += row[0]
        begins, seconds = (row[4], row[5]) if len(row) == 6 else (0, HOUR_S)
        if begins >= 0 and seconds > 0 and begins + seconds <= HOUR_S and 0 <= row[3] <= seconds:
            found.append(Hour(number, begins, seconds, row[1], row[2], row[3]))
    return found


def moment_of(hour: Hour) -> datetime:
    """When an hour begins."""
    return moment_at(hour.hour * HOUR_S)


def _weight(hour: Hour) -> tuple[int, float, int, int]:
    warm = hour.hot_s * _rate(hour.highest / 100) + (hour.seconds - hour.hot_s) * _rate(hour.lowest / 100)
    return hour.seconds, warm, hour.highest, hour.lowest


def _hour(number: int, found: _Sum) -> Hour:
    """A filled hour in whole numbers, rounded so that it is charged no less than its readings."""
    seconds = min(HOUR_S, max(1, math.ceil(found.seconds - 1e-6)))
    begins = min(int(found.begins - number * HOUR_S), HOUR_S - seconds)
    lowest, highest = round(found.lowest * 100), round(found.highest * 100)
    cold, hot = _rate(lowest / 100), _rate(highest / 100)
    mean = found.kinetic / found.seconds
    share = 1.0 if hot <= cold else min(1.0, max(0.0, (mean - cold) / (hot - cold)))
    return Hour(number, begins, seconds, lowest, highest, math.ceil(share * seconds - 1e-6))


def _rate(celsius: float) -> float:
    return math.exp(-KINETIC_K / (celsius + ZERO_C))


def moment_at(seconds: float) -> datetime:
    """The moment so many seconds after 1970."""
    return EPOCH + seconds * _SECOND
