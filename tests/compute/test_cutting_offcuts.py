"""Fillings of offcuts: each is possible, and one is as full as can be."""

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.cutting.offcuts import fillings, left
from inventory.compute.cutting.patterns import used


def test_fillings_of_two_small_offcuts_leave_no_room_for_a_further_piece():
    """Rooms of 5 and 3, sizes 3 and 2, one of each: none, both in the first, or apart; by hand."""
    found = fillings(rooms=[5, 3], sizes=[3, 2], counts=[1, 1], worth=None)
    assert set(map(frozenset, found)) == {
        frozenset(),
        frozenset({(0, (1, 1))}),
        frozenset({(0, (0, 1)), (1, (1, 0))}),
    }


@given(
    st.lists(st.integers(1, 30), max_size=3),
    st.lists(st.integers(2, 20), min_size=1, max_size=3, unique=True),
    st.integers(1, 3),
)
def test_fillings_hold_what_they_say_and_reach_what_trying_all_reaches(rooms, sizes, count):
    """No offcut twice or beyond its room, never more than is wanted; as full as trying all finds."""
    sizes = sorted(sizes, reverse=True)
    counts = [count] * len(sizes)
    found = fillings(rooms=rooms, sizes=sizes, counts=counts, worth=[0.5] * len(sizes))
    for filling in found:
        places = [place for place, _ in filling]
        assert len(places) == len(set(places))
        assert all(used(pattern, sizes) <= rooms[place] for place, pattern in filling)
        assert min(left(filling, counts)) >= 0
    if len(rooms) <= 1:
        best = max(
            (used(pattern, sizes) for pattern in product(range(count + 1), repeat=len(sizes))
             if rooms and used(pattern, sizes) <= rooms[0]), default=0,
        )  # fmt: skip
        assert max(sum(used(pattern, sizes) for _, pattern in filling) for filling in found) == best
