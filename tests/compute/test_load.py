"""A load against plates: published and worked sums, the four words, what is not known, what is refused."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.load import Item, Near, Quantity, Word, Zone
from inventory.compute.reasons import Basis, Given, Level
from tests.compute.load_cases import car, load, near, plate, plates, trailer

LB = 0.45359237
INCH = 0.0254


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def test_load_of_the_worked_trailer_comes_to_its_sums():
    """A worked trailer (computed): gross 1463, nose 173.93, 11.889 %, axle 1289.1."""
    result = load()
    gross, nose = result.of(Quantity.GROSS).estimate.kg, result.of(Quantity.NOSE).estimate.kg
    assert gross == pytest.approx(1_463.0, abs=0.01)
    assert nose == pytest.approx(173.93, abs=0.02)
    assert 100 * nose / gross == pytest.approx(11.889, abs=0.02)
    assert result.of(Quantity.AXLE).estimate.kg == pytest.approx(1_289.1, abs=0.05)
    assert result.verdict.level is Level.FINE
    assert all(line.word is Word.BELOW for line in result.against)


def test_load_of_the_published_tongue_example_comes_to_284_lb():
    """Load radius 88 in, axle 100 in, empty 800 lb with 80 lb on the tongue, gross 2500 lb: 284 lb.

    Source: trailer-bodybuilders.com, importance of a tongue weight calculator (read). It prints 11.86 %; 284
    of 2500 is 11.36 %, a slip there.
    """
    result = load(
        {"load": (1_700 * LB, 88 * INCH)},
        trailer=trailer(
            empty_kg=near(800 * LB), empty_nose_kg=near(80 * LB), axle_m=near(100 * INCH), floor_m=(0.5, 3.5)
        ),
    )
    nose, gross = result.of(Quantity.NOSE).estimate.kg, result.of(Quantity.GROSS).estimate.kg
    assert nose / LB == pytest.approx(284.0, abs=0.1)
    assert 100 * nose / gross == pytest.approx(11.36, abs=0.005)


def test_load_of_three_things_puts_51_6_kg_on_the_nose():
    """Axle at 3300 mm, empty nose 28; 50 kg at 1500, 80 at 3300, 20 at 3900: 51.636 kg (computed)."""
    cargo = {"a": (50.0, 1.5), "b": (80.0, 3.3), "c": (20.0, 3.9)}
    result = load(cargo, trailer=trailer(empty_nose_kg=near(28.0), axle_m=near(3.3)))
    assert result.of(Quantity.NOSE).estimate.kg == pytest.approx(51.636, abs=0.0005)


def test_load_on_a_tow_car_whose_lever_is_one_and_a_half_matches_the_handbook():
    """850 lb of tongue put 1275 lb on a rear axle of 1225 kg: 1803 kg; the effect is about 1.5 times.

    Source: a vehicle maker's handbook of 2010, pages 8-57, manualarchiveguide.com, document 2832764 (read).
    """
    tow = car(rear_axle_kg=near(1_225.0), wheelbase_m=near(2.8), overhang_m=near(1.4))
    result = load({}, trailer=trailer(empty_nose_kg=near(850 * LB)), car=tow)
    assert result.of(Quantity.REAR_AXLE).estimate.kg == pytest.approx(1_803.0, abs=0.5)


@given(
    st.lists(st.tuples(st.floats(0, 400), st.floats(1.0, 4.2), st.floats(-1, 1)), max_size=6),
    st.floats(1.5, 4.0),
    st.floats(-80, 200),
)
def test_load_balances_as_numpy_solves_the_two_supports(things, axle_m, empty_nose):
    """Forces and moments about the coupling, solved as equations; the same for car and wheels.

    Oracle: numpy.linalg.solve on the equilibrium of a rigid body, written out a second time.
    """
    zones = [Zone(f"z{at}", near(x), near(y)) for at, (_, x, y) in enumerate(things)]
    items = [Item(f"i{at}", f"z{at}", near(kg)) for at, (kg, _, _) in enumerate(things)]
    base = trailer(axle_m=near(axle_m), empty_nose_kg=near(empty_nose))
    result = load(trailer=base, zones=zones, items=items)
    empty_lever = (680.0 - empty_nose) * axle_m
    weight = 680.0 + sum(kg for kg, _, _ in things)
    lever = empty_lever + sum(kg * x for kg, x, _ in things)
    nose, axle = np.linalg.solve([[1, 1], [0, axle_m]], [weight, lever])
    assert result.of(Quantity.NOSE).estimate.kg == pytest.approx(nose, abs=1e-6)
    assert result.of(Quantity.AXLE).estimate.kg == pytest.approx(axle, abs=1e-6)
    left, right = np.linalg.solve([[1, 1], [-0.8, 0.8]], [axle, sum(kg * y for kg, _, y in things)])
    assert result.right_over_left_kg.kg == pytest.approx(right - left, abs=1e-6)
    assert result.of(Quantity.SIDE).estimate.kg == pytest.approx(max(left, right), abs=1e-6)
    front, rear = np.linalg.solve([[1, 1], [0, 2.8]], [2_200.0 + nose, 1_050.0 * 2.8 + nose * (2.8 + 1.12)])
    assert result.of(Quantity.REAR_AXLE).estimate.kg == pytest.approx(rear, abs=1e-6)
    assert result.of(Quantity.CAR).estimate.kg == pytest.approx(front + rear, abs=1e-6)
    assert result.of(Quantity.TRAIN).estimate.kg == pytest.approx(weight + 2_200.0, abs=1e-6)


def test_load_carries_the_doubt_of_places():
    """0.1 m off everywhere is 26 kg if all are off the same way, 11 kg if each by itself (computed)."""
    nose = load(along=0.1).of(Quantity.NOSE).estimate
    assert nose.together_kg == pytest.approx(26.1, abs=0.05)
    assert nose.apart_kg == pytest.approx(11.09, abs=0.02)
    assert (nose.low_kg, nose.high_kg) == (nose.kg - nose.together_kg, nose.kg + nose.together_kg)


def test_load_when_two_things_share_a_zone_shares_its_doubt():
    """One wrong place moves both the same way: 106 kg x 0.1 m / 3 m, however many things that is."""
    zones = [Zone("bench", near(2.9, 0.1), near(0.0))]
    items = [Item("resin", "bench", near(80.0)), Item("hardener", "bench", near(26.0))]
    nose = load(zones=zones, items=items).of(Quantity.NOSE).estimate
    assert nose.apart_kg == nose.together_kg == pytest.approx(106 * 0.1 / 3)


EMPTY = {"empty_kg": 680.0, "empty_nose_kg": 75.0, "axle_m": 3.0, "track_m": 1.6, "empty_right_kg": 9.0}
TOW = {"mass_kg": 2_200.0, "rear_axle_kg": 1_050.0, "wheelbase_m": 2.8, "overhang_m": 1.12}
PLACES = {"ax": 1.4, "ay": 0.5, "bx": 3.7, "by": -0.2}
MASSES = {"p": 90.0, "q": 140.0, "r": 30.0}
STEP = 1e-5


def nudged(doubtful=frozenset(), **off):
    """A load of two zones; these readings are in doubt by a step, those are off by so much."""

    def at(name):
        value = (EMPTY | TOW | PLACES | MASSES)[name] + off.get(name, 0.0)
        return near(value, STEP if name in doubtful else 0.0)

    return load(
        trailer=trailer(**{name: at(name) for name in EMPTY}),
        zones=[Zone("a", at("ax"), at("ay")), Zone("b", at("bx"), at("by"))],
        items=[Item("p", "a", at("p")), Item("q", "b", at("q")), Item("r", "b", at("r"))],
        car=car(**{name: at(name) for name in TOW}),
    )


@pytest.mark.parametrize("name", [*EMPTY, *TOW, *PLACES, *MASSES])
def test_load_doubt_is_what_happens_when_a_reading_is_off(name):
    """Each reading is nudged alone and the sum made again: the change is its pull, to first order."""
    up, down, plain = nudged(**{name: STEP}), nudged(**{name: -STEP}), nudged({name})
    for quantity in Quantity:
        pull = abs(up.of(quantity).estimate.kg - down.of(quantity).estimate.kg) / 2
        estimate = plain.of(quantity).estimate
        assert estimate.together_kg == estimate.apart_kg == pytest.approx(pull, rel=1e-4, abs=1e-9)


def test_load_doubts_of_all_readings_add_up_or_join_by_squares():
    """All at once is the sum of each alone; each by itself is the root of the sum of squares."""
    names = [*EMPTY, *TOW, *PLACES, *MASSES]
    both = nudged(frozenset(names))
    for quantity in Quantity:
        alone = [nudged({name}).of(quantity).estimate.together_kg for name in names]
        assert both.of(quantity).estimate.together_kg == pytest.approx(sum(alone))
        assert both.of(quantity).estimate.apart_kg == pytest.approx(math.hypot(*alone))


@given(st.floats(0, 0.5), st.floats(0, 5))
def test_load_doubt_all_at_once_is_never_below_each_by_itself(along, mass):
    """The cautious figure is never milder than the plain one, and nothing in doubt leaves no doubt."""
    for line in load(along=along, mass=mass).against:
        assert line.estimate.together_kg >= line.estimate.apart_kg - 1e-12
    assert load().of(Quantity.NOSE).estimate.together_kg == 0.0


@pytest.mark.parametrize(
    ("limit", "word", "level", "code"),
    [
        (200.1, Word.BELOW, Level.FINE, "load.below"),
        (200.0, Word.WEIGH, Level.UNKNOWN, "load.weigh"),
        (173.0, Word.WEIGH, Level.UNKNOWN, "load.weigh"),
        (148.0, Word.WEIGH, Level.UNKNOWN, "load.weigh"),
        (147.8, Word.STOP, Level.STOP, "load.over"),
    ],
)
def test_nose_at_each_side_of_its_plate_says_its_word(limit, word, level, code):
    """173.93 give or take 26.1: 147.83 to 200.03. Within that of the plate, only a scale can tell."""
    result = load(along=0.1, plates=plates(ball_nose_kg=plate(limit)))
    line = result.of(Quantity.NOSE)
    assert (line.word, line.lowest, line.lowest_kg) == (word, "ball", limit)
    assert line.room_kg == pytest.approx(limit - 173.93, abs=0.01)
    assert (line.reasons[0].code, line.reasons[0].level) == (code, level)
    assert result.verdict.level is level


def test_load_exactly_at_its_plate_is_not_over_it():
    """A plate's own number is allowed; a gram more, with no doubt left, is over."""
    assert load(plates=plates(trailer_gross_kg=plate(1_463.0))).of(Quantity.GROSS).word is Word.BELOW
    over = load(plates=plates(trailer_gross_kg=plate(1_462.999)))
    assert over.of(Quantity.GROSS).word is Word.STOP
    assert "is 0.0 kg over its lowest plate (trailer's permitted mass, 1462.999 kg)" in str(
        over.of(Quantity.GROSS).reasons[0].sentence
    )


