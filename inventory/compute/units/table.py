"""The units people write, with their Recommendation 20 codes and exact factors. Knows no amount and no text.

Codes and names: UN/ECE Recommendation 20, revision 17 (2021). Factors are exact by definition of the unit
(inch 25.4 mm, avoirdupois pound 453.59237 g, US gallon 231 in3, UK gallon 4.54609 l, standard gravity
9.80665 m/s2), so no printed rounding is taken over.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType


class Dimension(StrEnum):
    """What a unit measures, in words; beside each, the unit its values are kept in."""

    MASS = "mass"  # mg
    LENGTH = "length"  # mm
    AREA = "area"  # mm2
    VOLUME = "volume"  # ul
    COUNT = "count"  # piece
    AREAL_WEIGHT = "weight by area"  # g/m2
    LINEAR_WEIGHT = "weight by length"  # g/m
    DENSITY = "density"  # kg/m3
    TEMPERATURE = "temperature"  # degrees Celsius
    PRESSURE = "pressure"  # kPa
    DURATION = "length of time"  # s


class System(StrEnum):
    """Families of units; one typed amount stays within one family."""

    METRIC = "metric"
    US = "US"
    UK = "UK"
    ANY = "any"


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit. A value in it times `factor`, plus `offset`, is the value in the dimension's kept unit.

    `decimals` is the most that are shown; `spellings` are what a person may write, in lower case.
    """

    code: str
    name: str
    symbol: str
    dimension: Dimension
    factor: Fraction
    system: System
    decimals: int
    spellings: tuple[str, ...]
    offset: Fraction = Fraction(0)


SOURCE = "UN/ECE Recommendation 20, revision 17 (2021)"
_INCH = Fraction("25.4")  # mm
_FOOT = 12 * _INCH
_YARD = 36 * _INCH
_POUND = Fraction("453592.37")  # mg
_OUNCE = _POUND / 16
_GALLON = 231 * _INCH**3  # ul
_UK_GALLON = Fraction("4546090")  # ul
_M2 = 1_000_000  # mm2
_M3 = 1_000_000_000  # ul
_PSI = _POUND * Fraction("9.80665") / _INCH**2 / 1_000  # kPa: mg/10^6 x m/s2 / (mm2/10^6) is Pa

_D, _S = Dimension, System
_FOLDED = (("²", "2"), ("³", "3"), ("µ", "u"), ("μ", "u"), ("^", ""), ("**", ""), (".", ""), (" per ", "/"))
_SQUARE = ("sq {0}", "{0}2", "square {0}")
_CUBIC = ("cu {0}", "{0}3", "cubic {0}")


def _powers(patterns: tuple[str, ...], *words: str) -> str:
    """Every pattern of every word, as one string of spellings."""
    return "|".join(pattern.format(word) for pattern in patterns for word in words)


def _unit(
    code: str,
    name: str,
    symbol: str,
    kind: tuple[Dimension, System],
    factor: Fraction | int | str,
    decimals: int,
    spellings: str,
    offset: Fraction | int = 0,
) -> Unit:
    """Make a unit; its symbol and name are spellings too."""
    words = (symbol, name, *spellings.split("|"))
    folded = dict.fromkeys(fold(word) for word in words if word)
    return Unit(
        code, name, symbol, kind[0], Fraction(factor), kind[1], decimals, tuple(folded), Fraction(offset)
    )


def fold(word: str) -> str:
    """How is a unit's spelling looked up?

    Formula: lower case, single spaces, no raised powers, no dots, " per " as "/"
    Refuses: nothing
    Source: common practice, no source
    """
    for old, new in _FOLDED:
        word = word.replace(old, new)
    return " ".join(word.lower().split())


