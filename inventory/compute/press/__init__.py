"""Forces and stored energy of a press under pressure. Knows no press by name, no set of skis and no clock.

Whether a set point may be run is `press.order`; what a log says about opening is `cure`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, say

MOST_KPA = 2_000.0
AMBIENT_KPA = 101.325
TONNE_FORCE_KN = 9.80665
LARGE_KJ = 100.0
ARITHMETIC = "arithmetic (computed)"
ENERGY_SOURCE = (
    "ASME PCC-2, stored energy of air (second-hand); 100 kJ: ehs.berkeley.edu, stored energy (read)"
)


@dataclass(frozen=True, slots=True)
class Bladder:
    """The rectangle that presses on the frame."""

    length_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class Forces:
    """What the pressure does. `frame_kn` is what the frame carries from all bladders together."""

    ski_kn: float
    bladder_kn: float
    frame_kn: float
    how: How

    @property
    def frame_tonnes(self) -> float:
        """The frame's load as the mass that would weigh as much."""
        return self.frame_kn / TONNE_FORCE_KN


@dataclass(frozen=True, slots=True)
class Vessel:
    """Something that holds air under pressure: bladder, hose, receiver."""

    name: str
    gauge_kpa: Given[float]
    volume_l: Given[float]


@dataclass(frozen=True, slots=True)
class Stored:
    """The energy one vessel would let go if it burst."""

    name: str
    kilojoules: float


@dataclass(frozen=True, slots=True)
class Energy:
    """The energy of all vessels, most first."""

    vessels: tuple[Stored, ...]
    total_kj: float
    verdict: Verdict
    how: How


def forces(
    *, gauge_kpa: Given[float], ski_mm2: int, bladder: Bladder, bladders: int = 1, skis_under_each: int = 1
) -> Forces:
    """The force on a ski by its own area, and on the frame by the footprint of the bladders.

    Formula: force = pressure x area; a ski's by its plan area, the frame's by length x width of each bladder.
    Units: kPa above the air outside, mm2, mm; kN and tonnes-force.
    Refuses: press.pressure, press.ski, press.bladder, press.count, press.footprint
    Source: force = pressure x area (arithmetic); the frame carries the footprint (statics).
    Caution: The frame carries the whole footprint, usually twice a ski's area: more than a loaded van.
    """
    pressure = number(
        gauge_kpa.value, code="press.pressure", name="Pressure", unit="kPa", at_least=0, at_most=MOST_KPA
    )
    number(ski_mm2, code="press.ski", name="Ski area", unit="mm2", above=0, at_most=1e6)
    footprint = 1.0
    for side, name in ((bladder.length_mm, "Bladder length"), (bladder.width_mm, "Bladder width")):
        footprint *= number(side, code="press.bladder", name=name, unit="mm", above=0, at_most=5_000)
    _count(bladders, "Bladders")
    _count(skis_under_each, "Skis under each bladder")
    if ski_mm2 * skis_under_each > footprint:
        sentence = say(
            "{count} × {ski} mm² of ski do not fit under a bladder of {footprint} mm².",
            count=skis_under_each,
            ski=ski_mm2,
            footprint=footprint,
        )
        raise Refused(
            "press.footprint", sentence, say("Measure the bladder, or count the skis under it again.")
        )
    inputs = (
        Input("pressure", gauge_kpa.value, "kPa", gauge_kpa.basis),
        Input("ski area", ski_mm2, "mm2"),
        Input("bladder length", bladder.length_mm, "mm"),
        Input("bladder width", bladder.width_mm, "mm"),
        Input("bladders", bladders),
    )
    how = How(
        "force = pressure x area; the frame carries the bladders' footprint", "arithmetic (computed)", inputs
    )
    each = pressure * footprint / 1e9 * 1e3
    return Forces(pressure * ski_mm2 / 1e9 * 1e3, each, each * bladders, how)


def stored_energy(*, vessels: Sequence[Vessel], ambient_kpa: float = AMBIENT_KPA) -> Energy:
    """The energy air under pressure would let go at once, vessel by vessel.

    Formula: E = 2.5 x P x V x (1 - (Pa / P)^0.286), P and Pa absolute.
    Units: kPa above the air outside, litres, kPa for the air outside; kJ.
    Shapes: one or more vessels, each name once.
    Refuses: press.vessels, press.pressure, press.volume, press.ambient
    Source: ASME PCC-2, stored energy of air (second-hand). Above 100 kJ: ehs.berkeley.edu, stored energy
        (read).
    Caution: The receiver holds most; a bladder holds enough to kill. Vent and prove zero before opening;
        stand at the side, never at the ends. Vent the receiver before driving.
    """
    number(ambient_kpa, code="press.ambient", name="The air outside", unit="kPa", at_least=50, at_most=110)
    names = [vessel.name for vessel in vessels]
    if not names or len(set(names)) < len(names):
        sentence = say("The vessels are {names}: none, or one twice.", names=", ".join(names) or "none")
        raise Refused("press.vessels", sentence, say("Name each vessel once."))
    stored = sorted((_stored(vessel, ambient_kpa) for vessel in vessels), key=lambda each: -each.kilojoules)
    total = math.fsum(each.kilojoules for each in stored)
    inputs = [Input("air outside", ambient_kpa, "kPa", Basis.ASSUMED)]
    for vessel in vessels:
        inputs.append(
            Input(f"{vessel.name}, pressure", vessel.gauge_kpa.value, "kPa", vessel.gauge_kpa.basis)
        )
        inputs.append(Input(f"{vessel.name}, volume", vessel.volume_l.value, "l", vessel.volume_l.basis))
    how = How("E = 2.5 P V (1 - (Pa / P)^0.286), absolute", ENERGY_SOURCE, tuple(inputs))
    return Energy(tuple(stored), total, _judge(stored, total, how), how)


def _stored(vessel: Vessel, ambient_kpa: float) -> Stored:
    gauge = number(
        vessel.gauge_kpa.value,
        code="press.pressure",
        name=f"The pressure of {vessel.name}",
        unit="kPa",
        at_least=0,
        at_most=MOST_KPA,
    )
    litres = number(
        vessel.volume_l.value,
        code="press.volume",
        name=f"The volume of {vessel.name}",
        unit="l",
        above=0,
        at_most=10_000,
    )
    absolute = gauge + ambient_kpa
    return Stored(vessel.name, 2.5 * absolute * litres / 1e3 * (1 - (ambient_kpa / absolute) ** 0.286))


def _judge(stored: Sequence[Stored], total_kj: float, how: How) -> Verdict:
    if total_kj == 0:
        return verdict(Reason("press.no_pressure", say("No vessel is under pressure."), Level.FINE, how))
    sentence = say(
        "The air holds {total} kJ, most of it in {name}: let it out before anyone opens, reaches in, drives.",
        total=round(total_kj, 1),
        name=stored[0].name,
    )
    reasons = [Reason("press.stored", sentence, Level.LOOK, how)]
    for each in stored:
        if each.kilojoules > LARGE_KJ:
            sentence = say(
                "{name} alone holds {energy} kJ, above {limit} kJ: ask a competent person.",
                name=each.name,
                energy=round(each.kilojoules, 1),
                limit=LARGE_KJ,
            )
            reasons.append(Reason("press.large_energy", sentence, Level.LOOK, how))
    return verdict(*reasons)


def _count(value: int, name: str) -> None:
    number(value, code="press.count", name=name, at_least=1, at_most=20)
    if not isinstance(value, int):
        sentence = say("{name} are {value}, not a whole number.", name=name, value=value)
        raise Refused("press.count", sentence, say("Count them again."))
