"""How much hardener a resin asks for, by weight and by volume, and a total shared out into cups.

Knows no cup that was poured (that is `mix`), no lot and no product name.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.compute.reasons import Given, How, Input, number
from inventory.errors import Refused, say

LARGEST_MG = 1_000_000_000  # a tonne: above this a weight is a slip of the keyboard
MOST_CUPS = 1_000
WORKSHEET = "a curing-agent maker's worksheet, scribd.com/document/485570057 (read)"
ARITHMETIC = "arithmetic (computed); the ratio is the product's own"


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a blend; `equivalent_g` is None for a filler, which weighs but does not react."""

    name: str
    parts: float
    equivalent_g: Given[float] | None


@dataclass(frozen=True, slots=True)
class Equivalent:
    """Grams of a resin, a hardener or a blend that carry one mole of what reacts."""

    grams_per_equivalent: float
    how: How


@dataclass(frozen=True, slots=True)
class PerHundred:
    """Hardener to 100 of resin: grams to grams, or millilitres to millilitres, as `unit` says."""

    hardener: float
    unit: str
    how: How


@dataclass(frozen=True, slots=True)
class Pour:
    """What to weigh into one cup."""

    resin_mg: int
    hardener_mg: int
    how: How

    @property
    def total_mg(self) -> int:
        """Both together: what the cup holds."""
        return self.resin_mg + self.hardener_mg


@dataclass(frozen=True, slots=True)
class Cups:
    """A total shared out into cups, none above the product's largest."""

    pours: tuple[Pour, ...]
    how: How


def blend_equivalent(*, parts: Sequence[Part]) -> Equivalent:
    """The grams per equivalent of a blend; fillers weigh, but do not react.

    Formula: sum of parts / sum of (parts / grams per equivalent), the second sum over what reacts.
    Units: parts by mass in any one unit; grams per equivalent g/eq.
    Shapes: one or more parts, in any order.
    Refuses: mix.parts, mix.part, mix.equivalent
    Source: a curing-agent maker's worksheet, scribd.com/document/485570057 (read).
    """
    inputs: list[Input] = []
    equivalents: list[float] = []
    for part in parts:
        number(part.parts, code="mix.part", name=f"The mass of {part.name}", at_least=1e-6, at_most=1e9)
        inputs.append(Input(part.name, part.parts, "parts by mass"))
        if part.equivalent_g is not None:
            equivalents.append(part.parts / check_equivalent(part.equivalent_g, part.name))
            inputs.append(_equivalent_input(part.equivalent_g, part.name))
    if not equivalents:
        sentence = say("Of {count} parts of the blend none reacts.", count=len(inputs))
        raise Refused(
            "mix.parts", sentence, say("Name a part that reacts, with its mass and equivalent weight.")
        )
    total = math.fsum(part.parts for part in parts)
    rule = "sum of parts / sum of (parts / g per equivalent); fillers count in the first sum only"
    return Equivalent(total / math.fsum(equivalents), How(rule, WORKSHEET, tuple(inputs)))


def hydrogen_equivalent(*, molar_mass_g: Given[float], active_hydrogens: int) -> Equivalent:
    """The grams of an amine hardener that carry one active hydrogen.

    Formula: molar mass / number of active N-H hydrogens.
    Units: molar mass g/mol; result g/eq.
    Refuses: mix.molar_mass, mix.hydrogens
    Source: a curing-agent maker's worksheet, scribd.com/document/485570057 (read).
    """
    mass = number(
        molar_mass_g.value, code="mix.molar_mass", name="Molar mass", unit="g/mol", at_least=1, at_most=1e6
    )
    number(active_hydrogens, code="mix.hydrogens", name="Active hydrogens", at_least=1, at_most=1000)
    if not isinstance(active_hydrogens, int):
        sentence = say("Active hydrogens are {count}, not a whole number.", count=active_hydrogens)
        raise Refused("mix.hydrogens", sentence, say("Count the N-H hydrogens of one molecule."))
    inputs = (
        Input("molar mass", molar_mass_g.value, "g/mol", molar_mass_g.basis),
        Input("active hydrogens", active_hydrogens, "", molar_mass_g.basis),
    )
    return Equivalent(mass / active_hydrogens, How("molar mass / active hydrogens", WORKSHEET, inputs))


def hardener_per_hundred(
    *, resin_equivalent_g: Given[float], hardener_equivalent_g: Given[float]
) -> PerHundred:
    """The grams of hardener that balance 100 g of resin; a product's own sheet wins over it.

    Formula: 100 x hardener g per active hydrogen / resin g per epoxide.
    Units: g/eq in; g of hardener per 100 g of resin out.
    Refuses: mix.equivalent
    Source: a curing-agent maker's worksheet, scribd.com/document/485570057 (read).
    """
    resin = check_equivalent(resin_equivalent_g, "Resin")
    hardener = check_equivalent(hardener_equivalent_g, "Hardener")
    inputs = (
        _equivalent_input(resin_equivalent_g, "resin"),
        _equivalent_input(hardener_equivalent_g, "hardener"),
    )
    how = How("100 x hardener g per equivalent / resin g per equivalent", WORKSHEET, inputs)
    return PerHundred(100 * hardener / resin, "g per 100 g", how)


