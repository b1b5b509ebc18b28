"""Finding the shape of a logger's file from its first lines: what separates cells, where and how times stand.

What the lines leave open is asked for, never guessed. Knows no place, no press and no database.
"""

import csv
import re
from collections import Counter
from collections.abc import Iterable
from itertools import islice, pairwise

from inventory.errors import Refused, say
from inventory.formats.logger_clock import CLOCK, DAY, clock_of, day_of, orders_of, split_stamp
from inventory.formats.logger_columns import decimal_mark_of, probes_of, serial_in
from inventory.formats.logger_shape import SEPARATORS, Hints, Look, Shape
from inventory.formats.sheets_cells import DayOrder

LOOK_LINES, LINE_MOST = 2_000, 10_000

_STAMP = re.compile(rf"{DAY},?[ T]+{CLOCK}")
_DAY_CELL, _CLOCK_CELL = re.compile(DAY), re.compile(CLOCK)
_DAY_SECONDS = 86_400

When = tuple[int, int | None]
Rows = list[list[str]]


def find_shape(lines: Iterable[str], hints: Hints | None = None) -> Look:
    """Find the shape from the first 2,000 lines.

    Refuses: logger.no_readings, logger.columns, logger.day_order, logger.newest_first, logger.no_values,
    logger.temperature_unit, logger.pressure_unit, logger.decimal_mark.
    """
    head = [line[:LINE_MOST].lstrip("\ufeff").rstrip("\r\n") for line in islice(lines, LOOK_LINES)]
    separator, (day_at, time_at), body, before = _body(head)
    order = _order(*_texts(body, day_at, time_at), hints or Hints())
    times = [day_at] if time_at is None else [day_at, time_at]
    probes, left_out = probes_of(body, before, times, separator, hints or Hints())
    shape = Shape(separator, day_at, time_at, order, decimal_mark_of(body, probes), probes)
    return Look(shape, serial_in(before), left_out)


def _body(head: list[str]) -> tuple[str, When, Rows, Rows]:
    """Separator, places of day and time, the rows of readings, and the rows before them."""
    found = []
    for rank, separator in enumerate(SEPARATORS):
        rows = _split(head, separator)
        places = [_when(row) for row in rows]
        counted = Counter(place for place in places if place)
        if counted:
            when, count = counted.most_common(1)[0]
            body = [row for row, place in zip(rows, places, strict=True) if place == when]
            found.append((count, len(body[0]), -rank, separator, when, body, rows[: places.index(when)]))
    if not found:
        raise Refused(
            "logger.no_readings",
            say("The first {most} lines of the file hold no date with a time.", most=LOOK_LINES),
            say("Export the logger's readings as CSV, with date and time in each row."),
        )
    _, _, _, separator, when, body, before = max(found, key=lambda each: each[:3])
    return separator, when, body, before


def _split(head: list[str], separator: str) -> Rows:
    try:
        return [[cell.strip() for cell in row] for row in csv.reader(head, delimiter=separator)]
    except csv.Error:
        return []


def _when(row: list[str]) -> When | None:
    """Where a row holds its day and its time."""
    stamps = [at for at, cell in enumerate(row) if _STAMP.fullmatch(cell)]
    if stamps:
        return stamps[0], None
    days = [at for at, cell in enumerate(row) if _DAY_CELL.fullmatch(cell)]
    clocks = [at for at, cell in enumerate(row) if _CLOCK_CELL.fullmatch(cell)]
    return (days[0], clocks[0]) if days and clocks else None


def _texts(body: Rows, day_at: int, time_at: int | None) -> tuple[list[str], list[str]]:
    """The texts of all days and of all clocks."""
    if time_at is not None:
        return [row[day_at] for row in body], [row[time_at] for row in body]
    stamps = [split_stamp(row[day_at]) for row in body]
    return [day for day, _ in stamps], [clock for _, clock in stamps]


def _order(days: list[str], clocks: list[str], hints: Hints) -> DayOrder:
    """The order of the days: the only possible one, the one said, or the only one in which time is even."""
    possible = orders_of(days)
    steps = {order: _steps(days, clocks, order) for order in possible}
    if possible and all(found and max(found) < 0 for found in steps.values()):
        raise Refused(
            "logger.newest_first",
            say("The newest reading comes first."),
            say("Export the file with the oldest reading first, or turn its rows around in a spreadsheet."),
        )
    if len(possible) > 1:
        even = tuple(order for order in possible if _is_even(steps[order]))
        possible = tuple(order for order in possible if order is hints.day_order) or even
    if len(possible) != 1:
        raise Refused(
            "logger.day_order",
            say("It is not certain in which order “{text}” names day, month and year.", text=days[0]),
            say("Say in which order the logger writes its dates; it is remembered."),
        )
    return possible[0]


def _steps(days: list[str], clocks: list[str], order: DayOrder) -> list[float]:
    """Seconds from reading to reading, as the texts say."""
    moments = []
    for text, clock in zip(days, clocks, strict=True):
        day, stamp = day_of(text, order), clock_of(clock)
        if day and stamp:
            moments.append(day.toordinal() * _DAY_SECONDS + stamp[0].total_seconds())
    return [after - before for before, after in pairwise(moments)]


def _is_even(steps: list[float]) -> bool:
    """Whether no step is much longer than the usual one, as over a midnight read in a wrong order."""
    usual = sorted(steps)[(len(steps) - 1) // 2] if steps else 0
    return bool(steps) and min(steps) >= 0 and max(steps) <= 3 * usual