@pytest.mark.parametrize(
    ("field", "limit", "quantity", "name"),
    [
        ("trailer_gross_kg", 1_400.0, Quantity.GROSS, "trailer's permitted mass"),
        ("car_towed_kg", 1_400.0, Quantity.GROSS, "what the tow car may tow"),
        ("trailer_axle_kg", 1_200.0, Quantity.AXLE, "trailer's axles"),
        ("coupling_nose_kg", 100.0, Quantity.NOSE, "coupling"),
        ("ball_nose_kg", 100.0, Quantity.NOSE, "ball"),
        ("bar_nose_kg", 100.0, Quantity.NOSE, "tow bar"),
        ("car_nose_kg", 100.0, Quantity.NOSE, "tow car"),
        ("car_rear_axle_kg", 1_200.0, Quantity.REAR_AXLE, "tow car's rear axle"),
        ("car_gross_kg", 2_300.0, Quantity.CAR, "tow car's permitted mass"),
        ("train_kg", 3_600.0, Quantity.TRAIN, "permitted mass of the train"),
    ],
)
def test_load_over_one_plate_stops_at_that_plate_and_nowhere_else(field, limit, quantity, name):
    """The lowest plate governs; the same load is below all others. Not read, the same plate is cannot say."""
    result = load(plates=plates(**{field: plate(limit)}))
    assert [line.quantity for line in result.against if line.word is Word.STOP] == [quantity]
    assert (result.of(quantity).lowest, result.of(quantity).lowest_kg) == (name, limit)
    missing = load(plates=plates(**{field: None}))
    assert [line.quantity for line in missing.against if line.word is Word.CANNOT_SAY] == [quantity]
    assert name in str(missing.of(quantity).reasons[0].sentence)
    assert missing.verdict.level is Level.UNKNOWN
    assumed = load(plates=plates(**{field: Given(limit)}))
    assert assumed.of(quantity).word is Word.CANNOT_SAY


