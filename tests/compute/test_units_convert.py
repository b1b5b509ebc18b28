"""Mass, volume, area and length by a material's own property; the slip of a unit is named."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.reasons import Basis, Given, Level
from inventory.compute.units import Amount, Base, parse
from inventory.compute.units.convert import (
    area_of_mass,
    area_of_strip,
    length_of_mass,
    length_of_strip,
    likely_slip,
    mass_of_area,
    mass_of_length,
    mass_of_volume,
    volume_of_mass,
)
from inventory.errors import Refused

DENSITY, AREAL, LINEAR = "density_kg_per_m3", "areal_weight_g_per_m2", "linear_weight_g_per_m"


def sheet(value):
    return Given(value, Basis.DATA_SHEET, "sheet of the product")


@pytest.mark.parametrize(
    ("convert", "argument", "source", "prop", "value", "result"),
    [
        # A litre of liquid epoxy resin at 1.15 g/cm3 (default density, from memory): 1.15 kg, by definition.
        (mass_of_volume, "volume", Amount(1_000_000, Base.UL), DENSITY, 1150.0, Amount(1_150_000, Base.MG)),
        (volume_of_mass, "mass", Amount(1_150_000, Base.MG), DENSITY, 1150.0, Amount(1_000_000, Base.UL)),
        # 0.38295 m2 of 750 g/m2 glass in two plies is 0.574 kg a pair (computed).
        (mass_of_area, "area", Amount(765_900, Base.MM2), AREAL, 750.0, Amount(574_425, Base.MG)),
        (area_of_mass, "mass", Amount(574_425, Base.MG), AREAL, 750.0, Amount(765_900, Base.MM2)),
        # Steel edge at 0.044 kg/m (computed from its section): 3.10 m is 0.136 kg, 3.75 m is 0.165 kg.
        (mass_of_length, "length", Amount(3_100, Base.MM), LINEAR, 44.0, Amount(136_400, Base.MG)),
        (mass_of_length, "length", Amount(3_750, Base.MM), LINEAR, 44.0, Amount(165_000, Base.MG)),
        (length_of_mass, "mass", Amount(136_400, Base.MG), LINEAR, 44.0, Amount(3_100, Base.MM)),
        # Two strips of 0.15 x 1.9 m are 0.57 m2 (common practice, no source).
        (area_of_strip, "length", Amount(3_800, Base.MM), "width_mm", 150.0, Amount(570_000, Base.MM2)),
        (length_of_strip, "area", Amount(570_000, Base.MM2), "width_mm", 150.0, Amount(3_800, Base.MM)),
    ],
)  # fmt: skip
def test_convert_when_property_is_known_gives_the_other_amount_and_how(
    convert, argument, source, prop, value, result
):
    """Each way there and back; the property's basis and source are kept."""
    converted = convert(**{argument: source, prop: sheet(value)})
    assert converted.amount == result
    assert converted.rounded_by == 0
    assert [line.value for line in converted.how.inputs] == [source.value, value]
    assert converted.how.inputs[1].basis is Basis.DATA_SHEET
    assert converted.how.source == "sheet of the product"
    assert "nearest" in converted.how.rule
    assert convert(**{argument: source, prop: Given(value)}).how.source == "assumed"


def test_convert_when_the_result_is_no_whole_number_says_what_rounding_added():
    """7 ul at 1.15 g/cm3 is 8.05 mg, kept as 8; 10 ul at 1.05 is 10.5, halves to even."""
    seven = mass_of_volume(volume=Amount(7, Base.UL), density_kg_per_m3=sheet(1150.0))
    assert (seven.amount.value, seven.rounded_by) == (8, Fraction(-5, 100))
    ten = mass_of_volume(volume=Amount(10, Base.UL), density_kg_per_m3=sheet(1050.0))
    assert (ten.amount.value, ten.rounded_by) == (10, Fraction(-1, 2))
    assert mass_of_volume(volume=Amount(0, Base.UL), density_kg_per_m3=sheet(1150.0)).amount.value == 0


def refused(convert, **arguments):
    with pytest.raises(Refused) as caught:
        convert(**arguments)
    return caught.value.code


