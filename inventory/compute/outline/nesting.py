"""How skis of one outline lie side by side on a sheet, and what rectangle they take. Knows no material."""

from dataclasses import dataclass

from inventory.compute.outline.base import Outline
from inventory.compute.reasons import Given, How, Input, number
from inventory.errors import Refused, say

MOST_SKIS = 20


@dataclass(frozen=True, slots=True)
class Nest:
    """A rectangle that holds several skis side by side, every other one turned tail for tip.

    `centres_mm` are the lines along the skis, measured across the rectangle; `turned` says which are turned.
    """

    length_mm: float
    width_mm: float
    area_mm2: float
    used_share: float
    spacing_mm: float
    centres_mm: tuple[float, ...]
    turned: tuple[bool, ...]
    how: How


def nest(*, outline: Outline, skis: int, gap_mm: Given[float], end_mm: Given[float]) -> Nest:
    """What rectangle of sheet holds these skis, laid tail to tip beside each other?

    Formula: spacing = largest (width here + width of the turned ski here) / 2 + gap; width =
        widest + (skis − 1) × spacing + 2 × gap; length = developed length + 2 × end
    Units: mm and mm2; gap across the ski, not square to its side
    Refuses: outline.nest
    Source: plane geometry
    """
    if isinstance(skis, bool) or not isinstance(skis, int) or not 1 <= skis <= MOST_SKIS:
        text = say("{skis} skis cannot be nested here; 1 to {most} can.", skis=skis, most=MOST_SKIS)
        raise Refused("outline.nest", text, say("Nest fewer skis at a time."))
    for name, given in (("The gap", gap_mm), ("The length added at each end", end_mm)):
        number(given.value, code="outline.nest", name=name, unit="mm", at_least=0, at_most=500)
    gap = gap_mm.value
    length = outline.length_mm
    spacing = _closest(outline) + gap
    widest = outline.widest_mm
    across = widest + (skis - 1) * spacing + 2 * gap
    along = length + 2 * end_mm.value
    centres = tuple(gap + widest / 2 + at * spacing for at in range(skis))
    inputs = (
        Input("skis", skis),
        Input("gap", gap, "mm", gap_mm.basis),
        Input("added at each end", end_mm.value, "mm", end_mm.basis),
        Input("largest width", widest, "mm"),
        Input("spacing, every other ski turned", spacing, "mm"),
    )
    how = How("Spacing = largest (width + width of the turned ski) / 2 + gap.", "plane geometry", inputs)
    area = along * across
    used = skis * outline.widths.area_mm2 / area
    turned = tuple(at % 2 == 1 for at in range(skis))
    return Nest(along, across, area, used, spacing, centres, turned, how)


def _closest(outline: Outline) -> float:
    """The least spacing of a ski and a turned one without a gap: the largest sum of their half widths.

    That sum is the same at a place and at its mirror, so the stations are places enough.
    """
    widths, length = outline.widths, outline.length_mm
    places = (station.from_tail_mm for station in outline.stations)
    return max(widths.at(place) + widths.at(length - place) for place in places) / 2
