"""Whether air and surfaces suit a lay-up: dew point against the coldest surface, and what favours blush.

Knows no logger and no clock: measured at each mix, a reading of another hour says nothing.
"""

import math
from dataclasses import dataclass

from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import say

MAGNUS_A, MAGNUS_B_C = 17.62, 243.12
LEAST_SPREAD_K = 3.0
DAMP_AIR = 60.0
COLD_BAY_C = 15.0
MAGNUS_SOURCE = "Magnus, 17.62 and 243.12 °C as in WMO No. 8 (from memory)"
SPREAD_SOURCE = "3 K as in ISO 8502-4 practice (from memory)"
BLUSH_SOURCE = (
    "AMPP paper 41205-190, abstract (read): cool, humid, unvented gas heaters; 60 % from memory; 15 °C: "
    "manualshive.com aircraft kit resin manual (read)"
)


@dataclass(frozen=True, slots=True)
class Air:
    """What was measured where something is laid up, at one mix: °C and relative humidity in percent."""

    air_c: float
    humidity_pct: float
    surface_c: float  # the coldest one
    fuel_heater: bool


@dataclass(frozen=True, slots=True)
class DewPoint:
    """The temperature at which this air leaves water on a surface."""

    celsius: float
    how: How


@dataclass(frozen=True, slots=True)
class LayUpAir:
    """What air and surfaces say about a lay-up. `spread_k` is the coldest surface above the dew point."""

    dew_point_c: float
    spread_k: float | None
    verdict: Verdict
    how: How


def dew_point(
    *, air_c: Given[float], humidity_pct: Given[float], a: float = MAGNUS_A, b_c: float = MAGNUS_B_C
) -> DewPoint:
    """The temperature at which this air leaves water on a surface.

    Formula: g = ln(RH / 100) + a T / (b + T); dew point = b g / (a - g).
    Units: °C, relative humidity in percent.
    Refuses: damp.air, damp.humidity, damp.constants
    Source: Magnus with 17.62 and 243.12 °C as in WMO No. 8 (from memory); other published pairs may be given.
    """
    number(air_c.value, code="damp.air", name="The air", unit="°C", at_least=-40, at_most=60)
    number(humidity_pct.value, code="damp.humidity", name="The humidity", unit="%", at_least=1, at_most=100)
    number(a, code="damp.constants", name="The first constant", at_least=17, at_most=18)
    number(b_c, code="damp.constants", name="The second constant", unit="°C", at_least=230, at_most=250)
    logged = math.log(humidity_pct.value / 100) + a * air_c.value / (b_c + air_c.value)
    inputs = (
        Input("air", air_c.value, "°C", air_c.basis),
        Input("relative humidity", humidity_pct.value, "%", humidity_pct.basis),
    )
    how = How("g = ln(RH / 100) + a T / (b + T); dew point = b g / (a - g)", MAGNUS_SOURCE, inputs)
    return DewPoint(b_c * logged / (a - logged), how)


def lay_up_air(
    *,
    air_c: Given[float],
    humidity_pct: Given[float],
    coldest_surface_c: Given[float] | None,
    fuel_heater: bool | None,
) -> LayUpAir:
    """Whether air and the coldest surface suit a lay-up, as measured at this mix.

    Formula: spread = coldest surface - dew point; wet at 0 K or less, too near below 3 K. Apart from it,
        three flags for blush, which a good spread does not rule out: humidity above 60 %, air or surface
        below 15 °C, a fuel-burning heater.
    Units: °C, K, relative humidity in percent.
    Refuses: damp.air, damp.humidity, damp.surface
    Source: 3 K: ISO 8502-4 practice (from memory). 60 %: from memory. 15 °C: a kit maker's resin manual on
        manualshive.com (read); heaters: AMPP paper 41205-190, abstract (read).
    Caution: No fuel-burning heater at a lay-up: carbon monoxide, and blush. Blush left in place parts layers.
    """
    dew = dew_point(air_c=air_c, humidity_pct=humidity_pct)
    inputs = list(dew.how.inputs)
    spread = None
    if coldest_surface_c is not None:
        name = "The coldest surface"
        number(coldest_surface_c.value, code="damp.surface", name=name, unit="°C", at_least=-40, at_most=120)
        inputs.append(Input("coldest surface", coldest_surface_c.value, "°C", coldest_surface_c.basis))
        spread = coldest_surface_c.value - dew.celsius
    inputs.append(Input("fuel-burning heater", fuel_heater))
    how = How("spread = coldest surface - dew point, at least 3 K", SPREAD_SOURCE, tuple(inputs))
    flags = How(
        "flags for blush: above 60 %, below 15 °C, a fuel-burning heater", BLUSH_SOURCE, tuple(inputs)
    )
    surface_c = None if coldest_surface_c is None else coldest_surface_c.value
    reasons = [
        _by_spread(dew.celsius, spread, how),
        *_by_air(humidity_pct.value, air_c.value, surface_c, flags),
        *_by_heater(fuel_heater, flags),
    ]
    return LayUpAir(dew.celsius, spread, verdict(*reasons), how)


