"""Nose weight beyond plates: what a region advises or asks for, and what moving things would change.

Knows no plate: a load inside a region's band can still be over one, and the other way round.
"""

from dataclasses import dataclass
from enum import StrEnum

from inventory.compute.load.facts import LONGEST_M, Estimate
from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, Sentence, say

_SMALL_KG = 3_500.0


class Region(StrEnum):
    """Where the trailer is towed."""

    NORTH_AMERICA = "North America"
    UK = "United Kingdom"
    GERMANY = "Germany"


class Stand(StrEnum):
    """Where the nose weight stands to the band."""

    INSIDE = "inside"
    WEIGH = "weigh"
    LIGHTER = "lighter"
    HEAVIER = "heavier"
    CANNOT_SAY = "cannot say"


_SOURCES = {
    Region.NORTH_AMERICA: "vehicle makers' handbooks, such as buiclub.com/info-3770.html (read): 10 to 15 %",
    Region.UK: "NCC Towing Guide, page 11 (read): 5 to 7 % of the actual laden mass",
    Region.GERMANY: "StVZO 44(3), gesetze-in-app.de/StVZO/44 (read): a rule of law, for rigid drawbars and "
    "centre axles; the 2,000 kg above 3.5 t: kanzlei-voigt.de (read)",
}


@dataclass(frozen=True, slots=True)
class Advice:
    """The band of one region for this trailer as loaded. `is_law` where it is a rule and not advice."""

    region: Region
    least_kg: float | None
    most_kg: float | None
    share: float | None
    stand: Stand
    is_law: bool
    verdict: Verdict
    how: How


@dataclass(frozen=True, slots=True)
class Moved:
    """What moving something changes: nose weight up, axle load down by as much, or the other way round."""

    nose_kg: float
    axle_kg: float
    how: How


@dataclass(frozen=True, slots=True)
class Shift:
    """Two ways to a share: the load this far back, or the axle this far forward. Below 0 the other way."""

    load_back_m: float
    axle_forward_m: float
    how: How


def advise(
    *, region: Region, gross: Estimate, nose: Estimate, permitted_kg: Given[float] | None = None
) -> Advice:
    """Does the nose weight lie where the region advises, or asks, that it should?

    Formula: North America 10 to 15 % of the trailer's mass as loaded; United Kingdom 5 to 7 %; Germany at
        least 4 % but not more than 25 kg need be; above 3.5 t permitted mass at least 4 % up to 500 kg, at
        most 15 % and 2,000 kg. Within the nose weight's doubt of an end: weigh; the doubt of the mass moves
        the ends by little and is left out. A permitted mass somebody assumed counts as not known.
    Units: kg.
    Refuses: load.advice, load.plate
    Source: North America: buiclub.com/info-3770.html (read); United Kingdom: NCC Towing Guide, page 11
        (read); Germany: StVZO 44(3), gesetze-in-app.de/StVZO/44, kanzlei-voigt.de (read)
    Caution: Advice apart from plates: a nose inside the band can be over the lowest plate. Farm trailers and
        trailers marked for 40 km/h have other rules in Germany. It totals and warns; the law decides.
    """
    number(gross.kg, code="load.advice", name="The trailer's mass", unit="kg", above=0.0)
    number(nose.kg, code="load.advice", name="The nose weight", unit="kg")
    if permitted_kg is not None:
        number(permitted_kg.value, code="load.plate", name="The permitted mass", unit="kg", above=0.0)
    inputs = (
        Input("trailer's mass", gross.kg, "kg", Basis.MEASURED if gross.weighed else Basis.ASSUMED),
        Input("nose weight", nose.kg, "kg", Basis.MEASURED if nose.weighed else Basis.ASSUMED),
    )
    how = How("share = nose weight / trailer's mass as loaded, against the band", _SOURCES[region], inputs)
    is_law = region is Region.GERMANY
    band = _band(region, gross.kg, permitted_kg)
    if band is None or gross.missing or nose.missing:
        missing = [*gross.missing, *nose.missing] + (["permitted mass"] if band is None else [])
        reason = _unknown_reason(region, missing, how)
        return Advice(region, None, None, None, Stand.CANNOT_SAY, is_law, verdict(reason), how)
    stand = _stand(nose, *band)
    reason = _stand_reason(region, nose, gross, band, stand, how)
    return Advice(region, *band, nose.kg / gross.kg, stand, is_law, verdict(reason), how)


def _band(
    region: Region, gross_kg: float, permitted: Given[float] | None
) -> tuple[float, float | None] | None:
    """Least and most nose weight, no most where there is none; None when the permitted mass is not known."""
    if region is Region.NORTH_AMERICA:
        return 0.10 * gross_kg, 0.15 * gross_kg
    if region is Region.UK:
        return 0.05 * gross_kg, 0.07 * gross_kg
    if permitted is None or permitted.basis is Basis.ASSUMED:
        return None
    if permitted.value <= _SMALL_KG:
        return min(0.04 * gross_kg, 25.0), None
    return min(0.04 * gross_kg, 500.0), min(0.15 * gross_kg, 2_000.0)


