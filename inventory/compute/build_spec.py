"""A pair's build spec: does it make a ski, with what outline and radius. Knows no guest and no stock."""

from dataclasses import dataclass

from inventory.compute.outline.base import Outline, Tail
from inventory.compute.outline.make import from_spec
from inventory.compute.outline.sidecut import Radius, radius_by_measuring_rule
from inventory.compute.reasons import Basis, Given, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, say

_PRACTICE = "common practice, no source"
SHORTEST_MM, LONGEST_MM = 700, 2300  # children's to long touring skis
NARROWEST_MM, WIDEST_MM = 40, 200
SHOVEL_SHARE, TAIL_SHARE = 0.14, 0.055  # of the length, where nothing was measured
CHILD_MM = 1500
RACER_M = 20.0
USUAL_FROM_M, USUAL_TO_M = 6.0, 40.0
CAMBER_MOST_MM = 30.0


@dataclass(frozen=True, slots=True)
class Spec:
    """What a guest's ski is to be. None: not said; shovel and tail are then the usual share of the length.

    `mount_mm`: the mount line from the middle of the length, towards the tip above zero.
    """

    length_mm: float
    tip_mm: float
    waist_mm: float
    tail_mm: float
    shovel_mm: float | None = None
    tail_turn_mm: float | None = None
    tail: Tail = Tail.BLUNT
    camber_mm: float | None = None
    mount_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Shaped:
    """A spec that makes a ski: its outline, its radius by the measuring rule, and what to look at."""

    outline: Outline
    radius: Radius
    verdict: Verdict


def shaped(*, spec: Spec) -> Shaped:
    """Which ski does this spec make?

    Formula: outline of length, three widths, shovel and tail; radius by the measuring rule. Looked at again:
        a radius of 20 m and more below 1,500 mm, a radius outside 6 to 40 m, a tail wider than the tip, a
        mount line in front of the middle or more than an eighth of the length behind it
    Units: mm, radius in m
    Refuses: pair.length, pair.width, pair.camber, pair.mount, outline.reach, outline.no_sidecut
    Source: common practice, no source (the bounds); FIS measuring rule for the sidecut radius (read)
    """
    check_length(spec.length_mm)
    for name, width in (("tip", spec.tip_mm), ("waist", spec.waist_mm), ("tail", spec.tail_mm)):
        number(
            width,
            code="pair.width",
            name=f"The {name} width",
            unit="mm",
            at_least=NARROWEST_MM,
            at_most=WIDEST_MM,
        )
    if spec.camber_mm is not None:
        number(
            spec.camber_mm,
            code="pair.camber",
            name="The camber",
            unit="mm",
            at_least=-CAMBER_MOST_MM,
            at_most=CAMBER_MOST_MM,
        )
    if spec.mount_mm is not None:
        most = spec.length_mm / 4
        number(
            spec.mount_mm,
            code="pair.mount",
            name="The mount line",
            unit="mm from the middle",
            at_least=-most,
            at_most=most,
        )
    outline = from_spec(
        length_mm=spec.length_mm,
        tip_width_mm=spec.tip_mm,
        waist_width_mm=spec.waist_mm,
        tail_width_mm=spec.tail_mm,
        shovel_mm=_usual(spec.shovel_mm, SHOVEL_SHARE * spec.length_mm),
        tail_turn_mm=_usual(spec.tail_turn_mm, TAIL_SHARE * spec.length_mm),
        tail=spec.tail,
    )
    radius = _radius(spec, outline)
    return Shaped(outline, radius, verdict(*_reasons(spec, radius)))


def _radius(spec: Spec, outline: Outline) -> Radius:
    """The radius by the measuring rule; a refusal names the widths as they were entered, not as measured."""
    try:
        return radius_by_measuring_rule(outline=outline)
    except Refused as refused:
        if refused.code != "outline.no_sidecut":
            raise
        template = "Tip {tip:g} mm, waist {waist:g} mm and tail {tail:g} mm make no sidecut, so no radius."
        text = say(template, tip=spec.tip_mm, waist=spec.waist_mm, tail=spec.tail_mm)
        raise Refused("outline.no_sidecut", text, refused.what_to_do) from None


def check_length(length_mm: float) -> None:
    """Refuse a length that no ski has: `pair.length`."""
    if not SHORTEST_MM <= length_mm <= LONGEST_MM:
        raise Refused(
            "pair.length",
            say("{length} mm is no length for a ski.", length=length_mm),
            say("Enter {low} to {high} mm.", low=SHORTEST_MM, high=LONGEST_MM),
        )


def _usual(measured: float | None, usual: float) -> Given[float]:
    if measured is None:
        return Given(round(usual), Basis.ASSUMED, _PRACTICE)
    return Given(measured, Basis.MEASURED, "the build spec")


def _reasons(spec: Spec, radius: Radius) -> list[Reason]:
    metres, found = round(radius.radius_m, 1), []
    if spec.length_mm < CHILD_MM and metres >= RACER_M:
        text = say(
            "A radius of {radius} m on {length} mm: a child's length with a racer's radius.",
            radius=metres,
            length=round(spec.length_mm),
        )
        found.append(Reason("pair.racers_radius", text, Level.LOOK, radius.how))
    elif not USUAL_FROM_M <= metres <= USUAL_TO_M:
        text = say("A radius of {radius} m is unusual; check the widths.", radius=metres)
        found.append(Reason("pair.unusual_radius", text, Level.LOOK, radius.how))
    if spec.tail_mm > spec.tip_mm:
        text = say(
            "The tail, {tail} mm, is wider than the tip, {tip} mm; were they swapped?",
            tail=spec.tail_mm,
            tip=spec.tip_mm,
        )
        found.append(Reason("pair.tail_wider", text, Level.LOOK))
    if spec.mount_mm is not None and not -spec.length_mm / 8 <= spec.mount_mm <= 0:
        text = say("The mount line {mount} mm from the middle is unusual.", mount=spec.mount_mm)
        found.append(Reason("pair.unusual_mount", text, Level.LOOK))
    return found
