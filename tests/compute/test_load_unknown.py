"""A load of which something is not known, or was put on a scale."""

import pytest

from inventory.compute.load import Item, Quantity, Word, Zone
from inventory.compute.reasons import Level
from tests.compute.load_cases import CARGO, car, load, near, plate, plates, trailer


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def known(**changes):
    """Which quantities cannot be said when one fact is missing."""
    return {line.quantity for line in load(**changes).against if line.word is Word.CANNOT_SAY}


def worked_zones(**changes):
    return [
        Zone(
            key,
            None if changes.get(key) == "along" else near(x),
            None if changes.get(key) == "across" else near(0.0),
        )
        for key, (_, x) in CARGO.items()
    ]


def test_load_when_a_zone_has_no_place_cannot_say_what_hangs_on_it():
    """Mass still counts; nose, axle and all that follows do not. Across, only the sides."""
    follows = {Quantity.AXLE, Quantity.NOSE, Quantity.SIDE, Quantity.REAR_AXLE, Quantity.CAR}
    assert known() == set()
    along = load(zones=worked_zones(tools="along"))
    assert known(zones=worked_zones(tools="along")) == follows
    assert along.of(Quantity.NOSE).estimate.missing == ("place of tools along",)
    assert along.spread_m is None
    assert "not known: place of tools along" in str(along.of(Quantity.NOSE).reasons[0].sentence)
    assert known(zones=worked_zones(tools="across")) == {Quantity.SIDE}
    assert known(trailer=trailer(track_m=None)) == {Quantity.SIDE}
    assert known(trailer=trailer(empty_right_kg=None)) == {Quantity.SIDE}


def test_load_when_a_mass_is_missing_cannot_say_anything_yet_stops_what_is_over_without_it():
    """Unknown is not nothing: all are open, except what is over already and can only grow."""
    items = [Item(key, key, near(kg)) for key, (kg, _) in CARGO.items()]
    items.append(Item("unweighed box", "tools", None))
    assert known(items=items) == set(Quantity)
    tight = plates(
        trailer_gross_kg=plate(1_400.0), trailer_axle_kg=plate(1_200.0), train_kg=plate(3_600.0),
        ball_nose_kg=plate(100.0), car_rear_axle_kg=plate(1_100.0),
    )  # fmt: skip
    result = load(items=items, plates=tight)
    stopped = {line.quantity for line in result.against if line.word is Word.STOP}
    assert stopped == {Quantity.GROSS, Quantity.AXLE, Quantity.TRAIN}
    assert result.of(Quantity.NOSE).word is Word.CANNOT_SAY
    assert result.of(Quantity.GROSS).estimate.kg == 1_463.0
    assert result.spread_m is None


def test_load_when_the_tow_car_is_not_known_cannot_say_what_hangs_on_it():
    """No car, or a car with one fact missing."""
    assert known(car=None) == {Quantity.REAR_AXLE, Quantity.CAR, Quantity.TRAIN}
    assert known(car=car(mass_kg=None)) == {Quantity.CAR, Quantity.TRAIN}
    for fact in ("rear_axle_kg", "wheelbase_m", "overhang_m"):
        assert known(car=car(**{fact: None})) == {Quantity.REAR_AXLE}


def test_load_when_the_nose_was_weighed_goes_on_from_the_scale():
    """The scale settles what places left open, and all that follows from it; a far-off scale is said."""
    zones = worked_zones(tools="along")
    scale = {Quantity.NOSE: near(170.0, 2.0)}
    result = load(zones=zones, weighed=scale)
    nose = result.of(Quantity.NOSE).estimate
    assert (nose.kg, nose.together_kg, nose.weighed, nose.missing) == (170.0, 2.0, True, ())
    assert result.of(Quantity.AXLE).estimate.kg == pytest.approx(1_463.0 - 170.0)
    assert result.of(Quantity.REAR_AXLE).estimate.kg == pytest.approx(1_050.0 + 170.0 * 1.4)
    assert result.of(Quantity.CAR).estimate.kg == pytest.approx(2_370.0)
    assert not result.of(Quantity.GROSS).estimate.weighed
    assert "load.scale_differs" not in codes(result)


@pytest.mark.parametrize(("scale", "differs"), [(172.4, False), (172.2, True), (175.5, False), (175.6, True)])
def test_load_when_the_scale_disagrees_beyond_both_doubts_says_so(scale, differs):
    """173.93 by the list; scale and list off by 1 kg each: up to 2 sqrt(2 / 3) = 1.63 kg is agreement."""
    base = trailer(empty_nose_kg=near(75.0, 1.0))
    result = load(trailer=base, weighed={Quantity.NOSE: near(scale, 1.0)})
    assert ("load.scale_differs" in codes(result)) is differs
    assert result.verdict.level is (Level.LOOK if differs else Level.FINE)
    bare = load({}, trailer=base, weighed={Quantity.NOSE: near(76.5, 1.0)})
    assert "load.scale_differs" not in codes(bare)


def test_load_when_gross_was_weighed_the_axle_and_train_go_on_from_it():
    """One visit to a public scale."""
    result = load(weighed={Quantity.GROSS: near(1_500.0, 10.0), Quantity.TRAIN: near(3_690.0, 10.0)})
    assert result.of(Quantity.AXLE).estimate.kg == pytest.approx(1_500.0 - 173.93, abs=0.01)
    assert result.of(Quantity.TRAIN).estimate.kg == 3_690.0
    assert codes(result).count("load.scale_differs") == 1
