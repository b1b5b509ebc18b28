"""The unit table against the published list and a general library of units."""

from fractions import Fraction

import pint
import pytest

from inventory.compute.units import DIMENSION, UNITS, Base, Dimension, parse_value
from inventory.compute.units.table import SPELLINGS, System, fold

exact = pint.UnitRegistry(non_int_type=Fraction)

# Source: UN/ECE Recommendation 20, revision 17 (2021): common code, name, symbol, conversion factor to
# the SI unit as printed there (decimal commas written as points, powers of ten as e; read).
REC_20 = [
    ("KGM", "kilogram", "kg", "1", "kg"),
    ("GRM", "gram", "g", "1e-3", "kg"),
    ("MGM", "milligram", "mg", "1e-6", "kg"),
    ("TNE", "tonne (metric ton)", "t", "1e3", "kg"),
    ("LBR", "pound", "lb", "0.45359237", "kg"),
    ("ONZ", "ounce (avoirdupois)", "oz", "2.834952e-2", "kg"),
    ("MTR", "metre", "m", "1", "m"),
    ("MMT", "millimetre", "mm", "1e-3", "m"),
    ("CMT", "centimetre", "cm", "1e-2", "m"),
    ("DMT", "decimetre", "dm", "1e-1", "m"),
    ("KMT", "kilometre", "km", "1e3", "m"),
    ("4H", "micrometre (micron)", "µm", "1e-6", "m"),
    ("INH", "inch", "in", "25.4e-3", "m"),
    ("FOT", "foot", "ft", "0.3048", "m"),
    ("YRD", "yard", "yd", "0.9144", "m"),
    ("MTK", "square metre", "m²", "1", "m2"),
    ("CMK", "square centimetre", "cm²", "1e-4", "m2"),
    ("MMK", "square millimetre", "mm²", "1e-6", "m2"),
    ("FTK", "square foot", "ft²", "9.290304e-2", "m2"),
    ("INK", "square inch", "in²", "6.4516e-4", "m2"),
    ("YDK", "square yard", "yd²", "8.361274e-1", "m2"),
    ("LTR", "litre", "l", "1e-3", "m3"),
    ("MLT", "millilitre", "ml", "1e-6", "m3"),
    ("CLT", "centilitre", "cl", "1e-5", "m3"),
    ("DLT", "decilitre", "dl", "1e-4", "m3"),
    ("4G", "microlitre", "µl", "1e-9", "m3"),
    ("MTQ", "cubic metre", "m³", "1", "m3"),
    ("CMQ", "cubic centimetre", "cm³", "1e-6", "m3"),
    ("GLL", "gallon (US)", "gal (US)", "3.785412e-3", "m3"),
    ("QTL", "liquid quart (US)", "liq qt (US)", "9.463529e-4", "m3"),
    ("PTL", "liquid pint (US)", "liq pt (US)", "4.731765e-4", "m3"),
    ("OZA", "fluid ounce (US)", "fl oz (US)", "2.957353e-5", "m3"),
    ("INQ", "cubic inch", "in³", "16.387064e-6", "m3"),
    ("FTQ", "cubic foot", "ft³", "2.831685e-2", "m3"),
    ("GLI", "gallon (UK)", "gal (UK)", "4.546092e-3", "m3"),
    ("OZI", "fluid ounce (UK)", "fl oz (UK)", "2.841306e-5", "m3"),
    ("H87", "piece", "", "1", "piece"),
    ("C62", "one", "1", "1", "piece"),
    ("EA", "each", "", "1", "piece"),
    ("PR", "pair", "", "2", "piece"),
    ("DZN", "dozen", "DOZ", "12", "piece"),
    ("GM", "gram per square metre", "g/m²", "1e-3", "kg/m2"),
    ("28", "kilogram per square metre", "kg/m²", "1", "kg/m2"),
    ("ON", "ounce per square yard", "oz/yd²", "3.390575e-2", "kg/m2"),
    ("GF", "gram per metre (gram per 100 centimetres)", "g/m", "1e-3", "kg/m"),
    ("KL", "kilogram per metre", "kg/m", "1", "kg/m"),
    ("P2", "pound per foot", "lb/ft", "1.488164", "kg/m"),
    ("KMQ", "kilogram per cubic metre", "kg/m³", "1", "kg/m3"),
    ("23", "gram per cubic centimetre", "g/cm³", "1e3", "kg/m3"),
    ("GL", "gram per litre", "g/l", "1", "kg/m3"),
    ("GE", "pound per gallon (US)", "lb/gal (US)", "1.198264e2", "kg/m3"),
    ("87", "pound per cubic foot", "lb/ft³", "1.601846e1", "kg/m3"),
    ("CEL", "degree Celsius", "°C", "1", "K"),
    ("FAH", "degree Fahrenheit", "°F", None, "K"),
    ("KEL", "kelvin", "K", "1", "K"),
    ("KPA", "kilopascal", "kPa", "1e3", "Pa"),
    ("PAL", "pascal", "Pa", "1", "Pa"),
    ("A97", "hectopascal", "hPa", "1e2", "Pa"),
    ("MPA", "megapascal", "MPa", "1e6", "Pa"),
    ("BAR", "bar [unit of pressure]", "bar", "1e5", "Pa"),
    ("MBR", "millibar", "mbar", "1e2", "Pa"),
    ("PS", "pound-force per square inch", "lbf/in²", "6.894757e3", "Pa"),
    ("SEC", "second [unit of time]", "s", "1", "s"),
    ("MIN", "minute [unit of time]", "min", "60", "s"),
    ("HUR", "hour", "h", "3600", "s"),
    ("DAY", "day", "d", "86400", "s"),
    ("WEE", "week", "wk", "6.048e5", "s"),
]
# How many kept units one SI unit is: the module keeps mg, mm, mm2, ul, g/m2, g/m, kg/m3, kPa, s.
KEPT = {
    "kg": 10**6,
    "m": 10**3,
    "m2": 10**6,
    "m3": 10**9,
    "kg/m2": 1000,
    "kg/m": 1000,
    "Pa": Fraction(1, 1000),
}

