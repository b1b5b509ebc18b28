"""A finished pair beside its spec: what fits, what is off, what nobody measured."""

from dataclasses import replace

import pytest

from inventory.compute.finished import Asked, Measured, judge
from inventory.compute.reasons import Level
from tests.make import refused

ASKED = Asked(1840, 130.0, 98.0, 120.0, 6.0, 1_800_000)
GOOD = Measured(1_790_000, 1841.0, 130.4, 98.2, 119.6, 6.5, 0.05)


def codes(verdict):
    return {reason.code for reason in verdict.reasons if reason.level is not Level.FINE}


def test_pair_within_its_tolerances_is_fine_and_each_reason_says_how():
    """Every measure of both skis."""
    found = judge(asked=ASKED, left=GOOD, right=replace(GOOD, mass_mg=1_800_000))
    assert found.level is Level.FINE
    assert len(found.reasons) == 2 * 6 + 3
    assert all(reason.how for reason in found.reasons)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"length_mm": 1846.0}, "finished.off"),
        ({"tip_mm": 131.2}, "finished.off"),
        ({"camber_mm": 3.0}, "finished.off"),
        ({"waist_mm": 98.9}, "finished.pair_apart"),
        ({"flat_mm": 0.15}, "finished.not_flat"),
        ({"flat_mm": -0.15}, "finished.not_flat"),
        ({"mass_mg": 1_850_000}, "outline.pair_differs"),  # 3.35 % heavier than 1790 g, by hand
        ({"mass_mg": 1_650_000}, "outline.mass_differs"),  # 8.3 % below 1800 g, by hand
    ],
)
def test_pair_with_one_measure_beyond_its_tolerance_is_to_be_looked_at(change, code):
    """A person decides: nothing here stops."""
    found = judge(asked=ASKED, left=GOOD, right=replace(GOOD, **change))
    assert code in codes(found)
    assert found.level is Level.LOOK


@pytest.mark.parametrize("name", ["length_mm", "camber_mm", "flat_mm", "mass_mg"])
def test_pair_where_a_measure_is_missing_is_not_known(name):
    """What nobody measured is never taken for fitting."""
    assert judge(asked=ASKED, left=GOOD, right=replace(GOOD, **{name: None})).level is Level.UNKNOWN
    assert judge(asked=ASKED, left=GOOD, right=None).level is Level.UNKNOWN
    assert judge(asked=replace(ASKED, camber_mm=None), left=GOOD, right=GOOD).level is Level.FINE


@pytest.mark.parametrize(("change", "code"), [({"tip_mm": 1300.0}, "measure"), ({"mass_mg": 18_000}, "mass")])
def test_measure_that_no_ski_has_is_refused(change, code):
    """Another unit: a tip of 1300 mm, a ski of 18 g."""
    with refused(f"finished.{code}"):
        judge(asked=ASKED, left=GOOD, right=replace(GOOD, **change))
