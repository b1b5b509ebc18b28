"""The verdict on one cup: limits, scale, cup size, and what is refused."""

import math
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.compute.mix import judge
from inventory.compute.reasons import Basis, Given, Level
from inventory.errors import Refused

SHEET_30 = Given(30.0, Basis.DATA_SHEET, "sheet of the product")
weights = st.integers(min_value=1_000, max_value=2_000_000)
ratios = st.decimals(min_value="5", max_value="110", places=1).map(float)


def codes(verdict):
    return [reason.code for reason in verdict.reasons]


def refused(code, **kwargs):
    facts = {"resin_mg": 100_000, "hardener_mg": 30_000, "hardener_per_hundred": SHEET_30} | kwargs
    with pytest.raises(Refused) as caught:
        judge(**facts)
    assert caught.value.code == code
    return str(caught.value)


@pytest.mark.parametrize(
    ("hardener_mg", "code", "level"),
    [
        (30_000, "mix.ratio_fits", Level.FINE),
        (30_600, "mix.ratio_fits", Level.FINE),
        (30_601, "mix.ratio_off", Level.LOOK),
        (29_400, "mix.ratio_fits", Level.FINE),
        (29_399, "mix.ratio_off", Level.LOOK),
        (31_500, "mix.ratio_off", Level.LOOK),
        (31_501, "mix.ratio_stop", Level.STOP),
        (28_500, "mix.ratio_off", Level.LOOK),
        (28_499, "mix.ratio_stop", Level.STOP),
    ],
)
def test_judge_at_each_side_of_a_limit_gives_its_level(hardener_mg, code, level):
    """Two and five percent themselves are within; one milligram more is not.

    Outside: about 5 % tolerated, 2 % where it matters: incurelab.com, how to mix high temperature epoxy
    resin for consistent thermal performance (read).
    """
    result = judge(resin_mg=100_000, hardener_mg=hardener_mg, hardener_per_hundred=SHEET_30)
    assert codes(result) == [code]
    assert result.verdict.level is level
    assert result.ok is (level < Level.STOP)
    assert result.ratio_error == pytest.approx(hardener_mg / 30_000 - 1, abs=1e-12)


def test_judge_of_the_worked_split_fits():
    """614.7 g and 184.4 g at 30 per hundred are the worked ski's split (computed)."""
    result = judge(resin_mg=614_700, hardener_mg=184_400, hardener_per_hundred=SHEET_30)
    assert result.ratio_error == pytest.approx(184.4 / 614.7 / 0.3 - 1)
    assert codes(result) == ["mix.ratio_fits"]


def test_judge_with_a_products_own_limits_uses_them():
    """A product's tighter limits stop what the default limits let pass."""
    cup = {"resin_mg": 100_000, "hardener_mg": 30_500, "hardener_per_hundred": SHEET_30}
    assert codes(judge(**cup)) == ["mix.ratio_fits"]
    assert codes(judge(**cup, warn=0.01, stop=0.015)) == ["mix.ratio_stop"]
    assert codes(judge(**cup, warn=0.01, stop=0.02)) == ["mix.ratio_off"]


def test_judge_says_what_would_have_fitted():
    """The sentence carries both weights, the signed error, what fits and the limit."""
    reason = judge(resin_mg=100_000, hardener_mg=33_000, hardener_per_hundred=SHEET_30).reasons[0]
    assert str(reason.sentence) == (
        "33.0 g hardener to 100.0 g resin is +10.0 % off the 30.0 g that fit, above 5.0 %: do not spread it."
    )
    short = judge(resin_mg=100_000, hardener_mg=29_000, hardener_per_hundred=SHEET_30).reasons[0]
    assert "is −3.33 % off" in str(short.sentence)
    assert "above 2.0 %" in str(short.sentence)


def test_judge_carries_how_it_was_got():
    """The inputs are named with unit and basis, so that a page can unfold them."""
    how = judge(resin_mg=100_000, hardener_mg=30_000, hardener_per_hundred=SHEET_30).how
    assert {(line.name, line.value, line.unit, line.basis) for line in how.inputs} == {
        ("warn above", 0.02, "", Basis.ASSUMED),
        ("stop above", 0.05, "", Basis.ASSUMED),
        ("resin", 100.0, "g", Basis.MEASURED),
        ("hardener", 30.0, "g", Basis.MEASURED),
        ("hardener per hundred", 30.0, "g per 100 g", Basis.DATA_SHEET),
    }
    assert how.rule
    assert "incurelab" in how.source


def test_judge_when_weights_are_swapped_hints_at_it():
    """Resin poured as hardener is named; a plain excess is only stopped."""
    assert codes(judge(resin_mg=30_000, hardener_mg=100_000, hardener_per_hundred=SHEET_30)) == [
        "mix.ratio_stop",
        "mix.swapped",
    ]
    assert codes(judge(resin_mg=30_000, hardener_mg=60_000, hardener_per_hundred=SHEET_30)) == [
        "mix.ratio_stop"
    ]


