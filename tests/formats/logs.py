"""Logger files made by hand for tests, and read whole."""

import io
from datetime import UTC, datetime, timedelta, tzinfo

from inventory.formats.logger import Hints, Log, Look, Reading, Shape, Told, Unit, find_shape

CELSIUS = Hints(temperature=Unit.CELSIUS)
PLAIN = "Time,Bay (°C)\n2026-01-13 10:00:00,20.5\n2026-01-13 10:10:00,21.0\n2026-01-13 10:20:00,-3.25\n"


def text(*lines: str) -> str:
    return "".join(line + "\n" for line in lines)


def look(content: str, hints: Hints | None = None) -> Look:
    return find_shape(io.StringIO(content, newline=""), hints)


def read(
    content: str, *, hints: Hints | None = None, shape: Shape | None = None, zone: tzinfo = UTC
) -> tuple[list[Reading], Told]:
    """All readings of a file, and what its log tells at the end."""
    log = Log(io.StringIO(content, newline=""), shape or look(content, hints).shape, zone=zone)
    return list(log), log.told()


def values(content: str, *, hints: Hints | None = None) -> list[tuple[float | None, ...]]:
    return [reading.values for reading in read(content, hints=hints)[0]]


def moment(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc,arg-type]


def every(minutes: float, count: int, start: datetime) -> list[datetime]:
    return [start + timedelta(minutes=minutes) * number for number in range(count)]
