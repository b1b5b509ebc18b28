"""Whether a cup may be put right: once, early, cool, certain, within limits; otherwise not."""

import math
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.mix import judge
from inventory.compute.mix.correct import Advice, Bench, correct
from inventory.compute.reasons import Basis, Given, Level
from inventory.errors import Refused

SHEET_30 = Given(30.0, Basis.DATA_SHEET, "sheet of the product")
BENCH = Bench(weights_certain=True, cup_cool=True, spread=False, corrected_before=False, used_share=0.1)
CUP = {
    "resin_mg": 100_000,
    "hardener_mg": 32_400,
    "hardener_per_hundred": SHEET_30,
    "largest_cup_mg": Given(150_000, Basis.DATA_SHEET, "sheet of the product"),
    "scale_step_mg": 100,
}


def corrected(bench=BENCH, **facts):
    return correct(**(CUP | facts), bench=bench)


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def test_correct_when_hardener_is_over_adds_resin():
    """8 % too much hardener on a cool, unspread, early cup takes 8 g of resin, and says how."""
    result = corrected()
    assert (result.advice, result.add_mg) == (Advice.ADD_RESIN, 8_000)
    assert result.verdict.reasons[-1].level is Level.LOOK
    assert codes(result) == ["mix.ratio_stop", "mix.add_resin"]
    text = str(result.verdict.reasons[-1].sentence)
    assert text == "Add 8.0 g of resin, once, now; mix again in a clean cup. The clock keeps running."
    assert not result.verdict.ok


def test_correct_when_hardener_is_short_adds_hardener():
    """27.6 g to 100 g is 8 % short: 2.4 g of hardener is missing."""
    result = corrected(hardener_mg=27_600)
    assert (result.advice, result.add_mg) == (Advice.ADD_HARDENER, 2_400)
    assert result.verdict.reasons[-1].level is Level.LOOK
    assert "Add 2.4 g of hardener, once, now" in str(result.verdict.reasons[-1].sentence)


def test_correct_rounds_to_the_step_of_the_scale():
    """What is added can be read on the scale: 4.333 g of resin on steps of 0.1 g is 4.3 g."""
    assert corrected(hardener_mg=31_300, warn=0.01).add_mg == 4_300
    assert corrected(hardener_mg=31_300, warn=0.01, scale_step_mg=1).add_mg == 4_333


@pytest.mark.parametrize(
    ("fact", "code"),
    [
        ({"cup_cool": None}, "mix.cup_not_felt"),
        ({"spread": True}, "mix.already_spread"),
        ({"spread": None}, "mix.already_spread"),
        ({"corrected_before": True}, "mix.corrected_before"),
        ({"corrected_before": None}, "mix.corrected_before"),
        ({"used_share": 0.2501}, "mix.too_late"),
        ({"used_share": 1.7}, "mix.too_late"),
        ({"used_share": None}, "mix.time_unknown"),
        ({"weights_certain": False}, "mix.weights_uncertain"),
        ({"weights_certain": None}, "mix.weights_uncertain"),
    ],
)
def test_correct_when_one_condition_fails_discards(fact, code):
    """Each condition alone turns the advice from adding to discarding, and is named."""
    assert corrected().advice is Advice.ADD_RESIN
    result = corrected(replace(BENCH, **fact))
    assert (result.advice, result.add_mg) == (Advice.DISCARD, 0)
    levels = {reason.code: reason.level for reason in result.verdict.reasons}
    assert levels[code] is (Level.UNKNOWN if code == "mix.weights_uncertain" else Level.LOOK)
    assert levels["mix.discard"] is Level.STOP


def test_correct_at_exactly_a_quarter_of_the_working_time_is_allowed():
    """A quarter itself is still early."""
    assert corrected(replace(BENCH, used_share=0.25)).advice is Advice.ADD_RESIN


def test_correct_at_exactly_ten_percent_is_allowed():
    """Ten percent is put right; a milligram more is discarded, either way."""
    assert corrected(hardener_mg=33_000).advice is Advice.ADD_RESIN
    assert corrected(hardener_mg=27_000).advice is Advice.ADD_HARDENER
    for beyond in (33_001, 26_999):
        result = corrected(hardener_mg=beyond)
        assert result.advice is Advice.DISCARD
        levels = {reason.code: reason.level for reason in result.verdict.reasons}
        assert levels["mix.error_too_large"] is Level.LOOK


def test_correct_when_the_cup_would_grow_too_large_discards():
    """Put right the cup holds 140.4 g: a largest cup of that is enough, one milligram less is not."""
    assert corrected(largest_cup_mg=Given(140_400)).advice is Advice.ADD_RESIN
    short = {"hardener_mg": 27_600}
    assert corrected(**short, largest_cup_mg=Given(130_000)).advice is Advice.ADD_HARDENER
    assert corrected(**short, largest_cup_mg=Given(129_999)).advice is Advice.DISCARD
    result = corrected(largest_cup_mg=Given(140_399))
    assert result.advice is Advice.DISCARD
    assert "would hold 140.4 g, more than the 140.399 g" in " ".join(
        str(reason.sentence) for reason in result.verdict.reasons
    )
    levels = {reason.code: reason.level for reason in result.verdict.reasons}
    assert levels["mix.too_much_afterwards"] is Level.LOOK


