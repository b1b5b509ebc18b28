"""A ski's outline as widths along it, and what lies between two places. Knows no spec, no material.

All places are millimetres from the end of the tail along the developed length (ISO 6289:2025: developed
length from tail to tip, contact length between heel and shoulder lines).
"""

import math
from bisect import bisect_left
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from inventory.compute.reasons import How, Input, number
from inventory.errors import Refused, say


class Tail(StrEnum):
    """The shape of the tail behind the heel line; it changes area and edge, so it is always stated."""

    SQUARE = "square"
    BLUNT = "blunt"  # corners taken off: 0.9 of the square's area
    ROUND = "round"  # half an ellipse


@dataclass(frozen=True, slots=True)
class Station:
    """A width at a place along the ski."""

    from_tail_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class Widths:
    """Widths in order along a ski, straight between. Places asked for lie within; the rooms check that."""

    stations: tuple[Station, ...]

    @property
    def length_mm(self) -> float:
        """From the first to the last."""
        return self.stations[-1].from_tail_mm - self.stations[0].from_tail_mm

    @property
    def area_mm2(self) -> float:
        """Area by the trapezoid rule."""
        return math.fsum(
            (b.from_tail_mm - a.from_tail_mm) * (a.width_mm + b.width_mm) / 2
            for a, b in pairwise(self.stations)
        )

    @property
    def side_mm(self) -> float:
        """Length of one side."""
        return math.fsum(
            math.hypot(b.from_tail_mm - a.from_tail_mm, (b.width_mm - a.width_mm) / 2)
            for a, b in pairwise(self.stations)
        )

    @property
    def widest_mm(self) -> float:
        """The largest width."""
        return max(station.width_mm for station in self.stations)

    @property
    def narrowest(self) -> Station:
        """The first of the narrowest places."""
        return min(self.stations, key=lambda station: station.width_mm)

    def at(self, place: float) -> float:
        """Width at a place."""
        after = bisect_left(self.stations, place, key=lambda station: station.from_tail_mm)
        b = self.stations[after]
        if b.from_tail_mm == place:
            return b.width_mm
        a = self.stations[after - 1]
        share = (place - a.from_tail_mm) / (b.from_tail_mm - a.from_tail_mm)
        return a.width_mm + share * (b.width_mm - a.width_mm)

    def cut(self, start: float, end: float) -> "Widths":
        """The widths from one place to another, both ends included."""
        inner = (station for station in self.stations if start < station.from_tail_mm < end)
        return Widths((Station(start, self.at(start)), *inner, Station(end, self.at(end))))


@dataclass(frozen=True, slots=True)
class Outline:
    """Widths along a ski, with the three lines that the trade measures from."""

    widths: Widths
    heel_mm: float
    waist_mm: float
    shoulder_mm: float
    tail_edge_mm: float
    tail: Tail | None
    how: How

    @property
    def stations(self) -> tuple[Station, ...]:
        """The widths, from the tail."""
        return self.widths.stations

    @property
    def length_mm(self) -> float:
        """Developed length, tail to tip."""
        return self.stations[-1].from_tail_mm

    @property
    def contact_mm(self) -> float:
        """Length between the heel and shoulder lines."""
        return self.shoulder_mm - self.heel_mm

    @property
    def widest_mm(self) -> float:
        """The largest width."""
        return self.widths.widest_mm

    @property
    def narrowest(self) -> Station:
        """The narrowest place between heel and shoulder."""
        return self.widths.cut(self.heel_mm, self.shoulder_mm).narrowest


@dataclass(frozen=True, slots=True)
class Piece:
    """What lies between two places along a ski, without any loss."""

    area_mm2: float
    side_mm: float
    length_mm: float
    widest_mm: float
    widths: Widths
    how: How


def piece(*, outline: Outline, start_mm: float, end_mm: float) -> Piece:
    """What area, length of side and largest width lie between two places along the ski?

    Formula: area by the trapezoid rule; side = sum of straight lines between stations, one side only
    Units: mm and mm2; places from the end of the tail
    Refuses: outline.place
    Source: trapezoid rule; definition
    """
    for name, place in (("The start", start_mm), ("The end", end_mm)):
        number(place, code="outline.place", name=name, unit="mm", at_least=0, at_most=outline.length_mm)
    if end_mm < start_mm:
        text = say("The end at {end} mm lies behind the start at {start} mm.", end=end_mm, start=start_mm)
        raise Refused("outline.place", text, say("Enter both from the tail, the start first."))
    kept = outline.widths.cut(start_mm, end_mm)
    inputs = (Input("start", start_mm, "mm"), Input("end", end_mm, "mm"), *outline.how.inputs)
    return Piece(
        area_mm2=kept.area_mm2,
        side_mm=kept.side_mm,
        length_mm=kept.length_mm,
        widest_mm=kept.widest_mm,
        widths=kept,
        how=How("Trapezoid rule between the widths.", outline.how.source, inputs),
    )


def width_at(*, outline: Outline, from_tail_mm: float) -> float:
    """How wide is the ski at this place?

    Formula: straight between the two nearest widths
    Units: mm; the place from the end of the tail
    Refuses: outline.place
    Source: definition
    """
    length = outline.length_mm
    number(from_tail_mm, code="outline.place", name="The place", unit="mm", at_least=0, at_most=length)
    return outline.widths.at(from_tail_mm)