def test_load_on_tyres_counts_one_side_once_and_both_twice():
    """Tyres of 640 kg a side: 1280 for the axle, of which 1289.1 are there; and 644.5 on a side."""
    result = load(plates=plates(tyres_per_side_kg=plate(640.0)))
    assert result.of(Quantity.AXLE).lowest_kg == 1_280.0
    assert result.of(Quantity.AXLE).word is Word.STOP
    assert (result.of(Quantity.SIDE).lowest_kg, result.of(Quantity.SIDE).word) == (640.0, Word.STOP)


@pytest.mark.parametrize("right", [0.5, -0.5])
def test_load_on_one_side_counts_for_the_heavier(right):
    """Half a kilogram of difference is a quarter more on that side, whichever it is."""
    result = load(trailer=trailer(empty_right_kg=near(right)))
    assert result.right_over_left_kg.kg == right
    assert not result.right_over_left_kg.weighed
    assert result.of(Quantity.SIDE).estimate.kg == pytest.approx(1_289.0667 / 2 + 0.25, abs=1e-3)


def test_load_over_one_plate_while_another_is_not_read_still_stops():
    """What is over is over, whatever the other plate says."""
    some = plates(ball_nose_kg=plate(100.0), bar_nose_kg=None)
    assert load(plates=some).of(Quantity.NOSE).word is Word.STOP
    none = replace(plates(), coupling_nose_kg=None, ball_nose_kg=None, bar_nose_kg=None, car_nose_kg=None)
    line = load(plates=none).of(Quantity.NOSE)
    assert (line.word, line.lowest, line.lowest_kg, line.room_kg) == (Word.CANNOT_SAY, None, None, None)


