"""Points for drawing a ski: from above, and its layers from the side. Knows no picture, no colour, no scale.

Coordinates are millimetres: along the ski from the end of the tail, across from the middle line, up from
the snow. A face may stretch the height; the points themselves are true to size.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.compute.outline.base import Outline
from inventory.compute.outline.core import Thickness, thickness_at
from inventory.compute.reasons import Basis, Given, How, Input, number
from inventory.errors import Refused, say

Point = tuple[float, float]
SIDE_STEP_MM = 20.0
_FROM_SPEC = "computed from the outline"


@dataclass(frozen=True, slots=True)
class PlanView:
    """A ski from above: a closed line, and the lines across at heel, waist and shoulder."""

    outline: tuple[Point, ...]
    across: tuple[tuple[str, Point, Point], ...]
    length_mm: float
    width_mm: float
    how: How


@dataclass(frozen=True, slots=True)
class SideLayer:
    """A layer of the side view from the base up; thickness even, or along the ski (a core)."""

    name: str
    start_mm: float
    end_mm: float
    thick_mm: float | tuple[Thickness, ...]


@dataclass(frozen=True, slots=True)
class SideView:
    """A ski from the side: its base line, and each layer as a closed line, from the base up."""

    base: tuple[Point, ...]
    layers: tuple[tuple[str, tuple[Point, ...]], ...]
    height_mm: float
    how: How


def plan_view(*, outline: Outline, within_mm: float = 0.2) -> PlanView:
    """Which points draw this ski from above?

    Formula: the outline's stations, left side tail to tip and right side back, fewest points from which
        no station is further away than `within_mm` (Douglas and Peucker)
    Units: mm; (along from the tail, across from the middle line)
    Refuses: outline.drawing
    Source: Douglas and Peucker 1973 (from memory)
    """
    number(within_mm, code="outline.drawing", name="The deviation", unit="mm", above=0, at_most=50)
    side = [(station.from_tail_mm, station.width_mm / 2) for station in outline.stations]
    kept = _fewest(side, within_mm)
    back = [(along, -half) for along, half in reversed(kept)]
    places = (("heel", outline.heel_mm), ("waist", outline.waist_mm), ("shoulder", outline.shoulder_mm))
    halves = {place: outline.widths.at(place) / 2 for _, place in places}
    across = tuple((name, (place, halves[place]), (place, -halves[place])) for name, place in places)
    inputs = (*outline.how.inputs, Input("largest deviation", within_mm, "mm", Basis.ASSUMED))
    how = How("The outline's widths, with the fewest points.", _FROM_SPEC, inputs)
    return PlanView((*kept, *back), across, outline.length_mm, outline.widest_mm, how)


def side_view(
    *,
    outline: Outline,
    layers: Sequence[SideLayer],
    camber_mm: Given[float],
    tip_rise_mm: Given[float],
    tail_rise_mm: Given[float],
) -> SideView:
    """Which points draw this ski and its layers from the side, unloaded on flat snow?

    Formula: base = parabola of camber height between heel and shoulder line, parabolas rising from them
        to tip and tail; each layer lies on those below it. Along is the developed length, not shortened
        by the bend
    Units: mm; (along from the tail, up from the snow)
    Shapes: layers from the base up, at least one
    Refuses: outline.drawing, outline.core
    Source: common practice, no source (a drawing, not a shape to cut by)
    """
    heights = (
        ("The camber", camber_mm, -60),
        ("The tip's rise", tip_rise_mm, 0),
        ("The tail's rise", tail_rise_mm, 0),
    )
    for name, given, low in heights:
        number(given.value, code="outline.drawing", name=name, unit="mm", at_least=low, at_most=300)
    if not layers:
        text = say("There are no layers to draw.")
        raise Refused("outline.drawing", text, say("Enter the lay-up first."))
    for layer in layers:
        _check_layer(outline, layer)
    places = _places(outline, layers)

    def base_at(along: float) -> float:
        return _base(outline, along, camber_mm.value, tip_rise_mm.value, tail_rise_mm.value)

    tops = {along: base_at(along) for along in places}
    drawn = []
    for layer in layers:
        inside = [along for along in places if layer.start_mm <= along <= layer.end_mm]
        lower = [(along, tops[along]) for along in inside]
        for along in inside:
            tops[along] += _thick(layer, along)
        upper = [(along, tops[along]) for along in reversed(inside)]
        drawn.append((layer.name, (*lower, *upper)))
    inputs = (
        *(Input(name.removeprefix("The "), given.value, "mm", given.basis) for name, given, _ in heights),
        *(Input(layer.name, f"{layer.start_mm:g} to {layer.end_mm:g}", "mm") for layer in layers),
    )
    how = How("Parabolas for camber, tip and tail; layers stacked.", "common practice, no source", inputs)
    base = tuple((along, base_at(along)) for along in places)
    return SideView(base, tuple(drawn), max(tops.values()) - min(0.0, *(up for _, up in base)), how)


def _fewest(line: list[Point], within: float) -> list[Point]:
    """The fewest of a line's points that leave none further away than `within`."""
    kept = {0, len(line) - 1}
    spans = [(0, len(line) - 1)]
    while spans:
        first, last = spans.pop()
        worst, where = within, 0
        for at in range(first + 1, last):
            away = _away(line[at], line[first], line[last])
            if away > worst:
                worst, where = away, at
        if where:
            kept.add(where)
            spans += [(first, where), (where, last)]
    return [line[at] for at in sorted(kept)]