PINT = {
    Base.MG: ("milligram", "KGM kilogram", "GRM gram", "TNE tonne", "LBR pound", "ONZ ounce"),
    Base.MM: (
        "millimeter",
        "MTR meter",
        "CMT centimeter",
        "KMT kilometer",
        "INH inch",
        "FOT foot",
        "YRD yard",
    ),
    Base.MM2: ("millimeter**2", "MTK meter**2", "FTK foot**2", "INK inch**2", "YDK yard**2"),
    Base.UL: (
        "microliter",
        "LTR liter",
        "MTQ meter**3",
        "GLL gallon",
        "QTL quart",
        "PTL pint",
        "OZA fluid_ounce",
        "INQ inch**3",
        "FTQ foot**3",
        "GLI imperial_gallon",
        "OZI imperial_fluid_ounce",
    ),
}
PINT_PROPERTIES = (
    "gram/meter**2",
    "28 kilogram/meter**2",
    "ON ounce/yard**2",
), (
    "kilopascal",
    "PS psi",
    "BAR bar",
    "MBR millibar",
    "A97 hectopascal",
    "MPA megapascal",
), (
    "kilogram/meter**3",
    "23 gram/centimeter**3",
    "GE pound/gallon",
    "87 pound/foot**3",
), (
    "gram/meter",
    "P2 pound/foot",
), (
    "second",
    "MIN minute",
    "HUR hour",
    "DAY day",
    "WEE week",
)  # fmt: skip
PINT_ROWS = [(row[0], *one.split(" ", 1)) for row in (*PINT.values(), *PINT_PROPERTIES) for one in row[1:]]


def test_units_when_listed_are_exactly_those_checked():
    """No unit is without its published row."""
    assert sorted(row[0] for row in REC_20) == sorted(UNITS)