def test_correct_when_the_largest_cup_is_unknown_discards():
    """An unknown limit is not a limit kept."""
    result = corrected(largest_cup_mg=None)
    assert result.advice is Advice.DISCARD
    levels = {reason.code: reason.level for reason in result.verdict.reasons}
    assert levels["mix.largest_cup_unknown"] is Level.LOOK


def test_correct_when_the_cup_is_warm_always_discards():
    """A warm cup gets one advice, whatever its ratio."""
    for hardener_mg in (30_000, 31_000, 32_400):
        result = corrected(replace(BENCH, cup_cool=False), hardener_mg=hardener_mg)
        assert result.advice is Advice.DISCARD
        levels = {reason.code: reason.level for reason in result.verdict.reasons}
        assert levels["mix.cup_warm"] is levels["mix.discard"] is Level.STOP
        texts = [str(reason.sentence) for reason in result.verdict.reasons]
        assert "The cup is warm: stop, keep clear, ventilate, do not carry it." in texts


def test_correct_when_the_cup_is_already_too_large_discards():
    """A cup above the product's largest is discarded even when its ratio fits."""
    result = corrected(hardener_mg=30_000, largest_cup_mg=Given(129_999))
    assert result.advice is Advice.DISCARD
    assert codes(result)[0] == "mix.above_largest_cup"


def test_correct_when_the_scale_is_too_coarse_cannot_tell():
    """Steps of 1 g cannot judge 30 g: no advice to add, none to leave. An unknown step neither."""
    for step in (1_000, None):
        for hardener_mg in (30_000, 31_000):
            result = corrected(hardener_mg=hardener_mg, scale_step_mg=step)
            assert (result.advice, result.add_mg) == (Advice.CANNOT_TELL, 0)
            assert result.verdict.level is Level.UNKNOWN


def test_correct_when_the_scale_is_unknown_cannot_tell_and_says_so():
    """The reason is the scale, and the same cup on a known scale is put right."""
    assert "mix.scale_unknown" in codes(corrected(scale_step_mg=None))
    assert corrected(scale_step_mg=100).advice is Advice.ADD_RESIN


def test_correct_when_a_coarse_scale_still_shows_a_bad_cup_discards():
    """An error that is beyond the limit on any reading cannot be put right on that scale."""
    result = corrected(hardener_mg=33_000, scale_step_mg=500, stop=0.05)
    assert result.advice is Advice.DISCARD
    assert "mix.doubt_afterwards" in codes(result)


def test_correct_counts_the_doubt_of_the_second_weighing():
    """Steps of 0.35 g judge the cup, but not the cup put right: its added part is weighed twice."""
    assert corrected(hardener_mg=27_600, scale_step_mg=250).advice is Advice.ADD_HARDENER
    result = corrected(hardener_mg=27_600, scale_step_mg=350)
    assert result.advice is Advice.DISCARD
    assert "mix.doubt_afterwards" in codes(result)
    over = corrected(hardener_mg=32_400, scale_step_mg=350)
    assert over.advice is Advice.ADD_RESIN


@pytest.mark.parametrize(
    ("resin_mg", "hardener_mg", "advice"),
    [(150_000, 144_000, Advice.ADD_HARDENER), (144_000, 150_000, Advice.ADD_RESIN)],
)
def test_correct_at_exactly_the_doubt_that_is_allowed_afterwards(resin_mg, hardener_mg, advice):
    """Equal parts of 150 g after adding 6 g on steps of 1 g: 2 g + 1 g of doubt are exactly 2 %."""
    cup = {
        "resin_mg": resin_mg,
        "hardener_mg": hardener_mg,
        "hardener_per_hundred": Given(100.0, Basis.DATA_SHEET),
        "largest_cup_mg": Given(400_000),
    }
    result = corrected(**cup, scale_step_mg=1_000)
    assert (result.advice, result.add_mg) == (advice, 6_000)
    coarser = corrected(**cup, scale_step_mg=1_001)
    assert coarser.advice is Advice.LEAVE
    levels = {reason.code: reason.level for reason in coarser.verdict.reasons}
    assert levels["mix.doubt_afterwards"] is Level.LOOK


def test_correct_within_the_limit_leaves_the_cup():
    """A cup that fits needs nothing; its late hour and its spreading say nothing against it."""
    bench = replace(BENCH, spread=True, used_share=0.9)
    result = corrected(bench, hardener_mg=30_000)
    assert (result.advice, result.add_mg) == (Advice.LEAVE, 0)
    assert codes(result) == ["mix.ratio_fits"]
    assert result.verdict.ok


