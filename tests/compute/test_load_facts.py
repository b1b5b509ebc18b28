"""What a load is made of: impossible values are refused, beside the nearest that is possible."""

import math

import pytest

from inventory.compute.load import Estimate, Item, Near, Quantity, Word, Zone
from inventory.errors import Refused
from tests.compute.load_cases import car, load, near, plate, plates, trailer


def refused(code, make, *mentions):
    with pytest.raises(Refused) as caught:
        make()
    assert caught.value.code == code
    for mention in mentions:
        assert mention in str(caught.value)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, True, "80"])
def test_near_when_it_is_no_number_is_refused(value):
    """A plain number is one."""
    assert Near(80.0, 0.5).value == 80.0
    refused("load.number", lambda: Near(value, 0.5))
    refused("load.number", lambda: Near(80.0, value))
    refused("load.number", lambda: Near(80.0, -0.1))


def test_item_when_its_mass_is_impossible_is_refused():
    """Nothing weighs less than nothing; 40 t is a slip of the unit."""
    assert Item("box", "z", near(0.0))
    refused("load.mass", lambda: Item("box", "z", near(-0.1)), "box")
    assert Item("box", "z", near(40_000.0))
    refused("load.mass", lambda: Item("box", "z", near(40_001.0)), "box")


def test_zone_when_it_lies_outside_the_trailer_is_refused():
    """On the very edge of the floor is inside, along and across."""
    assert Zone("z", near(2.0), near(-1.3))
    refused("load.zone_outside", lambda: Zone("z", near(2.0), near(1.31)), "1.31")
    assert load({"box": (10.0, 4.2)})
    assert load({"box": (10.0, 1.0)})
    refused("load.zone_outside", lambda: load({"box": (10.0, 4.21)}), "4.21", "1 m to 4.2 m")
    refused("load.zone_outside", lambda: load({"box": (10.0, 0.99)}))


def test_load_when_something_is_listed_twice_or_lies_nowhere_is_refused():
    """Each zone and each item once, each item in one of the zones."""
    zones = [Zone("a", near(2.0), near(0.0))]
    assert load(zones=zones, items=[Item("box", "a", near(5.0))])
    refused("load.twice", lambda: load(zones=zones * 2, items=[]), "A is listed twice")
    refused("load.twice", lambda: load(zones=zones, items=[Item("box", "a", near(5.0))] * 2), "Box is")
    refused("load.zone_unknown", lambda: load(zones=zones, items=[Item("box", "b", near(5.0))]), "Box", "b")


def test_load_when_a_scale_shows_less_than_nothing_is_refused_but_for_the_nose():
    """Only a nose can lift."""
    assert load(weighed={Quantity.NOSE: near(-3.0, 1.0)}).of(Quantity.NOSE).word is Word.STOP
    assert load(weighed={Quantity.AXLE: near(0.0, 1.0)}).of(Quantity.AXLE).estimate.kg == 0.0
    refused("load.weighed", lambda: load(weighed={Quantity.AXLE: near(-3.0, 1.0)}), "−3.0")
    refused("load.weighed", lambda: load(weighed={Quantity.AXLE: near(-0.1, 1.0)}))


@pytest.mark.parametrize(
    ("bad", "good"),
    [
        (
            {"empty_kg": near(0.0), "empty_nose_kg": near(0.0)},
            {"empty_kg": near(0.0005), "empty_nose_kg": near(0.0)},
        ),
        ({"empty_kg": near(40_001.0)}, {"empty_kg": near(40_000.0)}),
        ({"empty_nose_kg": near(681.0)}, {"empty_nose_kg": near(680.0)}),
        ({"empty_nose_kg": near(-681.0)}, {"empty_nose_kg": near(-680.0)}),
        ({"empty_right_kg": near(681.0)}, {"empty_right_kg": near(-680.0)}),
        ({"axle_m": near(0.0)}, {"axle_m": near(0.0005)}),
        ({"axle_m": near(3_000.0)}, {"axle_m": near(20.0)}),
        ({"track_m": near(0.0)}, {"track_m": near(0.0005)}),
        ({"track_m": near(2.61)}, {"track_m": near(2.6)}),
        ({"floor_m": (4.2, 1.0)}, {"floor_m": (0.0, 4.2)}),
        ({"floor_m": (-0.1, 4.2)}, {"floor_m": (1.0, 20.0)}),
        ({"floor_m": (1.0, 20.1)}, {"floor_m": (1.0, 1.1)}),
        ({"floor_m": (1.0, math.nan)}, {"floor_m": (1.0, 4.0)}),
        ({"floor_m": (1.0, 1.0)}, {"floor_m": (1.0, 1.5)}),
        ({"axles": 0}, {"axles": 1}),
        ({"axles": 1.5}, {"axles": 3}),
    ],
)
def test_trailer_when_a_measure_is_impossible_is_refused(bad, good):
    """Beside each the nearest that is possible."""
    assert trailer(**good)
    refused("load.trailer", lambda: trailer(**bad), "Stoat")


@pytest.mark.parametrize(
    ("bad", "good"),
    [
        ({"mass_kg": near(0.0), "rear_axle_kg": None}, {"mass_kg": near(0.0005), "rear_axle_kg": None}),
        ({"mass_kg": near(40_001.0)}, {"mass_kg": near(40_000.0)}),
        ({"rear_axle_kg": near(2_201.0)}, {"rear_axle_kg": near(2_200.0)}),
        ({"rear_axle_kg": near(0.0)}, {"rear_axle_kg": near(0.0005)}),
        (
            {"rear_axle_kg": near(40_001.0), "mass_kg": None},
            {"rear_axle_kg": near(40_000.0), "mass_kg": None},
        ),
        ({"wheelbase_m": near(0.0)}, {"wheelbase_m": near(0.0005)}),
        ({"wheelbase_m": near(2_800.0)}, {"wheelbase_m": near(20.0)}),
        ({"overhang_m": near(-0.1)}, {"overhang_m": near(0.0)}),
        ({"overhang_m": near(1_120.0)}, {"overhang_m": near(20.0)}),
    ],
)
def test_tow_car_when_a_measure_is_impossible_is_refused(bad, good):
    """Beside each the nearest that is possible, or not known."""
    assert car(**good)
    refused("load.car", lambda: car(**bad), "tow car")


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan])
def test_plates_when_one_says_nothing_above_zero_are_refused(value):
    """A plate that says nothing is None, not 0."""
    assert plates(ball_nose_kg=None)
    assert plates(ball_nose_kg=plate(0.0005))
    refused("load.plate", lambda: plates(ball_nose_kg=plate(value)), "ball nose")


def test_estimate_when_nobody_says_so_was_not_weighed():
    """A scale is something to be said, not supposed."""
    assert not Estimate(5.0, 1.0, 1.0).weighed
    assert Estimate(5.0, 1.0, 1.0, (), weighed=True).weighed
