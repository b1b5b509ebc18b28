"""A logger's hours folded to days, for one label temperature: quick to charge, and charged the same.

Within a day all that is no warmer than the label becomes one stay, all that is warmer another, each at the
temperature that has its kinetic sum. Knows no place.
"""

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from inventory.compute import hours
from inventory.compute.hours import EPOCH, HOUR_S, Hour, moment_at
from inventory.compute.reasons import Basis, Given
from inventory.compute.storage import KINETIC_K, ZERO_C, Stay

_DAY_S = 24 * HOUR_S


@dataclass(frozen=True, slots=True)
class Folded:
    """Days in order: the number of each, its hours, and its stays for the label."""

    numbers: tuple[int, ...]
    own: tuple[tuple[Hour, ...], ...]
    stays: tuple[tuple[Stay, ...], ...]

    def within(self, starts: datetime, ends: datetime) -> Iterator[Stay]:
        """The measured stretches within a span; a day that is cut counts by its hours."""
        first, last = (starts - EPOCH).total_seconds(), (ends - EPOCH).total_seconds()
        for at in range(bisect_left(self.numbers, first // _DAY_S), len(self.numbers)):
            begins = self.numbers[at] * _DAY_S
            if begins >= last:
                return
            if begins >= first and begins + _DAY_S <= last:
                yield from self.stays[at]
            else:
                yield from hours.stays(self.own[at], starts=starts, ends=ends)


def fold(found: Sequence[Hour], label_c: float) -> Folded:
    """Fold hours, in order, for a label temperature.

    Formula: T = 10 000 K / -ln(sum of s exp(-10 000 K / T) / sum of s), in kelvin, over all that is on one
        side of the label within a day without a hole
    Units: °C; seconds
    Shapes: any number of hours, rising
    Refuses: nothing
    Source: as `storage.mean_kinetic`
    """
    days = [(number, tuple(own)) for number, own in groupby(found, key=lambda hour: hour.hour // 24)]
    return Folded(
        numbers=tuple(number for number, _ in days),
        own=tuple(own for _, own in days),
        stays=tuple(tuple(stay for run in _runs(own) for stay in _run(run, label_c)) for _, own in days),
    )


def _runs(own: Sequence[Hour]) -> Iterator[list[Hour]]:
    """Hours that follow each other without a hole."""
    run: list[Hour] = []
    for hour in own:
        if run and hour.hour * HOUR_S + hour.begins_s != _end(run[-1]):
            yield run
            run = []
        run.append(hour)
    if run:
        yield run


def _end(hour: Hour) -> int:
    return hour.hour * HOUR_S + hour.begins_s + hour.seconds


def _run(run: Sequence[Hour], label_c: float) -> Iterator[Stay]:
    at = run[0].hour * HOUR_S + run[0].begins_s
    parts = [
        (celsius / 100, seconds)
        for hour in run
        for celsius, seconds in ((hour.lowest, hour.seconds - hour.hot_s), (hour.highest, hour.hot_s))
        if seconds
    ]
    for warm in (False, True):
        own = [part for part in parts if (part[0] > label_c) is warm]
        seconds = sum(part[1] for part in own)
        if seconds:
            kinetic = math.fsum(s * math.exp(-KINETIC_K / (celsius + ZERO_C)) for celsius, s in own)
            celsius = KINETIC_K / -math.log(kinetic / seconds) - ZERO_C
            yield Stay(moment_at(at), moment_at(at + seconds), Given(celsius, Basis.MEASURED, "logger"))
            at += seconds
