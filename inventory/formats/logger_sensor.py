"""One probe's values, cell by cell: in °C or kPa, and nothing where the sensor cannot mean it.

Knows no file and no press; whether a believed value is a good one is judged elsewhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from inventory.formats.logger_columns import MISSING, number_in
from inventory.formats.logger_shape import Probe
from inventory.formats.logger_units import Unit, factors_of

# What a common digital sensor gives when it has lost its power, and what its readers give when they do not
# find it: from memory.
POWER_LOST_C, LINE_LOST_C = 85.0, -127.0
NEAR_K, JUMP_K = 0.005, 10.0  # a sensor that comes to 85.0 from nearby is believed
LEAST_C, MOST_C = -100.0, 500.0  # possible in a workshop: common practice, no source
LEAST_KPA, MOST_KPA = -110.0, 40_000.0


class Fault(StrEnum):
    """Why a value is not believed."""

    POWER = "85.0 °C at once, as a sensor reads without power"
    LINE = "-127 °C, as a sensor reads with a broken line"
    RANGE = "beyond what can be"
    UNREAD = "no number"


@dataclass(frozen=True, slots=True)
class SensorFault:
    """How often a probe's values were not believed, and since when."""

    probe: str
    fault: Fault
    count: int
    first_at: datetime


class Sensor:
    """Reads one column of a file from its first row to its last."""

    __slots__ = (
        *("_at", "_comma", "_counts", "_firsts", "_last", "_mark", "_name", "_range", "_same", "_scale"),
        "_unit",
    )

    def __init__(self, probe: Probe, decimal_mark: str) -> None:
        self._at, self._name = probe.at, probe.name
        self._mark, self._comma = decimal_mark, decimal_mark == ","
        self._unit, self._same = probe.unit, probe.unit in (Unit.CELSIUS, Unit.KPA)
        self._scale = factors_of(probe.unit)
        self._range = (LEAST_KPA, MOST_KPA) if probe.unit.is_pressure else (LEAST_C, MOST_C)
        self._last = 0.0 if probe.unit.is_pressure else None
        self._counts: dict[Fault, int] = {}
        self._firsts: dict[Fault, datetime] = {}

    def take(self, row: Sequence[str], at: datetime) -> float | None:
        """The value in a row; `None` where there is none, or none to believe."""
        try:
            text = row[self._at]
            written = float(text.replace(",", ".") if self._comma else text)
        except IndexError:
            return None
        except ValueError:
            text = text.strip()
            if text.lower() in MISSING:
                return None
            number = number_in(text, self._mark, self._unit)
            if number is None:
                return self._doubt(Fault.UNREAD, at)
            written = number
        shift, factor = self._scale
        value = written if self._same else round((written + shift) * factor, 4)
        least, most = self._range
        if not least <= value <= most:
            if value != value:  # written as not a number
                return None
            near = abs(value - LINE_LOST_C) < NEAR_K and least == LEAST_C
            return self._doubt(Fault.LINE if near else Fault.RANGE, at)
        if abs(value - POWER_LOST_C) < NEAR_K and self._is_jump(value):
            return self._doubt(Fault.POWER, at)
        self._last = value
        return value

    def faults(self) -> tuple[SensorFault, ...]:
        """What was not believed so far."""
        return tuple(
            SensorFault(self._name, fault, count, self._firsts[fault])
            for fault, count in self._counts.items()
        )

    def _is_jump(self, value: float) -> bool:
        """Whether a temperature is far from the last one that was believed, or the first."""
        if self._range[0] == LEAST_KPA:
            return False
        return self._last is None or abs(self._last - value) > JUMP_K

    def _doubt(self, fault: Fault, at: datetime) -> float | None:
        """Count a value that is not believed; it reads as nothing."""
        self._counts[fault] = self._counts.get(fault, 0) + 1
        self._firsts.setdefault(fault, at)
        return None
