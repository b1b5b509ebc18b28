"""Whether a cup that is off its ratio may be put right, with how much of which part.

Knows no clock: the used share of the working time comes in (`mix.time`). Never says what was never weighed.
"""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from inventory.compute.mix import STOP, WARN, judge, percent
from inventory.compute.mix.ratio import check_largest_cup, check_ratio, exact, grams
from inventory.compute.reasons import Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import say

LARGEST_ERROR = Fraction(1, 10)
LATEST_SHARE = 0.25
RULE = (
    "once, before spreading, within a quarter of the working time, a cool cup, certain weights, an error "
    "of at most 10 % and a total up to the largest cup: add what brings the ratio to exactly what is asked"
)
SOURCE = "common practice, no source; the product's maker outranks it"


class Advice(StrEnum):
    """What to do with a cup."""

    LEAVE = "leave"
    ADD_RESIN = "add resin"
    ADD_HARDENER = "add hardener"
    DISCARD = "discard"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Bench:
    """What a person sees at the bench; None where nobody looked, which never counts in the cup's favour."""

    weights_certain: bool | None
    cup_cool: bool | None
    spread: bool | None
    corrected_before: bool | None
    used_share: float | None


@dataclass(frozen=True, slots=True)
class Correction:
    """What to do with a cup, and what to add when adding is the advice."""

    advice: Advice
    add_mg: int
    verdict: Verdict
    how: How


@dataclass(frozen=True, slots=True)
class _Cup:
    """A cup with what would be added to it, in exact numbers."""

    resin_mg: int
    hardener_mg: int
    add_resin_mg: int
    add_hardener_mg: int
    error: Fraction
    warn: Fraction
    how: How

    @property
    def total_mg(self) -> int:
        """What the cup would hold afterwards."""
        return self.resin_mg + self.hardener_mg + self.add_resin_mg + self.add_hardener_mg


def correct(
    *,
    resin_mg: int,
    hardener_mg: int,
    hardener_per_hundred: Given[float],
    bench: Bench,
    largest_cup_mg: Given[int] | None,
    scale_step_mg: int | None,
    warn: float = WARN,
    stop: float = STOP,
) -> Correction:
    """Whether this cup may be put right, and with how much of which part.

    Formula: too much hardener: add hardener / ratio - resin; too little: add resin x ratio - hardener, to the
        nearest scale step. Only once, before spreading, up to a quarter of the working time, with a cool cup
        and certain weights, an error up to 10 %, and a cup that stays within the largest. A cup that may not
        be put right is left when within stop, discarded above it. A warm or too large cup is discarded. What
        nobody looked at counts against the cup. Scale too coarse or unknown: cannot tell.
    Units: mg; g of hardener per 100 g of resin; used_share, warn and stop fractions.
    Refuses: mix.weight, mix.no_resin, mix.no_hardener, mix.ratio, mix.tolerance, mix.scale, mix.largest_cup,
        mix.share
    Source: common practice, no source; the product's maker outranks it.
    Caution: The clock keeps running. Mix again in a clean cup. A warm or smoking cup: stop, keep clear,
        ventilate, do not carry it.
    """
    judged = judge(
        resin_mg=resin_mg,
        hardener_mg=hardener_mg,
        hardener_per_hundred=hardener_per_hundred,
        warn=warn,
        stop=stop,
        scale_step_mg=scale_step_mg,
        largest_cup_mg=largest_cup_mg,
    )
    if bench.used_share is not None:
        number(bench.used_share, code="mix.share", name="The used share of the working time", at_least=0)
    ratio = check_ratio(hardener_per_hundred)
    error = Fraction(hardener_mg, resin_mg) / ratio - 1
    how = How(RULE, SOURCE, (*judged.how.inputs, *_seen(bench)))
    cup = _Cup(
        resin_mg,
        hardener_mg,
        _steps(hardener_mg / ratio - resin_mg, scale_step_mg),
        _steps(resin_mg * ratio - hardener_mg, scale_step_mg),
        error,
        exact(warn),
        how,
    )
    against = [*_at_the_bench(bench, how), *_by_amounts(cup, largest_cup_mg, scale_step_mg)]
    advice = _advice(cup, bench, judged.verdict, against, exact(stop))
    if advice is Advice.LEAVE and abs(error) <= cup.warn:
        against = []
    added = _added(cup, advice)
    return Correction(
        advice, added, verdict(*judged.reasons, *against, *_what_to_do(cup, advice, added)), how
    )


def _advice(cup: _Cup, bench: Bench, judged: Verdict, against: list[Reason], stop: Fraction) -> Advice:
    codes = {reason.code for reason in (*judged.reasons, *against)}
    off = abs(cup.error)
    if codes & {"mix.cup_warm", "mix.above_largest_cup"}:
        return Advice.DISCARD
    if codes & {"mix.cannot_tell", "mix.scale_unknown"}:
        return Advice.CANNOT_TELL
    if not bench.weights_certain:
        return Advice.CANNOT_TELL if off <= cup.warn else Advice.DISCARD
    if off > cup.warn and not against:
        return Advice.ADD_RESIN if cup.error > 0 else Advice.ADD_HARDENER
    return Advice.LEAVE if off <= stop else Advice.DISCARD


