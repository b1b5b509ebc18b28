"""Amounts shown in the units they were typed in, with what rounding did."""

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.compute.units import (
    DIMENSION,
    LARGEST,
    UNITS,
    Amount,
    Base,
    Dimension,
    parse,
    parse_value,
    show,
    show_value,
    usual_unit,
)
from inventory.errors import Refused


@pytest.mark.parametrize(
    ("text", "base"),
    [
        ("2.5 kg", Base.MG),
        ("2 lb 3 oz", Base.MG),
        ("0.5 lb", Base.MG),
        ("12.34 g", Base.MG),
        ("28 oz", Base.MG),
        ("1 oz", Base.MG),
        ("1.5 l", Base.UL),
        ("2 gal (US)", Base.UL),
        ("6 1/4 in", Base.MM),
        ("1/16 in", Base.MM),
        ("6 ft 2 1/2 in", Base.MM),
        ("6 ft 0 in", Base.MM),
        ("185.5 cm", Base.MM),
        ("1 ft", Base.MM),
        ("2.5 ft", Base.MM),
        ("1 yd", Base.MM),
        ("0.1 in", Base.MM),
        ("0.43 m²", Base.MM2),
        ("3 ft²", Base.MM2),
        ("4 pairs", Base.PIECE),
        ("1 pair", Base.PIECE),
        ("1.5 pairs", Base.PIECE),
        ("7 pieces", Base.PIECE),
        ("1 piece", Base.PIECE),
        ("2 dozens", Base.PIECE),
    ],
)
def test_show_when_given_what_was_typed_writes_the_same_again(text, base):
    """Typed in ounces, shown in ounces; typed as a fraction of an inch, shown as one."""
    typed = parse(text=text, base=base)
    shown = show(amount=typed.amount, unit=typed.written_in)
    assert str(shown) == text
    assert shown.exact
    assert shown.rounding is None
    assert shown.how.inputs[0].value == typed.amount.value


def test_show_when_shown_keeps_number_and_unit_apart():
    """A page sets the unit smaller than the number."""
    shown = show(amount=Amount(2_500_000, Base.MG), unit="KGM")
    assert (shown.number, shown.unit) == ("2.5", "kg")
    compound = show(amount=Amount(992_233, Base.MG), unit="LBR ONZ")
    assert [(part.number, part.unit) for part in compound.parts] == [("2", "lb"), ("3", "oz")]


def test_show_when_something_is_lost_says_to_what_it_was_rounded():
    """A third of a pound has no end; half of one has."""
    third = show(amount=parse(text="1/3 lb", base=Base.MG).amount, unit="LBR")
    assert str(third) == "0.333 lb"
    assert str(third.rounding) == "Rounded to 0.001 lb."
    assert show(amount=parse(text="1/2 lb", base=Base.MG).amount, unit="LBR").rounding is None
    whole = show(amount=Amount(412_345, Base.MG), unit="GRM", decimals=0)
    assert (str(whole), str(whole.rounding)) == ("412 g", "Rounded to 1 g.")
    inches = show(amount=Amount(160, Base.MM), unit="INH/16")
    assert (str(inches), inches.exact) == ("6 5/16 in", True)
    assert show(amount=Amount(161, Base.MM), unit="INH/16").exact is False
    assert str(show(amount=Amount(161, Base.MM), unit="INH/16").rounding) == "Rounded to 0.0625 in."


def test_show_when_decimals_are_asked_for_keeps_them_all():
    """A column of numbers lines up."""
    assert str(show(amount=Amount(2_500_000, Base.MG), unit="KGM", decimals=3)) == "2.500 kg"
    assert str(show(amount=Amount(2_500_000, Base.MG), unit="KGM", decimals=0)) == "2 kg"
    assert str(show(amount=Amount(3_500_000, Base.MG), unit="KGM", decimals=0)) == "4 kg"
    assert str(show(amount=Amount(0, Base.MG), unit="KGM", decimals=2)) == "0.00 kg"
    for decimals in (-1, 10):
        with pytest.raises(Refused) as caught:
            show(amount=Amount(1, Base.MG), unit="KGM", decimals=decimals)
        assert caught.value.code == "units.bad_decimals"
    assert str(show(amount=Amount(1, Base.MG), unit="KGM", decimals=9)) == "0.000001000 kg"


def test_show_when_a_difference_is_below_zero_has_one_sign():
    """140 g under the books; a small difference that rounds to nothing has no sign."""
    assert str(show(amount=Amount(-140_000, Base.MG), unit="GRM")) == "−140 g"
    assert str(show(amount=Amount(-992_233, Base.MG), unit="LBR ONZ")) == "−2 lb 3 oz"
    assert str(show(amount=Amount(-159, Base.MM), unit="INH/16")) == "−6 1/4 in"
    assert str(show(amount=Amount(-4, Base.MG), unit="KGM", decimals=0)) == "0 kg"


