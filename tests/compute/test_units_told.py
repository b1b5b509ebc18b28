"""Amounts at a glance, and values in US units.

Outside check: 1 in = 25.4 mm, 1 lb = 453.59237 g and °F = 1.8 °C + 32 by Python's own decimal arithmetic
(NIST Special Publication 811, appendix B, from memory).
"""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.units import BESIDE, US_UNITS, Amount, Base, Spoken, glance, metres, us_value
from tests.make import refused


@pytest.mark.parametrize(
    ("amount", "metric", "us"),
    [
        (Amount(46_110, Base.MM), "46.11 m", "151.28 ft"),
        (Amount(6_587, Base.MM), "6.59 m", "21.61 ft"),
        (Amount(1_850, Base.MM), "1.85 m", "6.07 ft"),
        (Amount(1_000, Base.MM), "1 m", "3.28 ft"),
        (Amount(1_854, Base.MM), "1854 mm", "73 in"),
        (Amount(999, Base.MM), "999 mm", "39.33 in"),
        (Amount(1_234_000, Base.MG), "1234 g", "2.72 lb"),
        (Amount(46_111_000, Base.MG), "46.11 kg", "101.66 lb"),
        (Amount(511_111, Base.MM2), "0.51 m²", "5.5 ft²"),
        (Amount(0, Base.MM), "0 m", "0 ft"),
        (Amount(-6_587, Base.MM), "−6.59 m", "−21.61 ft"),
        (Amount(3, Base.PIECE), "3 pieces", "3 pieces"),
    ],
)
def test_glance_when_lengths_stand_in_one_list_tells_metres_from_one_up(amount, metric, us):
    """Film and edge in metres with two decimals; resin below 10 kg in whole grams; no idle figure."""
    assert str(glance(amount=amount)) == metric == str(Spoken(amount))
    assert str(glance(amount=amount, us=True)) == us


@pytest.mark.parametrize(
    ("amount", "told"),
    [
        (Amount(6_587, Base.MM), "6587 mm"),
        (Amount(46_111, Base.MM), "46111 mm"),
        (Amount(6_500, Base.MM), "6.5 m"),
        (Amount(12_345_600, Base.MG), "12345.6 g"),
        (Amount(5_100_000, Base.MG), "5.1 kg"),
        (Amount(2_500_100, Base.UL), "2500.1 ml"),
    ],
)
def test_glance_when_two_amounts_are_held_against_each_other_loses_nothing(amount, told):
    """6590 mm asked of 6587 are no “6.59 m of 6.59 m”."""
    assert str(glance(amount=amount, exact=True)) == told == str(Spoken(amount, exact=True))
    assert glance(amount=amount, exact=True).exact


def test_glance_when_typed_in_a_unit_keeps_that_unit():
    """What was typed in millimetres or in pounds and ounces stays in them."""
    assert str(glance(amount=Amount(6_587, Base.MM), unit="MMT")) == "6587 mm"
    assert str(glance(amount=Amount(510_291, Base.MG), unit="LBR ONZ")) == "1 lb 2 oz"


@given(st.integers(2_500, 100_000_000))
def test_glance_of_a_length_is_off_by_less_than_six_millimetres(length):
    """Two decimals of a metre: half a centimetre at the most."""
    shown = glance(amount=Amount(length, Base.MM))
    assert shown.unit == "m"
    assert abs(Decimal(shown.number) * 1000 - length) <= 5


@given(st.decimals(-90, 500, places=1))
def test_us_value_of_a_temperature_agrees_with_decimal_arithmetic(celsius):
    """To as many decimals as it was given with."""
    places = len(f"{float(celsius):.12g}".partition(".")[2])
    exact = (celsius * Decimal("1.8") + 32).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)
    told = us_value(value=float(celsius), unit="°C")
    assert told.endswith(" °F")
    assert Decimal(told.removesuffix(" °F").replace("−", "-")) == exact


@pytest.mark.parametrize(
    ("value", "unit", "decimals", "told"),
    [
        (200.0, "kg", None, "441 lb"),
        (173.6, "kg", None, "382.7 lb"),
        (20.0, "°C", 1, "68.0 °F"),
        (3.0, "K", None, "5 °F"),
        (-1.5, "K/min", None, "−2.7 °F/min"),
        (300.0, "kPa", None, "43.5 psi"),
        (413.685437, "kPa", None, "60 psi"),
        (10.0, "l", None, "2.6 gal (US)"),
        (1.2, "l/h", None, "0.32 gal (US)/h"),
        (150.0, "l/min", None, "5.3 ft³/min"),
        (250.0, "kN", None, "56200 lbf"),
        (5.4, "kJ", None, "3980 ft·lbf"),
        (750.0, "g/m²", None, "22.1 oz/yd²"),
        (1100.0, "kg/m³", None, "68.7 lb/ft³"),
        (0.5, "mm", None, "0.02 in"),
    ],
)
def test_us_value_is_as_precise_as_what_it_is_made_of(value, unit, decimals, told):
    """200 kg are no 440.92 lb: nothing is known of those decimals."""
    assert us_value(value=value, unit=unit, decimals=decimals) == told


PRINTED = {  # one of theirs in ours, as appendix B.8 prints it, to seven figures
    "kg": 0.4535924,
    "kPa": 6.894757,
    "l": 3.785412,
    "l/h": 3.785412,
    "l/min": 60 * 0.4719474,
    "kN": 4.448222e-3,
    "kJ": 1.355818e-3,
    "m": 0.3048,
    "mm": 25.4,
    "g/m²": 33.90575,
    "g/m": 1488.164,
    "kg/m³": 16.01846,
}


def test_factors_agree_with_those_that_are_printed():
    """Outside check: NIST Special Publication 811, appendix B.8, as the R package NISTunits has it (read);
    lb/ft and lb/ft³ from memory. Degrees have their own test above."""
    assert PRINTED.keys() | {"°C", "K", "K/min"} == BESIDE.keys()
    for unit, factor in PRINTED.items():
        assert float(BESIDE[unit].ours) == pytest.approx(factor, rel=5e-7), unit
    assert {unit for unit in US_UNITS if US_UNITS[unit].offset} == {"°C"}


def test_unit_that_has_none_of_theirs_is_refused_and_one_that_has_is_told():
    """A lap is none; a litre is."""
    with refused("units.unknown_unit", "lap"):
        us_value(value=1.0, unit="lap")
    assert us_value(value=1.0, unit="l") == "0.3 gal (US)"


@pytest.mark.parametrize(
    ("value", "told"), [(3.2, "3.2 m"), (0.871, "0.87 m"), (2.346, "2.35 m"), (0, "0 m")]
)
def test_place_along_a_trailer_stays_in_metres_whatever_its_size(value, told):
    """A ski of 871 mm is 871 mm; a zone there is at 0.87 m."""
    assert str(metres(value)) == told
