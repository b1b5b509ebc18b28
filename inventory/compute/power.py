"""Watts of what runs together against circuits and a generator. Air against a compressor is `power_air`.

Knows no trailer by name and no clock: minutes of the day come in. Totals and warns; it wires nothing.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, say

MOST_DRAWS = 500
LONG_SHARE = Given(0.8, Basis.ASSUMED, "80 % for what runs for hours: NEC 210.20 (from memory)")
MOTOR_FACTOR = Given(0.8, Basis.ASSUMED, "common practice, no source")
HEATER_FACTOR = Given(1.0, Basis.ASSUMED, "a heater: current in step with voltage")
RULE = (
    "amps = sum of watts / (volts x power factor) of what runs at one moment, the worst one; a start "
    "adds its surge to all that runs; above the share for long runs: look, above the rating: stop"
)
SOURCE = "P = U I (arithmetic); 80 % for what runs for hours: NEC 210.20 (from memory)"


@dataclass(frozen=True, slots=True)
class Window:
    """From one minute of the day up to, not with, another; None is the end of the day."""

    from_min: float = 0
    to_min: float | None = None

    def holds(self, minute: float) -> bool:
        """True while it runs."""
        return self.from_min <= minute and (self.to_min is None or minute < self.to_min)


ALWAYS = Window()


@dataclass(frozen=True, slots=True)
class Draw:
    """Something that takes power; None where nobody read the plate."""

    name: str
    circuit: str
    watts: Given[float] | None
    motor: bool = False
    start_watts: Given[float] | None = None
    power_factor: Given[float] | None = None
    when: Window = ALWAYS


@dataclass(frozen=True, slots=True)
class Circuit:
    """One fused line."""

    name: str
    volts: Given[float]
    amps: Given[float]


@dataclass(frozen=True, slots=True)
class Generator:
    """What a generator gives for hours and for a start; None where nobody read the plate."""

    watts: Given[float] | None
    start_watts: Given[float] | None


@dataclass(frozen=True, slots=True)
class CircuitSum:
    """One circuit at its worst moment; what has no plate is not in the sum."""

    name: str
    watts: float
    amps: float
    rated_amps: float
    at_min: float


@dataclass(frozen=True, slots=True)
class Power:
    """What runs together, at its worst."""

    circuits: tuple[CircuitSum, ...]
    watts: float
    start_watts: float
    at_min: float
    verdict: Verdict
    how: How


def power(
    *,
    draws: Sequence[Draw],
    circuits: Sequence[Circuit],
    generator: Generator | None = None,
    long_share: Given[float] = LONG_SHARE,
) -> Power:
    """The watts and amps of what runs together, at the worst moment of each circuit and of the generator.

    Formula: amps = sum of watts / (volts x power factor) over what runs at a moment; a start adds the largest
        surge (start watts - watts) of what runs then. Above `long_share` of a rating: look; above the rating:
        stop. A plate nobody read is not in the sum, and the answer cannot say.
    Units: W, V, A, minutes of the day; power factor and share fractions.
    Shapes: one to 500 draws and one or more circuits, names once, in any order.
    Refuses: power.draws, power.circuits, power.circuit, power.watts, power.start, power.factor, power.volts,
        power.amps, power.minutes, power.share, power.generator
    Source: P = U I (arithmetic); 80 % for what runs for hours: NEC 210.20 (from memory); power factor of a
        motor 0.8: common practice, no source.
    Caution: By what was entered. A generator stands outdoors and away from openings: carbon monoxide. Leads
        are unrolled. Wiring is for a qualified person, by the local code.
    """
    _check_circuits(circuits)
    _check_draws(draws, {circuit.name for circuit in circuits})
    number(long_share.value, code="power.share", name="The share for long runs", above=0, at_most=1)
    how = How(RULE, SOURCE, _inputs(draws, circuits, generator, long_share))
    sums = tuple(_worst(circuit, draws) for circuit in circuits)
    together = [(minute, [d for d in draws if d.when.holds(minute)]) for minute in moments(draws)]
    at_min, running = max(together, key=lambda each: _watts(each[1]))
    most, start = _watts(running), max(_watts(now) + _surge(now) for _, now in together)
    reasons = [_by_plate(draw, how) for draw in draws if draw.watts is None]
    for each in sums:
        reasons += _by_circuit(each, long_share.value, how)
    if generator is not None:
        reasons += _by_generator(generator, most, long_share.value, how)
        reasons += _by_start(generator, start, draws, how)
    sentence = say("At most {watts} W run together, from minute {minute}.", watts=round(most), minute=at_min)
    reasons.append(Reason("power.together", sentence, Level.FINE, how))
    return Power(sums, most, start, at_min, verdict(*reasons), how)


def moments(draws: Sequence[Draw]) -> list[float]:
    """The minutes at which something starts: no sum is larger between two of them."""
    return sorted({draw.when.from_min for draw in draws})


def check_window(window: Window, name: str) -> None:
    """A window that begins in the day and ends after it begins."""
    number(
        window.from_min,
        code="power.minutes",
        name=f"The start of {name}",
        unit="min",
        at_least=0,
        at_most=1e6,
    )
    if window.to_min is not None:
        number(window.to_min, code="power.minutes", name=f"The end of {name}", unit="min", at_most=1e6)
        if window.to_min <= window.from_min:
            sentence = say(
                "{name} ends at minute {end}, not after its start at minute {start}.",
                name=name,
                end=window.to_min,
                start=window.from_min,
            )
            raise Refused("power.minutes", sentence, say("Give the earlier minute as the start."))


def _worst(circuit: Circuit, draws: Sequence[Draw]) -> CircuitSum:
    """The moment at which a circuit carries most."""
    own = [draw for draw in draws if draw.circuit == circuit.name]
    worst = CircuitSum(circuit.name, 0.0, 0.0, circuit.amps.value, 0.0)
    for minute in moments(own):
        running = [draw for draw in own if draw.when.holds(minute)]
        amps = math.fsum(_watts([draw]) / _factor(draw).value for draw in running) / circuit.volts.value
        if amps > worst.amps:
            worst = CircuitSum(circuit.name, _watts(running), amps, circuit.amps.value, minute)
    return worst


def _watts(draws: Sequence[Draw]) -> float:
    """What runs, as far as plates were read."""
    return math.fsum(draw.watts.value for draw in draws if draw.watts is not None)


def _surge(draws: Sequence[Draw]) -> float:
    """The largest extra a single start takes."""
    extras = [
        d.start_watts.value - d.watts.value
        for d in draws
        if d.start_watts is not None and d.watts is not None
    ]
    return max(extras, default=0.0)


def _factor(draw: Draw) -> Given[float]:
    """The power factor as entered, else that of a motor or of a heater."""
    return draw.power_factor or (MOTOR_FACTOR if draw.motor else HEATER_FACTOR)


def _by_plate(draw: Draw, how: How) -> Reason:
    sentence = say("Nobody read the plate of {name}; it is not in the sum.", name=draw.name)
    return Reason("power.plate_unknown", sentence, Level.UNKNOWN, how)


def _by_circuit(each: CircuitSum, share: float, how: How) -> list[Reason]:
    values = {
        "name": each.name,
        "amps": round(each.amps, 1),
        "rated": each.rated_amps,
        "minute": each.at_min,
    }
    if each.amps > each.rated_amps:
        sentence = say("{name} would carry {amps} A from minute {minute}, above its {rated} A.", **values)
        return [Reason("power.circuit_over", sentence, Level.STOP, how)]
    if each.amps > share * each.rated_amps:
        sentence = say(
            "{name} would carry {amps} A of its {rated} A from minute {minute}, above {share} % of it.",
            **values,
            share=round(100 * share),
        )
        return [Reason("power.circuit_near", sentence, Level.LOOK, how)]
    return []


def _by_generator(generator: Generator, most: float, share: float, how: How) -> list[Reason]:
    if generator.watts is None:
        sentence = say("Nobody read what the generator gives for hours.")
        return [Reason("power.generator_unknown", sentence, Level.UNKNOWN, how)]
    gives = number(
        generator.watts.value, code="power.generator", name="The generator", unit="W", above=0, at_most=1e6
    )
    values = {"watts": round(most), "gives": gives}
    if most > gives:
        sentence = say("{watts} W run together, above the {gives} W of the generator.", **values)
        return [Reason("power.generator_over", sentence, Level.STOP, how)]
    if most > share * gives:
        sentence = say(
            "{watts} W run together, above {share} % of the {gives} W of the generator.",
            **values,
            share=round(100 * share),
        )
        return [Reason("power.generator_near", sentence, Level.LOOK, how)]
    return []


def _by_start(generator: Generator, start: float, draws: Sequence[Draw], how: How) -> list[Reason]:
    """A motor starts on what the generator gives for a moment."""
    reasons = []
    for draw in draws:
        if draw.motor and draw.start_watts is None:
            sentence = say("Nobody entered what {name} takes to start.", name=draw.name)
            reasons.append(Reason("power.start_unknown", sentence, Level.UNKNOWN, how))
    if generator.start_watts is None:
        sentence = say("Nobody read what the generator gives for a start.")
        return [*reasons, Reason("power.generator_start_unknown", sentence, Level.UNKNOWN, how)]
    name = "The generator, for a start"
    gives = number(
        generator.start_watts.value, code="power.generator", name=name, unit="W", above=0, at_most=1e6
    )
    if start > gives:
        sentence = say(
            "A start would take {start} W, above the {gives} W of the generator.",
            start=round(start),
            gives=gives,
        )
        reasons.append(Reason("power.start_over", sentence, Level.STOP, how))
    return reasons


def _check_circuits(circuits: Sequence[Circuit]) -> None:
    names = [circuit.name for circuit in circuits]
    if not names or len(set(names)) < len(names):
        sentence = say("The circuits are {names}: none, or one twice.", names=", ".join(names) or "none")
        raise Refused("power.circuits", sentence, say("Name each circuit once."))
    for circuit in circuits:
        name = f"The voltage of {circuit.name}"
        number(circuit.volts.value, code="power.volts", name=name, unit="V", at_least=10, at_most=1_000)
        name = f"The rating of {circuit.name}"
        number(circuit.amps.value, code="power.amps", name=name, unit="A", above=0, at_most=1_000)


def _check_draws(draws: Sequence[Draw], circuits: set[str]) -> None:
    names = {draw.name for draw in draws}
    if not draws or len(draws) > MOST_DRAWS or len(names) < len(draws):
        sentence = say(
            "{count} draws with {names} names: none, too many, or one twice.",
            count=len(draws),
            names=len(names),
        )
        raise Refused("power.draws", sentence, say("Name each thing that takes power once."))
    for draw in draws:
        if draw.circuit not in circuits:
            sentence = say(
                "{name} is on {circuit}, which is not listed.", name=draw.name, circuit=draw.circuit
            )
            raise Refused("power.circuit", sentence, say("Name a circuit that is listed."))
        _check_draw(draw)
        check_window(draw.when, draw.name)


def _check_draw(draw: Draw) -> None:
    name = f"The power of {draw.name}"
    watts = 0.0
    if draw.watts is not None:
        watts = number(draw.watts.value, code="power.watts", name=name, unit="W", at_least=0, at_most=1e6)
    if draw.start_watts is not None:
        name = f"The start of {draw.name}"
        number(draw.start_watts.value, code="power.start", name=name, unit="W", at_least=watts, at_most=1e7)
    name = f"The power factor of {draw.name}"
    number(_factor(draw).value, code="power.factor", name=name, at_least=0.1, at_most=1)


def _inputs(
    draws: Sequence[Draw], circuits: Sequence[Circuit], generator: Generator | None, share: Given[float]
) -> tuple[Input, ...]:
    lines = [Input(f"{draw.name}", draw.watts.value, "W", draw.watts.basis) for draw in draws if draw.watts]
    lines += [
        Input(f"{d.name}, start", d.start_watts.value, "W", d.start_watts.basis)
        for d in draws
        if d.start_watts
    ]
    lines += [Input(f"{d.name}, power factor", _factor(d).value, "", _factor(d).basis) for d in draws]
    for circuit in circuits:
        lines.append(Input(f"{circuit.name}, voltage", circuit.volts.value, "V", circuit.volts.basis))
        lines.append(Input(f"{circuit.name}, rating", circuit.amps.value, "A", circuit.amps.basis))
    if generator is not None and generator.watts is not None:
        lines.append(Input("generator", generator.watts.value, "W", generator.watts.basis))
    if generator is not None and generator.start_watts is not None:
        lines.append(Input("generator, start", generator.start_watts.value, "W", generator.start_watts.basis))
    return (*lines, Input("share for long runs", share.value, "", share.basis))