def _stand(nose: Estimate, least: float, most: float | None) -> Stand:
    if nose.high_kg < least:
        return Stand.LIGHTER
    if most is not None and nose.low_kg > most:
        return Stand.HEAVIER
    if nose.low_kg >= least and (most is None or nose.high_kg <= most):
        return Stand.INSIDE
    return Stand.WEIGH


def _unknown_reason(region: Region, missing: list[str], how: How) -> Reason:
    sentence = say(
        "{region}: cannot say what the nose should weigh; not known: {missing}.",
        region=region,
        missing=", ".join(dict.fromkeys(missing)),
    )
    return Reason("load.advice_unknown", sentence, Level.UNKNOWN, how)


def _stand_reason(
    region: Region,
    nose: Estimate,
    gross: Estimate,
    band: tuple[float, float | None],
    stand: Stand,
    how: How,
) -> Reason:
    least, most = band
    values = {
        "region": region,
        "kg": round(nose.kg, 1),
        "percent": round(100 * nose.kg / gross.kg, 1),
        "stand": stand,
        "least": round(least, 1),
        "most": None if most is None else round(most, 1),
    }
    level = Level.FINE if stand is Stand.INSIDE else Level.LOOK
    return Reason("load.advice", _stand_sentence(values, most), level, how)


def _stand_sentence(values: dict[str, object], most: float | None) -> Sentence:
    if most is None:
        template = (
            "{region}: the nose carries {kg} kg, {percent} % of the trailer; at least {least} kg: {stand}."
        )
        return say(template, **values)
    return say(
        "{region}: the nose carries {kg} kg, {percent} % of the trailer; {least} kg to {most} kg: {stand}.",
        **values,
    )


def moved(*, mass_kg: float, from_m: float, to_m: float, axle_m: float) -> Moved:
    """What does moving something along the trailer change?

    Formula: nose change = mass x (from - to) / axle's distance; the axle load changes by as much against it
    Units: kg; m behind the coupling.
    Refuses: load.mass, load.zone_outside, load.trailer
    Source: statics (computed)
    """
    number(mass_kg, code="load.mass", name="The mass", unit="kg", at_least=0.0)
    for end in (from_m, to_m):
        number(end, code="load.zone_outside", name="A place", unit="m", at_least=0.0, at_most=LONGEST_M)
    _axle(axle_m)
    nose = mass_kg * (from_m - to_m) / axle_m
    inputs = (Input("mass", mass_kg, "kg"), Input("from", from_m, "m"), Input("to", to_m, "m"))
    how = How("mass x (from - to) / axle's distance", "statics (computed)", inputs)
    return Moved(nose, -nose, how)


def shift_for_share(*, nose_kg: float, axle_load_kg: float, axle_m: float, share: float) -> Shift:
    """How far would the load, or the axle, have to shift for a share of the mass on the nose?

    Formula: G = nose + axle load; load back by (nose - share G) D / G, the axle staying where it is; or the
        axle forward by D - x / (1 - share), x = D axle load / G the middle of the mass, the load staying.
    Units: kg; m; share a fraction of G.
    Refuses: load.advice, load.trailer, load.share
    Source: humphreyshitchandtrailerparts.com, axle positioning (read), for the load; there the axle is moved
        by the same length, though the share then comes out short of what was asked (computed)
    """
    number(nose_kg, code="load.advice", name="The nose weight", unit="kg")
    number(axle_load_kg, code="load.advice", name="The axle load", unit="kg", above=0.0)
    _axle(axle_m)
    if not isinstance(share, int | float) or isinstance(share, bool) or not 0.0 <= share < 1.0:
        sentence = say("{share} is no share of the trailer's mass.", share=share)
        raise Refused("load.share", sentence, say("Give a fraction from 0 up to, not including, 1."))
    gross = nose_kg + axle_load_kg
    number(gross, code="load.advice", name="The trailer's mass", unit="kg", above=0.0)
    back = (nose_kg - share * gross) * axle_m / gross
    forward = axle_m - axle_m * axle_load_kg / gross / (1 - share)
    inputs = (
        Input("nose weight", nose_kg, "kg"),
        Input("axle load", axle_load_kg, "kg"),
        Input("coupling to axle", axle_m, "m"),
        Input("share", share),
    )
    rule = "load: (nose - share G) D / G; axle: D - D axle load / G / (1 - share)"
    return Shift(
        back, forward, How(rule, "humphreyshitchandtrailerparts.com (read); statics (computed)", inputs)
    )


def _axle(axle_m: float) -> None:
    number(axle_m, code="load.trailer", name="The axle's distance", unit="m", above=0.0, at_most=LONGEST_M)
