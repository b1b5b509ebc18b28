"""Pictures of a season as points of a drawing: workshops in time, and one material's stock through it.

Has no address; the markup is in parts/season-line.html and parts/stock-line.html.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.compute.choose import Lot
from inventory.compute.stock_line import Change, Move, Point, stock_line
from inventory.compute.units import Amount
from inventory.queries.season import Seats
from inventory.queries.season.plan import MaterialRow

WIDE, MARGIN, HIGH = 720.0, 16.0, 150.0
SEAT = 9.0  # side of one seat's square


@dataclass(frozen=True, slots=True)
class Square:
    """One seat: booked ones are filled, open ones are not."""

    x: str
    y: str
    booked: bool


@dataclass(frozen=True, slots=True)
class Stop:
    """One workshop on the line of time."""

    x: str
    label: str
    label_y: str
    squares: tuple[Square, ...]


@dataclass(frozen=True, slots=True)
class SeasonLine:
    """The line of time with its workshops; `months`: first days that fall on it."""

    height: str
    words_y: str
    floor: str
    today: str
    stops: tuple[Stop, ...]
    months: tuple[tuple[str, date], ...]


class _Scale:
    """Days to places across the drawing."""

    def __init__(self, first: date, last: date) -> None:
        self.first, self.days = first, max(1, (last - first).days)

    def x(self, day: date) -> float:
        """Where a day is."""
        return MARGIN + (WIDE - 2 * MARGIN) * (day - self.first).days / self.days

    def months(self) -> list[tuple[str, date]]:
        """Every first of a month within."""
        found, day = [], self.first.replace(day=1)
        while (day - self.first).days <= self.days:
            if day >= self.first:
                found.append((f"{self.x(day):.1f}", day))
            day = (day.replace(day=28) + timedelta(7)).replace(day=1)
        return found


def season_line(rows: Sequence[Seats], today: date) -> SeasonLine | None:
    """Workshops on a line of time, a square a seat; None without any."""
    if not rows:
        return None
    first, last = min(row.starts_on for row in rows), max(row.ends_on for row in rows)
    scale = _Scale(first - timedelta(3), last + timedelta(3))
    most = max(max(row.booked, row.capacity or 0) for row in rows)
    floor = 24 + most * (SEAT + 2)
    stops = []
    for row in rows:
        x = scale.x(row.starts_on)
        seats = max(row.booked, row.capacity or 0)
        squares = tuple(
            Square(f"{x - SEAT / 2:.1f}", f"{floor - 4 - (at + 1) * (SEAT + 2):.1f}", at < row.booked)
            for at in range(seats)
        )
        stops.append(Stop(f"{x:.1f}", row.label, f"{floor - 10 - seats * (SEAT + 2):.1f}", squares))
    within = scale.first <= today <= last + timedelta(3)
    return SeasonLine(
        f"{floor + 28:.0f}",
        f"{floor + 22:.0f}",
        f"{floor:.1f}",
        f"{scale.x(today):.1f}" if within else "",
        tuple(stops),
        tuple(scale.months()),
    )


@dataclass(frozen=True, slots=True)
class Mark:
    """One thing that happens to the stock, with its sentence."""

    x: str
    y: str
    kind: str
    on: date
    amount: Amount
    what: str


@dataclass(frozen=True, slots=True)
class StockLine:
    """A material's stock through the season: the line, what is below nothing, and the marks on it."""

    height: str
    words_y: str
    zero: str
    line: str
    below: tuple[str, ...]
    top: Amount
    marks: tuple[Mark, ...]
    months: tuple[tuple[str, date], ...]


def changes(row: MaterialRow, today: date) -> tuple[int, list[Change]]:
    """What is there in date today, and everything that changes it through the season."""
    lots = row.planned.lots
    start = sum(lot.amount for lot in lots if _here(lot, today))
    out = [
        Change(lot.available_from, lot.amount, Move.ORDERED, lot.key)
        for lot in lots
        if lot.available_from is not None
    ]
    out += [
        Change(max(order.receive_on, order.earliest), line.amount, Move.PLANNED, order.supplier)
        for order, line in row.lines
    ]
    out += [
        Change(need.load_on, -need.planned, Move.TAKEN, need.workshop)
        for need in row.planned.needed.rows
        if need.planned
    ]
    here = {lot.key for lot in lots if _here(lot, today) or lot.available_from is not None}
    out += [
        Change(rest.last_day + timedelta(1), -rest.amount, Move.PASSES, rest.lot)
        for rest in row.plan.net.planned.expiring
        if rest.last_day is not None and rest.lot in here
    ]
    return start, out


def _here(lot: Lot, today: date) -> bool:
    """On hand, not on hold, in date by a day that is known."""
    in_date = lot.last_day is not None and lot.last_day >= today
    return in_date and not lot.held and lot.available_from is None


def stock_picture(row: MaterialRow, today: date) -> StockLine | None:
    """The picture of one material; None when nothing happens to it."""
    start, all_changes = changes(row, today)
    points = stock_line(start=start, changes=[each for each in all_changes if each.on >= today])
    if not points:
        return None
    return _drawn(points, start, today, row)


def _drawn(points: Sequence[Point], start: int, today: date, row: MaterialRow) -> StockLine:
    levels = [start, *(point.after for point in points), *(point.before for point in points)]
    top, low = max([*levels, 1]), min([*levels, 0])
    scale = _Scale(today, max(point.on for point in points) + timedelta(4))
    tall = HIGH - 20

    def y(level: int) -> float:
        return 10 + tall * (top - level) / (top - low)

    path = [f"M{scale.x(today):.1f} {y(start):.1f}"]
    below = []
    for at, point in enumerate(points):
        path.append(f"H{scale.x(point.on):.1f}V{y(point.after):.1f}")
        if point.after < 0:
            end = scale.x(points[at + 1].on) if at + 1 < len(points) else WIDE - MARGIN
            x = scale.x(point.on)
            below.append(f"M{x:.1f} {y(0):.1f}V{y(point.after):.1f}H{end:.1f}V{y(0):.1f}Z")
    path.append(f"H{WIDE - MARGIN:.1f}")
    marks = tuple(
        Mark(
            f"{scale.x(point.on):.1f}",
            f"{y(point.after):.1f}",
            point.change.move.name.lower(),
            point.on,
            Amount(abs(point.change.amount), row.base),
            point.change.what,
        )
        for point in points
    )
    return StockLine(
        f"{HIGH + 26:.0f}",
        f"{HIGH + 20:.0f}",
        f"{y(0):.1f}",
        "".join(path),
        tuple(below),
        Amount(top, row.base),
        marks,
        tuple(scale.months()),
    )
