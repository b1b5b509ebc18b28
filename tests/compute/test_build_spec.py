"""Build specs: the radius against the measuring rule's own worked numbers, and what is looked at again."""

import pytest

from inventory.compute.build_spec import Spec, shaped
from inventory.compute.reasons import Level
from tests.make import refused

GOOD = Spec(length_mm=1800, tip_mm=130, waist_mm=98, tail_mm=120, shovel_mm=250, tail_turn_mm=100)


def test_shaped_when_widths_are_taken_where_the_rule_says_gives_its_radius() -> None:
    """R = L² / (2000 (S + H − 2 W)) over L1 = 0.8 (LTOT − LW) and L2 = 0.9 LW, worked by hand here.

    Source: FIS, sidecut radius, measuring rule (member.fis-ski.com/skicalc_info.htm, read).
    """
    found = shaped(spec=GOOD)
    # waist at 825; 0.8 of 975 ahead lies 55 mm into the shovel: 130 × √(1 − (55 / 250)²) = 126.8;
    # 0.9 of 825 behind it lies at 82.5 of a blunt tail of 100: 120 × (0.8 + 0.2 × 0.825) = 115.8
    assert found.radius.radius_m == pytest.approx(1522.5**2 / (2000 * (126.8 + 115.8 - 2 * 98)), rel=2e-3)
    assert "FIS" in found.radius.how.source
    assert found.verdict.level is Level.FINE


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"length_mm": 1400, "waist_mm": 115, "shovel_mm": 200}, "pair.racers_radius"),
        ({"tail_mm": 134}, "pair.tail_wider"),
        ({"mount_mm": 30}, "pair.unusual_mount"),
        ({"waist_mm": 118}, "pair.unusual_radius"),
    ],
)
def test_shaped_when_one_number_is_odd_warns(changed: dict[str, float], code: str) -> None:
    """It can be built; it is said. The spec without that number is fine."""
    assert shaped(spec=GOOD).verdict.level is Level.FINE
    spec = Spec(**{name: getattr(GOOD, name) for name in GOOD.__slots__} | changed)
    found = shaped(spec=spec).verdict
    assert [reason.code for reason in found.reasons] == [code]
    assert found.level is Level.LOOK


def test_shaped_when_the_same_radius_is_on_a_long_ski_does_not_warn() -> None:
    """The racer's radius is a matter of the length only."""
    spec = Spec(length_mm=1900, tip_mm=116, waist_mm=92, tail_mm=108)
    assert shaped(spec=spec).radius.radius_m > 20
    assert shaped(spec=spec).verdict.level is Level.FINE


def test_shaped_when_the_waist_is_as_wide_as_the_ends_is_refused() -> None:
    """No sidecut, no radius; the widths are named as they were entered."""
    with refused("outline.no_sidecut", "Tip 120 mm, waist 120 mm and tail 120 mm"):
        shaped(spec=Spec(length_mm=1800, tip_mm=120, waist_mm=120, tail_mm=120))