def test_show_when_three_decimals_could_mean_thousands_writes_a_fourth():
    """1.234 kg would be refused when typed, so it is never written; 0.234 kg can be read one way."""
    assert str(show(amount=Amount(1_234_000, Base.MG), unit="KGM")) == "1.2340 kg"
    assert str(show(amount=Amount(999_001_000, Base.MG), unit="KGM")) == "999.0010 kg"
    assert str(show(amount=Amount(1_000_001_000, Base.MG), unit="KGM")) == "1000.001 kg"
    assert str(show(amount=Amount(234_000, Base.MG), unit="KGM")) == "0.234 kg"
    assert str(show(amount=Amount(1_234_000, Base.MG), unit="KGM", decimals=3)) == "1.234 kg"


@pytest.mark.parametrize("unit", ["NONE", "kg", "KGM/8", "KGM ", "KGM  ONZ", "LBR NONE", "/16"])
def test_show_when_the_unit_is_unknown_is_refused(unit):
    """A stored unit that is not in the table is refused; one that is, is used."""
    with pytest.raises(Refused) as caught:
        show(amount=Amount(1, Base.MG), unit=unit)
    assert caught.value.code == "units.unknown_unit"
    assert str(show(amount=Amount(1_000_000, Base.MG), unit="KGM")) == "1 kg"


def test_show_when_the_unit_measures_something_else_is_refused():
    """A mass in litres is refused; in kilograms it is shown."""
    for unit in ("LTR", "KGM LTR"):
        with pytest.raises(Refused) as caught:
            show(amount=Amount(1, Base.MG), unit=unit)
        assert caught.value.code == "units.wrong_dimension"
        assert "volume" in str(caught.value)


def test_show_when_an_area_is_below_a_square_metre_gives_square_metres_to_four_decimals():
    """0.5111 m², and that it was rounded; what four decimals hold is exact. Halves: by hand."""
    rounded, whole = show(amount=Amount(511_111, Base.MM2)), show(amount=Amount(182_500, Base.MM2))
    assert (str(rounded), rounded.exact) == ("0.5111 m²", False)
    assert (str(whole), whole.exact) == ("0.1825 m²", True)


@pytest.mark.parametrize(
    ("amount", "metric", "us"),
    [
        (Amount(0, Base.MG), "MGM", "ONZ"),
        (Amount(999, Base.MG), "MGM", "ONZ"),
        (Amount(1_000, Base.MG), "GRM", "ONZ"),
        (Amount(999_999, Base.MG), "GRM", "LBR"),
        (Amount(-1_000_000, Base.MG), "KGM", "LBR"),
        (Amount(999, Base.MM), "MMT", "FOT"),
        (Amount(1_000, Base.MM), "MTR", "FOT"),
        (Amount(300, Base.MM), "MMT", "INH"),
        (Amount(1_000_000, Base.MM2), "MTK", "FTK"),
        (Amount(999_999, Base.MM2), "MTK", "FTK"),
        (Amount(511_111, Base.MM2), "MTK", "FTK"),
        (Amount(10_000, Base.MM2), "MTK", "INK"),
        (Amount(9_999, Base.MM2), "CMK", "INK"),
        (Amount(99, Base.MM2), "MMK", "INK"),
        (Amount(1_000_000, Base.UL), "LTR", "OZA"),
        (Amount(3_800_000, Base.UL), "LTR", "GLL"),
        (Amount(999, Base.UL), "4G", "OZA"),
        (Amount(3, Base.PIECE), "H87", "H87"),
    ],
)
def test_usual_unit_when_asked_suits_the_size(amount, metric, us):
    """The biggest usual unit of which there is one; of a square metre a hundredth is enough."""
    assert usual_unit(amount=amount) == metric
    assert usual_unit(amount=amount, us=True) == us
    assert show(amount=amount).parts == show(amount=amount, unit=metric).parts


@pytest.mark.parametrize(
    ("value", "unit", "decimals", "expected"),
    [
        (Fraction(-12), "CEL", None, "−12 °C"),
        (Fraction(-40), "FAH", None, "−40 °F"),
        (Fraction(0), "FAH", None, "32 °F"),
        (20.0, "FAH", 0, "68 °F"),
        (20, "KEL", None, "293.15 K"),
        (413.6854375901017, "PS", None, "60 psi"),
        (Fraction(750), "ON", 1, "22.1 oz/yd²"),
        (5400, "HUR", None, "1.5 h"),
        (-0.001, "CEL", 1, "0.0 °C"),
        (20.37, "CEL", None, "20.37 °C"),
        (Fraction(1, 3), "CEL", None, "0.33 °C"),
        (1234.56789, "23", None, "1.2346 g/cm³"),
    ],
)
def test_show_value_when_shown_in_a_unit_is_rounded_to_its_decimals(value, unit, decimals, expected):
    """Temperatures, pressures, weights and times; 60 psi is 413.7 kPa, 0 °C is 32 °F (definitions)."""
    assert str(show_value(value=value, unit=unit, decimals=decimals)) == expected