def _away(point: Point, start: Point, end: Point) -> float:
    """Distance of a point from a straight piece between two others."""
    along, across = end[0] - start[0], end[1] - start[1]
    share = ((point[0] - start[0]) * along + (point[1] - start[1]) * across) / (along**2 + across**2)
    share = max(0.0, min(1.0, share))
    return math.dist(point, (start[0] + share * along, start[1] + share * across))


def _check_layer(outline: Outline, layer: SideLayer) -> None:
    """Refuse a layer that leaves the ski or has no thickness; a core's own places are its reach."""
    length = outline.length_mm
    number(
        layer.start_mm,
        code="outline.drawing",
        name=f"The start of {layer.name}",
        unit="mm",
        at_least=0,
        at_most=length,
    )
    number(
        layer.end_mm,
        code="outline.drawing",
        name=f"The end of {layer.name}",
        unit="mm",
        above=layer.start_mm,
        at_most=length,
    )
    if isinstance(layer.thick_mm, tuple):
        for place in (layer.start_mm, layer.end_mm):
            thickness_at(thicknesses=layer.thick_mm, from_tail_mm=place)
    else:
        number(
            layer.thick_mm,
            code="outline.drawing",
            name=f"The thickness of {layer.name}",
            unit="mm",
            above=0,
            at_most=40,
        )


def _places(outline: Outline, layers: Sequence[SideLayer]) -> list[float]:
    """Where points are set: evenly, at the lines, and wherever a layer starts, ends or bends."""
    steps = math.ceil(outline.length_mm / SIDE_STEP_MM)
    places = {outline.length_mm * step / steps for step in range(steps + 1)}
    places |= {outline.heel_mm, outline.shoulder_mm}
    for layer in layers:
        places |= {layer.start_mm, layer.end_mm}
        if isinstance(layer.thick_mm, tuple):
            places |= {item.from_tail_mm for item in layer.thick_mm}
    return sorted(places)


def _thick(layer: SideLayer, along: float) -> float:
    if isinstance(layer.thick_mm, tuple):
        return thickness_at(thicknesses=layer.thick_mm, from_tail_mm=along)
    return layer.thick_mm


def _base(outline: Outline, along: float, camber: float, tip: float, tail: float) -> float:
    """Height of the base above the snow."""
    if along < outline.heel_mm:
        return tail * ((outline.heel_mm - along) / outline.heel_mm) ** 2
    if along > outline.shoulder_mm:
        return tip * ((along - outline.shoulder_mm) / (outline.length_mm - outline.shoulder_mm)) ** 2
    share = (along - outline.heel_mm) / outline.contact_mm
    return 4 * camber * share * (1 - share)
