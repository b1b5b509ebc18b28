"""What a pair of skis needs of each material: outline and lay-up and loss, lowest, expected and highest.

Knows no stock, no price and no guest. A factor learned from past builds outranks the usual loss; a material
with neither is refused, because a loss that is not known is not nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from inventory.compute.needs.layers import Layer
from inventory.compute.needs.shares import SKIS, LayerShare, share_of
from inventory.compute.outline import Measures, Outline, measures
from inventory.compute.reasons import Basis, How, Input, number
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say


@dataclass(frozen=True, slots=True)
class Factor:
    """What is used over what is in the ski: 1.05 means that a twentieth is lost."""

    lowest: float
    expected: float
    highest: float
    basis: Basis = Basis.ASSUMED
    source: str = ""


@dataclass(frozen=True, slots=True)
class Range:
    """Lowest, expected and highest amount, each rounded once."""

    lowest: Amount
    expected: Amount
    highest: Amount


@dataclass(frozen=True, slots=True)
class Exact:
    """The same three before rounding, in the base unit, and what ends up in the pair."""

    net: Fraction
    lowest: Fraction
    expected: Fraction
    highest: Fraction


@dataclass(frozen=True, slots=True)
class Need:
    """One material for one pair. `ski` is None for what only a pair as a whole has, such as a cup."""

    material: str
    base: Base
    net_pair: Amount
    ski: Range | None
    pair: Range
    exact_pair: Exact
    factor: Factor
    how: How


@dataclass(frozen=True, slots=True)
class Needs:
    """What one pair needs, by material in the order of the lay-up."""

    materials: tuple[Need, ...]
    how: How


def needs(
    *,
    outline: Outline,
    layers: Sequence[Layer],
    waste: Mapping[str, Factor],
    learned: Mapping[str, Factor] | None = None,
    lengths: Measures | None = None,
) -> Needs:
    """What does one pair need of each material?

    Formula: net = sum over the layers (area × plies; length × strands; pieces; g/m2 × area; fabric ×
        (1 − w) / w), for two skis; lowest, expected, highest = net × factor. Amounts are rounded up to
        whole base units; of pieces, lowest and expected are the nearest whole number, never below net,
        and highest is rounded up
    Units: mg, mm, mm2, ul or pieces, by what the layers measure; per ski and per pair; `lengths` are this
        outline's own measures, when edge or sidewall are cut otherwise than usual
    Shapes: at least one layer; a material may be in several layers that measure it the same way
    Refuses: needs.nothing, needs.layer, needs.reach, needs.weight, needs.share, needs.mixed,
        needs.no_factor, needs.factor
    Source: common practice, no source; resin in fabric by definition
    """
    if not layers:
        raise Refused("needs.nothing", say("The lay-up has no layers."), say("Enter the lay-up first."))
    along = lengths or measures(outline=outline)
    shares: dict[str, list[LayerShare]] = {}
    for layer in layers:
        shares.setdefault(layer.material, []).append(share_of(outline=outline, lengths=along, layer=layer))
    found = tuple(_need(key, parts, _factor(key, waste, learned or {})) for key, parts in shares.items())
    inputs = (*along.how.inputs, Input("layers", len(layers)))
    return Needs(found, How("Net by the lay-up, times what is lost.", "common practice, no source", inputs))


def whole_range(*, exact: Exact, base: Base) -> Range:
    """How are lowest, expected and highest rounded?

    Formula: up to a whole base unit; of pieces, lowest and expected to the nearest, halves up, but never
        below what is in the ski, and highest up
    Units: the base unit
    Refuses: nothing
    Source: common practice, no source
    """
    if base is Base.PIECE:
        least = ceil(exact.net)
        lowest, expected = (
            max(least, floor(value + Fraction(1, 2))) for value in (exact.lowest, exact.expected)
        )
        highest = max(expected, ceil(exact.highest))
        values = (lowest, expected, highest)
    else:
        values = (ceil(exact.lowest), ceil(exact.expected), ceil(exact.highest))
    return Range(*(Amount(value, base) for value in values))


def _factor(material: str, waste: Mapping[str, Factor], learned: Mapping[str, Factor]) -> Factor:
    """The learned factor when there is one, else the usual; neither is refused."""
    factor = learned.get(material) or waste.get(material)
    if factor is None:
        text = say("How much of {material} is lost is not known.", material=material)
        raise Refused("needs.no_factor", text, say("Enter its usual loss, or build a few pairs with it."))
    values = (factor.lowest, factor.expected, factor.highest)
    for value in values:
        name = f"The loss factor of {material}"
        number(value, code="needs.factor", name=name, at_least=0.3, at_most=5)
    if list(values) != sorted(values):
        template = "Lowest, expected and highest of {material} are {lowest}, {expected} and {highest}."
        text = say(template, material=material, lowest=values[0], expected=values[1], highest=values[2])
        raise Refused("needs.factor", text, say("Enter them in order, from the lowest to the highest."))
    return factor


def _need(material: str, parts: Sequence[LayerShare], factor: Factor) -> Need:
    """Add up one material's layers and apply its factor."""
    base = parts[0].base
    if any(part.base is not base for part in parts):
        text = say("{material} is measured in two ways in one lay-up.", material=material)
        raise Refused("needs.mixed", text, say("Measure it the same way in every layer."))
    pair = _exact(sum((part.per_pair for part in parts), Fraction(0)), factor)
    ski = _exact(sum((part.per_ski for part in parts), Fraction(0)), factor)
    lines = (
        *(part.line for part in parts),
        Input("factor, lowest", factor.lowest, "", factor.basis),
        Input("factor, expected", factor.expected, "", factor.basis),
        Input("factor, highest", factor.highest, "", factor.basis),
    )
    rule = "Sum of its layers, for two skis, times the factor; rounded up, pieces to the nearest."
    only_pair = any(part.per_pair != SKIS * part.per_ski for part in parts)
    return Need(
        material=material,
        base=base,
        net_pair=Amount(ceil(pair.net), base),
        ski=None if only_pair else whole_range(exact=ski, base=base),
        pair=whole_range(exact=pair, base=base),
        exact_pair=pair,
        factor=factor,
        how=How(rule, factor.source or str(factor.basis), lines),
    )


def _exact(net: Fraction, factor: Factor) -> Exact:
    low, mid, high = (
        net * Fraction(str(value)) for value in (factor.lowest, factor.expected, factor.highest)
    )
    return Exact(net, low, mid, high)
