"""Lowest and highest temperatures over time as shapes of a drawing. Knows no place, no word and no colour.

A picture never shows less than the data: a bin keeps its lowest and its highest, and where nothing was
measured there is a hole.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from inventory.errors import Refused, say

WIDTH, HEIGHT, LEFT, BASE, HEAD = 720, 200, 56, 24, 16
BINS = 340
_STEP_C = 10


@dataclass(frozen=True, slots=True)
class Spell:
    """What was measured in one stretch of time."""

    starts: datetime
    ends: datetime
    lowest_c: float
    highest_c: float


@dataclass(frozen=True, slots=True)
class Mark:
    """A line of the grid, and the value it stands for."""

    at: float
    value: float


@dataclass(frozen=True, slots=True)
class Curve:
    """Bands as SVG paths, from the lowest to the highest of each bin; `level` gives the height of a value."""

    bands: tuple[str, ...]
    marks: tuple[Mark, ...]
    days: tuple[tuple[float, datetime], ...]
    lowest_c: float
    highest_c: float

    def level(self, celsius: float) -> float:
        """Where a temperature stands in the drawing; beyond its edge, at the edge."""
        bottom, top = self.marks[0].value, self.marks[-1].value
        return _y(min(max(celsius, bottom), top), bottom, top)


def scale(spells: Iterable[Spell]) -> tuple[float, float]:
    """Whole tens that hold all of these, so that two drawings can share them.

    Refuses: warm_curve.nothing
    """
    known = list(spells)
    if not known:
        raise Refused(
            "warm_curve.nothing",
            say("Nothing was measured, so there are 0 points to draw."),
            say("Attach a logger's file, or read a thermometer."),
        )
    low = math.floor(min(spell.lowest_c for spell in known) / _STEP_C) * _STEP_C
    high = math.ceil(max(spell.highest_c for spell in known) / _STEP_C) * _STEP_C
    return float(low), float(high if high > low else low + _STEP_C)


def curve(spells: Sequence[Spell], *, starts: datetime, ends: datetime, within: tuple[float, float]) -> Curve:
    """Draw spells between two moments, on a scale.

    Formula: x and y straight in time and temperature; bins of equal length, each from the lowest to the
        highest of the spells that reach into it.
    Units: moments with a time zone; °C; the drawing's own units, 720 wide.
    Shapes: one or more spells, in order, none overlapping; what lies outside is cut off.
    Refuses: warm_curve.nothing
    Source: common practice, no source.
    """
    known = [spell for spell in spells if spell.ends > starts and spell.starts < ends]
    scale(known)
    bottom, top = within
    length = max((ends - starts) / BINS, timedelta(hours=1))
    bins: dict[int, tuple[float, float]] = {}
    for spell in known:
        first = int((max(spell.starts, starts) - starts) / length)
        last = math.ceil((min(spell.ends, ends) - starts) / length)
        for number in range(first, max(last, first + 1)):
            low, high = bins.get(number, (math.inf, -math.inf))
            bins[number] = min(low, spell.lowest_c), max(high, spell.highest_c)
    width = (WIDTH - LEFT) * (length / (ends - starts))
    return Curve(
        bands=tuple(_band(run, bins, width, bottom, top) for run in _runs(sorted(bins))),
        marks=tuple(Mark(_y(value, bottom, top), value) for value in _values(bottom, top)),
        days=tuple(_days(starts, ends)),
        lowest_c=min(low for low, _ in bins.values()),
        highest_c=max(high for _, high in bins.values()),
    )


def _runs(numbers: Sequence[int]) -> Iterable[list[int]]:
    """Numbers that follow each other."""
    run: list[int] = []
    for number in numbers:
        if run and number != run[-1] + 1:
            yield run
            run = []
        run.append(number)
    if run:
        yield run


def _band(
    run: Sequence[int], bins: dict[int, tuple[float, float]], width: float, bottom: float, top: float
) -> str:
    """A closed path: along the highest, back along the lowest; a bin is flat from its left to its right."""
    points = []
    for number in run:
        y = _y(bins[number][1], bottom, top)
        points += [(LEFT + number * width, y), (LEFT + (number + 1) * width, y)]
    for number in reversed(run):
        y = _y(bins[number][0], bottom, top)
        points += [(LEFT + (number + 1) * width, y), (LEFT + number * width, y)]
    return "M" + " L".join(f"{min(x, WIDTH):.1f} {y:.1f}" for x, y in points) + " Z"


def _y(celsius: float, bottom: float, top: float) -> float:
    return round(HEIGHT - BASE - (celsius - bottom) / (top - bottom) * (HEIGHT - BASE - HEAD), 1)


def _values(bottom: float, top: float) -> Iterable[float]:
    step = _STEP_C if top - bottom <= 6 * _STEP_C else 2 * _STEP_C
    value = bottom
    while value < top:
        yield value
        value += step
    yield top


def _days(starts: datetime, ends: datetime) -> Iterable[tuple[float, datetime]]:
    """Five moments along the foot, the first and the last among them but for the room of a word."""
    for part in range(5):
        yield round(LEFT + (WIDTH - LEFT) * part / 5, 1), starts + (ends - starts) * part / 5
