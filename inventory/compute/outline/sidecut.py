"""Sidecut radius: by the formula, by the measuring rule, and by the circle through three points.

Knows no material. The three differ a little, most when the waist is off the middle; each says which it is.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.compute.outline.base import Outline, width_at
from inventory.compute.reasons import Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, say

FORWARD = 0.8  # of the length from waist to tip: where the rule measures the tip width
AFT = 0.9  # of the length from waist to tail: where it measures the tail width
AGREES = 0.05  # share by which a stated radius may differ from the computed one
_RULE_SOURCE = "FIS measuring rule for the sidecut radius (read)"


@dataclass(frozen=True, slots=True)
class Radius:
    """A sidecut radius, and how deep the side lies at the waist."""

    radius_m: float
    depth_mm: float
    how: How


def radius_of_span(
    *, span_mm: float, tip_width_mm: float, waist_width_mm: float, tail_width_mm: float
) -> Radius:
    """What is the sidecut radius over a measured length with three widths?

    Formula: R = L² / (2000 × (S + H − 2 W)); depth = (S + H − 2 W) / 4
    Units: mm in, radius in m, depth in mm
    Refuses: outline.length, outline.width, outline.no_sidecut
    Source: FIS measuring rule for the sidecut radius (read)
    """
    number(span_mm, code="outline.length", name="The measured length", unit="mm", at_least=100, at_most=3_000)
    widths = {
        "The tip width": tip_width_mm,
        "The waist width": waist_width_mm,
        "The tail width": tail_width_mm,
    }
    for name, width in widths.items():
        number(width, code="outline.width", name=name, unit="mm", at_least=20, at_most=400)
    both = tip_width_mm + tail_width_mm - 2 * waist_width_mm
    if both <= 0:
        raise _no_sidecut(tip_width_mm, waist_width_mm, tail_width_mm)
    inputs = (
        Input("measured length", span_mm, "mm"),
        *(Input(name, width, "mm") for name, width in widths.items()),
    )
    how = How("R = L² / (2000 × (S + H − 2 W))", _RULE_SOURCE, inputs)
    return Radius(span_mm**2 / (2_000 * both), both / 4, how)


def radius_by_measuring_rule(*, outline: Outline) -> Radius:
    """What sidecut radius does the measuring rule give for this outline?

    Formula: widths at the waist, 0.9 of the way from it to the tail's end and 0.8 of the way to the tip's
        end, each to 0.1 mm; R = L² / (2000 × (S + H − 2 W)) with L between the outer two
    Units: m; the outline's own mm
    Refuses: outline.width, outline.no_sidecut
    Source: FIS measuring rule for the sidecut radius (read)
    """
    waist = outline.narrowest
    back = waist.from_tail_mm - AFT * waist.from_tail_mm
    front = waist.from_tail_mm + FORWARD * (outline.length_mm - waist.from_tail_mm)
    return radius_of_span(
        span_mm=front - back,
        tip_width_mm=round(width_at(outline=outline, from_tail_mm=front), 1),
        waist_width_mm=round(waist.width_mm, 1),
        tail_width_mm=round(width_at(outline=outline, from_tail_mm=back), 1),
    )


def radius_of_circle(*, outline: Outline) -> Radius:
    """What is the radius of the circle through the side at heel line, waist and shoulder line?

    Formula: circle through (heel, H/2), (waist, W/2), (shoulder, S/2)
    Units: m; the outline's own mm
    Refuses: outline.no_sidecut
    Source: plane geometry
    """
    places = (outline.heel_mm, outline.waist_mm, outline.shoulder_mm)
    widths = [width_at(outline=outline, from_tail_mm=place) for place in places]
    if _turn([(place, width / 2) for place, width in zip(places, widths, strict=True)]) <= 0:
        raise _no_sidecut(widths[2], widths[1], widths[0])
    return circle_through(points=[(place, width / 2) for place, width in zip(places, widths, strict=True)])


def circle_through(*, points: Sequence[tuple[float, float]]) -> Radius:
    """What is the radius of the circle through three points along the side?

    Formula: R = a b c / (4 × area of the triangle); depth = distance of the middle point from the chord
    Units: mm in, radius in m, depth in mm
    Shapes: three points (along, across), in order along the ski
    Refuses: outline.points
    Source: plane geometry
    """
    again = say("Enter three points along one side, from tail to tip.")
    if len(points) != 3:
        text = say("{count} points were entered; a circle takes three.", count=len(points))
        raise Refused("outline.points", text, again)
    for along, across in points:
        for value in (along, across):
            number(value, code="outline.points", name="A point", unit="mm", at_least=-10_000, at_most=10_000)
    if not points[0][0] < points[1][0] < points[2][0]:
        raise Refused("outline.points", say("The three points are not in order along the ski."), again)
    twice_area = abs(_turn(points))
    sides = math.dist(points[0], points[1]), math.dist(points[1], points[2]), math.dist(points[0], points[2])
    if twice_area <= 1e-9 * sides[2] ** 2:
        raise Refused("outline.points", say("The three points lie on a straight line."), again)
    inputs = tuple(Input(f"point {at}", f"{x:g}, {y:g}", "mm") for at, (x, y) in enumerate(points, start=1))
    how = How("R = a b c / (4 × area of the triangle)", "plane geometry", inputs)
    return Radius(math.prod(sides) / (2 * twice_area) / 1_000, twice_area / sides[2], how)


def check_radius(*, stated_m: Given[float], outline: Outline) -> Verdict:
    """Does a stated sidecut radius fit the widths?

    Formula: looked at again when it differs by more than 5 % from the circle through the side
    Units: m
    Refuses: outline.radius, outline.no_sidecut
    Source: common practice, no source (the 5 %)
    """
    stated = number(
        stated_m.value, code="outline.radius", name="The radius", unit="m", at_least=3, at_most=200
    )
    circle = radius_of_circle(outline=outline)
    off = stated / circle.radius_m - 1
    inputs = (
        Input("stated radius", stated, "m", stated_m.basis),
        Input("radius of the circle", circle.radius_m, "m"),
    )
    how = How("Stated radius over computed radius, less 1.", "common practice, no source", inputs)
    values = {"stated": stated, "computed": round(circle.radius_m, 1), "percent": round(100 * off, 1)}
    facts = {"share_off": off}
    if abs(off) <= AGREES:
        template = "The stated radius of {stated} m fits the widths: {computed} m."
        return verdict(Reason("outline.radius_fits", say(template, **values), Level.FINE, how, facts))
    template = (
        "The stated radius of {stated} m differs by {percent} % from the {computed} m that the widths give."
    )
    return verdict(Reason("outline.radius_differs", say(template, **values), Level.LOOK, how, facts))


def _turn(points: Sequence[tuple[float, float]]) -> float:
    """Twice the signed area of three points: above zero when the side curves in at the middle."""
    (x1, y1), (x2, y2), (x3, y3) = points
    return (x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1)


def _no_sidecut(tip: float, waist: float, tail: float) -> Refused:
    text = say(
        "A waist of {waist} mm between {tail} and {tip} mm has no sidecut, so no radius.",
        waist=round(waist, 1),
        tail=round(tail, 1),
        tip=round(tip, 1),
    )
    return Refused("outline.no_sidecut", text, say("Check the three widths; a straight ski has no radius."))
