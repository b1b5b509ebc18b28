"""From one base unit to another by a material's own property, and the slip of a unit that was likely made.

Knows no material; densities and weights come in with where they are from.
"""

from dataclasses import dataclass
from fractions import Fraction

from inventory.compute.reasons import Given, How, Input, Level, Reason, number
from inventory.compute.units import (
    DIMENSION,
    RANGE,
    UNITS,
    Amount,
    Base,
    Dimension,
    Spoken,
    Typed,
    Unit,
    show,
)
from inventory.errors import Refused, say

_RULE = "{what}, to the nearest whole {base}, halves to even."
_CHECK = say("Check the amount and its unit.")
_COMMON = {
    Dimension.MASS: ("GRM", "KGM", "ONZ", "LBR"),
    Dimension.LENGTH: ("MMT", "CMT", "MTR", "INH", "FOT", "YRD"),
    Dimension.AREA: ("MMK", "CMK", "MTK", "INK", "FTK", "YDK"),
    Dimension.VOLUME: ("MLT", "DLT", "LTR", "OZA", "PTL", "QTL", "GLL"),
    Dimension.COUNT: ("H87", "PR", "DZN"),
}
FAR = Fraction(7, 4)  # times off before a slip is looked for; below the 2.2 between kg and lb
NEAR = Fraction(5, 4)  # times off that the other unit may still leave


@dataclass(frozen=True, slots=True)
class Converted:
    """An amount in another base unit; `rounded_by` is what rounding added, in that base unit."""

    amount: Amount
    rounded_by: Fraction
    how: How


@dataclass(frozen=True, slots=True)
class Slip:
    """A unit that was likely typed for another: which was meant, and what the amount would be."""

    meant: Unit
    amount: Amount
    times_off: Fraction
    reason: Reason
    how: How


def mass_of_volume(*, volume: Amount, density_kg_per_m3: Given[float]) -> Converted:
    """What does this volume weigh?

    Formula: mass = volume × density; 1 ul of 1000 kg/m3 is 1 mg; to the nearest mg, halves to even
    Units: volume in ul, density in kg/m3 (g/cm3 × 1000), mass in mg
    Refuses: units.wrong_dimension, units.negative, units.out_of_range
    Source: definition of density; exact
    """
    factor = _property(density_kg_per_m3, "density", Dimension.DENSITY, "kg/m³") / 1_000
    given = (density_kg_per_m3, "density", "kg/m³")
    return _convert(volume, Base.UL, Base.MG, factor, "mass = volume × density", given)


def volume_of_mass(*, mass: Amount, density_kg_per_m3: Given[float]) -> Converted:
    """What volume does this mass take?

    Formula: volume = mass / density; 1 mg at 1000 kg/m3 is 1 ul; to the nearest ul, halves to even
    Units: mass in mg, density in kg/m3 (g/cm3 × 1000), volume in ul
    Refuses: units.wrong_dimension, units.negative, units.out_of_range
    Source: definition of density; exact
    """
    factor = 1_000 / _property(density_kg_per_m3, "density", Dimension.DENSITY, "kg/m³")
    given = (density_kg_per_m3, "density", "kg/m³")
    return _convert(mass, Base.MG, Base.UL, factor, "volume = mass / density", given)


def mass_of_area(*, area: Amount, areal_weight_g_per_m2: Given[float]) -> Converted:
    """What does this area of sheet or fabric weigh?

    Formula: mass = area × areal weight; 1 mm2 of 1000 g/m2 is 1 mg; to the nearest mg, halves to even
    Units: area in mm2, areal weight in g/m2, mass in mg
    Refuses: units.wrong_dimension, units.negative, units.out_of_range
    Source: definition of areal weight; exact
    """
    factor = _property(areal_weight_g_per_m2, "weight by area", Dimension.AREAL_WEIGHT, "g/m²") / 1_000
    given = (areal_weight_g_per_m2, "weight by area", "g/m²")
    return _convert(area, Base.MM2, Base.MG, factor, "mass = area × weight by area", given)


