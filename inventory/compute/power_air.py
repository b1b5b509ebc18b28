"""Air that runs together against a compressor, and how long a bladder takes to fill.

Knows no compressor by name and no clock: minutes of the day come in.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.compute.power import ALWAYS, Window, check_window
from inventory.compute.press import AMBIENT_KPA, MOST_KPA
from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, say

MOST_USES = 500
RUNS_SHARE = Given(0.5, Basis.ASSUMED, "a piston compressor rests half the time: common practice, no source")
WHOLE_TIME = Given(1.0, Basis.ASSUMED, "all the time")
RULE = (
    "needed = sum of free air x share in use of what runs at one moment; above the share it may run: look, "
    "above its delivery: stop; no use asks for more pressure than it starts again at"
)
FILL_RULE = "free air = volume x gauge pressure / air outside; minutes = free air / spare delivery"
SOURCE = "common practice, no source; plates as entered"


@dataclass(frozen=True, slots=True)
class AirUse:
    """Something that takes air, in litres of free air; None where nobody read the plate."""

    name: str
    free_l_per_min: Given[float] | None
    needs_kpa: Given[float] | None
    in_use: Given[float] = WHOLE_TIME
    when: Window = ALWAYS


@dataclass(frozen=True, slots=True)
class Compressor:
    """What it delivers as free air, the pressure it starts again at, and the share of time it may run."""

    free_l_per_min: Given[float] | None
    starts_again_kpa: Given[float] | None
    runs_share: Given[float] = RUNS_SHARE


@dataclass(frozen=True, slots=True)
class Air:
    """Free air needed at the worst moment."""

    needed_l_per_min: float
    at_min: float
    verdict: Verdict
    how: How


@dataclass(frozen=True, slots=True)
class Fill:
    """Free air to fill a vessel, and how long that takes at the least."""

    free_l: float
    minutes: float
    how: How


def air(*, uses: Sequence[AirUse], compressor: Compressor) -> Air:
    """The free air of what runs together against what a compressor delivers.

    Formula: needed = sum of free air x share in use at the worst moment. Above delivery: stop; above the
        share of time the compressor may run: look. Every use works at the pressure it starts again at.
    Units: litres of free air a minute, kPa above the air outside, minutes of the day, shares fractions.
    Shapes: one to 500 uses, names once, in any order.
    Refuses: power.uses, power.air, power.air_pressure, power.share, power.minutes
    Source: common practice, no source; plates as entered.
    Caution: Never clean people or dust with compressed air. Vent the receiver before driving.
    """
    _check_uses(uses)
    _check_compressor(compressor)
    how = How(RULE, SOURCE, _inputs(uses, compressor))
    moments = sorted({use.when.from_min for use in uses})
    needed, at_min = max(((_needed(uses, minute), minute) for minute in moments), key=lambda each: each[0])
    reasons = [*_by_plates(uses, compressor, how), *_by_pressure(uses, compressor, how)]
    if compressor.free_l_per_min is not None:
        reasons += _by_delivery(needed, compressor.free_l_per_min.value, compressor.runs_share.value, how)
    sentence = say("At most {needed} l/min of free air are needed together.", needed=round(needed, 1))
    reasons.append(Reason("power.air_together", sentence, Level.FINE, how))
    return Air(needed, at_min, verdict(*reasons), how)


def fill(
    *,
    volume_l: Given[float],
    gauge_kpa: Given[float],
    spare_free_l_per_min: Given[float],
    ambient_kpa: float = AMBIENT_KPA,
) -> Fill:
    """The free air that fills a bladder to its pressure, and the least time that takes.

    Formula: free air = volume x gauge pressure / air outside; minutes = free air / spare delivery.
    Units: litres, kPa above the air outside, litres of free air a minute; kPa for the air outside.
    Refuses: power.volume, power.air, power.air_pressure, power.ambient
    Source: Boyle's law at one temperature.
    Caution: Fill slowly and look at the seams at a tenth of the pressure; nobody leans over or reaches in.
    """
    litres = number(volume_l.value, code="power.volume", name="The volume", unit="l", above=0, at_most=10_000)
    gauge = _kpa(gauge_kpa, "The pressure")
    spare = _flow(spare_free_l_per_min, "The spare delivery")
    number(ambient_kpa, code="power.ambient", name="The air outside", unit="kPa", at_least=50, at_most=110)
    free = litres * gauge / ambient_kpa
    inputs = (
        Input("volume", volume_l.value, "l", volume_l.basis),
        Input("pressure", gauge_kpa.value, "kPa", gauge_kpa.basis),
        Input("spare delivery", spare_free_l_per_min.value, "l/min", spare_free_l_per_min.basis),
        Input("air outside", ambient_kpa, "kPa", Basis.ASSUMED),
    )
    return Fill(free, free / spare, How(FILL_RULE, "Boyle's law at one temperature", inputs))


def _needed(uses: Sequence[AirUse], minute: float) -> float:
    return math.fsum(
        use.free_l_per_min.value * use.in_use.value
        for use in uses
        if use.free_l_per_min is not None and use.when.holds(minute)
    )


def _by_plates(uses: Sequence[AirUse], compressor: Compressor, how: How) -> list[Reason]:
    reasons = []
    for use in uses:
        if use.free_l_per_min is None or use.needs_kpa is None:
            sentence = say("Nobody read what air {name} takes, or at what pressure.", name=use.name)
            reasons.append(Reason("power.air_unknown", sentence, Level.UNKNOWN, how))
    if compressor.free_l_per_min is None or compressor.starts_again_kpa is None:
        sentence = say("Nobody read what the compressor delivers, or when it starts again.")
        reasons.append(Reason("power.compressor_unknown", sentence, Level.UNKNOWN, how))
    return reasons


def _by_pressure(uses: Sequence[AirUse], compressor: Compressor, how: How) -> list[Reason]:
    reasons = []
    again = compressor.starts_again_kpa
    for use in uses:
        if use.needs_kpa is not None and again is not None and use.needs_kpa.value > again.value:
            sentence = say(
                "{name} needs {needs} kPa; the compressor starts again only at {again} kPa.",
                name=use.name,
                needs=use.needs_kpa.value,
                again=again.value,
            )
            reasons.append(Reason("power.pressure_short", sentence, Level.STOP, how))
    return reasons


def _by_delivery(needed: float, delivers: float, share: float, how: How) -> list[Reason]:
    values = {"needed": round(needed, 1), "delivers": delivers}
    if needed > delivers:
        sentence = say("{needed} l/min are needed, above the {delivers} l/min of the compressor.", **values)
        return [Reason("power.air_over", sentence, Level.STOP, how)]
    if needed > share * delivers:
        sentence = say(
            "{needed} l/min are needed; the compressor gives {delivers} l/min for {share} % of the time.",
            **values,
            share=round(100 * share),
        )
        return [Reason("power.air_near", sentence, Level.LOOK, how)]
    return []


def _check_uses(uses: Sequence[AirUse]) -> None:
    names = {use.name for use in uses}
    if not uses or len(uses) > MOST_USES or len(names) < len(uses):
        sentence = say(
            "{count} uses with {names} names: none, too many, or one twice.",
            count=len(uses),
            names=len(names),
        )
        raise Refused("power.uses", sentence, say("Name each thing that takes air once."))
    for use in uses:
        if use.free_l_per_min is not None:
            _flow(use.free_l_per_min, f"The air of {use.name}")
        if use.needs_kpa is not None:
            _kpa(use.needs_kpa, f"The pressure of {use.name}")
        number(
            use.in_use.value,
            code="power.share",
            name=f"The share {use.name} is in use",
            at_least=0,
            at_most=1,
        )
        check_window(use.when, use.name)


def _check_compressor(compressor: Compressor) -> None:
    if compressor.free_l_per_min is not None:
        _flow(compressor.free_l_per_min, "The compressor's delivery")
    if compressor.starts_again_kpa is not None:
        _kpa(compressor.starts_again_kpa, "The compressor's lowest pressure")
    name = "The share of time the compressor may run"
    number(compressor.runs_share.value, code="power.share", name=name, above=0, at_most=1)


def _flow(flow: Given[float], name: str) -> float:
    return number(flow.value, code="power.air", name=name, unit="l/min", above=0, at_most=100_000)


def _kpa(pressure: Given[float], name: str) -> float:
    return number(
        pressure.value, code="power.air_pressure", name=name, unit="kPa", at_least=0, at_most=MOST_KPA
    )


def _inputs(uses: Sequence[AirUse], compressor: Compressor) -> tuple[Input, ...]:
    lines = []
    for use in uses:
        if use.free_l_per_min is not None:
            lines.append(Input(use.name, use.free_l_per_min.value, "l/min", use.free_l_per_min.basis))
        lines.append(Input(f"{use.name}, share in use", use.in_use.value, "", use.in_use.basis))
    if compressor.free_l_per_min is not None:
        flow = compressor.free_l_per_min
        lines.append(Input("compressor", flow.value, "l/min", flow.basis))
    if compressor.starts_again_kpa is not None:
        again = compressor.starts_again_kpa
        lines.append(Input("starts again at", again.value, "kPa", again.basis))
    return (*lines, Input("share on", compressor.runs_share.value, "", compressor.runs_share.basis))
