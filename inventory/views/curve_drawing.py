"""A press cycle's curve as points of a drawing: temperature above, pressure below, over one time.

Has no address; the markup is in parts/curve.html. A drawing has at most a few points a pixel, and the same
highest and lowest as the readings: of the readings that fall on one pixel the first, lowest, highest and last
are drawn. Both scales are in the reader's units.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from math import ceil, floor

from django.utils import timezone

from inventory.forms import reader
from inventory.queries.cycles import Curve, Cycle, Judged

WIDE, LEFT, RIGHT = 720.0, 44.0, 8.0
TOP, TEMPERATURE_HIGH, BETWEEN, PRESSURE_HIGH = 14.0, 210.0, 34.0, 90.0
Across = Callable[[float], float]
HOURS = (0.25, 0.5, 1, 2, 3, 6, 12, 24)


@dataclass(frozen=True, slots=True)
class Scale:
    """From values to places on the drawing: `low` at the bottom, `high` at the top."""

    low: float
    high: float
    top: float
    height: float

    def y(self, value: float) -> float:
        """Where a value is drawn."""
        return self.top + self.height * (self.high - value) / (self.high - self.low)


@dataclass(frozen=True, slots=True)
class Tick:
    """A thin line with its word."""

    at: str
    word: str
    label_at: str = ""


@dataclass(frozen=True, slots=True)
class Drawn:
    """One line of readings; `pieces`: a piece for each stretch without a gap."""

    name: str
    pieces: tuple[str, ...]
    coldest: bool = False


@dataclass(frozen=True, slots=True)
class Stretch:
    """A gap: from where, how wide."""

    x: str
    width: str


@dataclass(frozen=True, slots=True)
class CurvePicture:
    """Places as SVG takes them."""

    height: str
    left: str
    right: str
    temperature_top: str
    temperature_bottom: str
    pressure_top: str
    pressure_bottom: str
    probes: tuple[Drawn, ...]
    pressure: Drawn | None
    degrees: tuple[Tick, ...]
    pressures: tuple[Tick, ...]
    hours: tuple[Tick, ...]
    set_degrees: str
    set_pressure: str
    reached: str
    opened: str
    gaps: tuple[Stretch, ...]
    scale_degrees: Scale
    scale_pressure: Scale
    degree: str
    gauge: str


def picture(row: Cycle, told: Judged) -> CurvePicture | None:
    """The drawing of a cycle's curve; None without readings."""
    curve = told.curve
    if curve is None or not curve.at_s:
        return None
    gaps = told.opening.progress.gaps if told.opening is not None else ()
    silent = max((gap.from_s + gap.seconds for gap in gaps), default=0.0)
    ready = (told.ready_at_s or 0.0) if row.opened_at is None else 0.0
    ends = max(curve.at_s[-1], row.ends_s or 0.0, ready, silent)
    starts = min(curve.at_s[0], 0.0)
    across = (WIDE - LEFT - RIGHT) / max(ends - starts, 1.0)

    def x(second: float) -> float:
        return LEFT + (second - starts) * across

    probes = {name: _read(column, reader.from_celsius) for name, column in curve.probes_c.items()}
    gauge = _read(curve.kpa, reader.from_kpa)
    set_degrees, set_pressure = reader.from_celsius(row.set_c), reader.from_kpa(row.set_kpa)
    warm = _scale(_spoken(probes.values()), set_degrees, 10, TOP, TEMPERATURE_HIGH)
    under = TOP + TEMPERATURE_HIGH + BETWEEN
    steps = 10 if reader.us_units() else 50
    pressed = _scale(_spoken([gauge]), set_pressure, steps, under, PRESSURE_HIGH, least=0.0)
    places = [x(second) for second in curve.at_s]
    breaks = [gap.from_s for gap in gaps]
    lines = [_drawn(name, curve.at_s, places, column, warm, breaks) for name, column in probes.items()]
    reached = told.ready_at_s
    return CurvePicture(
        height=f"{under + PRESSURE_HIGH + 26:.0f}",
        left=f"{LEFT:.1f}",
        right=f"{WIDE - RIGHT:.1f}",
        temperature_top=f"{TOP:.1f}",
        temperature_bottom=f"{TOP + TEMPERATURE_HIGH:.1f}",
        pressure_top=f"{under:.1f}",
        pressure_bottom=f"{under + PRESSURE_HIGH:.1f}",
        probes=(*lines, *_coldest(told, curve, x, warm, breaks)),
        pressure=None if curve.pressure is None else _drawn("", curve.at_s, places, gauge, pressed, breaks),
        degrees=_levels(warm),
        pressures=_levels(pressed),
        hours=_hours(row, starts, ends, x),
        set_degrees=f"{warm.y(set_degrees):.1f}",
        set_pressure=f"{pressed.y(set_pressure):.1f}",
        reached="" if reached is None else f"{x(reached):.1f}",
        opened="" if row.ends_s is None else f"{x(row.ends_s):.1f}",
        gaps=tuple(Stretch(f"{x(gap.from_s):.1f}", f"{gap.seconds * across:.1f}") for gap in gaps),
        scale_degrees=warm,
        scale_pressure=pressed,
        degree=reader.degree(),
        gauge=reader.gauge(),
    )


