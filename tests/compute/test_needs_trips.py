"""What trips teach of use: damped, never from one, by pooled amounts."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.needs.trips import TripUse, offer
from inventory.errors import Refused


def trip(net=1000, used=1200, pairs=5):
    return TripUse(net, used, pairs)


def test_one_trip_suggests_nothing_and_two_do():
    """With how far they lie apart."""
    assert offer(trips=[trip()], usual=1.1).factor is None
    two = offer(trips=[trip(used=1200), trip(used=1400)], usual=1.1)
    assert (two.trips, two.pairs, two.lowest, two.highest) == (2, 10, 1.2, 1.4)
    assert two.factor.expected == pytest.approx(1.2)  # half the way from 1.1 to 1.3, at ten pairs


def test_pooled_ratio_weighs_a_trip_by_what_it_built():
    """Hand-worked: 1200 + 3000 over 1000 + 2000 is 1.4; 30 pairs go three quarters of the way from 1.0."""
    found = offer(trips=[trip(1000, 1200, 10), trip(2000, 3000, 20)], usual=1.0)
    assert found.raw == pytest.approx(1.4)
    assert found.factor.expected == pytest.approx(1.3)


@given(
    rows=st.lists(
        st.tuples(st.integers(100, 9999), st.integers(50, 400), st.integers(1, 9)), min_size=2, max_size=6
    ),
    usual=st.floats(1, 2),
)
def test_factor_lies_between_what_is_usual_and_what_was_found(rows, usual):
    """However many pairs; and its range holds every trip."""
    trips = [TripUse(net, max(1, net * share // 100), pairs) for net, share, pairs in rows]
    found = offer(trips=trips, usual=usual)
    low, high = sorted((usual, found.raw))
    assert low - 1e-9 <= found.factor.expected <= high + 1e-9
    assert found.factor.lowest <= min(each.ratio for each in trips) + 1e-9
    assert found.factor.highest >= max(each.ratio for each in trips) - 1e-9
    used, net = sum(each.used for each in trips), sum(each.net for each in trips)
    assert found.raw == pytest.approx(float(Fraction(used, net)))


@pytest.mark.parametrize("wrong", [trip(used=10), trip(used=9_000), trip(net=0), trip(pairs=0)])
def test_trip_that_cannot_be_is_refused_and_a_possible_one_is_not(wrong):
    """And so is none at all."""
    with pytest.raises(Refused) as caught:
        offer(trips=[trip(), wrong], usual=1.0)
    assert caught.value.code == "needs.trips"
    with pytest.raises(Refused):
        offer(trips=[], usual=1.0)
    assert offer(trips=[trip(), trip()], usual=1.0).factor