def area_of_mass(*, mass: Amount, areal_weight_g_per_m2: Given[float]) -> Converted:
    """What area of sheet or fabric is this mass?

    Formula: area = mass / areal weight; 1 mg at 1000 g/m2 is 1 mm2; to the nearest mm2, halves to even
    Units: mass in mg, areal weight in g/m2, area in mm2
    Refuses: units.wrong_dimension, units.negative, units.out_of_range
    Source: definition of areal weight; exact
    """
    factor = 1_000 / _property(areal_weight_g_per_m2, "weight by area", Dimension.AREAL_WEIGHT, "g/m²")
    given = (areal_weight_g_per_m2, "weight by area", "g/m²")
    return _convert(mass, Base.MG, Base.MM2, factor, "area = mass / weight by area", given)


def mass_of_length(*, length: Amount, linear_weight_g_per_m: Given[float]) -> Converted:
    """What does this length of edge, sidewall or strip weigh?

    Formula: mass = length × linear weight; 1 mm of 1 g/m is 1 mg; to the nearest mg, halves to even
    Units: length in mm, linear weight in g/m, mass in mg
    Refuses: units.wrong_dimension, units.negative, units.out_of_range
    Source: definition of linear weight; exact
    """
    factor = _property(linear_weight_g_per_m, "weight by length", Dimension.LINEAR_WEIGHT, "g/m")
    given = (linear_weight_g_per_m, "weight by length", "g/m")
    return _convert(length, Base.MM, Base.MG, factor, "mass = length × weight by length", given)


def length_of_mass(*, mass: Amount, linear_weight_g_per_m: Given[float]) -> Converted:
    """What length of edge, sidewall or strip is this mass?

    Formula: length = mass / linear weight; 1 mg at 1 g/m is 1 mm; to the nearest mm, halves to even
    Units: mass in mg, linear weight in g/m, length in mm
    Refuses: units.wrong_dimension, units.negative, units.out_of_range
    Source: definition of linear weight; exact
    """
    factor = 1 / _property(linear_weight_g_per_m, "weight by length", Dimension.LINEAR_WEIGHT, "g/m")
    given = (linear_weight_g_per_m, "weight by length", "g/m")
    return _convert(mass, Base.MG, Base.MM, factor, "length = mass / weight by length", given)


def area_of_strip(*, length: Amount, width_mm: Given[float]) -> Converted:
    """What area is this length off a roll or strip?

    Formula: area = length × width, to the nearest mm2, halves to even
    Units: length and width in mm, area in mm2
    Refuses: units.wrong_dimension, units.negative, units.out_of_range
    Source: definition of area; exact
    """
    factor = _property(width_mm, "width", Dimension.LENGTH, "mm")
    return _convert(length, Base.MM, Base.MM2, factor, "area = length × width", (width_mm, "width", "mm"))


def length_of_strip(*, area: Amount, width_mm: Given[float]) -> Converted:
    """What length off a roll or strip is this area?

    Formula: length = area / width, to the nearest mm, halves to even
    Units: area in mm2, width and length in mm
    Refuses: units.wrong_dimension, units.negative, units.out_of_range
    Source: definition of area; exact
    """
    factor = 1 / _property(width_mm, "width", Dimension.LENGTH, "mm")
    return _convert(area, Base.MM2, Base.MM, factor, "length = area / width", (width_mm, "width", "mm"))


