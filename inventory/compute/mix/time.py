"""How much of a cup's working time is used up, from the moment its two parts met.

Knows no clock: minutes since first contact come in. Knows no degree of cure and gives none.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from inventory.compute.mix.ratio import check_weight
from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, say

HALVES_EVERY_K = 10.0
COLDEST_CREDITED_C = 10.0
USUAL_TEST_G = 100.0
LARGEST_RECKONED_G = 500.0
MASS_EXPONENT = 0.3
USUAL_TEST = Given(USUAL_TEST_G, Basis.ASSUMED, "usual test cup: common practice, no source")
HOT_CUP_C = 50.0
SHORT = 0.75
DEFAULT_SHARE = Given(0.6, Basis.ASSUMED, "0.6 to 0.7 of the pot life: common practice, no source")

HALVING_SOURCE = "epoxyworks.com/index.php/controlling-exotherm (read): halves for every 10 K warmer"
HALVING_RULE = "minutes = listed x 2^(-(T - listed T) / 10), T not below 10 °C"
WORKING_RULE = (
    "used = sum of minutes / (share x pot life at the hottest of bay, parts and cup); between readings the "
    "hotter counts; a cup above the tested mass lasts x (mass / tested mass)^-k, a smaller one as tested"
)


@dataclass(frozen=True, slots=True)
class PotLife:
    """A pot life as a data sheet lists it: how long, at which temperature, in how large a cup."""

    minutes: Given[float]
    at_c: float
    cup_g: Given[float] = USUAL_TEST


@dataclass(frozen=True, slots=True)
class Warmth:
    """What was measured at one moment; None where nothing was measured."""

    minute: float
    bay_c: float | None = None
    parts_c: float | None = None
    cup_c: float | None = None


@dataclass(frozen=True, slots=True)
class PotLifeAt:
    """A listed pot life at another temperature."""

    minutes: float
    how: How


@dataclass(frozen=True, slots=True)
class WorkingTime:
    """The used share of a cup's working time (1 is all of it), and the minutes left as warm as it is now."""

    used: float
    left_min: float
    hottest_c: float
    verdict: Verdict
    how: How


def pot_life_at(*, listed: PotLife, at_c: float) -> PotLifeAt:
    """A listed pot life at another temperature: it halves for every 10 K warmer.

    Formula: minutes = listed minutes x 2^(-(T - listed T) / 10); below 10 °C no further credit is given.
    Units: minutes, °C.
    Refuses: mix.pot_life, mix.temperature
    Source: epoxyworks.com, controlling exotherm (read). The floor of 10 °C: common practice, no source.
    Caution: An estimate for the tested mass; a large cup goes off in minutes.
    """
    minutes = _checked(listed).minutes.value
    _celsius(at_c, "The temperature")
    inputs = (
        Input("listed pot life", listed.minutes.value, "min", listed.minutes.basis),
        Input("listed at", listed.at_c, "°C", listed.minutes.basis),
        Input("temperature", at_c, "°C"),
    )
    how = How(HALVING_RULE, HALVING_SOURCE, inputs)
    return PotLifeAt(minutes * _warmer(at_c, listed.at_c), how)