def per_hundred_by_volume(
    *, per_hundred_by_weight: Given[float], resin_g_per_ml: Given[float], hardener_g_per_ml: Given[float]
) -> PerHundred:
    """A ratio by weight turned into one by volume.

    Formula: by volume = by weight x resin density / hardener density.
    Units: g per 100 g and g/ml in; ml of hardener per 100 ml of resin out.
    Refuses: mix.ratio, mix.density
    Source: arithmetic (computed).
    """
    ratio = 100 * float(check_ratio(per_hundred_by_weight))
    factor = _density(resin_g_per_ml, "Resin") / _density(hardener_g_per_ml, "Hardener")
    inputs = _volume_inputs(
        "by weight", "g per 100 g", per_hundred_by_weight, resin_g_per_ml, hardener_g_per_ml
    )
    how = How("by weight x resin density / hardener density", ARITHMETIC, inputs)
    return PerHundred(ratio * factor, "ml per 100 ml", how)


def per_hundred_by_weight(
    *, per_hundred_by_volume: Given[float], resin_g_per_ml: Given[float], hardener_g_per_ml: Given[float]
) -> PerHundred:
    """A ratio by volume turned into one by weight: what a scale needs when a sheet says "2 to 1 by volume".

    Formula: by weight = by volume x hardener density / resin density.
    Units: ml per 100 ml and g/ml in; g of hardener per 100 g of resin out.
    Refuses: mix.ratio, mix.density
    Source: arithmetic (computed).
    """
    ratio = 100 * float(check_ratio(per_hundred_by_volume))
    factor = _density(hardener_g_per_ml, "Hardener") / _density(resin_g_per_ml, "Resin")
    inputs = _volume_inputs(
        "by volume", "ml per 100 ml", per_hundred_by_volume, resin_g_per_ml, hardener_g_per_ml
    )
    how = How("by volume x hardener density / resin density", ARITHMETIC, inputs)
    return PerHundred(ratio * factor, "g per 100 g", how)


def split_total(*, total_mg: int, hardener_per_hundred: Given[float]) -> Pour:
    """Share a total mass between resin and hardener; both together are the total, to the milligram.

    Formula: hardener = total x ratio / (1 + ratio), resin = total - hardener; ratio = per hundred / 100.
    Units: mg; g of hardener per 100 g of resin.
    Refuses: mix.weight, mix.no_total, mix.ratio, mix.too_small
    Source: arithmetic (computed).
    Caution: This is a total, not a cup: share it with `share_into_cups` before anyone pours.
    """
    check_weight(total_mg, "The total", empty="mix.no_total")
    ratio = check_ratio(hardener_per_hundred)
    hardener_mg = round(total_mg * ratio / (1 + ratio))
    how = How(
        "hardener = total x ratio / (1 + ratio); resin = total - hardener",
        ARITHMETIC,
        (Input("total", grams(total_mg), "g"), _ratio_input(hardener_per_hundred)),
    )
    return _pour(total_mg - hardener_mg, hardener_mg, how)


def hardener_for_resin(
    *, resin_mg: int, hardener_per_hundred: Given[float], largest_cup_mg: Given[int] | None = None
) -> Pour:
    """The hardener for the resin that is already in the cup.

    Formula: hardener = resin x per hundred / 100.
    Units: mg; g of hardener per 100 g of resin.
    Refuses: mix.weight, mix.no_resin, mix.ratio, mix.too_small, mix.largest_cup, mix.cup_too_large
    Source: arithmetic (computed); the largest cup is the product's own.
    Caution: A cup over the product's largest can run away: it is refused before the hardener is poured.
    """
    check_weight(resin_mg, "Resin", empty="mix.no_resin")
    how = How(
        "hardener = resin x per hundred / 100",
        ARITHMETIC,
        (Input("resin", grams(resin_mg), "g"), _ratio_input(hardener_per_hundred)),
    )
    pour = _pour(resin_mg, round(resin_mg * check_ratio(hardener_per_hundred)), how)
    if largest_cup_mg is not None and pour.total_mg > check_largest_cup(largest_cup_mg):
        sentence = say(
            "{resin} g of resin with its hardener is {total} g, above the largest cup of {largest} g.",
            resin=grams(resin_mg),
            total=grams(pour.total_mg),
            largest=grams(largest_cup_mg.value),
        )
        raise Refused("mix.cup_too_large", sentence, say("Pour resin off into a second cup first."))
    return pour