def likely_slip(*, typed: Typed, expected: Amount) -> Slip | None:
    """Was one unit typed for another: grams for ounces, kilograms for pounds, centimetres for inches?

    Formula: a slip is named when the typed amount is more than 1.75 times off what is expected and
        the same number in another common unit is at most 1.25 times off; the nearest unit is named
    Units: both amounts in the same base unit; `times_off` is a ratio of at least 1
    Refuses: units.wrong_dimension, units.zero
    Source: common practice, no source (the two limits)
    """
    _same_base(typed.amount, expected.base)
    if expected.value <= 0:
        raise Refused("units.zero", say("“{text}” is nothing.", text=Spoken(expected)), _CHECK)
    part = typed.parts[0]
    if len(typed.parts) > 1 or part.value == 0 or _off(part.value * part.unit.factor, expected) <= FAR:
        return None
    others = [UNITS[code] for code in _COMMON[part.unit.dimension] if code != part.unit.code]
    meant = min(others, key=lambda unit: _off(part.value * unit.factor, expected))
    if _off(part.value * meant.factor, expected) > NEAR:
        return None
    return _slip(typed, expected, meant)


def _slip(typed: Typed, expected: Amount, meant: Unit) -> Slip:
    part = typed.parts[0]
    times = _off(part.value * part.unit.factor, expected)
    amount = Amount(round(part.value * meant.factor), expected.base)
    how = How(
        f"The same number in another common unit: over {float(FAR)} times off, then at most {float(NEAR)}.",
        "common practice, no source",
        (
            Input("typed", typed.text),
            Input("expected", expected.value, expected.base),
            Input("times off", float(times)),
            Input("factor between the units", float(meant.factor / part.unit.factor)),
        ),
    )
    sentence = say(
        "“{text}” is far from the {expected} expected here; with {meant} for {unit} it would be {would}.",
        text=typed.text,
        expected=str(show(amount=expected, unit=typed.written_in, decimals=_places(part.unit, expected))),
        meant=meant.symbol,
        unit=part.unit.symbol,
        would=str(show(amount=amount, unit=typed.written_in, decimals=_places(part.unit, amount))),
    )
    facts = {"typed": part.unit.code, "meant": meant.code, "times_off": float(times)}
    reason = Reason("units.likely_slip", sentence, Level.LOOK, how, facts)
    return Slip(meant, amount, times, reason, how)


def _places(unit: Unit, amount: Amount) -> int:
    """Decimals that leave about three figures, at most the unit's own."""
    size = abs(amount.value) / unit.factor
    return min(unit.decimals, max(0, 3 - len(str(int(size)))))


def _off(size: Fraction, expected: Amount) -> Fraction:
    """How many times one is the other, the way round that gives at least 1."""
    ratio = size / expected.value
    return max(ratio, 1 / ratio)


def _property(given: Given[float], name: str, kind: Dimension, unit: str) -> Fraction:
    """A property within its range, exact as it is printed: 1.15 is 23/20, not the nearest binary number."""
    low, high = RANGE[kind]
    value = number(
        given.value,
        code="units.out_of_range",
        name=name,
        unit=unit,
        at_least=float(low),
        at_most=float(high),
    )
    return Fraction(str(value))


def _same_base(amount: Amount, base: Base) -> None:
    if amount.base is not base:
        template = "“{text}” measures {typed}; {wanted} is needed."
        values = {
            "text": Spoken(amount),
            "typed": DIMENSION[amount.base],
            "wanted": DIMENSION[base],
        }
        raise Refused("units.wrong_dimension", say(template, **values), _CHECK)


def _convert(
    amount: Amount,
    source: Base,
    target: Base,
    factor: Fraction,
    what: str,
    given: tuple[Given[float], str, str],
) -> Converted:
    """Multiply and round once; say both."""
    _same_base(amount, source)
    if amount.value < 0:
        raise Refused("units.negative", say("“{text}” is below zero.", text=Spoken(amount)), _CHECK)
    exact = amount.value * factor
    rounded = round(exact)
    value, name, unit = given
    inputs = (
        Input(DIMENSION[source], amount.value, source),
        Input(name, value.value, unit, value.basis),
    )
    how = How(_RULE.format(what=what, base=target), value.source or str(value.basis), inputs)
    return Converted(Amount(rounded, target), rounded - exact, how)
