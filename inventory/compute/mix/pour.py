"""What a scale can show of a pour, and weights that look as if typed in another unit.

Knows no cup that was poured (that is `mix`), no lot and no product name.
"""

from fractions import Fraction

from inventory.compute.mix.ratio import Pour, check_ratio, check_weight, grams
from inventory.compute.reasons import Given, How, Input

OUNCE_MG = 28_349.523125  # international avoirdupois ounce, NIST Handbook 44 (from memory)
NEAR = 0.07
SCALE_SOURCE = "arithmetic; the step is the scale's own"


def on_scale(*, pour: Pour, hardener_per_hundred: Given[float], step_mg: int) -> Pour:
    """The weights of a pour in steps that the scale shows.

    Formula: resin down to a whole step, so that no cup grows beyond its largest; hardener = resin x per
        hundred / 100, to the nearest step, at least one.
    Units: mg; g of hardener per 100 g of resin.
    Refuses: mix.weight, mix.scale, mix.ratio
    Source: arithmetic (computed).
    """
    check_weight(step_mg, "The step of the scale", empty="mix.scale")
    resin_mg = max(step_mg, pour.resin_mg // step_mg * step_mg)
    exact = resin_mg * check_ratio(hardener_per_hundred)
    hardener_mg = max(1, round(Fraction(exact, step_mg))) * step_mg
    inputs = (*pour.how.inputs, Input("step of the scale", grams(step_mg), "g"))
    return Pour(resin_mg, hardener_mg, How(f"{pour.how.rule}; in steps of the scale", SCALE_SOURCE, inputs))


def looks_like_ounces(*, resin_mg: int, hardener_mg: int, asked: Pour) -> bool:
    """Whether both weights are what was asked, had the scale shown ounces.

    Formula: asked / typed is within 7 % of 28.35 for both parts.
    Units: mg.
    Refuses: mix.weight, mix.no_resin, mix.no_hardener
    Source: the ounce: NIST Handbook 44 (from memory); 7 %: common practice, no source.
    """
    check_weight(resin_mg, "Resin", empty="mix.no_resin")
    check_weight(hardener_mg, "Hardener", empty="mix.no_hardener")
    factors = (asked.resin_mg / resin_mg, asked.hardener_mg / hardener_mg)
    return all(abs(factor * 1000 / OUNCE_MG - 1) <= NEAR for factor in factors)
