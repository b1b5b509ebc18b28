"""The exact interval around a reported failure rate: published intervals, scipy, and what is refused."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta, binomtest

from inventory.compute.rate import rate
from inventory.errors import Refused


@pytest.mark.parametrize(
    ("failed", "of", "low", "high", "digits", "source"),
    [
        (
            682,
            925,
            0.7076682641,
            0.7654065582,
            1e-10,
            "R binom.test help, Conover p. 97 (data read, interval from memory)",
        ),
        (0, 20, 0, 0.1684334710, 1e-10, "scipy.stats.beta"),
        (1, 8, 0.0031597235, 0.5265096709, 1e-10, "scipy.stats.beta"),
        (5, 24, 0.0713186172, 0.4215128436, 1e-10, "scipy.stats.beta and whole-number bisection"),
        (3, 20, 0.032, 0.379, 5e-4, "scipy.stats.beta"),
    ],
)
def test_rate_when_published_gives_the_printed_interval(failed, of, low, high, digits, source):
    """Intervals printed elsewhere come out, to the last printed digit."""
    got = rate(failed=failed, of=of)
    assert got.low == pytest.approx(low, abs=digits), source
    assert got.high == pytest.approx(high, abs=digits), source


def test_rate_at_ninety_percent_gives_both_one_sided_bounds_at_ninety_five():
    """3 of 15: lower 0.0568468676 (scipy binomtest docstring, read); 0 of 20: upper 0.1391 (computed).

    The rule of three says 3 / 20 = 0.15, a little above.
    """
    assert rate(failed=3, of=15, confidence=0.9).low == pytest.approx(0.0568468676, abs=5e-11)
    assert rate(failed=0, of=20, confidence=0.9).high == pytest.approx(0.1391, abs=5e-5)


@settings(deadline=None)
@given(st.integers(1, 30_000).flatmap(lambda of: st.tuples(st.integers(0, min(of, 500)), st.just(of))))
def test_rate_equals_scipy(counts):
    """Both ends equal the quantiles of the beta distribution, and scipy's exact interval roughly."""
    failed, of = counts
    got = rate(failed=failed, of=of)
    if failed:
        assert got.low == pytest.approx(beta.ppf(0.025, failed, of - failed + 1), rel=1e-9)
    if failed < of:
        assert got.high == pytest.approx(beta.ppf(0.975, failed + 1, of - failed), rel=1e-9)
    ends = binomtest(failed, of).proportion_ci(0.95, "exact")
    assert (got.low, got.high) == pytest.approx((ends.low, ends.high), abs=1e-9)


@settings(deadline=None)
@given(st.integers(1, 200).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_rate_holds_the_plain_rate_and_mirrors(counts):
    """The plain rate lies inside, and what did not fail has the mirrored interval."""
    failed, of = counts
    got, other = rate(failed=failed, of=of), rate(failed=of - failed, of=of)
    assert 0 <= got.low <= failed / of <= got.high <= 1
    assert (got.low == 0) == (failed == 0)
    assert (got.high == 1) == (failed == of)
    assert got.low == pytest.approx(1 - other.high, abs=1e-12)
    assert rate(failed=failed, of=of, confidence=0.5).low >= got.low


@pytest.mark.parametrize(
    ("failed", "of"), [(4, 3), (-1, 3), (0, 0), (1, 0), (0, -2), (1.0, 3), (1, math.nan)]
)
def test_rate_when_counts_do_not_fit_is_refused(failed, of):
    """3 of 3 is a rate; 4 of 3 and anything of none is not."""
    assert rate(failed=3, of=3).high == 1
    with pytest.raises(Refused) as caught:
        rate(failed=failed, of=of)
    assert caught.value.code == "suspects.counts"
    assert str(failed).replace("-", "−") in str(caught.value.sentence)


@pytest.mark.parametrize("confidence", [0, 0.49, 1, 95, math.nan])
def test_rate_when_confidence_is_no_confidence_is_refused(confidence):
    """A half is the least, four nines the most; 95 is a slip for 0.95."""
    assert rate(failed=1, of=3, confidence=0.5).low > rate(failed=1, of=3, confidence=0.9999).low
    with pytest.raises(Refused) as caught:
        rate(failed=1, of=3, confidence=confidence)
    assert caught.value.code == "suspects.confidence"


@pytest.mark.parametrize(("failed", "of"), [(1, 2_000_000), (1_000_000, 2_000_000), (1_999_999, 2_000_000)])
def test_rate_of_very_many_still_equals_scipy(failed, of):
    """The number of steps is not bounded: a long history is as exact as a short one."""
    got = rate(failed=failed, of=of)
    assert got.low == pytest.approx(beta.ppf(0.025, failed, of - failed + 1), rel=1e-8)
    assert got.high == pytest.approx(beta.ppf(0.975, failed + 1, of - failed), rel=1e-8)