def test_judge_at_exactly_the_limit_when_swapped_hints_at_it():
    """Swapped and 5 % off still hints; a milligram more does not."""
    swapped = judge(resin_mg=31_500, hardener_mg=100_000, hardener_per_hundred=SHEET_30)
    assert swapped.reasons[1].code == "mix.swapped"
    assert swapped.reasons[1].level is Level.LOOK
    assert codes(judge(resin_mg=31_501, hardener_mg=100_000, hardener_per_hundred=SHEET_30)) == [
        "mix.ratio_stop"
    ]


def test_judge_when_the_ratio_is_assumed_says_so():
    """An assumed ratio is worth a look; the same ratio from a sheet is not."""
    assumed = judge(resin_mg=100_000, hardener_mg=30_000, hardener_per_hundred=Given(30.0))
    assert codes(assumed) == ["mix.ratio_assumed", "mix.ratio_fits"]
    assert assumed.ok


def test_judge_when_scale_is_coarser_than_the_tolerance_cannot_tell():
    """A scale in steps of 1 g cannot judge 30 g to 2 %; one of 0.1 g can.

    Outside: 0.6 g is 2 % of 30 g, so the scale must read 0.1 g (computed).
    """
    cup = {"resin_mg": 100_000, "hardener_mg": 30_000, "hardener_per_hundred": SHEET_30}
    coarse = judge(**cup, scale_step_mg=1_000)
    assert codes(coarse) == ["mix.cannot_tell"]
    assert coarse.verdict.level is Level.UNKNOWN
    assert not coarse.ok
    assert codes(judge(**cup, scale_step_mg=100)) == ["mix.ratio_fits"]


def test_judge_at_exactly_the_scale_that_can_still_tell():
    """A doubt of exactly two percent is not coarser than two percent."""
    cup = {
        "resin_mg": 100_000,
        "hardener_mg": 100_000,
        "hardener_per_hundred": Given(100.0, Basis.DATA_SHEET),
    }
    assert codes(judge(**cup, scale_step_mg=1_000)) == ["mix.ratio_fits"]
    assert codes(judge(**cup, scale_step_mg=1_001)) == ["mix.cannot_tell"]


def test_judge_when_even_the_nearest_error_stops_is_stopped_on_a_coarse_scale():
    """A cup far beyond the limit is stopped, however coarse the scale; one that may be inside is unknown."""
    cup = {"resin_mg": 100_000, "hardener_per_hundred": SHEET_30, "scale_step_mg": 1_000}
    assert codes(judge(**cup, hardener_mg=40_000)) == ["mix.ratio_stop"]
    assert codes(judge(**cup, hardener_mg=32_000)) == ["mix.cannot_tell"]
    even = {
        "resin_mg": 100_000,
        "hardener_mg": 150_000,
        "hardener_per_hundred": Given(100.0, Basis.DATA_SHEET),
    }
    assert codes(judge(**even, scale_step_mg=27_000)) == ["mix.cannot_tell"]
    assert codes(judge(**even, scale_step_mg=26_999)) == ["mix.ratio_stop"]


def test_judge_near_a_limit_says_the_scale_leaves_doubt():
    """Within the limit as read, beyond it with the scale's doubt: worth a look."""
    cup = {"resin_mg": 100_000, "hardener_per_hundred": SHEET_30, "scale_step_mg": 100}
    assert codes(judge(**cup, hardener_mg=30_500)) == ["mix.near_limit", "mix.ratio_fits"]
    assert codes(judge(**cup, hardener_mg=31_400)) == ["mix.ratio_off", "mix.near_limit"]
    assert codes(judge(**cup, hardener_mg=30_900)) == ["mix.ratio_off"]
    assert codes(judge(**cup, hardener_mg=30_600)) == ["mix.near_limit", "mix.ratio_fits"]


