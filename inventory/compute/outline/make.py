"""An outline from a build spec, or from widths that were measured or drawn. Knows no material, no lay-up."""

import math
from collections.abc import Sequence
from itertools import pairwise

from inventory.compute.outline.base import Outline, Station, Tail, Widths
from inventory.compute.reasons import Basis, Given, How, Input, number
from inventory.errors import Refused, say

STEP_MM = 10.0  # between computed widths along the sidecut; its error is below 0.001 mm of width
ROUND_STEPS = 48  # widths along half an ellipse; its area comes out 0.02 % small

LEAST_TAIL_MM = 0.001  # a tail behind the heel line; less is lost in the place of its stations


def _check_tail(turn_mm: float) -> None:
    """A tail ends at the heel line, or so far behind it that the sums can tell the two apart."""
    number(turn_mm, code="outline.reach", name="The tail", unit="mm", at_least=0)
    if 0 < turn_mm < LEAST_TAIL_MM:
        raise Refused(
            "outline.reach",
            say("A tail of {turn:g} mm behind the heel line is none.", turn=turn_mm),
            say(
                "Enter 0 for a tail that ends at the heel line, or at least {least} mm.", least=LEAST_TAIL_MM
            ),
        )


def from_spec(
    *,
    length_mm: float,
    tip_width_mm: float,
    waist_width_mm: float,
    tail_width_mm: float,
    shovel_mm: Given[float],
    tail_turn_mm: Given[float],
    tail: Tail,
    waist_from_heel_mm: Given[float] | None = None,
) -> Outline:
    """What is the outline of a ski of this length, these three widths and this tail?

    Formula: sidecut = half a parabola from the waist to each of heel and shoulder, level at the waist (area
        L / 6 × (S + 4 W + H) with the waist in the middle); shovel = half an ellipse; tail by its shape:
        square, blunt (area 0.9 of square, edge 2 × turn + 0.9 × width) or round
    Units: mm; places from the end of the tail
    Refuses: outline.length, outline.width, outline.reach, outline.waist_place
    Source: common practice, no source (shapes); ISO 6289:2025 (terms; read)
    """
    number(length_mm, code="outline.length", name="The length", unit="mm", at_least=300, at_most=3_000)
    widths = {
        "The tail width": tail_width_mm,
        "The waist width": waist_width_mm,
        "The tip width": tip_width_mm,
    }
    for name, width in widths.items():
        number(width, code="outline.width", name=name, unit="mm", at_least=20, at_most=400)
    number(shovel_mm.value, code="outline.reach", name="The shovel", unit="mm", at_least=1)
    _check_tail(tail_turn_mm.value)
    contact = length_mm - shovel_mm.value - tail_turn_mm.value
    if contact < length_mm / 4:
        template = "Shovel and tail leave {contact} mm of {length} mm on the snow."
        text = say(template, contact=round(contact, 1), length=length_mm)
        raise Refused("outline.reach", text, say("Measure shovel and tail again."))
    waist = waist_from_heel_mm or Given(contact / 2, Basis.ASSUMED, "the middle of the contact length")
    heel = tail_turn_mm.value
    shoulder = heel + contact
    side = _sidecut(contact, (tail_width_mm, waist_width_mm, tip_width_mm), waist.value)
    stations = (
        *_tail_stations(tail, heel, tail_width_mm),
        *(Station(heel + at, width) for at, width in side),
        *(Station(shoulder + at, width) for at, width in _half_ellipse(shovel_mm.value, tip_width_mm)),
    )
    inputs = (
        Input("length", length_mm, "mm"),
        *(Input(name, width, "mm") for name, width in widths.items()),
        Input("shovel", shovel_mm.value, "mm", shovel_mm.basis),
        Input("tail behind the heel line", heel, "mm", tail_turn_mm.basis),
        Input("waist from the heel line", waist.value, "mm", waist.basis),
        Input("tail shape", tail),
    )
    rule = "Half parabolas from waist to heel and shoulder; half an ellipse for the shovel; tail as stated."
    how = How(rule, "common practice, no source", inputs)
    edge = _tail_edge(tail, heel, tail_width_mm, stations)
    return Outline(Widths(stations), heel, heel + waist.value, shoulder, edge, tail, how)