@pytest.mark.parametrize(
    ("convert", "argument", "prop", "base", "low", "high"),
    [
        (mass_of_volume, "volume", "density_kg_per_m3", Base.UL, 10.0, 25_000.0),
        (volume_of_mass, "mass", "density_kg_per_m3", Base.MG, 10.0, 25_000.0),
        (mass_of_area, "area", "areal_weight_g_per_m2", Base.MM2, 1.0, 50_000.0),
        (area_of_mass, "mass", "areal_weight_g_per_m2", Base.MG, 1.0, 50_000.0),
        (mass_of_length, "length", "linear_weight_g_per_m", Base.MM, 0.01, 100_000.0),
        (length_of_mass, "mass", "linear_weight_g_per_m", Base.MG, 0.01, 100_000.0),
        (area_of_strip, "length", "width_mm", Base.MM, 0.001, 100_000_000.0),
        (length_of_strip, "area", "width_mm", Base.MM2, 0.001, 100_000_000.0),
    ],
)
def test_convert_when_input_is_impossible_is_refused(convert, argument, prop, base, low, high):
    """A property out of range, not a number, another base unit or less than nothing is refused."""
    good = {argument: Amount(5, base), prop: Given(low)}
    assert convert(**good).amount.value >= 0
    assert convert(**good | {prop: Given(high)}).amount.value >= 0
    other = Base.PIECE
    assert refused(convert, **good | {argument: Amount(5, other)}) == "units.wrong_dimension"
    assert refused(convert, **good | {argument: Amount(-5, base)}) == "units.negative"
    for bad in (low * 0.99, high * 1.01, 0.0, -1.0, float("nan"), float("inf"), True):
        assert refused(convert, **good | {prop: Given(bad)}) == "units.out_of_range"


def test_convert_when_density_is_typed_in_grams_per_cubic_centimetre_is_refused():
    """1.15 where kg/m3 is meant is a slip of a thousand."""
    code = refused(mass_of_volume, volume=Amount(1, Base.UL), density_kg_per_m3=Given(1.15))
    assert code == "units.out_of_range"
    assert mass_of_volume(volume=Amount(1, Base.UL), density_kg_per_m3=Given(1150.0)).amount.value == 1


@given(st.integers(0, 10**9), st.decimals(min_value="10", max_value="25000", places=2).map(float))
def test_convert_when_taken_there_and_back_is_off_by_the_rounding_only(milligrams, density):
    """Half a microlitre there weighs at most that much back, and rounding adds at most half."""
    volume = volume_of_mass(mass=Amount(milligrams, Base.MG), density_kg_per_m3=Given(density))
    back = mass_of_volume(volume=volume.amount, density_kg_per_m3=Given(density))
    assert abs(volume.rounded_by) <= Fraction(1, 2)
    assert abs(back.amount.value - milligrams) <= density / 2_000 + 0.5


@given(st.integers(0, 10**9), st.integers(0, 10**9), st.floats(10, 25_000))
def test_convert_when_there_is_more_gives_no_less(one, two, density):
    """More volume never weighs less."""
    less, more = sorted((one, two))
    masses = [
        mass_of_volume(volume=Amount(value, Base.UL), density_kg_per_m3=Given(density)).amount.value
        for value in (less, more)
    ]
    assert masses[0] <= masses[1]


@pytest.mark.parametrize(
    ("text", "expected", "base", "meant"),
    [
        ("28 g", "800 g", Base.MG, "ONZ"),
        ("800 oz", "800 g", Base.MG, "GRM"),
        ("5 kg", "2.3 kg", Base.MG, "LBR"),
        ("5 lb", "5 kg", Base.MG, "KGM"),
        ("2 g", "2 kg", Base.MG, "KGM"),
        ("2 lb", "900 kg", Base.MG, None),
        ("185 mm", "185 cm", Base.MM, "CMT"),
        ("73 cm", "185 cm", Base.MM, "INH"),
        ("6 m", "6 ft", Base.MM, "FOT"),
        ("4 m²", "4 ft²", Base.MM2, "FTK"),
        ("1 l", "1 gal", Base.UL, "GLL"),
        ("8 ml", "8 fl oz", Base.UL, "OZA"),
        ("2 pair", "24 pieces", Base.PIECE, "DZN"),
        ("12 g", "800 g", Base.MG, None),
        ("500 g", "800 g", Base.MG, None),
        ("800 g", "800 g", Base.MG, None),
        ("1 lb 12 oz", "28 g", Base.MG, None),
    ],
)
def test_slip_when_another_unit_fits_is_named_and_otherwise_not(text, expected, base, meant):
    """Grams for ounces is 28 times off, kilograms for pounds 2.2 times (definitions)."""
    slip = likely_slip(
        typed=parse(text=text, base=base),
        expected=parse(text=expected, base=base).amount,
    )
    assert (slip.meant.code if slip else None) == meant


