"""The core along an outline: its thickness, volume and the blank it is cut from. Knows no wood."""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from inventory.compute.outline.base import Outline
from inventory.compute.reasons import Basis, Given, How, Input, number
from inventory.errors import Refused, say

_PRACTICE = "common practice: 2 to 3.5 mm at the ends, 9 to 12 mm in the middle (a builders' series, read)"
USUAL_END = Given(2.5, Basis.ASSUMED, _PRACTICE)
USUAL_MIDDLE = Given(10.5, Basis.ASSUMED, _PRACTICE)
USUAL_FLAT = Given(300.0, Basis.ASSUMED, "common practice, no source")
THICKEST_MM = 40.0
LONGEST_MM = 3_000.0


@dataclass(frozen=True, slots=True)
class Thickness:
    """How thick something is at a place along the ski."""

    from_tail_mm: float
    thick_mm: float


@dataclass(frozen=True, slots=True)
class CoreProfile:
    """Thicknesses of a core from its tail end to its tip end, straight between."""

    thicknesses: tuple[Thickness, ...]
    how: How


@dataclass(frozen=True, slots=True)
class Core:
    """One core: its volume and area, and the box that holds it."""

    volume_mm3: float
    area_mm2: float
    mean_mm: float
    box_length_mm: float
    box_width_mm: float
    box_thick_mm: float
    share_of_box: float
    how: How


def usual_core(
    *,
    outline: Outline,
    end_mm: Given[float] = USUAL_END,
    middle_mm: Given[float] = USUAL_MIDDLE,
    flat_mm: Given[float] = USUAL_FLAT,
) -> CoreProfile:
    """What profile has a usual core of this ski, from heel line to shoulder line?

    Formula: straight from the ends to a flat middle, which lies about the middle of the contact length
    Units: mm
    Refuses: outline.core
    Source: common practice, no source; ends and middle from a builders' series (read)
    """
    for name, given in (("The end of the core", end_mm), ("The middle of the core", middle_mm)):
        number(given.value, code="outline.core", name=name, unit="mm", at_least=0.5, at_most=THICKEST_MM)
    flat = flat_mm.value
    limit = outline.contact_mm - 20
    number(flat, code="outline.core", name="The flat middle", unit="mm", at_least=0, at_most=limit)
    centre = (outline.heel_mm + outline.shoulder_mm) / 2
    corners = (
        (outline.heel_mm, end_mm.value),
        (centre - flat / 2, middle_mm.value),
        (centre + flat / 2, middle_mm.value),
        (outline.shoulder_mm, end_mm.value),
    )
    kept = [Thickness(*corner) for corner in dict.fromkeys(corners)]
    inputs = tuple(
        Input(name, given.value, "mm", given.basis)
        for name, given in (("ends", end_mm), ("middle", middle_mm), ("flat middle", flat_mm))
    )
    return CoreProfile(tuple(kept), How("Straight from the ends to a flat middle.", _PRACTICE, inputs))


def core(*, outline: Outline, thicknesses: Sequence[Thickness], inset_mm: Given[float]) -> Core:
    """What volume has the core inside this outline, and what box holds it?

    Formula: volume = integral of (width − 2 × inset) × thickness, exact between stations (Simpson)
    Units: mm, mm2, mm3; one ski
    Shapes: at least two thicknesses, each further along than the one before
    Refuses: outline.core, outline.place
    Source: Simpson's rule, exact for the product of two straight lines
    """
    kept = _checked(tuple(thicknesses), outline.length_mm)
    inset = number(inset_mm.value, code="outline.core", name="The inset", unit="mm", at_least=0, at_most=50)
    start, end = kept[0].from_tail_mm, kept[-1].from_tail_mm
    inside = outline.widths.cut(start, end)
    narrow = inside.narrowest
    if narrow.width_mm <= 2 * inset:
        text = say("The core has no width left at {place} mm.", place=round(narrow.from_tail_mm, 1))
        raise Refused("outline.core", text, say("End the core earlier, or make the inset smaller."))
    places = sorted({s.from_tail_mm for s in inside.stations} | {t.from_tail_mm for t in kept})
    volume = area = 0.0
    for a, b in pairwise(places):
        wide = [inside.at(x) - 2 * inset for x in (a, (a + b) / 2, b)]
        thick = [_thick(kept, x) for x in (a, (a + b) / 2, b)]
        volume += (b - a) / 6 * (wide[0] * thick[0] + 4 * wide[1] * thick[1] + wide[2] * thick[2])
        area += (b - a) * wide[1]
    widest = inside.widest_mm - 2 * inset
    thickest = max(item.thick_mm for item in kept)
    inputs = (
        Input("core from", start, "mm"),
        Input("core to", end, "mm"),
        Input("inset on each side", inset, "mm", inset_mm.basis),
        *(Input(f"thickness at {item.from_tail_mm:g} mm", item.thick_mm, "mm") for item in kept),
    )
    how = How("Integral of (width − 2 × inset) × thickness.", "Simpson's rule", inputs)
    box = (end - start) * widest * thickest
    return Core(volume, area, volume / area, end - start, widest, thickest, volume / box, how)


def thickness_at(*, thicknesses: Sequence[Thickness], from_tail_mm: float) -> float:
    """How thick is it at this place?

    Formula: straight between the two nearest thicknesses
    Units: mm; the place from the end of the tail
    Shapes: thicknesses in order along the ski
    Refuses: outline.core
    Source: definition
    """
    kept = _checked(tuple(thicknesses), LONGEST_MM)
    low, high = kept[0].from_tail_mm, kept[-1].from_tail_mm
    number(from_tail_mm, code="outline.core", name="The place", unit="mm", at_least=low, at_most=high)
    return _thick(kept, from_tail_mm)


def _thick(thicknesses: Sequence[Thickness], place: float) -> float:
    after = bisect_left(thicknesses, place, key=lambda item: item.from_tail_mm)
    b = thicknesses[after]
    if b.from_tail_mm == place:
        return b.thick_mm
    a = thicknesses[after - 1]
    share = (place - a.from_tail_mm) / (b.from_tail_mm - a.from_tail_mm)
    return a.thick_mm + share * (b.thick_mm - a.thick_mm)


def _checked(thicknesses: tuple[Thickness, ...], length: float) -> tuple[Thickness, ...]:
    """Refuse too few, unsorted or impossible thicknesses, and a core that leaves the ski."""
    again = say("Enter the thicknesses again, from the tail to the tip.")
    if len(thicknesses) < 2:
        text = say("{count} thicknesses are too few; at least 2 are needed.", count=len(thicknesses))
        raise Refused("outline.core", text, again)
    for item in thicknesses:
        where = item.from_tail_mm
        number(where, code="outline.core", name="A place", unit="mm", at_least=0, at_most=length)
        name = f"The thickness at {where} mm"
        number(item.thick_mm, code="outline.core", name=name, unit="mm", above=0, at_most=THICKEST_MM)
    for a, b in pairwise(thicknesses):
        if b.from_tail_mm <= a.from_tail_mm:
            template = "The thickness at {second} mm comes after the one at {first} mm."
            text = say(template, second=b.from_tail_mm, first=a.from_tail_mm)
            raise Refused("outline.core", text, again)
    return thicknesses