def measured(*, air: Air) -> LayUpAir:
    """The same by what was measured at one mix, all of it read there.

    Formula: as `lay_up_air`.
    Units: °C, K, relative humidity in percent.
    Refuses: damp.air, damp.humidity, damp.surface
    Source: as `lay_up_air`.
    """
    read = "read at the mix"
    return lay_up_air(
        air_c=Given(air.air_c, Basis.MEASURED, read),
        humidity_pct=Given(air.humidity_pct, Basis.MEASURED, read),
        coldest_surface_c=Given(air.surface_c, Basis.MEASURED, read),
        fuel_heater=air.fuel_heater,
    )


def _by_spread(dew_c: float, spread_k: float | None, how: How) -> Reason:
    dew = round(dew_c, 1)
    if spread_k is None:
        sentence = say("The coldest surface is not measured; the dew point is {dew} °C.", dew=dew)
        return Reason("damp.surface_unknown", sentence, Level.UNKNOWN, how)
    spread = round(spread_k, 1)
    if spread_k <= 0:
        sentence = say(
            "The coldest surface is {below} K below the dew point, {dew} °C: it is wet.",
            below=abs(spread),
            dew=dew,
        )
        return Reason("damp.surface_wet", sentence, Level.STOP, how)
    if spread_k < LEAST_SPREAD_K:
        sentence = say(
            "The coldest surface is {spread} K above the dew point of {dew} °C, less than {least} K.",
            spread=spread,
            dew=dew,
            least=LEAST_SPREAD_K,
        )
        return Reason("damp.surface_near_dew", sentence, Level.STOP, how)
    sentence = say(
        "The coldest surface is {spread} K above the dew point of {dew} °C.", spread=spread, dew=dew
    )
    return Reason("damp.surface_dry", sentence, Level.FINE, how)


def _by_air(humidity: float, air_c: float, surface_c: float | None, how: How) -> list[Reason]:
    reasons = []
    if humidity > DAMP_AIR:
        sentence = say(
            "The air has {humidity} % humidity, above {limit} %: blush.", humidity=humidity, limit=DAMP_AIR
        )
        reasons.append(Reason("damp.humid", sentence, Level.LOOK, how))
    if min(air_c, air_c if surface_c is None else surface_c) < COLD_BAY_C:
        sentence = say(
            "The air measured at the mix is {celsius} °C, below {limit} °C: slow cure, blush.",
            celsius=air_c,
            limit=COLD_BAY_C,
        )
        if surface_c is not None and surface_c <= air_c:
            sentence = say(
                "The coldest surface measured at the mix is {celsius} °C, below {limit} °C: slow cure, "
                "blush.",
                celsius=surface_c,
                limit=COLD_BAY_C,
            )
        reasons.append(Reason("damp.cold", sentence, Level.LOOK, how))
    return reasons


def _by_heater(fuel_heater: bool | None, how: How) -> list[Reason]:
    if fuel_heater is None:
        sentence = say("Nobody said whether a fuel-burning heater runs.")
        return [Reason("damp.heater_unknown", sentence, Level.UNKNOWN, how)]
    if fuel_heater:
        sentence = say("A fuel-burning heater runs: turn it off and air the bay. Carbon monoxide, and blush.")
        return [Reason("damp.fuel_heater", sentence, Level.STOP, how)]
    return []