def _read(column: Sequence[float | None], as_read: Callable[[float], float]) -> list[float | None]:
    """What a thermometer or a gauge said, as whoever looks reads it."""
    return [None if value is None else as_read(value) for value in column]


def _spoken(columns: Iterable[Sequence[float | None]]) -> list[float]:
    return [value for column in columns for value in column if value is not None]


def _scale(
    values: list[float], also: float, step: int, top: float, height: float, least: float | None = None
) -> Scale:
    """From the lowest to the highest of the readings and the set point, out to whole steps."""
    every = [*values, also] if least is None else [*values, also, least]
    low, high = floor(min(every) / step) * step, ceil(max(every) / step) * step
    return Scale(low, max(high, low + step), top, height)


def _coldest(told: Judged, curve: Curve, x: Across, scale: Scale, breaks: Sequence[float]) -> list[Drawn]:
    """The coldest probe along the cycle, when there are several."""
    if told.opening is None or len(curve.probes_c) < 2:
        return []
    run = told.opening.progress
    column = _read(run.coldest_c, reader.from_celsius)
    return [_drawn("", run.at_s, [x(second) for second in run.at_s], column, scale, breaks, coldest=True)]


def _drawn(
    name: str,
    at_s: Sequence[float],
    places: Sequence[float],
    column: Sequence[float | None],
    scale: Scale,
    breaks: Sequence[float],
    *,
    coldest: bool = False,
) -> Drawn:
    """A line in pieces: it breaks at every gap and where a probe was silent."""
    pieces: list[list[tuple[float, float]]] = [[]]
    after = set(breaks)
    for second, place, value in zip(at_s, places, column, strict=True):
        if value is None:
            pieces.append([])
            continue
        pieces[-1].append((place, value))
        if second in after:
            pieces.append([])
    return Drawn(name, tuple(_points(piece, scale) for piece in pieces if piece), coldest)


def _points(piece: Sequence[tuple[float, float]], scale: Scale) -> str:
    return " ".join(f"{place:.1f},{scale.y(value):.2f}" for place, value in thinned(piece))


def thinned(piece: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Of the readings that fall on one pixel the first, the lowest, the highest and the last, in order."""
    kept: list[tuple[float, float]] = []
    start = 0
    for end in range(1, len(piece) + 1):
        if end < len(piece) and int(piece[end][0]) == int(piece[start][0]):
            continue
        group = range(start, end)
        low = min(group, key=lambda at: piece[at][1])
        high = max(group, key=lambda at: piece[at][1])
        kept += [piece[at] for at in sorted({start, low, high, end - 1})]
        start = end
    return kept


def _levels(scale: Scale) -> tuple[Tick, ...]:
    """Five lines or fewer, at whole numbers."""
    step = next(step for step in (10, 20, 50, 100, 200, 500, 1000) if (scale.high - scale.low) / step <= 5)
    first = ceil(scale.low / step) * step
    values = range(int(first), int(scale.high) + 1, step)
    return tuple(Tick(f"{scale.y(value):.1f}", str(value), f"{scale.y(value) + 4:.1f}") for value in values)


def _hours(row: Cycle, starts: float, ends: float, x: Across) -> tuple[Tick, ...]:
    """The clock along the bottom, at whole quarters or hours."""
    step = next((hours * 3600 for hours in HOURS if (ends - starts) / (hours * 3600) <= 6), 86_400.0)
    begin = timezone.localtime(row.closed_at)
    midnight = begin.replace(hour=0, minute=0, second=0, microsecond=0)
    offset = (begin - midnight).total_seconds()
    first = ceil((starts + offset) / step) * step - offset
    ticks = []
    second = first
    while second <= ends:
        at = timezone.localtime(row.closed_at + timedelta(seconds=second))
        ticks.append(Tick(f"{x(second):.1f}", f"{at:%H:%M}"))
        second += step
    return tuple(ticks)
