"""Weights of a two-part mix: what to pour, and whether what was poured will do.

Knows no database, no clock, no lot and no product name; what a product asks comes in as given values.
"""

import math
from dataclasses import dataclass
from fractions import Fraction

from inventory.compute.mix.ratio import check_largest_cup, check_ratio, check_weight, exact, grams
from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, say

WARN = 0.02
STOP = 0.05

JUDGE_RULE = "error = (hardener / resin) / (hardener per hundred / 100) - 1; look above warn, stop above stop"
JUDGE_SOURCE = (
    "incurelab.com/wp/how-to-mix-high-temperature-epoxy-resin-for-consistent-thermal-performance (read): "
    "about 5 % tolerated, 2 % where heat resistance matters; the product's own sheet wins"
)


@dataclass(frozen=True, slots=True)
class MixVerdict:
    """How far one cup is from the ratio the product asks, and whether it may be spread."""

    ratio_error: float
    verdict: Verdict
    how: How

    @property
    def ok(self) -> bool:
        """True when nothing stops the cup and nothing about it is unknown."""
        return self.verdict.ok

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """Worst first; each carries what it was computed from."""
        return self.verdict.reasons


@dataclass(frozen=True, slots=True)
class ScaleNeeded:
    """The coarsest step that can still tell, and the step to work with."""

    coarsest_mg: int
    advised_mg: int
    how: How


def judge(
    *,
    resin_mg: int,
    hardener_mg: int,
    hardener_per_hundred: Given[float],
    warn: float = WARN,
    stop: float = STOP,
    scale_step_mg: int | None = None,
    largest_cup_mg: Given[int] | None = None,
) -> MixVerdict:
    """Judge the weights of one cup.

    Formula: error = (hardener / resin) / (hardener_per_hundred / 100) - 1, in exact fractions.
        Look above warn, stop above stop. With a scale step d a weight is off by up to d (it is a difference
        of two readings, each off by half a step), the error by up to u = d / hardener + d / resin:
        cannot tell when u is above warn, unless even the nearest error would stop.
    Units: weights mg; hardener_per_hundred g of hardener per 100 g of resin; warn, stop and error fractions.
    Refuses: mix.weight, mix.no_resin, mix.no_hardener, mix.ratio, mix.tolerance, mix.scale, mix.largest_cup
    Source: incurelab.com, how to mix high temperature epoxy resin (read): about 5 %, 2 % where it matters.
        The scale rule: common practice, no source. Cup limit: the product's sheet.
    Caution: More hardener does not cure faster. A cup over the product's largest can run away: a warm or
        smoking cup is left alone; stop, keep clear, ventilate, do not carry it.
    """
    check_weight(resin_mg, "Resin", empty="mix.no_resin")
    check_weight(hardener_mg, "Hardener", empty="mix.no_hardener")
    asked = check_ratio(hardener_per_hundred)
    check_tolerances(warn, stop)
    error = Fraction(hardener_mg, resin_mg) / asked - 1
    how = How(
        JUDGE_RULE,
        JUDGE_SOURCE,
        (
            Input("resin", grams(resin_mg), "g"),
            Input("hardener", grams(hardener_mg), "g"),
            Input(
                "hardener per hundred", hardener_per_hundred.value, "g per 100 g", hardener_per_hundred.basis
            ),
            Input("warn above", warn, "", Basis.ASSUMED),
            Input("stop above", stop, "", Basis.ASSUMED),
        ),
    )
    cup = _Cup(resin_mg, hardener_mg, asked, error, exact(warn), exact(stop), how)
    reasons = [
        *_by_weight(cup, scale_step_mg),
        *_by_basis(cup, hardener_per_hundred),
        *_by_size(cup, largest_cup_mg),
    ]
    return MixVerdict(float(error), verdict(*reasons), how)


@dataclass(frozen=True, slots=True)
class _Cup:
    """One cup in exact numbers, as the reasons below read it."""

    resin_mg: int
    hardener_mg: int
    asked: Fraction
    error: Fraction
    warn: Fraction
    stop: Fraction
    how: How

    @property
    def off(self) -> Fraction:
        return abs(self.error)

    def values(self, limit: Fraction) -> dict[str, object]:
        """What the ratio sentences say."""
        return {
            "resin": grams(self.resin_mg),
            "hardener": grams(self.hardener_mg),
            "fits": grams(round(self.resin_mg * self.asked)),
            "percent": percent(self.error),
            "limit": percent(limit),
        }


def _by_weight(cup: _Cup, step_mg: int | None) -> list[Reason]:
    """The ratio as weighed, unless the scale is too coarse to tell."""
    if step_mg is None:
        return _by_ratio(cup)
    check_weight(step_mg, "Scale step", empty="mix.scale")
    doubt = scale_doubt(cup.resin_mg, cup.hardener_mg, step_mg)
    facts = {"scale_step_mg": step_mg, "doubt": float(doubt)}
    if doubt > cup.warn and cup.off - doubt <= cup.stop:
        sentence = say(
            "Cannot tell: steps of {step} g leave the ratio in doubt by {doubt} %, more than {limit} %.",
            step=grams(step_mg),
            doubt=percent(doubt),
            limit=percent(cup.warn),
        )
        return [Reason("mix.cannot_tell", sentence, Level.UNKNOWN, cup.how, facts)]
    reasons = _by_ratio(cup)
    if any(cup.off <= limit < cup.off + doubt for limit in (cup.warn, cup.stop)):
        sentence = say(
            "Steps of {step} g leave the ratio in doubt by {doubt} %: it may be beyond a limit.",
            step=grams(step_mg),
            doubt=percent(doubt),
        )
        reasons.append(Reason("mix.near_limit", sentence, Level.LOOK, cup.how, facts))
    return reasons


