"""Schedules and logs for the tests of press cycles. A good cycle, and the same with one fact changed."""

from collections.abc import Callable, Sequence
from contextlib import contextmanager

import pytest

from inventory.compute.cure import Limits, Log, PressureLog, SchedulePoint, schedule_through
from inventory.compute.reasons import Basis, Given
from inventory.errors import Refused

SHEET = Given(
    (SchedulePoint(23.0, 16.0), SchedulePoint(50.0, 4.0), SchedulePoint(80.0, 1.0)),
    Basis.DATA_SHEET,
    "sheet of the product",
)
SCHEDULE = schedule_through(points=SHEET)
LIMITS = Limits(Given(300.0, Basis.MEASURED))
MINUTE, HOUR = 60.0, 3600.0


def good_celsius(minute: float) -> float:
    """Half an hour up to 80 °C, held until minute 100, down to 30 °C at minute 200, then cold."""
    if minute <= 30:
        return 20 + 2 * minute
    if minute <= 100:
        return 80.0
    return max(80 - 0.5 * (minute - 100), 25.0)


def sampled(
    curve: Callable[[float], float | None], *, until_min: float = 220, every_min: float = 5
) -> tuple[list[float], list[float | None]]:
    """Times in seconds and readings of a curve of minutes."""
    minutes = [every_min * step for step in range(int(until_min / every_min) + 1)]
    return [minute * MINUTE for minute in minutes], [curve(minute) for minute in minutes]


def log_of(*curves: Callable[[float], float | None], until_min: float = 220, every_min: float = 5) -> Log:
    """A log with one probe for each curve: p1, p2 and so on."""
    columns = [sampled(curve, until_min=until_min, every_min=every_min) for curve in curves]
    return Log(columns[0][0], {f"p{row}": column for row, (_, column) in enumerate(columns, start=1)})


def good_log(*, until_min: float = 220, every_min: float = 5) -> Log:
    """Two probes, the second one 1 K warmer where it may be."""
    return log_of(
        good_celsius, lambda m: min(good_celsius(m) + 1, 80.0), until_min=until_min, every_min=every_min
    )


def steady_pressure(kpa: float = 345.0, *, until_min: float = 220, every_min: float = 5) -> PressureLog:
    return PressureLog(*sampled(lambda _: kpa, until_min=until_min, every_min=every_min))


def pressure_of(curve: Callable[[float], float | None], *, every_min: float = 5) -> PressureLog:
    return PressureLog(*sampled(curve, every_min=every_min))


def steady(celsius: float, hours: float, *, every_min: float = 10) -> Log:
    return log_of(lambda _: celsius, until_min=hours * 60, every_min=every_min)


def without(log: Log, from_min: float, to_min: float) -> Log:
    """The log with the rows strictly between two minutes taken out."""
    keep = [not from_min * MINUTE < at < to_min * MINUTE for at in log.at_s]

    def left(column: Sequence[float | None]) -> list[float | None]:
        return [reading for reading, kept in zip(column, keep, strict=True) if kept]

    return Log(left(log.at_s), {name: left(column) for name, column in log.probes_c.items()})  # type: ignore[arg-type]


@contextmanager
def refused(code: str, *mentions: str):
    """The block is refused with this code, in whole sentences that mention these words."""
    with pytest.raises(Refused) as caught:
        yield
    assert caught.value.code == code
    text = f"{caught.value.sentence} {caught.value.what_to_do}"
    assert all(mention in text for mention in mentions), text
    assert text.rstrip().endswith(".")
