"""A ski's outline, and what it needs of sheet, edge and sidewall. Knows no material and no lay-up.

Radius, core, nesting, mass and drawing each have a room of their own beside this one.
"""

from dataclasses import dataclass

from inventory.compute.outline.base import Outline, Piece, Station, Tail, Widths, piece, width_at
from inventory.compute.outline.make import from_spec, from_stations
from inventory.compute.reasons import Basis, Given, How, Input, number

__all__ = [
    "Measures",
    "Outline",
    "Piece",
    "Station",
    "Tail",
    "Widths",
    "from_spec",
    "from_stations",
    "measures",
    "piece",
    "width_at",
]

USUAL_OVERRUN = Given(100.0, Basis.ASSUMED, "common practice, no source")
USUAL_SHORTENING = Given(100.0, Basis.ASSUMED, "common practice, no source")


@dataclass(frozen=True, slots=True)
class Measures:
    """What an outline needs of sheet, edge and sidewall, for one ski and without any loss."""

    plan_area_mm2: float
    contact_area_mm2: float
    side_mm: float
    edge_partial_mm: float
    edge_wrap_mm: float
    sidewall_mm: float
    length_mm: float
    widest_mm: float
    narrowest: Station
    tail: Tail | None
    how: How


def measures(
    *,
    outline: Outline,
    edge_overrun_mm: Given[float] = USUAL_OVERRUN,
    sidewall_short_mm: Given[float] = USUAL_SHORTENING,
) -> Measures:
    """How much plan area, edge and sidewall has one ski of this outline?

    Formula: areas by the trapezoid rule; partial edge = 2 × (side from heel to shoulder + overrun);
        full wrap = 2 × side + round the tip + round the tail; sidewall = 2 × (contact − shortening)
    Units: mm and mm2, one ski, nothing added for loss
    Refuses: outline.overrun
    Source: common practice, no source
    """
    both = (
        ("The edge beyond the contact length", edge_overrun_mm),
        ("The shortening of the sidewall", sidewall_short_mm),
    )
    for name, given in both:
        number(
            given.value, code="outline.overrun", name=name, unit="mm", at_least=0, at_most=outline.contact_mm
        )
    whole = piece(outline=outline, start_mm=0, end_mm=outline.length_mm)
    contact = piece(outline=outline, start_mm=outline.heel_mm, end_mm=outline.shoulder_mm)
    front = piece(outline=outline, start_mm=outline.shoulder_mm, end_mm=outline.length_mm)
    side = contact.side_mm
    tip = 2 * front.side_mm + outline.stations[-1].width_mm
    inputs = (
        *outline.how.inputs,
        Input(
            "edge beyond the contact length, each side", edge_overrun_mm.value, "mm", edge_overrun_mm.basis
        ),
        Input(
            "sidewall shorter than the contact length by",
            sidewall_short_mm.value,
            "mm",
            sidewall_short_mm.basis,
        ),
        Input("edge round the tip", round(tip, 1), "mm", Basis.ASSUMED),
        Input("edge round the tail", round(outline.tail_edge_mm, 1), "mm", Basis.ASSUMED),
    )
    rule = "Trapezoid rule; partial edge = 2 × (side + overrun); full wrap = 2 × side + tip + tail."
    return Measures(
        plan_area_mm2=whole.area_mm2,
        contact_area_mm2=contact.area_mm2,
        side_mm=side,
        edge_partial_mm=2 * (side + edge_overrun_mm.value),
        edge_wrap_mm=2 * side + tip + outline.tail_edge_mm,
        sidewall_mm=2 * (outline.contact_mm - sidewall_short_mm.value),
        length_mm=outline.length_mm,
        widest_mm=whole.widest_mm,
        narrowest=outline.narrowest,
        tail=outline.tail,
        how=How(rule, "common practice, no source", inputs),
    )
