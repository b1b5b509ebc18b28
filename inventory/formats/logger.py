"""Files of temperature and pressure loggers, line by line: moments in UTC, degrees Celsius, kilopascals.

The shape of a file is found once and passed in again. A file of a million rows takes no more memory than one
of ten. Broken sensors read as nothing, and are counted. Knows no place, no press and no gap that matters.

Example: `look = find_shape(file)`, `file.seek(0)`, `for reading in Log(file, look.shape, zone=zone)`.
"""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import IO, NamedTuple, TextIO

from inventory.errors import Refused, say
from inventory.formats.logger_clock import Clock, split_stamp
from inventory.formats.logger_columns import serial_in
from inventory.formats.logger_find import LINE_MOST, LOOK_LINES, find_shape
from inventory.formats.logger_sensor import Fault, Sensor, SensorFault
from inventory.formats.logger_shape import Hints, Look, Probe, Shape, recalled, remembered
from inventory.formats.logger_units import Unit

__all__ = [
    "Fault",
    "Hints",
    "Log",
    "Look",
    "Probe",
    "Reading",
    "SensorFault",
    "Shape",
    "Told",
    "Unit",
    "as_text",
    "find_shape",
    "recalled",
    "remembered",
]

LINES_MOST = 5_000_000
_BEGINNING = 65_536


class Reading(NamedTuple):
    """One line: a moment in UTC, and a value for each probe of the shape; `None` where there is none."""

    at: datetime
    values: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """What a log has told so far."""

    lines: int
    readings: int
    skipped: int  # lines after the first reading that are none
    first_skipped_line: int | None
    repeated: int  # readings that stood there twice, given once
    serial: str | None
    first_at: datetime | None
    last_at: datetime | None
    faults: tuple[SensorFault, ...]


def as_text(file: IO[bytes]) -> TextIO:
    """A logger's file as text, its letters found from its beginning. Refuses: logger.empty, logger.kind."""
    beginning = file.read(_BEGINNING)
    file.seek(0)
    if not beginning.strip():
        raise Refused("logger.empty", say("The file is empty."), say("Export it from the logger again."))
    wide = beginning[:2] in (b"\xff\xfe", b"\xfe\xff")
    if beginning.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"%PDF")) or (
        not wide and b"\0" in beginning
    ):
        raise _no_text()
    letters = "utf-16" if wide else "utf-8-sig" if _is_utf_8(beginning) else "cp1252"
    return io.TextIOWrapper(file, encoding=letters, errors="replace", newline="")


class Log:
    """One pass over a logger's file. Iterate once; `told()` answers at any time, so also for progress."""

    def __init__(self, file: TextIO, shape: Shape, *, zone: tzinfo, lines_most: int = LINES_MOST) -> None:
        self._file, self._shape, self._lines_most = file, shape, lines_most
        self._clock = Clock(shape.day_order, zone)
        self._sensors = [Sensor(probe, shape.decimal_mark) for probe in shape.probes]
        self._lines = self._readings = self._skipped = self._repeated = 0
        self._first_skipped: int | None = None
        self._first: datetime | None = None
        self._last: Reading | None = None
        self._before: list[list[str]] = []

    def __iter__(self) -> Iterator[Reading]:
        """The readings, one after the other.

        Refuses: logger.other_shape, logger.too_long, logger.kind, logger.broken, logger.zone.
        """
        lines = _lines(self._file, self._lines_most)
        rows = csv.reader(lines, delimiter=self._shape.separator, strict=True, skipinitialspace=True)
        try:
            for row in rows:
                self._lines = rows.line_num
                reading = self._reading(row)
                if reading is not None:
                    yield reading
        except csv.Error as fault:
            raise Refused(
                "logger.broken",
                say(
                    "The file cannot be read near line {line}: a quotation mark is wrong.", line=rows.line_num
                ),
                say("Export it from the logger again."),
            ) from fault
        if not self._readings:
            raise self._other_shape()

    def told(self) -> Told:
        """What was read so far, and what was not."""
        return Told(
            lines=self._lines,
            readings=self._readings,
            skipped=self._skipped,
            first_skipped_line=self._first_skipped,
            repeated=self._repeated,
            serial=serial_in(self._before),
            first_at=self._first,
            last_at=self._last.at if self._last else None,
            faults=tuple(fault for sensor in self._sensors for fault in sensor.faults()),
        )

    def _reading(self, row: list[str]) -> Reading | None:
        """A line's reading; `None` for a line that is none, or says again what the one before said."""
        at = self._moment(row)
        if at is None:
            self._skip(row)
            return None
        reading = Reading(at, tuple([sensor.take(row, at) for sensor in self._sensors]))
        last = self._last
        if last is None:
            self._first = at
        elif reading == last:
            self._repeated += 1
            return None
        self._last = reading
        self._readings += 1
        return reading

    def _moment(self, row: list[str]) -> datetime | None:
        """When a line was read; `None` where it holds no time at its place."""
        shape = self._shape
        try:
            if shape.time_at is None:
                day, clock = split_stamp(row[shape.day_at].rstrip())
            else:
                day, clock = row[shape.day_at].rstrip(), row[shape.time_at].rstrip()
        except IndexError:
            return None
        return self._clock.moment(day, clock)

    def _skip(self, row: list[str]) -> None:
        """Keep what stands before the readings, count what stands among them."""
        if self._readings:
            if any(row):
                self._skipped += 1
                self._first_skipped = self._first_skipped or self._lines
        else:
            self._before.append(row)
            if len(self._before) > LOOK_LINES:
                raise self._other_shape()

    def _other_shape(self) -> Refused:
        return Refused(
            "logger.other_shape",
            say("None of {lines} lines is written as this logger's files were before.", lines=self._lines),
            say("Check that it is this logger's file; if it is, tick that it writes otherwise now."),
        )


def _lines(file: TextIO, most: int) -> Iterator[str]:
    """The lines of a file, none of them endless. Refuses: logger.too_long, logger.kind."""
    for number in range(most + 1):
        line = file.readline(LINE_MOST)
        if not line:
            return
        if len(line) == LINE_MOST:
            raise _no_text()
        if number == most:
            raise Refused(
                "logger.too_long",
                say("The file has more than {most} lines.", most=most),
                say("Split it by date, and import one part after the other."),
            )
        yield line


def _is_utf_8(beginning: bytes) -> bool:
    """Whether bytes are UTF-8, the last letter perhaps cut."""
    try:
        beginning.decode("utf-8")
    except UnicodeDecodeError as fault:
        return fault.start >= len(beginning) - 3 and len(beginning) == _BEGINNING
    return True


def _no_text() -> Refused:
    return Refused(
        "logger.kind",
        say("The file is no text with one reading in a line."),
        say("Export the readings as CSV from the logger's own program, or from a spreadsheet."),
    )
