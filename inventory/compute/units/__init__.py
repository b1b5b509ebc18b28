"""Amounts as whole numbers of a small base unit, and what people type turned into them.

Knows no material and no lot. The other rooms take everything about amounts from here.

Example: `Amount(2_500_000, Base.MG)` is 2.5 kg.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from inventory.compute.reasons import Basis, How, Input
from inventory.compute.units.base import DIMENSION, Amount, Base
from inventory.compute.units.show import Shown, ShownPart, decimal, show, show_value, usual_unit
from inventory.compute.units.sums import Side, even
from inventory.compute.units.table import SOURCE, UNITS, Dimension, Unit
from inventory.compute.units.text import Part, read
from inventory.compute.units.told import (
    BESIDE,
    US_UNITS,
    Spoken,
    about,
    at_least,
    at_most,
    glance,
    lacking,
    metres,
    us_value,
)
from inventory.errors import Refused, say

__all__ = [
    "BESIDE",
    "DIMENSION",
    "LARGEST",
    "RANGE",
    "UNITS",
    "US_UNITS",
    "Amount",
    "Base",
    "Dimension",
    "Part",
    "Shown",
    "ShownPart",
    "Side",
    "Spoken",
    "Typed",
    "TypedValue",
    "Unit",
    "about",
    "at_least",
    "at_most",
    "even",
    "glance",
    "lacking",
    "metres",
    "parse",
    "parse_value",
    "show",
    "show_value",
    "us_value",
    "usual_unit",
]

LARGEST: Mapping[Base, Amount] = MappingProxyType(
    {
        Base.MG: Amount(10_000_000_000, Base.MG),  # 10 t
        Base.MM: Amount(100_000_000, Base.MM),  # 100 km
        Base.MM2: Amount(10_000_000_000, Base.MM2),  # 10,000 m2
        Base.UL: Amount(10_000_000_000, Base.UL),  # 10,000 l
        Base.PIECE: Amount(1_000_000, Base.PIECE),
    }
)
"""The largest amount a workshop can mean; more is a slip. Common practice, no source."""

RANGE: Mapping[Dimension, tuple[Fraction, Fraction]] = MappingProxyType(
    {
        Dimension.AREAL_WEIGHT: (Fraction(1), Fraction(50_000)),
        Dimension.LINEAR_WEIGHT: (Fraction("0.01"), Fraction(100_000)),
        Dimension.DENSITY: (Fraction(10), Fraction(25_000)),
        Dimension.TEMPERATURE: (Fraction(-100), Fraction(500)),
        Dimension.PRESSURE: (Fraction(0), Fraction(40_000)),
        Dimension.DURATION: (Fraction("0.1"), Fraction(20 * 366 * 86_400)),
    }
    | {kind: (Fraction("0.001"), Fraction(LARGEST[base].value)) for base, kind in DIMENSION.items()}
)
"""Smallest and largest value of each dimension, in its kept unit. Common practice, no source."""

_CHECK = say("Check the number and the unit, and enter it again.")
_SIXTEENTHS = 16


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed, as an amount; `written_in` is what `show` takes to give it back in the same units."""

    amount: Amount
    written_in: str
    text: str
    parts: tuple[Part, ...]
    exact: bool
    unit_assumed: bool

    @property
    def unit(self) -> Unit:
        """The biggest unit that was typed."""
        return self.parts[0].unit

    @property
    def how(self) -> How:
        """How the amount was got from the text."""
        return _how(
            self.parts, self.amount.base, "Number × factor, to the nearest whole base unit, halves to even."
        )


@dataclass(frozen=True, slots=True)
class TypedValue:
    """A typed property such as a temperature or an areal weight, in its dimension's kept unit."""

    value: Fraction
    dimension: Dimension
    written_in: str
    text: str
    parts: tuple[Part, ...]
    unit_assumed: bool

    @property
    def number(self) -> float:
        """The value for rooms that compute with floats."""
        return float(self.value)

    @property
    def how(self) -> How:
        """How the value was got from the text."""
        return _how(self.parts, _kept(self.dimension), "Number × factor + offset, not rounded.")