def test_judge_above_the_largest_cup_is_stopped():
    """One milligram above the product's largest cup stops; the largest cup itself does not."""
    cup = {"resin_mg": 100_000, "hardener_mg": 30_000, "hardener_per_hundred": SHEET_30}
    largest = Given(129_999, Basis.DATA_SHEET, "sheet of the product")
    too_big = judge(**cup, largest_cup_mg=largest)
    assert codes(too_big) == ["mix.above_largest_cup", "mix.ratio_fits"]
    assert too_big.verdict.level is Level.STOP
    assert too_big.reasons[0].how.source == "sheet of the product"
    lines = [(line.name, line.basis) for line in too_big.reasons[0].how.inputs]
    assert lines == [
        ("resin", Basis.MEASURED),
        ("hardener", Basis.MEASURED),
        ("largest cup", Basis.DATA_SHEET),
    ]
    assert codes(judge(**cup, largest_cup_mg=Given(130_000, Basis.DATA_SHEET))) == ["mix.ratio_fits"]


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("mix.no_resin", {"resin_mg": 0}),
        ("mix.no_hardener", {"hardener_mg": 0}),
        ("mix.weight", {"resin_mg": -1}),
        ("mix.weight", {"hardener_mg": -1}),
        ("mix.weight", {"hardener_mg": math.nan}),
        ("mix.weight", {"resin_mg": math.inf}),
        ("mix.weight", {"resin_mg": 100_000.5}),
        ("mix.weight", {"resin_mg": "100"}),
        ("mix.weight", {"resin_mg": True}),
        ("mix.weight", {"resin_mg": 1_000_000_001}),
        ("mix.ratio", {"hardener_per_hundred": Given(0.0)}),
        ("mix.ratio", {"hardener_per_hundred": Given(-30.0)}),
        ("mix.ratio", {"hardener_per_hundred": Given(math.nan)}),
        ("mix.ratio", {"hardener_per_hundred": Given(math.inf)}),
        ("mix.ratio", {"hardener_per_hundred": Given(10_001.0)}),
        ("mix.ratio", {"hardener_per_hundred": Given(5e-324)}),
        ("mix.tolerance", {"warn": 0.0}),
        ("mix.tolerance", {"warn": math.nan}),
        ("mix.tolerance", {"warn": 0.06}),
        ("mix.tolerance", {"stop": 1.01}),
        ("mix.tolerance", {"stop": -0.05}),
        ("mix.scale", {"scale_step_mg": 0}),
        ("mix.weight", {"scale_step_mg": -1}),
        ("mix.largest_cup", {"largest_cup_mg": Given(0)}),
        ("mix.weight", {"largest_cup_mg": Given(math.nan)}),
    ],
)
def test_judge_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code; the same cup without it is judged."""
    assert judge(resin_mg=100_000, hardener_mg=30_000, hardener_per_hundred=SHEET_30).ok
    assert refused(code, **facts)


def test_judge_of_bad_input_says_the_value():
    """A refusal names the thing and shows what was given."""
    assert "Resin is 0 mg" in refused("mix.no_resin", resin_mg=0)
    assert "Hardener is −1 mg" in refused("mix.weight", hardener_mg=-1)
    assert "0.06, is above the limit to stop at, 0.05" in refused("mix.tolerance", warn=0.06)


def test_judge_with_equal_limits_is_not_refused():
    """A product may stop where it warns."""
    cup = {"resin_mg": 100_000, "hardener_mg": 31_000, "hardener_per_hundred": SHEET_30}
    assert codes(judge(**cup, warn=0.03, stop=0.03)) == ["mix.ratio_stop"]


@given(resin=weights, hardener=weights, ratio=ratios)
def test_judge_error_is_the_exact_fraction(resin, hardener, ratio):
    """The error is the true quotient, and the level follows from it alone."""
    result = judge(resin_mg=resin, hardener_mg=hardener, hardener_per_hundred=Given(ratio, Basis.DATA_SHEET))
    true = Fraction(hardener * 1000, resin) / round(ratio * 10) - 1
    assert result.ratio_error == pytest.approx(float(true), rel=1e-12, abs=1e-15)
    expected = Level.FINE if abs(true) * 50 <= 1 else Level.LOOK if abs(true) * 20 <= 1 else Level.STOP
    assert result.verdict.level is expected


@given(resin=weights, hardener=weights, more=st.integers(1, 500_000), ratio=ratios)
def test_judge_is_monotone_beyond_the_ratio(resin, hardener, more, ratio):
    """Once hardener is over, more hardener never makes the verdict lighter."""
    sheet = Given(ratio, Basis.DATA_SHEET)
    first = judge(resin_mg=resin, hardener_mg=hardener, hardener_per_hundred=sheet)
    assume(first.ratio_error >= 0)
    second = judge(resin_mg=resin, hardener_mg=hardener + more, hardener_per_hundred=sheet)
    assert second.ratio_error > first.ratio_error
    assert second.verdict.level >= first.verdict.level


@given(resin=weights, hardener=weights, step=st.integers(1, 5_000), finer=st.integers(1, 5_000))
def test_judge_with_a_finer_scale_is_never_less_sure(resin, hardener, step, finer):
    """What a scale can tell, a finer scale can tell too."""
    assume(finer <= step)
    cup = {"resin_mg": resin, "hardener_mg": hardener, "hardener_per_hundred": SHEET_30}
    coarse = judge(**cup, scale_step_mg=step).verdict.level
    fine = judge(**cup, scale_step_mg=finer).verdict.level
    if coarse is not Level.UNKNOWN:
        assert fine is not Level.UNKNOWN