def from_stations(
    *, stations: Sequence[Station], heel_mm: float | None = None, shoulder_mm: float | None = None
) -> Outline:
    """What is the outline of a ski whose widths were measured or drawn?

    Formula: straight between the widths; without lines given, the heel line is at the widest place of
        the rear half, the shoulder line at the widest of the front half, the waist at the narrowest between
    Units: mm; places from the end of the tail
    Shapes: at least five widths, first at 0, each further along than the one before
    Refuses: outline.stations, outline.length, outline.width, outline.zone
    Source: trapezoid rule; definition
    """
    kept = tuple(stations)
    _check_stations(kept)
    length = kept[-1].from_tail_mm
    rear = [station for station in kept if station.from_tail_mm <= length / 2]
    front = [station for station in kept if station.from_tail_mm >= length / 2]
    heel = max(rear, key=lambda station: station.width_mm).from_tail_mm if heel_mm is None else heel_mm
    widest_front = max(front, key=lambda station: station.width_mm)
    shoulder = widest_front.from_tail_mm if shoulder_mm is None else shoulder_mm
    for name, place in (("The heel line", heel), ("The shoulder line", shoulder)):
        number(place, code="outline.zone", name=name, unit="mm", at_least=0, at_most=length)
    if shoulder - heel < length / 4:
        template = "Heel line at {heel} mm and shoulder line at {shoulder} mm leave too little between them."
        text = say(template, heel=heel, shoulder=shoulder)
        raise Refused("outline.zone", text, say("Enter both lines, measured from the tail."))
    inputs = (
        Input("widths", len(kept)),
        Input("heel line", heel, "mm", Basis.ASSUMED if heel_mm is None else Basis.MEASURED),
        Input("shoulder line", shoulder, "mm", Basis.ASSUMED if shoulder_mm is None else Basis.MEASURED),
    )
    how = How("Straight between the widths entered.", "trapezoid rule; definition", inputs)
    widths = Widths(kept)
    waist = widths.cut(heel, shoulder).narrowest.from_tail_mm
    edge = 2 * widths.cut(0.0, heel).side_mm + kept[0].width_mm
    return Outline(widths, heel, waist, shoulder, edge, None, how)


def _sidecut(contact: float, widths: tuple[float, float, float], waist: float) -> list[tuple[float, float]]:
    """Places and widths from heel (0) to shoulder: two half parabolas that meet, level, at the waist."""
    number(
        waist,
        code="outline.waist_place",
        name="The waist from the heel line",
        unit="mm",
        at_least=contact / 5,
        at_most=contact * 4 / 5,
    )
    heel, middle, tip = widths
    steps = round(contact / STEP_MM)
    places = sorted({contact * step / steps for step in range(1, steps)} | {0.0, waist, contact})
    return [
        (at, middle + (heel - middle) * (1 - at / waist) ** 2)
        if at <= waist
        else (at, middle + (tip - middle) * ((at - waist) / (contact - waist)) ** 2)
        for at in places
    ]


def _half_ellipse(length: float, width: float) -> list[tuple[float, float]]:
    """Places beyond the line and widths of half an ellipse that closes an end; the line left out."""
    angles = (math.pi / 2 * step / ROUND_STEPS for step in range(1, ROUND_STEPS))
    return [*((length * math.sin(angle), width * math.cos(angle)) for angle in angles), (length, 0.0)]


def _tail_stations(tail: Tail, turn: float, width: float) -> list[Station]:
    """Widths from the tail's end to the heel line, itself left out."""
    if turn == 0:
        return []
    if tail is Tail.ROUND:
        return [Station(turn - at, wide) for at, wide in reversed(_half_ellipse(turn, width))]
    return [Station(0.0, width if tail is Tail.SQUARE else 0.8 * width)]


def _tail_edge(tail: Tail, turn: float, width: float, stations: Sequence[Station]) -> float:
    """Edge round the tail behind the heel line, for a full wrap."""
    if turn == 0:
        return width
    if tail is Tail.ROUND:
        return 2 * Widths(tuple(station for station in stations if station.from_tail_mm <= turn)).side_mm
    return 2 * turn + (0.9 if tail is Tail.BLUNT else 1.0) * width


def _check_stations(stations: tuple[Station, ...]) -> None:
    """Refuse too few, unsorted, repeated or impossible widths."""
    again = say("Enter the widths again, from the tail to the tip.")
    if len(stations) < 5:
        text = say("{count} widths are too few; at least 5 are needed.", count=len(stations))
        raise Refused("outline.stations", text, again)
    for station in stations:
        place, width = station.from_tail_mm, station.width_mm
        number(place, code="outline.stations", name="A place", unit="mm", at_least=0, at_most=3_000)
        number(
            width, code="outline.width", name=f"The width at {place} mm", unit="mm", at_least=0, at_most=400
        )
    if stations[0].from_tail_mm != 0:
        text = say("The first width is at {place} mm, not at the tail.", place=stations[0].from_tail_mm)
        raise Refused("outline.stations", text, again)
    for a, b in pairwise(stations):
        if b.from_tail_mm <= a.from_tail_mm:
            template = "The width at {second} mm comes after the one at {first} mm."
            text = say(template, second=b.from_tail_mm, first=a.from_tail_mm)
            raise Refused("outline.stations", text, again)
    for station in stations[1:-1]:
        if station.width_mm == 0:
            text = say("The ski has no width at {place} mm.", place=station.from_tail_mm)
            raise Refused("outline.width", text, again)
    length = stations[-1].from_tail_mm
    number(length, code="outline.length", name="The length", unit="mm", at_least=300, at_most=3_000)
