"""Moisture of wood before gluing: each side of each limit. The limits are common practice, no source."""

import pytest

from inventory.compute.moisture import judge
from inventory.compute.reasons import Level
from inventory.errors import Refused


@pytest.mark.parametrize(
    ("read", "code", "level"),
    [
        ({"W": 6.0}, "wood.suits", Level.FINE),
        ({"W": 10.0}, "wood.suits", Level.FINE),
        ({"W": 5.9}, "wood.dry", Level.LOOK),
        ({"W": 10.1}, "wood.wet", Level.LOOK),
        ({"W": 6.5, "X": 8.5}, "wood.suits", Level.FINE),
        ({"W": 6.5, "X": 8.6}, "wood.apart", Level.LOOK),
        ({"W": None, "X": 12.0}, "wood.unread", Level.UNKNOWN),
    ],
)
def test_judge_at_each_side_of_a_limit(read, code, level):
    found = judge(read_pct=read)
    assert (found.reasons[0].code, found.level) == (code, level)


@pytest.mark.parametrize("value", [0.0, 61.0, float("nan")])
def test_judge_when_the_meter_shows_what_no_wood_has_is_refused(value):
    """1 to 60 %."""
    with pytest.raises(Refused) as caught:
        judge(read_pct={"W": value})
    assert caught.value.code == "wood.moisture"