def test_show_value_when_no_number_is_refused():
    """Not a number and endless are refused; zero is shown."""
    for value in (float("nan"), float("inf")):
        with pytest.raises(Refused) as caught:
            show_value(value=value, unit="CEL")
        assert caught.value.code == "units.not_a_number"
    with pytest.raises(Refused) as caught:
        show_value(value=1, unit="LBR ONZ")
    assert caught.value.code == "units.unknown_unit"
    with pytest.raises(Refused) as caught:
        show_value(value=1, unit="CEL", decimals=12)
    assert caught.value.code == "units.bad_decimals"
    assert str(show_value(value=0, unit="CEL")) == "0 °C"
    assert show_value(value=20.0, unit="CEL").exact
    assert not show_value(value=Fraction(1, 3), unit="CEL").exact


AMOUNTS = st.sampled_from(list(Base)).flatmap(
    lambda base: st.integers(0, LARGEST[base].value).map(lambda value: Amount(value, base))
)
UNIT_OF = {
    base: [unit for unit in UNITS.values() if unit.dimension is DIMENSION[base] and unit.symbol]
    for base in Base
}


@given(AMOUNTS, st.data())
def test_show_when_exact_reads_back_to_the_same_amount(amount, data):
    """What is called exact is; what is not is off by at most half the step that is named."""
    unit = data.draw(st.sampled_from(UNIT_OF[amount.base]))
    shown = show(amount=amount, unit=unit.code)
    number = Fraction(shown.number)
    if shown.exact and amount.value:
        assert parse(text=str(shown), base=amount.base).amount == amount
    assert abs(number * unit.factor - amount.value) <= max(shown.step * unit.factor, 1) / 2


@given(st.integers(1, 100 * 16))
def test_show_when_typed_in_sixteenths_of_an_inch_comes_back(sixteenths):
    """A sixteenth is more than one millimetre, so every one survives the rounding to whole millimetres."""
    whole, rest = divmod(sixteenths, 16)
    text = " ".join(
        filter(None, (str(whole) if whole else "", str(Fraction(rest, 16)) if rest else "", "in"))
    )
    typed = parse(text=text, base=Base.MM)
    assert str(show(amount=typed.amount, unit=typed.written_in)) == text


@given(st.sampled_from(["LBR ONZ", "KGM GRM"]), st.integers(1, 10_000_000_000))
def test_show_when_in_two_parts_sums_to_the_amount(units, milligrams):
    """Parts never carry over: 15.999 oz is not shown as 16 oz."""
    shown = show(amount=Amount(milligrams, Base.MG), unit=units)
    big, small = (UNITS[code] for code in units.split())
    first, second = (Fraction(part.number) for part in shown.parts)
    assert second * small.factor < big.factor
    assert (
        abs(first * big.factor + second * small.factor - milligrams) <= max(shown.step * small.factor, 1) / 2
    )


@given(st.integers(-(10**12), 10**12), st.integers(0, 6))
def test_show_when_decimals_are_asked_for_agrees_with_decimal_arithmetic(milligrams, decimals):
    """Halves go to even, as the standard library's decimal rounds."""
    expected = (Decimal(milligrams) / 1_000_000).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN)
    shown = show(amount=Amount(milligrams, Base.MG), unit="KGM", decimals=decimals)
    assert Decimal(shown.number.replace("−", "-")) == expected


@given(st.decimals(min_value="0.01", max_value="99", places=2), st.sampled_from(["KGM", "GRM", "LBR", "ONZ"]))
def test_show_when_two_decimals_were_typed_gives_the_same_two(value, code):
    """Any weight with two decimals comes back as it was typed."""
    assume(value > 0)
    typed = parse(text=f"{value:f} {UNITS[code].symbol}", base=Base.MG)
    assert Decimal(show(amount=typed.amount, unit=typed.written_in).number) == value


@given(st.integers(-99_000, 499_000), st.sampled_from(["CEL", "FAH", "KEL"]))
def test_show_value_when_read_back_is_off_by_at_most_half_its_step(thousandths, code):
    """A temperature shown and typed again is the same to its last decimal."""
    shown = show_value(value=Fraction(thousandths, 1000), unit=code)
    back = parse_value(text=str(shown), dimension=Dimension.TEMPERATURE).value
    assert abs(back - Fraction(thousandths, 1000)) <= shown.step / 2 * UNITS[code].factor