def share_into_cups(*, total_mg: int, hardener_per_hundred: Given[float], largest_cup_mg: Given[int]) -> Cups:
    """Share a total into the fewest cups of nearly one size, none above the product's largest.

    Formula: cups = total / largest, rounded up; sizes differ by at most 1 mg and sum to the total.
    Units: mg; g of hardener per 100 g of resin.
    Refuses: mix.weight, mix.no_total, mix.ratio, mix.too_small, mix.largest_cup, mix.cups
    Source: arithmetic (computed); the largest cup is the product's own.
    Caution: One cup at a time: the clock of a cup starts when its two parts meet.
    """
    check_weight(total_mg, "The total", empty="mix.no_total")
    count = -(-total_mg // check_largest_cup(largest_cup_mg))
    if count > MOST_CUPS:
        sentence = say(
            "{total} g in cups of {largest} g would be {count} cups, more than {most}.",
            total=grams(total_mg),
            largest=grams(largest_cup_mg.value),
            count=count,
            most=MOST_CUPS,
        )
        raise Refused("mix.cups", sentence, say("Check the total and the largest cup, and their units."))
    each, over = divmod(total_mg, count)
    pour = split_total(total_mg=each, hardener_per_hundred=hardener_per_hundred)
    pours = (pour,) * (count - over)
    if over:
        larger = split_total(total_mg=each + 1, hardener_per_hundred=hardener_per_hundred)
        pours = (larger,) * over + pours
    inputs = (
        Input("total", grams(total_mg), "g"),
        Input("largest cup", grams(largest_cup_mg.value), "g", largest_cup_mg.basis),
        _ratio_input(hardener_per_hundred),
    )
    source = largest_cup_mg.source or ARITHMETIC
    return Cups(pours, How("cups = total / largest cup, rounded up; equal sizes", source, inputs))


def check_weight(value: int, name: str, *, empty: str) -> int:
    """Return a whole number of milligrams above zero, or refuse; zero has its own code."""
    number(value, code="mix.weight", name=name, unit="mg", at_least=0, at_most=LARGEST_MG)
    if not isinstance(value, int):
        sentence = say("{name} is {value} mg, not a whole number of milligrams.", name=name, value=value)
        raise Refused("mix.weight", sentence, say("Give the weight in whole milligrams."))
    if value == 0:
        sentence = say("{name} is 0 mg: there is nothing to reckon with.", name=name)
        raise Refused(empty, sentence, say("Weigh it and enter what the scale shows."))
    return value


def check_largest_cup(largest_cup_mg: Given[int]) -> int:
    """The product's largest cup as a whole number of milligrams."""
    return check_weight(largest_cup_mg.value, "The largest cup", empty="mix.largest_cup")


def check_ratio(per_hundred: Given[float]) -> Fraction:
    """The ratio of hardener to resin as an exact fraction of what was typed."""
    name = "Hardener per hundred of resin"
    return exact(number(per_hundred.value, code="mix.ratio", name=name, at_least=0.01, at_most=10_000)) / 100


def check_equivalent(equivalent_g: Given[float], name: str) -> float:
    """Grams per equivalent within what a molecule can be."""
    name = f"The equivalent weight of {name}"
    return number(equivalent_g.value, code="mix.equivalent", name=name, unit="g/eq", at_least=1, at_most=1e6)


def exact(value: float) -> Fraction:
    """The decimal a person typed, not its binary neighbour: 0.02 is one fiftieth."""
    return Fraction(str(value))


def grams(value_mg: int) -> float:
    """Milligrams as grams, for a sentence."""
    return value_mg / 1000


def _pour(resin_mg: int, hardener_mg: int, how: How) -> Pour:
    if resin_mg <= 0 or hardener_mg <= 0:
        sentence = say(
            "{total} mg is too little to share: one part would be less than 1 mg.",
            total=resin_mg + hardener_mg,
        )
        raise Refused("mix.too_small", sentence, say("Check the total and its unit."))
    return Pour(resin_mg, hardener_mg, how)


def _density(density: Given[float], name: str) -> float:
    """A liquid's density; 0.5 to 3 g/ml leaves room for any filler and names a slip of unit."""
    name = f"The density of {name.lower()}"
    return number(density.value, code="mix.density", name=name, unit="g/ml", at_least=0.5, at_most=3)


def _equivalent_input(equivalent_g: Given[float], name: str) -> Input:
    return Input(f"{name}, equivalent weight", equivalent_g.value, "g/eq", equivalent_g.basis)


def _ratio_input(per_hundred: Given[float]) -> Input:
    return Input("hardener per hundred", per_hundred.value, "g per 100 g", per_hundred.basis)


def _volume_inputs(
    name: str, unit: str, ratio: Given[float], resin: Given[float], hardener: Given[float]
) -> tuple[Input, ...]:
    return (
        Input(name, ratio.value, unit, ratio.basis),
        Input("resin density", resin.value, "g/ml", resin.basis),
        Input("hardener density", hardener.value, "g/ml", hardener.basis),
    )