@pytest.mark.parametrize(
    ("kg", "give", "word", "code"),
    [
        (-0.1, 0.0, Word.STOP, "load.nose_lifts"),
        (0.0, 0.0, Word.BELOW, "load.below"),
        (5.0, 6.0, Word.WEIGH, "load.nose_may_lift"),
        (6.0, 6.0, Word.BELOW, "load.below"),
        (-0.1, 6.0, Word.STOP, "load.nose_lifts"),
    ],
)
def test_nose_that_lifts_stops_and_one_that_may_is_weighed(kg, give, word, code):
    """Negative nose weight: stop. Within its doubt of nothing: weigh."""
    line = load({}, trailer=trailer(empty_nose_kg=near(kg, give))).of(Quantity.NOSE)
    assert line.word is word
    assert code in [reason.code for reason in line.reasons]


def test_nose_that_lifts_says_by_how_much():
    """A number above zero; the word lifts says which way."""
    line = load({}, trailer=trailer(empty_nose_kg=near(-12.5))).of(Quantity.NOSE)
    assert "The nose lifts with 12.5 kg" in str(line.reasons[-1].sentence)


def test_only_a_nose_can_lift_and_only_one_that_is_known():
    """A rear axle in great doubt is no nose; a negative sum that lacks a mass says nothing yet."""
    light = load(car=car(rear_axle_kg=near(10.0, 400.0)))
    assert [reason.code for reason in light.of(Quantity.REAR_AXLE).reasons] == ["load.below"]
    unknown = load(
        trailer=trailer(empty_nose_kg=near(-5.0)),
        zones=[Zone("front", near(1.2), near(0.0))],
        items=[Item("unweighed box", "front", None)],
    )
    assert [reason.code for reason in unknown.of(Quantity.NOSE).reasons] == ["load.not_known"]