def _at_the_bench(bench: Bench, how: How) -> list[Reason]:
    """What a person saw, or did not look at, that speaks against putting the cup right."""
    found = []
    if bench.cup_cool is False:
        sentence = say("The cup is warm: stop, keep clear, ventilate, do not carry it.")
        found.append(Reason("mix.cup_warm", sentence, Level.STOP, how))
    if bench.cup_cool is None:
        found.append(Reason("mix.cup_not_felt", say("Nobody checked that the cup is cool."), Level.LOOK, how))
    if not bench.weights_certain:
        sentence = say("The weights are not certain: the tare was not checked.")
        found.append(Reason("mix.weights_uncertain", sentence, Level.UNKNOWN, how))
    if bench.spread is not False:
        sentence = say("The cup is spread, or nobody said that it is not.")
        found.append(Reason("mix.already_spread", sentence, Level.LOOK, how))
    if bench.corrected_before is not False:
        sentence = say("The cup was put right before, or nobody said that it was not: once is all.")
        found.append(Reason("mix.corrected_before", sentence, Level.LOOK, how))
    return [*found, *_by_time(bench.used_share, how)]


def _by_time(used_share: float | None, how: How) -> list[Reason]:
    if used_share is None:
        return [
            Reason("mix.time_unknown", say("Nobody knows how much working time is used."), Level.LOOK, how)
        ]
    if used_share <= LATEST_SHARE:
        return []
    sentence = say(
        "{used} % of the working time is used, more than the {latest} % up to which a cup is put right.",
        used=percent(exact(used_share)),
        latest=percent(exact(LATEST_SHARE)),
    )
    return [Reason("mix.too_late", sentence, Level.LOOK, how)]


def _by_amounts(cup: _Cup, largest_cup_mg: Given[int] | None, step_mg: int | None) -> list[Reason]:
    """What the weights say against putting the cup right."""
    found = []
    if abs(cup.error) > LARGEST_ERROR:
        sentence = say(
            "The ratio is {percent:+} % off, more than the {most} % up to which a cup is put right.",
            percent=percent(cup.error),
            most=percent(LARGEST_ERROR),
        )
        found.append(Reason("mix.error_too_large", sentence, Level.LOOK, cup.how))
    if largest_cup_mg is None:
        sentence = say("The largest cup of the product is unknown: read it on its sheet.")
        found.append(Reason("mix.largest_cup_unknown", sentence, Level.LOOK, cup.how))
    elif cup.total_mg > check_largest_cup(largest_cup_mg):
        sentence = say(
            "Put right, the cup would hold {total} g, more than the {largest} g this product allows.",
            total=grams(cup.total_mg),
            largest=grams(largest_cup_mg.value),
        )
        found.append(Reason("mix.too_much_afterwards", sentence, Level.LOOK, cup.how))
    return [*found, *_by_scale(cup, step_mg)]


def _by_scale(cup: _Cup, step_mg: int | None) -> list[Reason]:
    """The part that is added is weighed twice, so its doubt counts twice."""
    if step_mg is None:
        sentence = say("The step of the scale is unknown: cannot tell how far the ratio is off.")
        return [Reason("mix.scale_unknown", sentence, Level.UNKNOWN, cup.how)]
    resin_steps = 2 if cup.add_resin_mg else 1
    hardener_steps = 2 if cup.add_hardener_mg else 1
    doubt = Fraction(resin_steps * step_mg, cup.resin_mg + cup.add_resin_mg)
    doubt += Fraction(hardener_steps * step_mg, cup.hardener_mg + cup.add_hardener_mg)
    if doubt <= cup.warn:
        return []
    sentence = say(
        "Put right on steps of {step} g, the ratio would be in doubt by {doubt} %, more than {limit} %.",
        step=grams(step_mg),
        doubt=percent(doubt),
        limit=percent(cup.warn),
    )
    return [Reason("mix.doubt_afterwards", sentence, Level.LOOK, cup.how)]


def _what_to_do(cup: _Cup, advice: Advice, added: int) -> list[Reason]:
    if advice is Advice.DISCARD:
        return [Reason("mix.discard", say("Discard this cup; do not spread it."), Level.STOP, cup.how)]
    if advice is Advice.ADD_RESIN:
        sentence = say(
            "Add {amount} g of resin, once, now; mix again in a clean cup. The clock keeps running.",
            amount=grams(added),
        )
        return [Reason("mix.add_resin", sentence, Level.LOOK, cup.how)]
    if advice is Advice.ADD_HARDENER:
        sentence = say(
            "Add {amount} g of hardener, once, now; mix again in a clean cup. The clock keeps running.",
            amount=grams(added),
        )
        return [Reason("mix.add_hardener", sentence, Level.LOOK, cup.how)]
    return []


def _added(cup: _Cup, advice: Advice) -> int:
    return {Advice.ADD_RESIN: cup.add_resin_mg, Advice.ADD_HARDENER: cup.add_hardener_mg}.get(advice, 0)


def _steps(amount_mg: Fraction, step_mg: int | None) -> int:
    """What is missing, to the nearest step of the scale; nothing when nothing is missing."""
    step = step_mg or 1
    return max(0, step * round(amount_mg / step))


def _seen(bench: Bench) -> tuple[Input, ...]:
    return (
        Input("weights certain", bench.weights_certain),
        Input("cup cool", bench.cup_cool),
        Input("spread", bench.spread),
        Input("put right before", bench.corrected_before),
        Input("working time used", bench.used_share),
    )
