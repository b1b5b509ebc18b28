"""Ratios from equivalent weights, by weight and by volume, and totals shared into cups."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.mix.ratio import (
    Part,
    blend_equivalent,
    hardener_for_resin,
    hardener_per_hundred,
    hydrogen_equivalent,
    per_hundred_by_volume,
    per_hundred_by_weight,
    share_into_cups,
    split_total,
)
from inventory.compute.reasons import Basis, Given
from inventory.errors import Refused

SHEET_30 = Given(30.0, Basis.DATA_SHEET, "sheet of the product")
RESIN_DENSITY = Given(1.15, Basis.DATA_SHEET)
HARDENER_DENSITY = Given(0.95, Basis.DATA_SHEET)
BLEND = (
    Part("resin", 80, Given(189.0, Basis.DATA_SHEET)),
    Part("diluent", 10, Given(183.0, Basis.DATA_SHEET)),
    Part("filler", 10, None),
)
ratios = st.decimals(min_value="1", max_value="120", places=1).map(float)


def refused(code, call, **facts):
    with pytest.raises(Refused) as caught:
        call(**facts)
    assert caught.value.code == code
    return str(caught.value)


def test_blend_equivalent_of_the_published_blend():
    """80 parts at 189, 10 at 183 and 10 of filler carry one equivalent in 209 g.

    Outside: a curing-agent maker's worksheet, scribd.com/document/485570057 (read): 209.
    """
    blend = blend_equivalent(parts=BLEND)
    assert blend.grams_per_equivalent == pytest.approx(209.24, abs=0.005)
    assert round(blend.grams_per_equivalent) == 209
    assert blend.how.source.endswith("(read)")


def test_blend_equivalent_of_one_part_is_its_own():
    """One part alone keeps its equivalent weight; a filler of the same mass doubles it."""
    part = Part("resin", 7, Given(190.0))
    assert blend_equivalent(parts=[part]).grams_per_equivalent == pytest.approx(190, rel=1e-12)
    doubled = blend_equivalent(parts=[part, Part("filler", 7, None)])
    assert doubled.grams_per_equivalent == pytest.approx(380, rel=1e-12)


def test_blend_equivalent_names_each_part_and_its_basis():
    """Masses and equivalent weights are unfolded; the filler has a mass only."""
    lines = blend_equivalent(parts=BLEND).how.inputs
    assert [line.name for line in lines] == [
        "resin",
        "resin, equivalent weight",
        "diluent",
        "diluent, equivalent weight",
        "filler",
    ]
    assert lines[1].basis is Basis.DATA_SHEET
    assert (lines[1].value, lines[1].unit) == (189.0, "g/eq")


@pytest.mark.parametrize(
    ("hardener", "resin", "published", "tolerance"),
    [
        (43.0, 209.0, 20.6, 0.05),  # the maker's worksheet (read)
        (20.6, 200.0, 10.3, 0.005),  # kraska.biz and the worksheet (read)
        (20.6, 190.0, 10.8, 0.05),  # DETA (from memory)
        (24.4, 190.0, 12.8, 0.05),  # TETA (from memory)
    ],
)
def test_hardener_per_hundred_of_published_pairs(hardener, resin, published, tolerance):
    """The published parts per hundred come out."""
    result = hardener_per_hundred(resin_equivalent_g=Given(resin), hardener_equivalent_g=Given(hardener))
    assert result.hardener == pytest.approx(published, abs=tolerance)
    assert result.unit == "g per 100 g"


@pytest.mark.parametrize(
    ("molar_mass", "hydrogens", "equivalent", "per_hundred"),
    [(170.3, 4, 42.6, 22.4), (136.2, 4, 34.0, 17.9), (230.0, 4, 57.5, 30.3), (103.2, 5, 20.6, 10.8)],
)
def test_hydrogen_equivalent_of_common_amines(molar_mass, hydrogens, equivalent, per_hundred):
    """IPDA, MXDA, a polyetheramine and DETA on a resin of 190 g/eq (from memory)."""
    result = hydrogen_equivalent(molar_mass_g=Given(molar_mass), active_hydrogens=hydrogens)
    assert result.grams_per_equivalent == pytest.approx(equivalent, abs=0.06)
    ratio = hardener_per_hundred(
        resin_equivalent_g=Given(190.0), hardener_equivalent_g=Given(result.grams_per_equivalent)
    )
    assert ratio.hardener == pytest.approx(per_hundred, abs=0.07)


def test_per_hundred_by_volume_of_the_worked_densities():
    """30 g to 100 g is 36.3 ml to 100 ml (computed)."""
    result = per_hundred_by_volume(
        per_hundred_by_weight=SHEET_30, resin_g_per_ml=RESIN_DENSITY, hardener_g_per_ml=HARDENER_DENSITY
    )
    assert result.hardener == pytest.approx(36.32, abs=0.005)
    assert result.unit == "ml per 100 ml"


def test_per_hundred_by_weight_of_two_to_one():
    """Two volumes to one are 41.3 g to 100 g at the same densities (computed)."""
    result = per_hundred_by_weight(
        per_hundred_by_volume=Given(50.0), resin_g_per_ml=RESIN_DENSITY, hardener_g_per_ml=HARDENER_DENSITY
    )
    assert result.hardener == pytest.approx(41.3, abs=0.05)
    assert result.unit == "g per 100 g"


@given(ratio=ratios, resin=st.floats(0.5, 3), hardener=st.floats(0.5, 3))
def test_volume_and_weight_ratios_turn_back(ratio, resin, hardener):
    """By volume and back is the same ratio; equal densities change nothing."""
    densities = {"resin_g_per_ml": Given(resin), "hardener_g_per_ml": Given(hardener)}
    there = per_hundred_by_volume(per_hundred_by_weight=Given(ratio), **densities)
    back = per_hundred_by_weight(per_hundred_by_volume=Given(there.hardener), **densities)
    assert back.hardener == pytest.approx(ratio, rel=1e-9)
    same = per_hundred_by_volume(
        per_hundred_by_weight=Given(ratio), resin_g_per_ml=Given(resin), hardener_g_per_ml=Given(resin)
    )
    assert same.hardener == pytest.approx(ratio, rel=1e-12)


def test_split_total_of_the_worked_pair():
    """799.1 g at 30 per hundred are 614.7 g and 184.4 g (computed)."""
    pour = split_total(total_mg=799_100, hardener_per_hundred=SHEET_30)
    assert pour.resin_mg == pytest.approx(614_700, abs=100)
    assert pour.hardener_mg == pytest.approx(184_400, abs=100)
    assert pour.total_mg == 799_100


def test_split_total_that_cannot_be_shared_is_refused():
    """One milligram cannot be shared; two at one to one can."""
    even = Given(100.0)
    assert split_total(total_mg=2, hardener_per_hundred=even).hardener_mg == 1
    text = refused("mix.too_small", split_total, total_mg=1, hardener_per_hundred=SHEET_30)
    assert "1 mg is too little to share" in text
    text = refused("mix.too_small", split_total, total_mg=1, hardener_per_hundred=Given(10_000.0))
    assert text.startswith("1 mg is too little to share")


@given(total=st.integers(1_000, 10_000_000), ratio=ratios)
def test_split_total_conserves_and_is_nearest(total, ratio):
    """Both parts sum to the total, and the hardener is the nearest milligram."""
    pour = split_total(total_mg=total, hardener_per_hundred=Given(ratio))
    assert pour.resin_mg + pour.hardener_mg == total
    tenths = round(ratio * 10)
    true = Fraction(total * tenths, 1000 + tenths)
    assert abs(pour.hardener_mg - true) <= Fraction(1, 2)


def test_hardener_for_resin_in_the_cup():
    """120 g of resin take 36 g of hardener at 30 per hundred."""
    pour = hardener_for_resin(resin_mg=120_000, hardener_per_hundred=SHEET_30)
    assert (pour.resin_mg, pour.hardener_mg, pour.total_mg) == (120_000, 36_000, 156_000)


def test_hardener_for_resin_above_the_largest_cup_is_refused():
    """A cup of 156 g is refused by a largest cup one milligram smaller, and poured at the largest."""
    cup = {"resin_mg": 120_000, "hardener_per_hundred": SHEET_30}
    assert hardener_for_resin(**cup, largest_cup_mg=Given(156_000)).hardener_mg == 36_000
    text = refused("mix.cup_too_large", hardener_for_resin, **cup, largest_cup_mg=Given(155_999))
    assert "120.0 g of resin with its hardener is 156.0 g, above the largest cup of 155.999 g" in text


def test_share_into_cups_by_the_largest_cup():
    """799.1 g in cups of at most 150 g are six cups of 133.2 g.

    Outside: 300 to 500 g mixed a ski in batches of 100 to 150 g: skibuilders.com/howto/layup (read).
    """
    cups = share_into_cups(
        total_mg=799_100,
        hardener_per_hundred=SHEET_30,
        largest_cup_mg=Given(150_000, Basis.DATA_SHEET, "sheet"),
    )
    assert [pour.total_mg for pour in cups.pours] == [133_184, 133_184, 133_183, 133_183, 133_183, 133_183]
    assert cups.how.source == "sheet"
    assert {line.name: line.basis for line in cups.how.inputs}["largest cup"] is Basis.DATA_SHEET


def test_share_into_cups_at_the_largest_cup_is_one():
    """A total of exactly the largest cup is one cup; one milligram more is two."""
    cup = {"hardener_per_hundred": SHEET_30, "largest_cup_mg": Given(150_000)}
    assert len(share_into_cups(total_mg=150_000, **cup).pours) == 1
    assert len(share_into_cups(total_mg=150_001, **cup).pours) == 2


def test_share_into_cups_of_the_largest_weight_is_one_cup():
    """The largest weight that is taken at all is shared without a refusal."""
    cups = share_into_cups(
        total_mg=1_000_000_000, hardener_per_hundred=SHEET_30, largest_cup_mg=Given(1_000_000_000)
    )
    assert len(cups.pours) == 1


def test_share_into_too_many_cups_is_refused():
    """A thousand cups are shared; one more is a slip of unit."""
    cup = {"hardener_per_hundred": SHEET_30, "largest_cup_mg": Given(100)}
    assert len(share_into_cups(total_mg=100_000, **cup).pours) == 1_000
    text = refused("mix.cups", share_into_cups, total_mg=100_001, **cup)
    assert "would be 1001 cups, more than 1000" in text


@given(total=st.integers(10_000, 2_000_000), largest=st.integers(50_000, 500_000), ratio=ratios)
def test_share_into_cups_conserves_and_never_exceeds(total, largest, ratio):
    """Cups sum to the total, none is above the largest, sizes differ by at most 1 mg, and none is spare."""
    pours = share_into_cups(
        total_mg=total, hardener_per_hundred=Given(ratio), largest_cup_mg=Given(largest)
    ).pours
    sizes = [pour.total_mg for pour in pours]
    assert sum(sizes) == total
    assert max(sizes) <= largest
    assert max(sizes) - min(sizes) <= 1
    assert (len(pours) - 1) * largest < total


@pytest.mark.parametrize(
    ("code", "call", "facts"),
    [
        ("mix.parts", blend_equivalent, {"parts": []}),
        ("mix.parts", blend_equivalent, {"parts": [Part("chalk", 1, None)]}),
        ("mix.part", blend_equivalent, {"parts": [Part("resin", 0, Given(190.0))]}),
        ("mix.part", blend_equivalent, {"parts": [Part("resin", -1, Given(190.0))]}),
        ("mix.part", blend_equivalent, {"parts": [Part("resin", math.nan, Given(190.0))]}),
        ("mix.part", blend_equivalent, {"parts": [Part("resin", math.inf, Given(190.0))]}),
        ("mix.equivalent", blend_equivalent, {"parts": [Part("resin", 1, Given(0.0))]}),
        ("mix.equivalent", blend_equivalent, {"parts": [Part("resin", 1, Given(math.nan))]}),
        ("mix.molar_mass", hydrogen_equivalent, {"molar_mass_g": Given(0.0), "active_hydrogens": 4}),
        ("mix.molar_mass", hydrogen_equivalent, {"molar_mass_g": Given(math.inf), "active_hydrogens": 4}),
        ("mix.hydrogens", hydrogen_equivalent, {"molar_mass_g": Given(170.3), "active_hydrogens": 0}),
        ("mix.hydrogens", hydrogen_equivalent, {"molar_mass_g": Given(170.3), "active_hydrogens": 2.5}),
        ("mix.hydrogens", hydrogen_equivalent, {"molar_mass_g": Given(170.3), "active_hydrogens": -4}),
        ("mix.no_total", split_total, {"total_mg": 0, "hardener_per_hundred": SHEET_30}),
        ("mix.weight", split_total, {"total_mg": -5, "hardener_per_hundred": SHEET_30}),
        ("mix.ratio", split_total, {"total_mg": 100, "hardener_per_hundred": Given(0.0)}),
        ("mix.no_resin", hardener_for_resin, {"resin_mg": 0, "hardener_per_hundred": SHEET_30}),
        ("mix.too_small", hardener_for_resin, {"resin_mg": 1, "hardener_per_hundred": SHEET_30}),
        ("mix.ratio", hardener_for_resin, {"resin_mg": 100, "hardener_per_hundred": Given(math.nan)}),
        (
            "mix.largest_cup",
            hardener_for_resin,
            {"resin_mg": 100, "hardener_per_hundred": SHEET_30, "largest_cup_mg": Given(0)},
        ),
        (
            "mix.largest_cup",
            share_into_cups,
            {"total_mg": 100, "hardener_per_hundred": SHEET_30, "largest_cup_mg": Given(0)},
        ),
        (
            "mix.no_total",
            share_into_cups,
            {"total_mg": 0, "hardener_per_hundred": SHEET_30, "largest_cup_mg": Given(100)},
        ),
        (
            "mix.ratio",
            share_into_cups,
            {"total_mg": 100, "hardener_per_hundred": Given(-1.0), "largest_cup_mg": Given(100)},
        ),
    ],
)
def test_ratio_of_bad_input_is_refused(code, call, facts):
    """Each bad fact has its code; its sound neighbours are computed in the tests above."""
    assert refused(code, call, **facts)


@pytest.mark.parametrize("call", [per_hundred_by_volume, per_hundred_by_weight])
@pytest.mark.parametrize("bad", [0.49, 3.01, 1150.0, math.nan, 0.0, -1.0])
def test_densities_that_no_liquid_has_are_refused(call, bad):
    """A density in g/l or of nothing is refused for either part; 0.5 and 3 are taken."""
    name = "per_hundred_by_weight" if call is per_hundred_by_volume else "per_hundred_by_volume"
    densities = {"resin_g_per_ml": Given(0.5), "hardener_g_per_ml": Given(3.0)}
    assert call(**{name: SHEET_30}, **densities).hardener > 0
    for part in densities:
        refused("mix.density", call, **{name: SHEET_30}, **(densities | {part: Given(bad)}))
    refused("mix.ratio", call, **{name: Given(0.0)}, **densities)


@pytest.mark.parametrize("call", [per_hundred_by_volume, per_hundred_by_weight])
def test_volume_ratios_unfold_their_inputs(call):
    """Ratio and both densities are named with their basis."""
    name = "per_hundred_by_weight" if call is per_hundred_by_volume else "per_hundred_by_volume"
    result = call(**{name: SHEET_30}, resin_g_per_ml=RESIN_DENSITY, hardener_g_per_ml=Given(0.95))
    assert [(line.value, line.basis) for line in result.how.inputs] == [
        (30.0, Basis.DATA_SHEET),
        (1.15, Basis.DATA_SHEET),
        (0.95, Basis.ASSUMED),
    ]


def test_equivalents_outside_what_a_molecule_has_are_refused():
    """Zero for either part is refused; the same call with both is computed."""
    good = {"resin_equivalent_g": Given(190.0), "hardener_equivalent_g": Given(43.0)}
    assert hardener_per_hundred(**good).how.inputs[0].value == 190.0
    for part in good:
        refused("mix.equivalent", hardener_per_hundred, **(good | {part: Given(0.0)}))


@pytest.mark.parametrize(
    ("code", "low", "high", "call"),
    [
        ("mix.part", 1e-6, 1e9, lambda x: blend_equivalent(parts=[Part("resin", x, Given(190.0))])),
        ("mix.equivalent", 1, 1e6, lambda x: blend_equivalent(parts=[Part("resin", 1, Given(x))])),
        ("mix.molar_mass", 1, 1e6, lambda x: hydrogen_equivalent(molar_mass_g=Given(x), active_hydrogens=4)),
        (
            "mix.hydrogens",
            1,
            1000,
            lambda x: hydrogen_equivalent(molar_mass_g=Given(1e5), active_hydrogens=x),
        ),
        ("mix.ratio", 0.01, 10_000, lambda x: split_total(total_mg=100_000, hardener_per_hundred=Given(x))),
    ],
)
def test_ratio_input_at_its_bounds_is_taken_and_beyond_refused(code, low, high, call):
    """The smallest and largest possible value are computed with; a little beyond is refused."""
    assert call(low).how.inputs
    assert call(high).how.inputs
    for beyond in (low - low / 20, high + high / 20 if high > 1000 else high + 1):
        refused(code, lambda beyond=beyond: call(beyond))