def test_slip_when_named_says_both_amounts_and_how_far_off():
    """28 g where 800 g is expected: 28 oz would be 794 g."""
    slip = likely_slip(typed=parse(text="28 g", base=Base.MG), expected=Amount(800_000, Base.MG))
    assert (
        str(slip.reason.sentence)
        == "“28 g” is far from the 800 g expected here; with oz for g it would be 794 g."
    )
    assert slip.amount == parse(text="28 oz", base=Base.MG).amount
    assert slip.times_off == Fraction(800, 28)
    assert slip.reason.level is Level.LOOK
    assert (slip.reason.code, slip.reason.facts["meant"]) == ("units.likely_slip", "ONZ")
    assert slip.how.inputs[2].value == pytest.approx(28.57, abs=0.01)
    assert slip.how.inputs[3].value == pytest.approx(28.349523125)  # grams in an ounce, by definition


@pytest.mark.parametrize(
    ("text", "expected", "said"),
    [
        ("5 kg", "2.3 kg", "the 2.30 kg expected here; with lb for kg it would be 2.27 kg."),
        ("800 oz", "800 g", "the 28.2 oz expected here; with g for oz it would be 28.2 oz."),
        ("2 g", "2 kg", "the 2000 g expected here; with kg for g it would be 2000 g."),
        ("0.5 lb", "0.5 kg", "the 1.10 lb expected here; with kg for lb it would be 1.10 lb."),
    ],
)
def test_slip_when_said_shows_about_three_figures(text, expected, said):
    """No more figures than an expected amount has."""
    slip = likely_slip(
        typed=parse(text=text, base=Base.MG), expected=parse(text=expected, base=Base.MG).amount
    )
    assert str(slip.reason.sentence) == f"“{text}” is far from {said}"


@pytest.mark.parametrize(("milligrams", "named"), [(1_750, False), (1_751, True)])
def test_slip_when_at_most_one_and_three_quarters_off_is_not_named(milligrams, named):
    """The limit itself; the other unit is a thousandth, so the expected amount is chosen to fit it."""
    typed = parse(text=f"{milligrams} mg", base=Base.MG)
    assert likely_slip(typed=typed, expected=Amount(1_000, Base.MG)) is None
    pairs = parse(text=f"{milligrams} pair", base=Base.PIECE)
    assert bool(likely_slip(typed=pairs, expected=Amount(2_000, Base.PIECE))) is named


def test_slip_when_the_other_unit_is_at_its_limit_is_named_and_past_it_not():
    """The other unit may be 1.25 times off: 100 pieces for 125 pairs' worth of pieces."""
    typed = parse(text="100 pair", base=Base.PIECE)
    assert likely_slip(typed=typed, expected=Amount(80, Base.PIECE)).meant.code == "H87"
    assert likely_slip(typed=typed, expected=Amount(79, Base.PIECE)) is None


def test_slip_when_expected_is_nothing_or_of_another_kind_is_refused():
    """There is nothing to compare with; with an expected amount there is."""
    typed = parse(text="28 g", base=Base.MG)
    assert refused(likely_slip, typed=typed, expected=Amount(0, Base.MG)) == "units.zero"
    assert refused(likely_slip, typed=typed, expected=Amount(-5, Base.MG)) == "units.zero"
    assert refused(likely_slip, typed=typed, expected=Amount(800, Base.UL)) == "units.wrong_dimension"
    assert likely_slip(typed=typed, expected=Amount(28_000, Base.MG)) is None
    nothing = parse(text="0 g", base=Base.MG, allow_zero=True)
    assert likely_slip(typed=nothing, expected=Amount(800_000, Base.MG)) is None


@given(st.integers(1, 10**9), st.integers(1, 10**9))
def test_slip_when_named_is_nearer_than_what_was_typed(milligrams, expected):
    """The amount with the other unit is always nearer to what is expected."""
    typed = parse(text=f"{milligrams} mg", base=Base.MG)
    slip = likely_slip(typed=typed, expected=Amount(expected, Base.MG))
    if slip:
        assert max(slip.amount.value / expected, expected / slip.amount.value) <= 1.26
        assert slip.amount.value == round(milligrams * slip.meant.factor)