def working_time(
    *,
    pot_life: PotLife,
    cup_mg: int,
    warmth: Sequence[Warmth],
    now_min: float,
    share: Given[float] = DEFAULT_SHARE,
    second: PotLife | None = None,
) -> WorkingTime:
    """How much of the working time of a cup is used, and how long it would last as warm as it is now.

    Formula: used = sum of dt / (share x pot life at T). T: the hottest of bay, parts and cup; the hotter of
        two readings between them, the last reading from then on. Pot life: listed x 2^(-(T - listed T) / 10),
        x (mass / tested mass)^-k for a cup above the tested mass; a smaller cup or a thin film earns nothing.
        k from two listed cups, else 0.3, assumed. Nothing is reckoned above 500 g or the largest cup listed.
    Units: minutes since the two parts met; °C; mg for the cup, g for the tested cup; share a fraction.
    Shapes: one or more readings, the first at minute 0, minutes strictly rising, the last not after now.
    Refuses: mix.pot_life, mix.temperature, mix.readings, mix.share, mix.minutes, mix.weight, mix.no_total,
        mix.cup_beyond_sheet
    Source: halving: epoxyworks.com, controlling exotherm (read); 50 °C as the end of a pot life:
        nilsmalmgren.com glossary (read); k: from memory; share: common practice, no source.
    Caution: An estimate. A warm or smoking cup: stop, keep clear, ventilate, do not carry it.
    """
    cup_g = check_weight(cup_mg, "The cup", empty="mix.no_total") / 1000
    number(share.value, code="mix.share", name="The share of the pot life", at_least=0.01, at_most=1)
    hottest = _hottest(warmth, now_min)
    sheets = [_checked(sheet) for sheet in (pot_life, second) if sheet is not None]
    listed = min(sheets, key=lambda sheet: sheet.cup_g.value)
    exponent = _mass_exponent(pot_life, second)
    minutes = share.value * listed.minutes.value * _larger(cup_g, sheets, exponent.value)

    def lasts(celsius: float) -> float:
        return minutes * _warmer(celsius, listed.at_c)

    ends = [*(reading.minute for reading in warmth[1:]), now_min]
    used = math.fsum(
        (end - reading.minute) / lasts(max(now, after))
        for reading, end, now, after in zip(warmth, ends, hottest, [*hottest[1:], hottest[-1]], strict=True)
    )
    left = max(0.0, (1 - used) * lasts(hottest[-1]))
    how = How(
        WORKING_RULE,
        f"{HALVING_SOURCE}; {share.source}",
        (
            Input("listed pot life", listed.minutes.value, "min", listed.minutes.basis),
            Input("listed at", listed.at_c, "°C", listed.minutes.basis),
            Input("tested cup", listed.cup_g.value, "g", listed.cup_g.basis),
            Input("this cup", cup_g, "g"),
            Input("k", exponent.value, "", exponent.basis),
            Input("share of the pot life", share.value, "", share.basis),
            Input("hottest now", hottest[-1], "°C"),
            Input("since first contact", now_min, "min"),
        ),
    )
    return WorkingTime(used, left, hottest[-1], _judge(used, left, warmth, hottest[-1], how), how)


def _judge(used: float, left: float, warmth: Sequence[Warmth], hottest_c: float, how: How) -> Verdict:
    reasons = []
    cups = [reading.cup_c for reading in warmth if reading.cup_c is not None]
    if cups and max(cups) >= HOT_CUP_C:
        sentence = say(
            "The cup was at {celsius} °C: stop, keep clear, ventilate, do not carry it.", celsius=max(cups)
        )
        reasons.append(Reason("mix.cup_hot", sentence, Level.STOP, how))
    if used >= 1:
        sentence = say(
            "{used} % of the working time is used: do not spread from this cup.", used=round(100 * used)
        )
        reasons.append(Reason("mix.time_up", sentence, Level.STOP, how))
    else:
        sentence = say(
            "About {left} min are left at {celsius} °C; {used} % of the working time is used.",
            left=math.floor(left),
            celsius=hottest_c,
            used=math.floor(100 * used),
        )
        level = Level.LOOK if used >= SHORT else Level.FINE
        reasons.append(Reason("mix.time_left", sentence, level, how))
    if warmth[-1].cup_c is None:
        sentence = say(
            "The cup itself was not measured at minute {minute}: it can be hotter.", minute=warmth[-1].minute
        )
        reasons.append(Reason("mix.cup_not_measured", sentence, Level.FINE, how))
    return verdict(*reasons)


