"""How fine a scale has to be for a cup."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.mix import judge, scale_needed
from inventory.compute.reasons import Basis, Given, Level
from inventory.errors import Refused


def test_scale_needed_for_a_hundred_grams_at_thirty():
    """30 g to 100 g at 2 % can be told by steps up to 0.46 g; a scale reading 0.1 g is advised.

    Outside: 2 % of 30 g is 0.6 g, so the scale must read 0.1 g (computed).
    """
    scale = scale_needed(resin_mg=100_000, hardener_mg=30_000)
    assert scale.coarsest_mg == 461
    assert scale.advised_mg == 100
    assert [line.value for line in scale.how.inputs] == [100.0, 30.0, 0.02]
    assert scale.how.inputs[-1].basis is Basis.ASSUMED


@pytest.mark.parametrize(
    ("resin_mg", "hardener_mg", "advised_mg"),
    [
        (100_000, 100_000, 200),
        (40_000, 40_000, 100),
        (39_999, 40_000, 50),
        (1_000_000, 300_000, 1_000),
        (400, 400, 1),
    ],
)
def test_scale_needed_advises_one_two_or_five(resin_mg, hardener_mg, advised_mg):
    """Scales come in steps of 1, 2 and 5 by powers of ten: OIML R 76-1 (from memory)."""
    assert scale_needed(resin_mg=resin_mg, hardener_mg=hardener_mg).advised_mg == advised_mg


def test_scale_needed_at_the_largest_weights_is_advised():
    """Two tonnes judged to 100 % still get a step."""
    scale = scale_needed(resin_mg=1_000_000_000, hardener_mg=1_000_000_000, warn=1)
    assert (scale.coarsest_mg, scale.advised_mg) == (500_000_000, 100_000_000)


def test_scale_needed_for_a_speck_is_refused():
    """0.8 g needs steps of a milligram; one milligram less asks for less than a scale has."""
    assert scale_needed(resin_mg=400, hardener_mg=400).coarsest_mg == 4
    with pytest.raises(Refused) as caught:
        scale_needed(resin_mg=400, hardener_mg=399)
    assert caught.value.code == "mix.too_small"
    assert "799 mg is too little to judge" in str(caught.value)


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("mix.no_resin", {"resin_mg": 0}),
        ("mix.no_hardener", {"hardener_mg": 0}),
        ("mix.weight", {"resin_mg": math.nan}),
        ("mix.tolerance", {"warn": 0.0}),
        ("mix.tolerance", {"warn": 1.5}),
    ],
)
def test_scale_needed_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code."""
    with pytest.raises(Refused) as caught:
        scale_needed(**({"resin_mg": 100_000, "hardener_mg": 30_000} | facts))
    assert caught.value.code == code


@given(resin=st.integers(5_000, 1_000_000), hardener=st.integers(5_000, 400_000))
def test_scale_needed_agrees_with_the_verdict(resin, hardener):
    """The coarsest step can tell, the next one cannot; the advised one is at most a quarter."""
    scale = scale_needed(resin_mg=resin, hardener_mg=hardener)
    ratio = Given(float(round(Fraction(hardener * 100, resin), 3)), Basis.DATA_SHEET)
    cup = {"resin_mg": resin, "hardener_mg": hardener, "hardener_per_hundred": ratio}
    assert judge(**cup, scale_step_mg=scale.coarsest_mg).verdict.level is not Level.UNKNOWN
    assert judge(**cup, scale_step_mg=scale.coarsest_mg + 1).verdict.level is Level.UNKNOWN
    assert 4 * scale.advised_mg <= scale.coarsest_mg + 1
