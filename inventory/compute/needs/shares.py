"""What one layer of a lay-up puts into a ski, before anything is lost. Knows no loss and no stock."""

from dataclasses import dataclass
from fractions import Fraction

from inventory.compute.needs.laminate import uptake
from inventory.compute.needs.layers import (
    Blank,
    Course,
    Layer,
    Per,
    Pieces,
    Reach,
    Sheet,
    Soak,
    Spread,
    Strip,
    reached,
)
from inventory.compute.outline import Measures, Outline
from inventory.compute.reasons import Input, number
from inventory.compute.units import Base
from inventory.errors import Refused, say

MOST_PLIES = 20
SKIS = 2  # in a pair


@dataclass(frozen=True, slots=True)
class LayerShare:
    """What one layer puts into a ski or a pair, in its base unit."""

    base: Base
    per_ski: Fraction
    per_pair: Fraction
    line: Input


def share_of(*, outline: Outline, lengths: Measures, layer: Layer) -> LayerShare:
    """What does one layer put into a ski and into a pair?

    Formula: area × plies; length × strands; pieces; g/m2 × area × faces × share; fabric × (1 − w) / w × share
    Units: mg, mm, mm2, ul or pieces, by the kind of layer; not rounded
    Refuses: needs.layer, needs.reach, needs.weight, needs.share
    Source: common practice, no source; resin in fabric by definition
    """
    _check_material(layer)
    if isinstance(layer, Sheet):
        return _sheet(outline, layer)
    if isinstance(layer, Strip):
        return _strip(outline, lengths, layer)
    if isinstance(layer, Pieces):
        return _pieces(layer)
    if isinstance(layer, Spread):
        return _spread(outline, layer)
    return _soak(outline, layer)


def _check_material(layer: Layer) -> None:
    if not layer.material.strip():
        raise Refused(
            "needs.layer", say("A layer has no material."), say("Choose a material for each layer.")
        )


def _sheet(outline: Outline, layer: Sheet) -> LayerShare:
    plies = _count(layer.plies, layer.material, "plies")
    if isinstance(layer.reach, Blank):
        area, where = _blank(outline, layer.reach), "cut as a rectangle"
    else:
        area, where = _area(outline, layer.reach), _where(layer.reach)
    line = Input(f"{where}, {plies} × {area:.0f} mm²", round(plies * area), "mm²")
    return _both(Base.MM2, plies * Fraction(area), line)


def _strip(outline: Outline, along: Measures, layer: Strip) -> LayerShare:
    strands = _count(layer.strands, layer.material, "strands")
    if isinstance(layer.along, Course):
        lengths = {
            Course.EDGE: along.edge_partial_mm,
            Course.EDGE_WRAP: along.edge_wrap_mm,
            Course.SIDEWALL: along.sidewall_mm,
        }
        length, where = lengths[layer.along], str(layer.along)
    else:
        length, where = reached(outline=outline, reach=layer.along).length_mm, _where(layer.along)
    line = Input(f"{where}, {strands} × {length:.0f} mm", round(strands * length), "mm")
    return _both(Base.MM, strands * Fraction(length), line)


def _pieces(layer: Pieces) -> LayerShare:
    amount = layer.each
    if isinstance(amount.value, bool) or not isinstance(amount.value, int) or not 1 <= amount.value <= 10**9:
        text = say(
            "{material} is {value} {base} each.",
            material=layer.material,
            value=amount.value,
            base=amount.base,
        )
        raise Refused("needs.layer", text, say("Enter an amount above zero."))
    line = Input(f"each {layer.per}", amount.value, amount.base)
    if layer.per is Per.PAIR:
        return LayerShare(amount.base, Fraction(0), Fraction(amount.value), line)
    return _both(amount.base, Fraction(amount.value), line)


def _spread(outline: Outline, layer: Spread) -> LayerShare:
    faces = _count(layer.faces, layer.material, "faces")
    weight = number(
        layer.grams_per_m2.value,
        code="needs.weight",
        name=f"What is spread of {layer.material}",
        unit="g/m²",
        above=0,
        at_most=5_000,
    )
    area = _area(outline, layer.reach)
    part = _part(layer.material, layer.share)
    mass = Fraction(area) * faces * Fraction(str(weight)) / 1_000 * part
    line = Input(
        f"spread, {_where(layer.reach)}, {faces} × {area:.0f} mm² of {weight:g} g/m²",
        round(mass),
        "mg",
        layer.grams_per_m2.basis,
    )
    return _both(Base.MG, mass, line)


def _soak(outline: Outline, layer: Soak) -> LayerShare:
    plies = _count(layer.plies, layer.material, "plies")
    taken = uptake(
        area_mm2=_area(outline, layer.reach),
        fabric_g_per_m2=layer.fabric_g_per_m2,
        plies=plies,
        fibre_share=layer.fibre_share,
        cut_factor=layer.cut_factor,
    )
    mass = Fraction(taken.resin_mg) * _part(layer.material, layer.share)
    share = layer.fibre_share
    words = f"taken up by {taken.fabric_mg / 1000:.0f} g of fabric, fibre share {share.value:g}"
    return _both(Base.MG, mass, Input(words, round(mass), "mg", share.basis))


def _both(base: Base, per_ski: Fraction, line: Input) -> LayerShare:
    return LayerShare(base, per_ski, SKIS * per_ski, line)


def _area(outline: Outline, reach: Reach) -> float:
    return reached(outline=outline, reach=reach).area_mm2


def _blank(outline: Outline, blank: Blank) -> float:
    """Area of the rectangle for one ski; it has to hold the ski."""
    widest = outline.widest_mm
    number(
        blank.width_mm,
        code="needs.reach",
        name="The blank's width",
        unit="mm",
        at_least=widest,
        at_most=2_000,
    )
    number(blank.end_mm, code="needs.reach", name="The blank's ends", unit="mm", at_least=0, at_most=500)
    return blank.width_mm * (outline.length_mm + 2 * blank.end_mm)


def _where(reach: Reach) -> str:
    return {
        "Whole": "whole ski",
        "Contact": "contact length",
        "Centred": "about the middle",
        "Between": "from place to place",
    }[type(reach).__name__]


def _count(count: int, material: str, what: str) -> int:
    """As many plies, strands or faces as a ski can have."""
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= MOST_PLIES:
        template = "{material} has {count} {what}; 1 to {most} are possible."
        text = say(template, material=material, count=count, what=what, most=MOST_PLIES)
        raise Refused("needs.layer", text, say("Enter a whole number."))
    return count


def _part(material: str, share: float) -> Fraction:
    """The part of a mass that is this material; exact as it is printed."""
    name = f"The part that is {material}"
    return Fraction(str(number(share, code="needs.share", name=name, above=0, at_most=1)))
