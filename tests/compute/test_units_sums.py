"""Reckoned sums as they are told: what is said is never on the wrong side, and is what a person would say.

Outside check: the directed rounding of Python's own decimal arithmetic (ROUND_CEILING, ROUND_FLOOR; General
Decimal Arithmetic specification, from memory); 1 lb = 453.59237 g (NIST SP 811, appendix B, from memory).
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.compute.units import (
    LARGEST,
    UNITS,
    Amount,
    Base,
    Side,
    Spoken,
    about,
    at_least,
    at_most,
    even,
    lacking,
)

OURS = {
    unit.symbol: unit.factor
    for unit in UNITS.values()
    if unit.code in {"KGM", "GRM", "MGM", "MTR", "MMT", "MTK", "CMK", "MMK", "LTR", "MLT", "4G", "LBR", "ONZ"}
    or unit.code in {"FOT", "INH", "FTK", "INK", "GLL", "OZA", "H87"}
}
AMOUNTS = st.sampled_from(list(Base)).flatmap(
    lambda base: st.builds(Amount, st.integers(1, LARGEST[base].value), st.just(base))
)


def exactly(told: Spoken, us: bool) -> Decimal:
    """What was told, in base units, as somebody who reads it would take it."""
    (part,) = told.shown(us=us).parts
    factor = OURS[part.unit.replace("pieces", "piece")]
    return Decimal(part.number) * factor.numerator / factor.denominator


@pytest.mark.parametrize(
    ("grams", "up", "down"),
    [
        ("665.85", "666 g", "665 g"),
        ("965.85", "966 g", "965 g"),
        ("9.84", "9.9 g", "9.8 g"),
        ("9.96", "10 g", "9.9 g"),
        ("0.02", "20 mg", "20 mg"),
        ("1904.28", "1905 g", "1904 g"),
        ("1909.28", "1.91 kg", "1909 g"),
        ("9999.5", "10 kg", "9999 g"),
        ("34556.4", "34.56 kg", "34.55 kg"),
        ("700", "700 g", "700 g"),
    ],
)
def test_grams_are_told_as_a_person_says_them_and_on_their_side(grams, up, down):
    """Whole grams from 10 g on, tenths below, kilograms where they are large; none is ever nothing."""
    amount = Amount(int(Decimal(grams) * 1000), Base.MG)
    assert (str(at_least(amount)), str(at_most(amount))) == (up, down)


@pytest.mark.parametrize(
    ("amount", "up", "down", "us_up", "us_down"),
    [
        (Amount(6_697, Base.MM), "6.7 m", "6.69 m", "21.98 ft", "21.97 ft"),
        (Amount(1_854, Base.MM), "1854 mm", "1854 mm", "6.09 ft", "6.08 ft"),
        (Amount(511_111, Base.MM2), "0.52 m²", "0.51 m²", "5.51 ft²", "5.5 ft²"),
        (Amount(28, Base.PIECE), "28 pieces", "28 pieces", "28 pieces", "28 pieces"),
        (Amount(665_850, Base.MG), "666 g", "665 g", "1.47 lb", "1.46 lb"),
        (Amount(165_850, Base.MG), "166 g", "165 g", "5.9 oz", "5.8 oz"),
    ],
)
def test_lengths_areas_pieces_and_us_units_are_told_on_their_side(amount, up, down, us_up, us_down):
    """Centimetres of a roll, hundredths of a pound, tenths of an ounce."""
    assert (str(at_least(amount)), str(at_most(amount))) == (up, down)
    assert (str(at_least(amount).shown(us=True)), str(at_most(amount).shown(us=True))) == (us_up, us_down)


@pytest.mark.parametrize(
    ("amount", "up", "down", "kept", "us_up"),
    [
        (Amount(1_904_000, Base.MG), "1.91 kg", "1.90 kg", "1.9040 kg", "4.20 lb"),
        (Amount(750_000, Base.MG), "0.75 kg", "0.75 kg", "0.75 kg", "1.66 lb"),
        (Amount(12_000_000, Base.MG), "12.00 kg", "12.00 kg", "12.00 kg", "26.46 lb"),
        (Amount(1_000, Base.MG), "0.01 kg", "0.00 kg", "0.001 kg", "0.01 lb"),
        (Amount(111_570, Base.MM), "111.6 m", "111.5 m", "111.57 m", "366.1 ft"),
        (Amount(9_550_000, Base.MM2), "9.6 m²", "9.5 m²", "9.55 m²", "102.8 ft²"),
        (Amount(320_000, Base.UL), "0.32 l", "0.32 l", "0.32 l", "0.09 gal (US)"),
        (Amount(0, Base.MG), "0 kg", "0 kg", "0 kg", "0 lb"),
        (Amount(28, Base.PIECE), "28 pieces", "28 pieces", "28 pieces", "28 pieces"),
    ],
)
def test_amounts_of_a_table_are_all_in_the_unit_they_are_ordered_in(amount, up, down, kept, us_up):
    """Resin in kilograms and edge in metres, as many decimals in each row; what is kept loses nothing."""
    told = [str(Spoken(amount, side=side, ordered=True)) for side in (Side.UP, Side.DOWN, None)]
    assert told == [up, down, kept]
    assert str(Spoken(amount, side=Side.UP, ordered=True).shown(us=True)) == us_up


@given(AMOUNTS, st.booleans())
def test_what_is_told_is_never_on_the_wrong_side_and_close(amount, us):
    """A need is never told smaller, stock never larger; a need is never told as nothing."""
    least, most = exactly(at_least(amount), us), exactly(at_most(amount), us)
    slack = Decimal("0.5")  # an amount is kept in whole base units; a US step is not whole in them
    assert most - slack < amount.value < least + slack
    if not us:
        assert most <= amount.value <= least
        assert most > 0
    assert least > 0
    assert most - slack <= exactly(about(amount), us) <= least + slack
    if amount.base in (Base.MG, Base.UL) and amount.value >= 100_000:
        assert least - most <= Decimal("0.03") * amount.value, "a tenth of an ounce of 100 g at the most"


@given(st.integers(10_000, 9_000_000))
def test_whole_grams_agree_with_decimal_arithmetic_rounded_that_way(milligrams):
    """Ceiling for a need, floor for stock."""
    grams = Decimal(milligrams) / 1000
    for side, to in ((Side.UP, ROUND_CEILING), (Side.DOWN, ROUND_FLOOR)):
        told = even(amount=Amount(milligrams, Base.MG), side=side)
        assert told.value == grams.quantize(Decimal(1), to) * 1000


@given(st.integers(1, 20_000_000), st.integers(1, 20_000_000))
def test_what_is_missing_is_what_is_needed_less_what_comes_as_they_are_told(needed, there):
    """ "Too little, by 667 g: 966 g are needed, and 299 g comes": they add up, and 667 g is enough."""
    assume(needed > there)
    wanted, has = Amount(needed, Base.MG), Amount(there, Base.MG)
    missing = exactly(lacking(needed=wanted, there=has), us=False)
    assert missing >= needed - there
    if needed < 10_000_000:
        apart = exactly(at_least(wanted), us=False) - exactly(at_most(has), us=False)
        assert 0 <= missing - apart < 1000, "less than a gram, where what is missing is told in tenths"