@pytest.mark.parametrize(("code", "name", "symbol", "factor", "si"), REC_20, ids=[row[0] for row in REC_20])
def test_unit_when_compared_with_the_published_list_agrees(code, name, symbol, factor, si):
    """Code, name, symbol and factor are the list's; the list rounds to seven figures."""
    unit = UNITS[code]
    assert name.startswith(unit.name) or code in {"ONZ"}
    if symbol and code not in {"C62", "DZN", "QTL", "PTL", "PS"}:  # printed here as people write them
        assert unit.symbol == symbol
    if factor is not None:
        published = Fraction(factor) * KEPT.get(si, 1)
        assert unit.factor == pytest.approx(published, rel=5.1e-7)


@pytest.mark.parametrize(("kept", "code", "name"), PINT_ROWS, ids=[row[1] for row in PINT_ROWS])
def test_factor_when_compared_with_a_general_library_is_equal(kept, code, name):
    """The factor is exact: equal as a fraction, not nearly equal."""
    assert exact.Quantity(Fraction(1), name).to(kept).magnitude == UNITS[code].factor


@pytest.mark.parametrize("text", ["-40 °F", "0 F", "72 °F", "350 F", "293.15 K", "-12 C"])
def test_temperature_when_compared_with_a_general_library_agrees(text):
    """Degrees Fahrenheit and kelvin become degrees Celsius as the library has it."""
    number, unit = text.split()
    name = {"°F": "degF", "F": "degF", "K": "kelvin", "C": "degC"}[unit]
    library = pint.UnitRegistry().Quantity(float(number), name).to("degC").magnitude
    assert parse_value(text=text, dimension=Dimension.TEMPERATURE).number == pytest.approx(library, abs=1e-9)


def test_spellings_when_folded_are_unchanged_and_belong_to_one_unit():
    """What is looked up is already folded, and no word means two units."""
    words = [word for unit in UNITS.values() if unit.code != "C62" for word in unit.spellings]
    assert len(words) == len(set(words)) == len(SPELLINGS)
    assert all(fold(word) == word for word in words)
    assert fold("  Sq.  M ") == "sq m"
    assert fold("kg per m^3") == "kg/m3"
    assert fold("µL") == "ul"


def test_bases_when_listed_have_a_dimension_and_a_unit_of_factor_one():
    """Each base unit is itself a unit of the table, so that any amount can be shown."""
    for base in Base:
        ones = [unit for unit in UNITS.values() if unit.dimension is DIMENSION[base] and unit.factor == 1]
        assert ones, base


def test_systems_when_counted_leave_no_family_of_one_by_mistake():
    """UK units are the imperial volumes only; counts and times belong to no family."""
    assert {unit.code for unit in UNITS.values() if unit.system is System.UK} == {"GLI", "OZI"}
    anywhere = {unit.dimension for unit in UNITS.values() if unit.system is System.ANY}
    assert anywhere == {Dimension.COUNT, Dimension.DURATION}


# What a scale, tape or label in that unit shows at most (common practice, no source).
DECIMALS = {
    0: "MGM MMT 4H MMK 4G H87 C62 EA PAL",
    1: "CMT PR KMQ GL A97 MBR SEC",
    2: "GRM ONZ DMT INH CMK INK MLT CLT CMQ OZA INQ OZI DZN GM ON GF CEL FAH KEL KPA PS MIN",
    3: "KGM TNE LBR MTR KMT FOT YRD FTK YDK LTR DLT GLL QTL PTL GLI GE 87 BAR HUR DAY WEE",
    4: "MTK FTQ 28 P2 23 MPA",
    5: "KL",
    6: "MTQ",
}


def test_decimals_when_listed_are_those_that_are_shown():
    """Every unit has its number of decimals."""
    listed = {code: places for places, codes in DECIMALS.items() for code in codes.split()}
    assert {code: unit.decimals for code, unit in UNITS.items()} == listed
