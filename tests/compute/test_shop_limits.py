"""A shop's own tolerances and moisture limits over those shipped. All of them: common practice, no source."""

import pytest

from inventory.compute.finished import Asked, Measured, Tolerances, judge
from inventory.compute.moisture import Limits
from inventory.compute.moisture import judge as judge_wood
from inventory.compute.reasons import Level
from inventory.compute.shop_limits import SHIPPED, checked, moisture, tolerances
from inventory.errors import Refused


def test_what_a_shop_leaves_empty_is_as_shipped():
    """Nothing said: both are the shipped ones; one said: that one alone."""
    assert checked(dict.fromkeys(SHIPPED)) == {}
    assert (tolerances({}), moisture({})) == (Tolerances(), Limits())
    own = checked({"width": 2.0, "wet_pct": 12.0, "flat": None})
    assert tolerances(own) == Tolerances(width=2.0)
    assert moisture(own) == Limits(wet_pct=12.0)


@pytest.mark.parametrize(
    ("wrong", "right", "code"),
    [
        ({"width": 0.0}, {"width": 0.1}, "limits.number"),
        ({"width": 50.1}, {"width": 50.0}, "limits.number"),
        ({"flat": float("nan")}, {"flat": 0.2}, "limits.number"),
        ({"dry_pct": 10.0}, {"dry_pct": 9.9}, "limits.dry_wet"),
        ({"wet_pct": 6.0}, {"wet_pct": 6.1}, "limits.dry_wet"),
        ({"weight": 1.0}, {"width": 1.0}, "limits.unknown"),
    ],
)
def test_limit_that_cannot_be_is_refused_and_one_beside_it_is_not(wrong, right, code):
    with pytest.raises(Refused) as caught:
        checked(wrong)
    assert caught.value.code == code
    assert checked(right) == right


def test_ski_and_wood_are_judged_by_the_shops_own_limits():
    """1.5 mm off is beyond the shipped 1 mm and within a shop's 2 mm; 11 % is wet, and by 12 % is not."""
    asked, ski = Asked(1800.0, waist_mm=98.0), Measured(1_800_000, 1800.0, waist_mm=99.5, flat_mm=0.0)
    for own, codes in (({}, {"finished.off"}), ({"width": 2.0}, set())):
        found = judge(asked=asked, left=ski, right=ski, tolerances=tolerances(own))
        assert {reason.code for reason in found.reasons if reason.level is Level.LOOK} == codes
    for own, code in (({}, "wood.wet"), ({"wet_pct": 12.0}, "wood.suits")):
        found = judge_wood(read_pct={"W": 11.0}, limits=moisture(own))
        assert found.reasons[0].code == code
    assert "6 to 12 %" in judge_wood(read_pct={"W": 11.0}, limits=Limits(wet_pct=12.0)).reasons[0].how.rule
