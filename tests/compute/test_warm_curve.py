"""A curve's picture shows no less than the data."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.compute.warm_curve import HEIGHT, Spell, curve, scale
from inventory.errors import Refused

START = datetime(2026, 7, 1, tzinfo=UTC)
H = timedelta(hours=1)


def spells(*pairs):
    return [Spell(START + at * H, START + (at + 1) * H, low, high) for at, low, high in pairs]


def test_curve_of_nothing_is_refused_and_of_one_hour_drawn():
    """Outside the span is nothing, too."""
    one = spells((0, 10.0, 20.0))
    with pytest.raises(Refused) as caught:
        curve(one, starts=START + 5 * H, ends=START + 9 * H, within=(0, 30))
    assert caught.value.code == "warm_curve.nothing"
    assert len(curve(one, starts=START, ends=START + 9 * H, within=(0, 30)).bands) == 1


@settings(max_examples=40)
@given(
    st.lists(st.tuples(st.integers(0, 5000), st.floats(-30, 30), st.floats(0, 20)), min_size=1, max_size=60)
)
def test_curve_has_the_extremes_of_its_data(rows):
    """Lowest and highest of the picture's points are those of the data, however many share a bin."""
    found = spells(*((at, low, low + more) for at, low, more in {row[0]: row for row in rows}.values()))
    within = scale(found)
    drawn = curve(found, starts=START, ends=START + 5001 * H, within=within)
    assert (drawn.lowest_c, drawn.highest_c) == (
        min(s.lowest_c for s in found),
        max(s.highest_c for s in found),
    )
    heights = [float(y) for band in drawn.bands for y in re.findall(r"[ML][\d.]+ ([\d.]+)", band)]
    assert min(heights) == pytest.approx(drawn.level(drawn.highest_c), abs=0.1)
    assert max(heights) == pytest.approx(drawn.level(drawn.lowest_c), abs=0.1)
    assert max(heights) <= HEIGHT


def test_curve_leaves_a_hole_where_nothing_was_measured():
    """Two runs, two bands; without the hole one."""
    apart = spells((0, 10, 20), (1, 10, 20), (5, 10, 20))
    assert len(curve(apart, starts=START, ends=START + 10 * H, within=(0, 30)).bands) == 2
    close = spells((0, 10, 20), (1, 10, 20), (2, 10, 20))
    assert len(curve(close, starts=START, ends=START + 10 * H, within=(0, 30)).bands) == 1
