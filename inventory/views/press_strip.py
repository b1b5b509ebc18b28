"""A workshop's timetable as points of a drawing, a strip a day. Has no address; markup in press_days.html."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime

from inventory.queries.readiness.timetable import A_DAY, Planned, Stretch

WIDE, LEFT, TOP, ROW = 720.0, 110.0, 34.0, 60.0
HOUR = 60
TALL, FLAT = 26.0, 12.0


@dataclass(frozen=True, slots=True)
class Bar:
    """One part of a cycle as a rectangle: what it is, and how it is drawn."""

    what: str
    look: str
    x: str
    y: str
    width: str
    height: str


@dataclass(frozen=True, slots=True)
class Name:
    """Words at a place."""

    text: str
    x: str
    y: str


@dataclass(frozen=True, slots=True)
class Strip:
    """One day of one workshop."""

    day: datetime
    height: str
    hours: tuple[Name, ...]
    presses: tuple[Name, ...]
    bars: tuple[Bar, ...]
    pairs: tuple[Name, ...]


# What each part of a cycle is drawn as; told apart in black and white by height and filling.
PARTS = (
    ("closing", "closing_from_min", "closed_min", "ply", FLAT),
    ("heat", "closed_min", "hold_until_min", "do", TALL),
    ("cooling", "hold_until_min", "openable_min", "ply", TALL),
    ("opening", "opening_from_min", "opened_min", "ply", FLAT),
)


def strips(planned: Planned) -> list[Strip]:
    """A strip for each day on which something is at a press."""
    if planned.table is None or not planned.stretches:
        return []
    row = planned.workshop.row
    opens, closes = row.opens_min or 0, row.closes_min or A_DAY
    last = max(each.cycle.opened_min for each in planned.stretches)
    return [_strip(planned, day, opens, closes) for day in range(last // A_DAY + 1)]


def _strip(planned: Planned, day: int, opens: int, closes: int) -> Strip:
    begins, ends = day * A_DAY + opens, day * A_DAY + closes
    scale = (WIDE - LEFT - 10) / max(1, ends - begins)
    presses = list(dict.fromkeys(each.cycle.press for each in planned.stretches))
    names = {each.cycle.press: each.press.row.name for each in planned.stretches}

    def x(minute: float) -> float:
        return LEFT + (min(max(minute, begins), ends) - begins) * scale

    def middle(press: str) -> float:
        return TOP + (presses.index(press) + 0.5) * ROW

    today = [s for s in planned.stretches if s.cycle.closing_from_min < ends and s.cycle.opened_min > begins]
    return Strip(
        day=planned.at(begins),
        height=f"{TOP + ROW * len(presses) + 6:.0f}",
        hours=tuple(
            Name(f"{hour % 24}", f"{x(day * A_DAY + hour * HOUR):.1f}", f"{TOP - 10:.0f}")
            for hour in range(-(-opens // HOUR), closes // HOUR + 1)
        ),
        presses=tuple(Name(names[press], "0", f"{middle(press) + 5:.1f}") for press in presses),
        bars=tuple(bar for each in today for bar in _bars(each, x, middle(each.cycle.press))),
        pairs=tuple(
            Name(
                str(planned.stretches.index(each) + 1),
                f"{x(each.cycle.closing_from_min) + 3:.1f}",
                f"{middle(each.cycle.press) - TALL / 2 - 2:.1f}",
            )
            for each in today
        ),
    )


def _bars(stretch: Stretch, x: Callable[[float], float], middle: float) -> Iterator[Bar]:
    for what, begins, ends, look, height in PARTS:
        left, right = (x(getattr(stretch.cycle, field)) for field in (begins, ends))
        if right > left:
            filled = "fill" if what == "heat" and not stretch.heated else look
            yield Bar(
                what,
                filled,
                f"{left:.1f}",
                f"{middle - height / 2:.1f}",
                f"{right - left:.1f}",
                f"{height:.0f}",
            )
