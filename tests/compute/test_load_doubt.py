"""Numbers with their doubt: what is shared cancels or adds, what is missing stays named."""

import pytest

from inventory.compute.load.doubt import ONE, Doubt, total

X = Doubt(5.0, {"x": 0.5})
Y = Doubt(2.0, {"y": 0.1}, frozenset({"z"}))


@pytest.mark.parametrize(
    ("result", "value", "pulls"),
    [
        (X + Y, 7.0, {"x": 0.5, "y": 0.1}),
        (X - Y, 3.0, {"x": 0.5, "y": -0.1}),
        (X * Y, 10.0, {"x": 1.0, "y": 0.5}),
        (X / Y, 2.5, {"x": 0.25, "y": -0.125}),
        (X + X, 10.0, {"x": 1.0}),
        (X - X, 0.0, {"x": 0.0}),
        (X * X, 25.0, {"x": 5.0}),
        (X / X, 1.0, {"x": 0.0}),
        (ONE + X, 6.0, {"x": 0.5}),
        (X.times(-2.0), -10.0, {"x": -1.0}),
        (total([X, X, X.times(-1.0), Y]), 7.0, {"x": 0.5, "y": 0.1}),
        (total([]), 0.0, {}),
    ],
)
def test_doubt_of_a_sum_product_or_quotient_counts_each_source_once(result, value, pulls):
    """By the rules of differentiation, written out by hand for each."""
    assert result.value == pytest.approx(value)
    assert dict(result.pulls) == pytest.approx(pulls)


def test_doubt_is_the_sum_or_the_root_of_squares():
    """3 and 4 at once are 7, by themselves 5, whatever their signs."""
    both = Doubt(0.0, {"a": -3.0, "b": 4.0})
    assert (both.together, both.apart) == (7.0, 5.0)


def test_doubt_keeps_the_names_of_what_is_missing():
    """Through every rule; what knows all of its parts misses nothing."""
    for result in (X + Y, X - Y, Y - X, X * Y, X / Y, Y.times(3.0), total([X, Y])):
        assert result.missing == {"z"}
    assert (X + X).missing == frozenset()