def parse(*, text: str, base: Base, default: str | None = None, allow_zero: bool = False) -> Typed:
    """What amount did a person type?

    Formula: amount = sum of number × factor, to the nearest whole base unit, halves to even
    Units: `base` is mg, mm, mm2, ul or piece; `default` is a Recommendation 20 code
    Refuses: units.nothing, units.too_long, units.no_number, units.no_unit, units.unknown_unit,
        units.thousands, units.unclear, units.mixed, units.wrong_dimension, units.negative,
        units.zero, units.too_small, units.too_large, units.part_of_piece
    Source: UN/ECE Recommendation 20, revision 17 (2021) (read)
    """
    reading = read(text=text, dimension=DIMENSION[base], default=default)
    exact = sum((part.value * part.unit.factor for part in reading.parts), Fraction(0))
    amount = Amount(round(exact), base)
    _check_size(text.strip(), exact, amount, allow_zero)
    same = exact == amount.value
    return Typed(amount, _written_in(reading.parts), text.strip(), reading.parts, same, reading.unit_assumed)


def parse_value(*, text: str, dimension: Dimension, default: str | None = None) -> TypedValue:
    """What temperature, pressure, weight by area, density, length or time did a person type?

    Formula: value = sum of number × factor + offset, not rounded
    Units: result in mg, mm, mm2, ul, g/m2, g/m, kg/m3, °C, kPa or s, by dimension
    Refuses: units.nothing, units.too_long, units.no_number, units.no_unit, units.unknown_unit,
        units.thousands, units.unclear, units.mixed, units.wrong_dimension, units.negative,
        units.out_of_range
    Source: UN/ECE Recommendation 20, revision 17 (2021) (read)
    """
    reading = read(text=text, dimension=dimension, default=default)
    value = sum((part.value * part.unit.factor + part.unit.offset for part in reading.parts), Fraction(0))
    low, high = RANGE[dimension]
    if not low <= value <= high:
        kept = _kept(dimension)
        template = "“{text}” is outside what is possible here: {low} to {high} {unit}."
        values = {"text": text.strip(), "low": decimal(low), "high": decimal(high), "unit": kept}
        raise Refused("units.out_of_range", say(template, **values), _CHECK)
    return TypedValue(
        value, dimension, _written_in(reading.parts), text.strip(), reading.parts, reading.unit_assumed
    )


def _check_size(text: str, exact: Fraction, amount: Amount, allow_zero: bool) -> None:
    """Refuse nothing at all, less than one base unit, part of a piece, and more than a workshop can mean."""
    if exact == 0 and not allow_zero:
        raise Refused("units.zero", say("“{text}” is nothing.", text=text), say("Enter more than zero."))
    if amount.base is Base.PIECE and exact.denominator != 1:
        raise Refused(
            "units.part_of_piece", say("“{text}” is not a whole number of pieces.", text=text), _CHECK
        )
    if exact > 0 and amount.value == 0:
        template = "“{text}” is less than one {base}, the smallest amount kept."
        raise Refused("units.too_small", say(template, text=text, base=amount.base), _CHECK)
    most = LARGEST[amount.base]
    if amount > most:
        template = "“{text}” is more than {most}, the largest amount kept."
        raise Refused("units.too_large", say(template, text=text, most=Spoken(most)), _CHECK)


def _written_in(parts: tuple[Part, ...]) -> str:
    """The codes of the units typed; a length that ended in a fraction of an inch is shown in sixteenths."""
    codes = " ".join(part.unit.code for part in parts)
    last = parts[-1]
    sixteenths = last.unit.code == "INH" and last.parts_of > 1 and _SIXTEENTHS % last.parts_of == 0
    return f"{codes}/{_SIXTEENTHS}" if sixteenths else codes


def _kept(dimension: Dimension) -> str:
    """The symbol of the unit a dimension's values are kept in."""
    return next(
        unit.symbol
        for unit in UNITS.values()
        if unit.dimension is dimension and unit.factor == 1 and not unit.offset
    )


def _how(parts: tuple[Part, ...], base: str, rule: str) -> How:
    inputs = [Input(part.unit.name, float(part.value), part.unit.symbol, Basis.MEASURED) for part in parts]
    factors = [
        Input(f"{base} in one {part.unit.symbol}", part.unit.factor, base, Basis.DATA_SHEET) for part in parts
    ]
    return How(rule, SOURCE, tuple(inputs + factors))