def _by_ratio(cup: _Cup) -> list[Reason]:
    """The ratio against its two limits, and a hint when the two weights look swapped."""
    if cup.off <= cup.warn:
        sentence = say(
            "{hardener} g hardener to {resin} g resin is {percent:+} % off the {fits} g that fit, "
            "within {limit} %.",
            **cup.values(cup.warn),
        )
        return [Reason("mix.ratio_fits", sentence, Level.FINE, cup.how)]
    if cup.off <= cup.stop:
        sentence = say(
            "{hardener} g hardener to {resin} g resin is {percent:+} % off the {fits} g that fit, "
            "above {limit} %.",
            **cup.values(cup.warn),
        )
        return [Reason("mix.ratio_off", sentence, Level.LOOK, cup.how)]
    sentence = say(
        "{hardener} g hardener to {resin} g resin is {percent:+} % off the {fits} g that fit, "
        "above {limit} %: do not spread it.",
        **cup.values(cup.stop),
    )
    reasons = [Reason("mix.ratio_stop", sentence, Level.STOP, cup.how)]
    if abs(Fraction(cup.resin_mg, cup.hardener_mg) / cup.asked - 1) <= cup.stop:
        sentence = say(
            "{resin} g and {hardener} g would fit the other way round: check which is resin.",
            resin=grams(cup.resin_mg),
            hardener=grams(cup.hardener_mg),
        )
        reasons.append(Reason("mix.swapped", sentence, Level.LOOK, cup.how))
    return reasons


def _by_basis(cup: _Cup, per_hundred: Given[float]) -> list[Reason]:
    """An assumed ratio is said aloud; only the product's own sheet settles it."""
    if per_hundred.basis is not Basis.ASSUMED:
        return []
    sentence = say(
        "The ratio of {ratio} g to 100 g is assumed: read it on the product's own sheet.",
        ratio=per_hundred.value,
    )
    return [Reason("mix.ratio_assumed", sentence, Level.LOOK, cup.how)]


def _by_size(cup: _Cup, largest_cup_mg: Given[int] | None) -> list[Reason]:
    """A cup above the product's largest stops: a large mass heats itself."""
    if largest_cup_mg is None:
        return []
    total_mg = cup.resin_mg + cup.hardener_mg
    if total_mg <= check_largest_cup(largest_cup_mg):
        return []
    sentence = say(
        "{total} g in one cup is more than the {largest} g this product allows: it can run away.",
        total=grams(total_mg),
        largest=grams(largest_cup_mg.value),
    )
    limit = Input("largest cup", grams(largest_cup_mg.value), "g", largest_cup_mg.basis)
    how = How("resin + hardener <= largest cup", largest_cup_mg.source, (*cup.how.inputs[:2], limit))
    return [Reason("mix.above_largest_cup", sentence, Level.STOP, how)]


def scale_needed(*, resin_mg: int, hardener_mg: int, warn: float = WARN) -> ScaleNeeded:
    """Which steps a scale may have to judge this cup.

    Formula: coarsest = warn / (1 / resin + 1 / hardener); advised = the largest of 1, 2 or 5 x 10^n that is
        at most a quarter of it.
    Units: mg; warn a fraction.
    Refuses: mix.weight, mix.no_resin, mix.no_hardener, mix.tolerance, mix.too_small
    Source: the quarter: common practice, no source. Steps of 1, 2 and 5: OIML R 76-1 (from memory).
    """
    check_weight(resin_mg, "Resin", empty="mix.no_resin")
    check_weight(hardener_mg, "Hardener", empty="mix.no_hardener")
    check_tolerances(warn, 1)
    coarsest = exact(warn) / scale_doubt(resin_mg, hardener_mg, 1)
    advised = [
        step * 10**power for power in range(9) for step in (1, 2, 5) if step * 10**power <= coarsest / 4
    ]
    if not advised:
        sentence = say("{total} mg is too little to judge on a scale.", total=resin_mg + hardener_mg)
        raise Refused(
            "mix.too_small", sentence, say("Check the weights and their unit, or mix a larger cup.")
        )
    inputs = (
        Input("resin", grams(resin_mg), "g"),
        Input("hardener", grams(hardener_mg), "g"),
        Input("warn above", warn, "", Basis.ASSUMED),
    )
    rule = "coarsest = warn / (1 / resin + 1 / hardener); advised: a quarter, down to 1, 2 or 5 x 10^n"
    how = How(rule, "a quarter: common practice, no source; steps: OIML R 76-1 (from memory)", inputs)
    return ScaleNeeded(math.floor(coarsest), advised[-1], how)


def scale_doubt(resin_mg: int, hardener_mg: int, step_mg: int) -> Fraction:
    """The largest relative change of the ratio that a scale step can hide."""
    return Fraction(step_mg, hardener_mg) + Fraction(step_mg, resin_mg)


def check_tolerances(warn: float, stop: float) -> None:
    """Refuse limits that are no fractions, or the wrong way round."""
    number(warn, code="mix.tolerance", name="The limit to warn at", above=0, at_most=1)
    number(stop, code="mix.tolerance", name="The limit to stop at", above=0, at_most=1)
    if exact(warn) > exact(stop):
        sentence = say(
            "The limit to warn at, {warn}, is above the limit to stop at, {stop}.", warn=warn, stop=stop
        )
        raise Refused("mix.tolerance", sentence, say("Give the smaller limit as the one to warn at."))


def percent(fraction: Fraction) -> float:
    """A fraction in percent with two decimals, for a sentence."""
    return round(float(fraction * 100), 2)