_ALL = (
    _unit("KGM", "kilogram", "kg", (_D.MASS, _S.METRIC), 1_000_000, 3, "kilograms|kilo|kilos|kgs"),
    _unit("GRM", "gram", "g", (_D.MASS, _S.METRIC), 1_000, 2, "grams|gramme|grammes|gm|gms"),
    _unit("MGM", "milligram", "mg", (_D.MASS, _S.METRIC), 1, 0, "milligrams"),
    _unit("TNE", "tonne", "t", (_D.MASS, _S.METRIC), 1_000_000_000, 3, "tonnes|metric ton|metric tons"),
    _unit("LBR", "pound", "lb", (_D.MASS, _S.US), _POUND, 3, "lbs|pounds"),
    _unit("ONZ", "ounce", "oz", (_D.MASS, _S.US), _OUNCE, 2, "ozs|ounces"),
    _unit("MTR", "metre", "m", (_D.LENGTH, _S.METRIC), 1_000, 3, "metres|meter|meters"),
    _unit("MMT", "millimetre", "mm", (_D.LENGTH, _S.METRIC), 1, 0, "millimetres|millimeter|millimeters"),
    _unit("CMT", "centimetre", "cm", (_D.LENGTH, _S.METRIC), 10, 1, "centimetres|centimeter|centimeters"),
    _unit("DMT", "decimetre", "dm", (_D.LENGTH, _S.METRIC), 100, 2, "decimetres|decimeter|decimeters"),
    _unit("KMT", "kilometre", "km", (_D.LENGTH, _S.METRIC), 1_000_000, 3, "kilometres|kilometer|kilometers"),
    _unit("4H", "micrometre", "µm", (_D.LENGTH, _S.METRIC), "0.001", 0, "um|micron|microns|micrometer"),
    _unit("INH", "inch", "in", (_D.LENGTH, _S.US), _INCH, 2, 'inches|"|ins'),
    _unit("FOT", "foot", "ft", (_D.LENGTH, _S.US), _FOOT, 3, "feet|'"),
    _unit("YRD", "yard", "yd", (_D.LENGTH, _S.US), _YARD, 3, "yards|yds"),
    _unit(
        "MTK",
        "square metre",
        "m²",
        (_D.AREA, _S.METRIC),
        _M2,
        4,
        _powers(_SQUARE, "m", "metres", "meters", "meter"),
    ),
    _unit(
        "CMK",
        "square centimetre",
        "cm²",
        (_D.AREA, _S.METRIC),
        100,
        2,
        _powers(_SQUARE, "cm", "centimetres", "centimeters"),
    ),
    _unit(
        "MMK",
        "square millimetre",
        "mm²",
        (_D.AREA, _S.METRIC),
        1,
        0,
        _powers(_SQUARE, "mm", "millimetres", "millimeters"),
    ),
    _unit("FTK", "square foot", "ft²", (_D.AREA, _S.US), _FOOT**2, 3, _powers(_SQUARE, "ft", "feet")),
    _unit("INK", "square inch", "in²", (_D.AREA, _S.US), _INCH**2, 2, _powers(_SQUARE, "in", "inches")),
    _unit("YDK", "square yard", "yd²", (_D.AREA, _S.US), _YARD**2, 3, _powers(_SQUARE, "yd", "yards")),
    _unit("LTR", "litre", "l", (_D.VOLUME, _S.METRIC), 1_000_000, 3, "litres|liter|liters|ltr"),
    _unit(
        "MLT", "millilitre", "ml", (_D.VOLUME, _S.METRIC), 1_000, 2, "millilitres|milliliter|milliliters|mls"
    ),
    _unit("CLT", "centilitre", "cl", (_D.VOLUME, _S.METRIC), 10_000, 2, "centilitres|centiliter|centiliters"),
    _unit("DLT", "decilitre", "dl", (_D.VOLUME, _S.METRIC), 100_000, 3, "decilitres|deciliter|deciliters"),
    _unit("4G", "microlitre", "µl", (_D.VOLUME, _S.METRIC), 1, 0, "ul|microlitres|microliter|microliters"),
    _unit(
        "MTQ",
        "cubic metre",
        "m³",
        (_D.VOLUME, _S.METRIC),
        _M3,
        6,
        _powers(_CUBIC, "m", "metres", "meters", "meter"),
    ),
    _unit(
        "CMQ",
        "cubic centimetre",
        "cm³",
        (_D.VOLUME, _S.METRIC),
        1_000,
        2,
        _powers(_CUBIC, "cm", "centimetres", "centimeters") + "|cc|ccm",
    ),
    _unit(
        "GLL",
        "gallon (US)",
        "gal (US)",
        (_D.VOLUME, _S.US),
        _GALLON,
        3,
        "gal|gals|gallon|gallons|us gal|us gallon|us gallons",
    ),
    _unit(
        "QTL",
        "liquid quart (US)",
        "qt (US)",
        (_D.VOLUME, _S.US),
        _GALLON / 4,
        3,
        "qt|qts|quart|quarts|us qt|us quart",
    ),
    _unit(
        "PTL",
        "liquid pint (US)",
        "pt (US)",
        (_D.VOLUME, _S.US),
        _GALLON / 8,
        3,
        "pt|pts|pint|pints|us pt|us pint",
    ),
    _unit(
        "OZA",
        "fluid ounce (US)",
        "fl oz (US)",
        (_D.VOLUME, _S.US),
        _GALLON / 128,
        2,
        "fl oz|floz|fluid ounce|fluid ounces|us fl oz",
    ),
    _unit("INQ", "cubic inch", "in³", (_D.VOLUME, _S.US), _INCH**3, 2, _powers(_CUBIC, "in", "inches")),
    _unit("FTQ", "cubic foot", "ft³", (_D.VOLUME, _S.US), _FOOT**3, 4, _powers(_CUBIC, "ft", "feet")),
    _unit(
        "GLI",
        "gallon (UK)",
        "gal (UK)",
        (_D.VOLUME, _S.UK),
        _UK_GALLON,
        3,
        "uk gal|uk gallon|imp gal|imperial gallon|imperial gallons",
    ),
    _unit(
        "OZI", "fluid ounce (UK)", "fl oz (UK)", (_D.VOLUME, _S.UK), _UK_GALLON / 160, 2, "uk fl oz|imp fl oz"
    ),
    _unit("H87", "piece", "piece", (_D.COUNT, _S.ANY), 1, 0, "pieces|pc|pcs|pce"),
    _unit("C62", "one", "", (_D.COUNT, _S.ANY), 1, 0, ""),
    _unit("EA", "each", "each", (_D.COUNT, _S.ANY), 1, 0, "ea"),
    _unit("PR", "pair", "pair", (_D.COUNT, _S.ANY), 2, 1, "pairs|pr|prs"),
    _unit("DZN", "dozen", "dozen", (_D.COUNT, _S.ANY), 12, 2, "dozens|doz|dz"),
    _unit("GM", "gram per square metre", "g/m²", (_D.AREAL_WEIGHT, _S.METRIC), 1, 2, "gsm|g/sqm|g/sq m"),
    _unit(
        "28", "kilogram per square metre", "kg/m²", (_D.AREAL_WEIGHT, _S.METRIC), 1_000, 4, "kg/sqm|kg/sq m"
    ),
    _unit(
        "ON",
        "ounce per square yard",
        "oz/yd²",
        (_D.AREAL_WEIGHT, _S.US),
        _OUNCE / _YARD**2 * 1_000,
        2,
        "oz/sq yd|osy|oz per sq yd",
    ),
    _unit("GF", "gram per metre", "g/m", (_D.LINEAR_WEIGHT, _S.METRIC), 1, 2, ""),
    _unit("KL", "kilogram per metre", "kg/m", (_D.LINEAR_WEIGHT, _S.METRIC), 1_000, 5, ""),
    _unit("P2", "pound per foot", "lb/ft", (_D.LINEAR_WEIGHT, _S.US), _POUND / _FOOT, 4, ""),
    _unit("KMQ", "kilogram per cubic metre", "kg/m³", (_D.DENSITY, _S.METRIC), 1, 1, "kg/cu m"),
    _unit("23", "gram per cubic centimetre", "g/cm³", (_D.DENSITY, _S.METRIC), 1_000, 4, "g/cc|g/ml|kg/l"),
    _unit("GL", "gram per litre", "g/l", (_D.DENSITY, _S.METRIC), 1, 1, ""),
    _unit(
        "GE",
        "pound per gallon (US)",
        "lb/gal (US)",
        (_D.DENSITY, _S.US),
        _POUND / _GALLON * 1_000,
        3,
        "lb/gal|lbs/gal|ppg",
    ),
    _unit(
        "87",
        "pound per cubic foot",
        "lb/ft³",
        (_D.DENSITY, _S.US),
        _POUND / _FOOT**3 * 1_000,
        3,
        "lb/cu ft|lbs/cu ft|pcf",
    ),
    _unit(
        "CEL",
        "degree Celsius",
        "°C",
        (_D.TEMPERATURE, _S.METRIC),
        1,
        2,
        "c|degc|deg c|celsius|degrees c|degrees celsius|° c",
    ),
    _unit(
        "FAH",
        "degree Fahrenheit",
        "°F",
        (_D.TEMPERATURE, _S.US),
        Fraction(5, 9),
        2,
        "f|degf|deg f|fahrenheit|degrees f|degrees fahrenheit|° f",
        Fraction(-160, 9),
    ),
    _unit("KEL", "kelvin", "K", (_D.TEMPERATURE, _S.METRIC), 1, 2, "kelvins", Fraction("-273.15")),
    _unit("KPA", "kilopascal", "kPa", (_D.PRESSURE, _S.METRIC), 1, 2, ""),
    _unit("PAL", "pascal", "Pa", (_D.PRESSURE, _S.METRIC), "0.001", 0, ""),
    _unit("A97", "hectopascal", "hPa", (_D.PRESSURE, _S.METRIC), "0.1", 1, ""),
    _unit("MPA", "megapascal", "MPa", (_D.PRESSURE, _S.METRIC), 1_000, 4, ""),
    _unit("BAR", "bar", "bar", (_D.PRESSURE, _S.METRIC), 100, 3, "bars"),
    _unit("MBR", "millibar", "mbar", (_D.PRESSURE, _S.METRIC), "0.1", 1, ""),
    _unit(
        "PS", "pound-force per square inch", "psi", (_D.PRESSURE, _S.US), _PSI, 2, "lbf/in2|lb/in2|lb/sq in"
    ),
    _unit("SEC", "second", "s", (_D.DURATION, _S.ANY), 1, 1, "sec|secs|seconds"),
    _unit("MIN", "minute", "min", (_D.DURATION, _S.ANY), 60, 2, "mins|minutes"),
    _unit("HUR", "hour", "h", (_D.DURATION, _S.ANY), 3_600, 3, "hr|hrs|hours"),
    _unit("DAY", "day", "d", (_D.DURATION, _S.ANY), 86_400, 3, "days"),
    _unit("WEE", "week", "wk", (_D.DURATION, _S.ANY), 604_800, 3, "wks|weeks"),
)

UNITS: Mapping[str, Unit] = MappingProxyType({unit.code: unit for unit in _ALL})
"""Every unit by its Recommendation 20 code."""

SPELLINGS: Mapping[str, Unit] = MappingProxyType(
    {word: unit for unit in _ALL if unit.code != "C62" for word in unit.spellings}
)
"""Every spelling, folded, and its unit. Bare gallon, quart, pint and fluid ounce are the US ones."""