def test_correct_between_the_limits_is_put_right_or_left():
    """3 % off is put right when it may be, and otherwise left with a look: it is within the stop limit."""
    assert corrected(hardener_mg=30_900).advice is Advice.ADD_RESIN
    late = corrected(replace(BENCH, used_share=0.5), hardener_mg=30_900)
    assert late.advice is Advice.LEAVE
    assert late.verdict.level is Level.LOOK
    assert codes(late) == ["mix.ratio_off", "mix.too_late"]


def test_correct_at_exactly_the_stop_limit_is_left_and_beyond_discarded():
    """5 % itself may stay; a milligram more may not."""
    late = replace(BENCH, used_share=0.5)
    assert corrected(late, hardener_mg=31_500).advice is Advice.LEAVE
    assert corrected(late, hardener_mg=31_501).advice is Advice.DISCARD


def test_correct_at_exactly_the_warn_limit_is_left():
    """2 % itself needs nothing; a milligram more is put right."""
    assert corrected(hardener_mg=30_600, scale_step_mg=1).advice is Advice.LEAVE
    at_limit = corrected(replace(BENCH, used_share=0.5), hardener_mg=30_600, scale_step_mg=1)
    assert at_limit.advice is Advice.LEAVE
    assert codes(at_limit) == ["mix.near_limit", "mix.ratio_fits"]
    assert corrected(hardener_mg=30_601).advice is Advice.ADD_RESIN


def test_correct_when_weights_are_uncertain_never_leaves():
    """Without a checked tare a cup that seems to fit cannot be told, and one that does not is discarded."""
    bench = replace(BENCH, weights_certain=False)
    assert corrected(bench, hardener_mg=30_000).advice is Advice.CANNOT_TELL
    assert corrected(bench, hardener_mg=30_600).advice is Advice.CANNOT_TELL
    assert corrected(bench, hardener_mg=30_900).advice is Advice.DISCARD
    assert not corrected(bench, hardener_mg=30_000).verdict.ok


def test_correct_carries_what_was_seen():
    """Each thing seen at the bench is one unfolded line."""
    lines = {line.name: line.value for line in corrected().how.inputs}
    assert lines["weights certain"] is True
    assert lines["cup cool"] is True
    assert lines["spread"] is False
    assert lines["put right before"] is False
    assert lines["working time used"] == 0.1
    assert lines["hardener per hundred"] == 30.0


@pytest.mark.parametrize(
    ("code", "bench", "facts"),
    [
        ("mix.share", replace(BENCH, used_share=-0.1), {}),
        ("mix.share", replace(BENCH, used_share=math.nan), {}),
        ("mix.share", replace(BENCH, used_share=math.inf), {}),
        ("mix.no_resin", BENCH, {"resin_mg": 0}),
        ("mix.no_hardener", BENCH, {"hardener_mg": 0}),
        ("mix.ratio", BENCH, {"hardener_per_hundred": Given(math.nan)}),
        ("mix.tolerance", BENCH, {"warn": 0.5}),
        ("mix.scale", BENCH, {"scale_step_mg": 0}),
        ("mix.largest_cup", BENCH, {"largest_cup_mg": Given(0)}),
    ],
)
def test_correct_of_bad_input_is_refused(code, bench, facts):
    """Each bad fact has its code; the same cup without it gets its advice."""
    assert corrected().advice is Advice.ADD_RESIN
    with pytest.raises(Refused) as caught:
        corrected(bench, **facts)
    assert caught.value.code == code


@given(resin=st.integers(20_000, 400_000), hardener=st.integers(5_000, 200_000), used=st.floats(0, 2))
def test_correct_never_adds_outside_its_conditions(resin, hardener, used):
    """Whatever is poured: adding makes the ratio exact to a milligram, and only where it may be done."""
    result = correct(
        resin_mg=resin,
        hardener_mg=hardener,
        hardener_per_hundred=SHEET_30,
        bench=replace(BENCH, used_share=used),
        largest_cup_mg=Given(400_000),
        scale_step_mg=1,
    )
    error = Fraction(hardener * 10, resin * 3) - 1
    if result.advice in (Advice.ADD_RESIN, Advice.ADD_HARDENER):
        assert Fraction(1, 50) < abs(error) <= Fraction(1, 10)
        assert used <= 0.25
        assert resin + hardener + result.add_mg <= 400_000
        after = {"resin_mg": resin, "hardener_mg": hardener}
        after["resin_mg" if result.advice is Advice.ADD_RESIN else "hardener_mg"] += result.add_mg
        again = judge(**after, hardener_per_hundred=SHEET_30)
        assert again.ok
        assert abs(again.ratio_error) <= 2e-4
    else:
        assert result.add_mg == 0
    if result.advice is Advice.LEAVE:
        assert abs(error) <= Fraction(1, 20)
    if result.advice is Advice.DISCARD:
        assert result.verdict.level is Level.STOP
