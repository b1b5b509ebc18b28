"""How a logger writes its file: what separates cells, where times and values stand, in which units.

Small enough to be remembered with the logger. Knows no place, no press and no database.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from inventory.errors import Refused, say
from inventory.formats.logger_units import Unit
from inventory.formats.sheets_cells import DayOrder

SEPARATORS = (";", "\t", ",")
PLACES_MOST = 1_000


@dataclass(frozen=True, slots=True)
class Probe:
    """One column of values: its place, its name, and the unit it is written in."""

    at: int
    name: str
    unit: Unit


@dataclass(frozen=True, slots=True)
class Shape:
    """How one kind of file is written. `time_at` is `None` where one cell holds day and time."""

    separator: str
    day_at: int
    time_at: int | None
    day_order: DayOrder
    decimal_mark: str
    probes: tuple[Probe, ...]


@dataclass(frozen=True, slots=True)
class Hints:
    """What a person says of a file that does not say it itself."""

    day_order: DayOrder | None = None
    temperature: Unit | None = None
    pressure: Unit | None = None


@dataclass(frozen=True, slots=True)
class Look:
    """What the first lines of a file show."""

    shape: Shape
    serial: str | None
    ignored: tuple[str, ...]  # columns of other things, such as battery or humidity


def remembered(shape: Shape) -> dict[str, Any]:
    """A shape as plain values, to be kept with its logger."""
    return asdict(shape)


def recalled(values: Mapping[str, Any]) -> Shape:
    """The shape that was remembered. Refuses: logger.shape."""
    try:
        probes = tuple(
            Probe(_place(each["at"]), str(each["name"]), Unit(each["unit"])) for each in values["probes"]
        )
        if values["separator"] not in SEPARATORS or values["decimal_mark"] not in (".", ",") or not probes:
            raise ValueError
        return Shape(
            separator=values["separator"],
            day_at=_place(values["day_at"]),
            time_at=None if values["time_at"] is None else _place(values["time_at"]),
            day_order=DayOrder(values["day_order"]),
            decimal_mark=values["decimal_mark"],
            probes=probes,
        )
    except (KeyError, TypeError, ValueError, AttributeError) as fault:
        raise Refused(
            "logger.shape",
            say("What is remembered of this logger's files cannot be read."),
            say("Forget it, and import the file as one of a new logger."),
        ) from fault


def _place(value: object) -> int:
    """A column's place as it is remembered."""
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value < PLACES_MOST:
        raise ValueError
    return value
