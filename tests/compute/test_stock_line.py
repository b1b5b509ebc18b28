"""What is there day by day: changes in the order of days, on one day what comes in first."""

from datetime import date
from itertools import accumulate

from hypothesis import given
from hypothesis import strategies as some

from inventory.compute.stock_line import Change, Move, stock_line

DAY = date(2026, 12, 1)


def test_on_one_day_what_comes_in_counts_before_what_is_taken():
    """So that a delivery on the load day is not called short."""
    found = stock_line(
        start=0, changes=[Change(DAY, -5, Move.TAKEN, "Hut"), Change(DAY, 5, Move.ORDERED, "S")]
    )
    assert [(point.before, point.after) for point in found] == [(0, 5), (5, 0)]


@given(some.lists(some.tuples(some.integers(0, 40), some.integers(-50, 50), some.sampled_from(list(Move)))))
def test_levels_are_running_sums(rows):
    """itertools.accumulate over the same changes in the same order."""
    changes = [Change(date.fromordinal(DAY.toordinal() + day), amount, move) for day, amount, move in rows]
    found = stock_line(start=7, changes=changes)
    sums = list(accumulate((point.change.amount for point in found), initial=7))
    assert [point.after for point in found] == sums[1:]
    assert [point.before for point in found] == sums[:-1]
    assert [point.on for point in found] == sorted(point.on for point in found)