def _warmer(celsius: float, listed_c: float) -> float:
    """The factor on a listed time: below one where it is warmer than listed."""
    credited = max(celsius, min(COLDEST_CREDITED_C, listed_c))
    return float(2 ** ((listed_c - credited) / HALVES_EVERY_K))


def _larger(cup_g: float, sheets: Sequence[PotLife], exponent: float) -> float:
    """The factor for a cup above the smallest tested one; one for any smaller cup."""
    tested = [sheet.cup_g.value for sheet in sheets]
    most = max(LARGEST_RECKONED_G, *tested)
    if cup_g > most:
        sentence = say(
            "A cup of {cup} g is above the {most} g a pot life can be reckoned for.", cup=cup_g, most=most
        )
        raise Refused("mix.cup_beyond_sheet", sentence, say("Share it into smaller cups."))
    return math.pow(min(1.0, min(tested) / cup_g), exponent)


def _mass_exponent(first: PotLife, second: PotLife | None) -> Given[float]:
    """How fast a larger cup goes off: from two listed cups, otherwise assumed."""
    if second is None:
        return Given(MASS_EXPONENT, Basis.ASSUMED, "from memory")
    there = second.minutes.value * _warmer(first.at_c, second.at_c)
    here, small, large = first.minutes.value, first.cup_g.value, second.cup_g.value
    if small == large or (there - here) * (large - small) > 0:
        sentence = say(
            "Listed are {here} min for {small} g and {there} min for {large} g: a larger cup is no slower.",
            here=here,
            small=small,
            there=round(there, 1),
            large=large,
        )
        raise Refused("mix.pot_life", sentence, say("Read both pot lives on the product's sheet again."))
    return Given(
        math.log(here / there) / math.log(large / small), second.minutes.basis, second.minutes.source
    )


def _hottest(warmth: Sequence[Warmth], now_min: float) -> list[float]:
    """The hottest of what was measured, reading by reading."""
    number(
        now_min, code="mix.minutes", name="The time since first contact", unit="min", at_least=0, at_most=1e6
    )
    name = "A reading's minute"
    minutes = [number(reading.minute, code="mix.minutes", name=name, unit="min") for reading in warmth]
    if not minutes or minutes[0] != 0:
        sentence = say("The {count} readings do not begin when the two parts met.", count=len(minutes))
        raise Refused("mix.readings", sentence, say("Give the temperature at minute 0."))
    for before, after in pairwise(minutes):
        if after <= before:
            sentence = say(
                "A reading at minute {after} follows one at minute {before}.", after=after, before=before
            )
            raise Refused("mix.readings", sentence, say("Give each reading once, in the order of time."))
    if minutes[-1] > now_min:
        sentence = say(
            "A reading at minute {last} is after now, minute {now}.", last=minutes[-1], now=now_min
        )
        raise Refused("mix.readings", sentence, say("Check the clock that the readings come from."))
    return [_reading_c(reading) for reading in warmth]


def _reading_c(reading: Warmth) -> float:
    named = (("The bay", reading.bay_c), ("The parts", reading.parts_c), ("The cup", reading.cup_c))
    known = [_celsius(celsius, name) for name, celsius in named if celsius is not None]
    if not known:
        sentence = say("At minute {minute} no temperature was measured.", minute=reading.minute)
        raise Refused("mix.readings", sentence, say("Measure bay, parts or cup, or leave the reading out."))
    return max(known)


def _celsius(value: float, name: str) -> float:
    return number(value, code="mix.temperature", name=name, unit="°C", at_least=-40, at_most=300)


def _checked(listed: PotLife) -> PotLife:
    """A listed pot life within what a sheet can say."""
    _celsius(listed.at_c, "The listed temperature")
    number(listed.cup_g.value, code="mix.pot_life", name="The tested cup", unit="g", at_least=1, at_most=1e5)
    name = "The listed pot life"
    number(listed.minutes.value, code="mix.pot_life", name=name, unit="min", at_least=0.1, at_most=1e5)
    return listed