def test_nose_that_may_lift_and_may_be_over_says_both():
    """Doubt as wide as the plate: both ends are open."""
    narrow = plates(ball_nose_kg=plate(20.0))
    line = load({}, trailer=trailer(empty_nose_kg=near(10.0, 15.0)), plates=narrow).of(Quantity.NOSE)
    assert [reason.code for reason in line.reasons] == ["load.weigh", "load.nose_may_lift"]


def test_load_says_where_heavy_ends_are():
    """Halves at the ends balance as halves near the axle do, but lie further from it than an even load."""
    base = trailer(axle_m=near(2.6))
    ends = load({"front": (200.0, 1.0), "back": (200.0, 4.2)}, trailer=base)
    assert ends.spread_m == pytest.approx(1.6)
    assert ends.even_spread_m == pytest.approx(3.2 / math.sqrt(12))
    close = load({"front": (200.0, 2.2), "back": (200.0, 3.0)}, trailer=base)
    assert ends.of(Quantity.NOSE).estimate.kg == close.of(Quantity.NOSE).estimate.kg
    level = {reason.code: reason.level for reason in ends.verdict.reasons}
    assert level["load.ends"] is Level.LOOK
    assert {reason.code: reason.level for reason in close.verdict.reasons}["load.ends"] is Level.FINE
    assert "still sway" in " ".join(str(reason.sentence) for reason in ends.verdict.reasons)
    assert load({}).spread_m is None
    assert "load.ends" not in codes(load({}))


def test_load_on_tandem_axles_says_that_their_split_is_not_known():
    """One axle carries it all; of two nobody knows here which carries how much."""
    assert "load.axles" not in codes(load())
    tandem = load(trailer=trailer(axles=2))
    assert "load.axles" in codes(tandem)
    assert tandem.verdict.level is Level.LOOK


def test_load_always_says_to_weigh_and_how_it_was_got():
    """Cautions even when nothing is over; every input with its basis."""
    result = load(items=[Item("resin", "resin", Given(Near(80.0, 0.5)))])
    assert "Weigh it" in str(result.cautions[0])
    how = result.of(Quantity.NOSE).how
    lines = {line.name: (line.value, line.unit, line.basis) for line in how.inputs}
    assert lines["resin"] == (80.0, "kg", Basis.ASSUMED)
    assert lines["empty nose weight"] == (75.0, "kg", Basis.MEASURED)
    assert lines["coupling to axle"] == (3.0, "m", Basis.MEASURED)
    assert lines["tools behind the coupling"] == (3.3, "m", Basis.MEASURED)
    assert lines["overhang"] == (1.12, "m", Basis.MEASURED)
    assert "1 - distance behind the coupling" in how.rule
    assert "overhang" not in {line.name for line in load(car=None).how.inputs}


@given(st.floats(1, 500), st.floats(1.0, 4.2), st.floats(0.01, 0.5))
def test_load_moved_back_takes_weight_off_the_nose_and_none_off_the_whole(kg, behind, further):
    """Monotone where the trade says so: further back is lighter on the nose; the mass stays the same."""
    back = min(behind + further, 4.2)
    one, other = load({"box": (kg, behind)}), load({"box": (kg, back)})
    assert other.of(Quantity.NOSE).estimate.kg <= one.of(Quantity.NOSE).estimate.kg
    assert other.of(Quantity.GROSS).estimate.kg == one.of(Quantity.GROSS).estimate.kg
