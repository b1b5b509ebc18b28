"""What a ski should weigh by its parts, and whether it does. Knows no lot and no supplier."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.compute.reasons import Given, How, Input, Level, Reason, Verdict, number, verdict
from inventory.compute.units import Amount, Base, Spoken, about
from inventory.compute.units.convert import Converted, mass_of_area, mass_of_length, mass_of_volume
from inventory.errors import Refused, Sentence, say

OFF_ESTIMATE = Fraction("0.08")  # share a ski may differ from its own build's estimate
OFF_PARTNER = Fraction("0.03")  # share one ski of a pair may be heavier than the other
_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class MassPart:
    """One part of a ski and what it weighs."""

    name: str
    mass: Amount
    how: How


@dataclass(frozen=True, slots=True)
class MassEstimate:
    """What one ski should weigh: an estimate, not a measurement."""

    mass: Amount
    parts: tuple[MassPart, ...]
    how: How


@dataclass(frozen=True, slots=True)
class WoodDensity:
    """What wood weighs by volume."""

    kg_per_m3: float
    how: How


def mass_part(*, name: str, amount: Amount, weight: Given[float] | None = None) -> MassPart:
    """What does this part of a ski weigh?

    Formula: a mass as it is; area × g/m2; length × g/m; volume × kg/m3; pieces × g each
    Units: `weight` in g/m2, g/m, kg/m3 or g each, by what the amount measures; mass in mg
    Refuses: outline.mass, units.negative, units.out_of_range
    Source: definitions
    """
    if amount.base is Base.MG:
        if amount.value < 0:
            text = say("{name} weighs {mass}, below zero.", name=name, mass=Spoken(amount))
            raise Refused("outline.mass", text, say("Enter what it weighs."))
        return MassPart(
            name, amount, How("Entered as a mass.", "", (Input(name, amount.value, amount.base),))
        )
    if weight is None:
        text = say("What {name} weighs is not known.", name=name)
        raise Refused("outline.mass", text, say("Enter its weight by area, length, volume or piece."))
    converted = _converted(amount, weight, name)
    return MassPart(name, converted.amount, converted.how)


def estimate_mass(*, parts: Sequence[MassPart]) -> MassEstimate:
    """What should one ski weigh?

    Formula: the sum of its parts, without what is lost in cutting and in the cup
    Units: mg
    Shapes: at least one part; a part may appear more than once
    Refuses: outline.mass
    Source: conservation of mass
    """
    if not parts:
        text = say("There are no parts to weigh together.")
        raise Refused("outline.mass", text, say("Enter the lay-up first."))
    total = Amount(sum(part.mass.value for part in parts), Base.MG)
    if total.value <= 0:
        text = say("The parts weigh nothing together.")
        raise Refused("outline.mass", text, say("Enter the lay-up first."))
    inputs = tuple(Input(part.name, part.mass.value, part.mass.base) for part in parts)
    how = How("Sum of the parts; an estimate, not a measurement.", "conservation of mass", inputs)
    return MassEstimate(total, tuple(parts), how)


def check_mass(*, estimate: Amount, left: Amount | None, right: Amount | None) -> Verdict:
    """Do the skis weigh what their own build should, and the same as each other?

    Formula: looked at again when a ski differs by more than 8 % from the estimate, or the heavier of
        the two is more than 3 % heavier than the lighter; cannot say for a ski not weighed
    Units: mg, each ski
    Refuses: outline.mass
    Source: common practice, no source
    """
    for name, mass in (("The estimate", estimate), ("The left ski", left), ("The right ski", right)):
        if mass is not None and (mass.base is not Base.MG or mass.value <= 0):
            text = say("{name} of {amount} is no mass.", name=name, amount=Spoken(mass))
            raise Refused("outline.mass", text, say("Enter what each ski weighs."))
    reasons = [
        _against_estimate(estimate, "left", left),
        _against_estimate(estimate, "right", right),
    ]
    if left and right:
        reasons.append(_against_partner(left, right))
    return verdict(*reasons)


def wood_density(*, specific_gravity: Given[float], moisture_percent: Given[float]) -> WoodDensity:
    """What does wood weigh by volume at a moisture content?

    Formula: density = specific gravity × (1 + moisture / 100) × 1000
    Units: specific gravity of dry mass over the volume at that moisture; percent; kg/m3
    Refuses: outline.wood
    Source: table of a calculators' site (read); specific gravities in wood handbooks (from memory)
    """
    gravity = number(
        specific_gravity.value, code="outline.wood", name="The specific gravity", at_least=0.05, at_most=1.5
    )
    moisture = number(
        moisture_percent.value, code="outline.wood", name="The moisture", unit="%", at_least=0, at_most=30
    )
    inputs = (
        Input("specific gravity", gravity, "", specific_gravity.basis),
        Input("moisture", moisture, "%", moisture_percent.basis),
    )
    how = How(
        "Specific gravity × (1 + moisture / 100) × 1000.", "table of a calculators' site (read)", inputs
    )
    return WoodDensity(gravity * (1 + moisture / 100) * 1_000, how)


def _converted(amount: Amount, weight: Given[float], name: str) -> Converted:
    if amount.base is Base.MM2:
        return mass_of_area(area=amount, areal_weight_g_per_m2=weight)
    if amount.base is Base.MM:
        return mass_of_length(length=amount, linear_weight_g_per_m=weight)
    if amount.base is Base.UL:
        return mass_of_volume(volume=amount, density_kg_per_m3=weight)
    each = number(
        weight.value, code="outline.mass", name=f"The weight of one {name}", unit="g", above=0, at_most=1e5
    )
    if amount.value < 0:
        text = say("{count} {name} are below zero.", count=amount.value, name=name)
        raise Refused("outline.mass", text, say("Enter how many there are."))
    inputs = (Input("pieces", amount.value, amount.base), Input("each", each, "g", weight.basis))
    exact = amount.value * Fraction(str(each)) * 1_000
    how = How("Pieces × g each, to the nearest mg.", weight.source or str(weight.basis), inputs)
    return Converted(Amount(round(exact), Base.MG), round(exact) - exact, how)


def _against_estimate(estimate: Amount, side: str, mass: Amount | None) -> Reason:
    expected = about(estimate)
    if mass is None:
        text = say("The {side} ski was not weighed; {expected} is expected.", side=side, expected=expected)
        return Reason("outline.not_weighed", text, Level.UNKNOWN)
    off = Fraction(mass.value, estimate.value) - 1
    values = {
        "side": side,
        "mass": Spoken(mass),
        "expected": expected,
        "percent": _percent(off),
    }
    if abs(off) <= OFF_ESTIMATE:
        text = say("The {side} ski weighs {mass}, {percent} % from the {expected} of its build.", **values)
        return _reason("outline.mass_fits", text, Level.FINE, off, (estimate, mass))
    text = say(
        "The {side} ski weighs {mass}, which is {percent} % from the {expected} of its build.", **values
    )
    return _reason("outline.mass_differs", text, Level.LOOK, off, (estimate, mass))


def _against_partner(left: Amount, right: Amount) -> Reason:
    light, heavy = sorted((left, right))
    off = Fraction(heavy.value, light.value) - 1
    values = {
        "heavy": Spoken(heavy),
        "light": Spoken(light),
        "percent": _percent(off),
    }
    if off <= OFF_PARTNER:
        text = say("The two skis weigh {light} and {heavy}, {percent} % apart.", **values)
        return _reason("outline.pair_matches", text, Level.FINE, off, (light, heavy))
    text = say("The two skis weigh {light} and {heavy}; they are {percent} % apart.", **values)
    return _reason("outline.pair_differs", text, Level.LOOK, off, (light, heavy))


def _percent(off: Fraction) -> float:
    return round(float(100 * off), 1)


def _reason(
    code: str, sentence: Sentence, level: Level, off: Fraction, masses: tuple[Amount, Amount]
) -> Reason:
    inputs = tuple(Input("mass", mass.value, mass.base) for mass in masses)
    how = How("Second mass over the first, less 1.", _PRACTICE, inputs)
    return Reason(code, sentence, level, how, {"share_off": float(off)})
