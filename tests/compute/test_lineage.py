"""Boxes and lines of a drawing: nothing overlaps, nothing is lost without being counted."""

import re
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from inventory.compute import lineage

columns = st.dictionaries(st.integers(0, 40), st.integers(0, 3), min_size=1, max_size=40)
steps = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), max_size=60)


@given(columns, steps)
def test_draw_any_graph_gives_boxes_that_do_not_overlap_and_counts_what_it_leaves_out(where, joined):
    """Each thing once, in its column, inside the drawing; the others are counted."""
    drawn = lineage.draw(where, joined, most=6)
    assert len(drawn.boxes) + drawn.left_out == len(where)
    assert {box.id for box in drawn.boxes} <= set(where)
    places = {(box.x, box.y) for box in drawn.boxes}
    assert len(places) == len(drawn.boxes)
    for box in drawn.boxes:
        assert where[box.id] == box.column
        assert 0 <= box.x <= drawn.width - drawn.box_width
        assert box.y + lineage.HEIGHT <= drawn.height
    rows = sorted({y for _, y in places})
    assert all(b - a >= lineage.HEIGHT for a, b in pairwise(rows))
    xs = sorted({x for x, _ in places})
    assert all(b - a >= drawn.box_width for a, b in pairwise(xs))


@given(columns, steps)
def test_draw_joins_every_step_whose_two_things_are_drawn_once(where, joined):
    """Lines begin and end at boxes' sides."""
    drawn = lineage.draw(where, joined, most=99)
    wanted = {(a, b) for a, b in joined if a in where and b in where}
    assert len(drawn.lines) == len(wanted)
    sides = {(x, box.y + 20) for box in drawn.boxes for x in (box.x, box.x + drawn.box_width)}
    for line in drawn.lines:
        numbers = [int(number) for number in re.findall(r"-?\d+", line)]
        assert tuple(numbers[:2]) in sides
        assert tuple(numbers[-2:]) in sides


def test_draw_two_chains_given_crossed_uncrosses_them():
    """The mean height of what a thing is joined to decides its place."""
    drawn = lineage.draw({"a": 0, "b": 0, "A": 1, "B": 1}, [("a", "B"), ("b", "A")])
    height = {box.id: box.y for box in drawn.boxes}
    assert (height["a"] < height["b"]) == (height["B"] < height["A"])
