"""Whether stock past its date may be used a little longer after a re-test."""

import math
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from inventory.compute.reasons import Level
from inventory.compute.retest import Chemistry, Standing, Trial, retest
from inventory.errors import Refused

STANDING = Standing(
    chemistry=Chemistry.EPOXY_RESIN, maker_allows=True, held=False, recalled=False, extended_before=False
)


def retested(**facts):
    known = {
        "good_through": date(2025, 11, 30),
        "months": 3,
        "standing": STANDING,
        "old": Trial(gel_min=40.0, bath_c=23.0),
        "control": Trial(gel_min=40.0, bath_c=23.0),
        "hardness_as_control": True,
        "coupon_as_control": True,
    }
    return retest(**(known | facts))


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def test_retest_when_everything_holds_extends_once():
    """Three months from 30 November end on the last day of February; the answer says once."""
    result = retested()
    assert result.extended_through == date(2026, 2, 28)
    assert codes(result) == ["retest.extended"]
    assert result.verdict.level is Level.LOOK
    assert str(result.verdict.reasons[0].sentence) == "Re-tested: it may be used through 2026-02-28, once."


@pytest.mark.parametrize(
    ("day", "months", "through"),
    [
        (date(2025, 1, 15), 1, date(2025, 2, 15)),
        (date(2025, 1, 31), 1, date(2025, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2025, 9, 30), 3, date(2025, 12, 30)),
        (date(2025, 10, 1), 3, date(2026, 1, 1)),
        (date(2025, 12, 31), 2, date(2026, 2, 28)),
    ],
)
def test_retest_counts_calendar_months(day, months, through):
    """The same day some months later, or the last day of that month."""
    assert retested(good_through=day, months=months).extended_through == through


@pytest.mark.parametrize(
    ("fact", "code"),
    [
        ({"chemistry": Chemistry.CYANOACRYLATE}, "retest.never"),
        ({"chemistry": Chemistry.ISOCYANATE}, "retest.never"),
        ({"chemistry": None}, "retest.never"),
        ({"maker_allows": False}, "retest.maker"),
        ({"maker_allows": None}, "retest.maker"),
        ({"held": True}, "retest.held"),
        ({"held": None}, "retest.held"),
        ({"recalled": True}, "retest.held"),
        ({"recalled": None}, "retest.held"),
        ({"extended_before": True}, "retest.extended_before"),
        ({"extended_before": None}, "retest.extended_before"),
    ],
)
def test_retest_when_one_fact_speaks_against_it_extends_nothing(fact, code):
    """Each fact alone, or its being unknown, is enough, and is named."""
    result = retested(standing=replace(STANDING, **fact))
    assert result.extended_through is None
    assert codes(result) == [code]
    assert result.verdict.level is Level.STOP


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({"hardness_as_control": False}, "retest.hardness"),
        ({"hardness_as_control": None}, "retest.hardness"),
        ({"coupon_as_control": False}, "retest.coupon"),
        ({"coupon_as_control": None}, "retest.coupon"),
        ({"old": Trial(40.0, 24.01)}, "retest.baths_apart"),
        ({"old": Trial(40.0, 21.99)}, "retest.baths_apart"),
        ({"old": Trial(48.01, 23.0)}, "retest.gel_off"),
        ({"old": Trial(31.99, 23.0)}, "retest.gel_off"),
    ],
)
def test_retest_when_one_trial_fails_extends_nothing(facts, code):
    """Baths more than 1 K apart, a gel time more than 20 % off, hardness or coupon not as the control's."""
    result = retested(**facts)
    assert result.extended_through is None
    assert codes(result) == [code]
    assert result.verdict.level is Level.STOP


@pytest.mark.parametrize("old", [Trial(48.0, 23.0), Trial(32.0, 23.0), Trial(40.0, 24.0), Trial(40.0, 22.0)])
def test_retest_at_the_limits_extends(old):
    """Exactly 20 % and exactly 1 K still pass."""
    assert retested(old=old).extended_through == date(2026, 2, 28)
    assert retested(old=Trial(40.0, 40.1), control=Trial(40.0, 39.1)).extended_through is not None


@pytest.mark.parametrize("chemistry", [Chemistry.AMINE_HARDENER, Chemistry.OTHER])
def test_retest_of_other_stock_the_maker_allows_extends(chemistry):
    """What the maker allows and is not on the short list of never is extended."""
    assert retested(standing=replace(STANDING, chemistry=chemistry)).extended_through is not None


def test_retest_names_every_fact_against_it():
    """Several facts against it are all said."""
    result = retested(
        standing=Standing(Chemistry.ISOCYANATE, False, True, True, True),
        old=Trial(90.0, 30.256),
        hardness_as_control=False,
        coupon_as_control=False,
    )
    assert codes(result) == [
        "retest.never",
        "retest.maker",
        "retest.extended_before",
        "retest.held",
        "retest.baths_apart",
        "retest.gel_off",
        "retest.hardness",
        "retest.coupon",
    ]
    texts = [str(reason.sentence) for reason in result.verdict.reasons]
    assert "The two baths are 7.26 K apart, more than 1 K." in texts
    assert "It gels in 90.0 min, the control in 40.0 min: more than 20 % apart." in texts
    assert texts[0] == "Stock of this kind (isocyanate) is never extended."


def test_retest_at_the_bounds_is_reckoned():
    """The first and last possible year, gel time and bath are answered."""
    for day in (date(1950, 1, 1), date(2950, 12, 31)):
        assert retested(good_through=day).extended_through is not None
    for trial in (Trial(0.1, 0.0), Trial(1e5, 100.0)):
        assert retested(old=trial, control=trial).extended_through is not None
    for gel_min in (0.095, 1.05e5):
        with pytest.raises(Refused) as caught:
            retested(old=Trial(gel_min, 23.0))
        assert caught.value.code == "retest.gel"


def test_retest_unfolds_its_trials():
    """Dates, both trials and what was seen are lines of the sum."""
    lines = {line.name: line.value for line in retested().how.inputs}
    assert lines["gel time"] == 40.0
    assert lines["control's bath"] == 23.0
    assert lines["hardness as control"] is True
    assert lines["months asked"] == 3


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("retest.months", {"months": 0}),
        ("retest.months", {"months": 4}),
        ("retest.months", {"months": 1.5}),
        ("retest.months", {"months": math.nan}),
        ("retest.date", {"good_through": datetime(2025, 11, 30, tzinfo=UTC)}),
        ("retest.date", {"good_through": date(2951, 1, 1)}),
        ("retest.date", {"good_through": "2025-11-30"}),
        ("retest.gel", {"old": Trial(0.0, 23.0)}),
        ("retest.gel", {"control": Trial(math.nan, 23.0)}),
        ("retest.gel", {"control": Trial(1e6, 23.0)}),
        ("retest.bath", {"old": Trial(40.0, math.inf)}),
        ("retest.bath", {"control": Trial(40.0, -1.0)}),
        ("retest.bath", {"old": Trial(40.0, 101.0)}),
    ],
)
def test_retest_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code; the same call without it answers."""
    assert retested(months=1).extended_through == date(2025, 12, 30)
    with pytest.raises(Refused) as caught:
        retested(**facts)
    assert caught.value.code == code
