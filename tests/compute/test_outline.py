"""Outlines from a spec or from typed widths: areas, lengths, and what is refused."""

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ellipe

from inventory.compute.outline import (
    Measures,
    Outline,
    Station,
    Tail,
    from_spec,
    from_stations,
    measures,
    piece,
    width_at,
)
from inventory.compute.reasons import Basis, Given
from inventory.errors import Refused
from tests.compute.skis import WORKED

SPEC = WORKED | {"shovel_mm": Given(250.0, Basis.MEASURED), "tail_turn_mm": Given(100.0, Basis.MEASURED)}


def ski(**changes) -> Outline:
    return from_spec(**SPEC | changes)


def measured(**changes) -> Measures:
    return measures(outline=ski(**changes))


def refused(call, **arguments) -> Refused:
    with pytest.raises(Refused) as caught:
        call(**arguments)
    return caught.value


@pytest.mark.parametrize(
    ("what", "expected", "tolerance"),
    [
        # A ski worked by hand from these inputs (computed).
        ("contact_area_mm2", 155_150, 50),
        ("plan_area_mm2", 191_480, 100),
        ("side_mm", 1_450.3, 0.05),
        ("edge_partial_mm", 3_100, 5),
        ("edge_wrap_mm", 3_747, 5),
        ("sidewall_mm", 2_700, 0.001),
        ("length_mm", 1_800, 0.001),
        ("widest_mm", 130, 0.001),
    ],
)
def test_measures_of_the_worked_ski_agree(what, expected, tolerance):
    """1800 mm, 130/98/120, shovel 250, tail 100, tail edge by 2 × turn + 0.9 × width."""
    assert getattr(measured(), what) == pytest.approx(expected, abs=tolerance)


def test_measures_when_unfolded_name_inputs_with_their_basis():
    """Assumed places and measured ones are told apart."""
    how = measured().how
    basis = {line.name: line.basis for line in how.inputs}
    assert basis["waist from the heel line"] is Basis.ASSUMED
    assert basis["shovel"] is Basis.MEASURED
    assert basis["edge beyond the contact length, each side"] is Basis.ASSUMED
    values = {line.name: line.value for line in how.inputs}
    assert values["edge round the tip"] == pytest.approx(538.5, abs=0.1)  # computed
    assert values["edge round the tail"] == pytest.approx(308.0)  # 2 × 100 + 0.9 × 120
    assert measured().tail is Tail.BLUNT


def test_outline_when_made_from_a_spec_passes_through_its_three_widths():
    """Heel, waist and shoulder lie where they were put; the end is closed."""
    outline = ski(waist_from_heel_mm=Given(700.0))
    assert (outline.heel_mm, outline.waist_mm, outline.shoulder_mm) == (100.0, 800.0, 1550.0)
    for place, width in ((100, 120), (800, 98), (1550, 130), (1800, 0)):
        assert width_at(outline=outline, from_tail_mm=place) == pytest.approx(width, abs=1e-6)
    assert (outline.length_mm, outline.contact_mm, outline.widest_mm) == (1800.0, 1450.0, 130.0)
    assert outline.how.inputs[6].value == 700.0


def exact_area(length, tip, waist, tail, shovel, turn, shape):
    """The area by integration of the stated shapes."""
    contact = length - shovel - turn
    area, _ = quad(
        lambda u: tail + (4 * waist - 3 * tail - tip) * u + 2 * (tip + tail - 2 * waist) * u * u, 0, 1
    )
    front, _ = quad(lambda v: tip * math.sqrt(1 - v * v), 0, 1)
    round_end, _ = quad(lambda v: tail * math.sqrt(1 - v * v), 0, 1)
    back = {Tail.SQUARE: tail, Tail.BLUNT: 0.9 * tail, Tail.ROUND: round_end}[shape]
    return area * contact + front * shovel + back * turn


def half_ellipse(along, across):
    """Exact length of half an ellipse with these half axes."""
    big, small = max(along, across), min(along, across)
    return 2 * big * ellipe(1 - (small / big) ** 2)


@given(
    st.floats(700, 2100),
    st.floats(90, 160),
    st.floats(60, 110),
    st.floats(80, 150),
    st.floats(60, 330),
    st.floats(0, 150),
    st.sampled_from(Tail),
)
def test_measures_when_compared_with_integration_agree(length, tip, waist, tail, shovel, turn, shape):
    """Area, tip and tail edge against exact integrals and the ellipse's own integral (scipy)."""
    assume(waist < min(tip, tail) - 2)
    assume(length - shovel - turn > 0.3 * length)
    spec = {
        "length_mm": length,
        "tip_width_mm": tip,
        "waist_width_mm": waist,
        "tail_width_mm": tail,
        "shovel_mm": Given(shovel),
        "tail_turn_mm": Given(turn),
        "tail": shape,
    }
    if 0 < turn < 0.001:  # neither none nor one that can be
        assert refused(from_spec, **spec).code == "outline.reach"
        return
    outline = from_spec(**spec)
    got = measures(outline=outline)
    assert got.plan_area_mm2 == pytest.approx(
        exact_area(length, tip, waist, tail, shovel, turn, shape),
        rel=3e-4,  # the widths are taken at stations
    )
    tail_edge = {
        Tail.SQUARE: 2 * turn + tail,
        Tail.BLUNT: 2 * turn + (0.9 if turn else 1) * tail,
        Tail.ROUND: half_ellipse(turn, tail / 2) if turn else tail,
    }[shape]
    assert outline.tail_edge_mm == pytest.approx(tail_edge, rel=2e-4)
    assert got.edge_wrap_mm == pytest.approx(
        2 * got.side_mm + half_ellipse(shovel, tip / 2) + tail_edge, rel=1e-4
    )
    assert got.side_mm >= outline.contact_mm
    assert got.contact_area_mm2 < got.plan_area_mm2
    assert got.narrowest.width_mm == pytest.approx(waist)


@given(st.floats(1000, 2000), st.floats(1, 200), st.floats(0, 20))
def test_measures_when_the_ski_is_longer_or_wider_are_no_smaller(length, more, wider):
    """Longer or wider skis never need less sheet or edge."""
    less, longer = measured(length_mm=length), measured(length_mm=length + more)
    wide = measured(length_mm=length, tip_width_mm=130 + wider, tail_width_mm=120 + wider)
    for bigger in (longer, wide):
        assert bigger.plan_area_mm2 >= less.plan_area_mm2 - 1e-6
        assert bigger.edge_wrap_mm >= less.edge_wrap_mm - 1e-6
        assert bigger.edge_partial_mm >= less.edge_partial_mm - 1e-6
    assert longer.sidewall_mm >= less.sidewall_mm


def test_tails_when_compared_square_is_largest_and_round_smallest():
    """The tail's shape changes area and edge, so it is always stated."""
    areas = [measured(tail=shape).plan_area_mm2 for shape in (Tail.SQUARE, Tail.BLUNT, Tail.ROUND)]
    assert areas == sorted(areas, reverse=True)
    square, blunt = (measured(tail=shape).edge_wrap_mm for shape in (Tail.SQUARE, Tail.BLUNT))
    assert square - blunt == pytest.approx(0.1 * 120)
    flat = [ski(tail=shape, tail_turn_mm=Given(0.0)) for shape in Tail]
    assert [outline.tail_edge_mm for outline in flat] == [120.0, 120.0, 120.0]
    assert [outline.heel_mm for outline in flat] == [0.0, 0.0, 0.0]


# Each row: what is changed, the code, and the nearest value that is taken.
SPEC_REFUSALS = [
    ("length_mm", 299.0, "outline.length", None),
    ("length_mm", 3001.0, "outline.length", 3000.0),
    ("length_mm", float("nan"), "outline.length", 1800.0),
    ("length_mm", float("inf"), "outline.length", 1800.0),
    ("length_mm", -1800.0, "outline.length", 1800.0),
    ("tip_width_mm", 401.0, "outline.width", 400.0),
    ("tip_width_mm", 0.0, "outline.width", 130.0),
    ("waist_width_mm", 19.0, "outline.width", 20.0),
    ("waist_width_mm", float("nan"), "outline.width", 98.0),
    ("tail_width_mm", -120.0, "outline.width", 120.0),
    ("shovel_mm", Given(0.5), "outline.reach", Given(1.0)),
    ("shovel_mm", Given(1251.0), "outline.reach", Given(1250.0)),
    ("shovel_mm", Given(float("nan")), "outline.reach", Given(250.0)),
    ("tail_turn_mm", Given(-1.0), "outline.reach", Given(0.0)),
    ("tail_turn_mm", Given(1101.0), "outline.reach", Given(1100.0)),
    ("tail_turn_mm", Given(5e-324), "outline.reach", Given(0.0)),
    ("tail_turn_mm", Given(0.000999), "outline.reach", Given(0.001)),
    ("waist_from_heel_mm", Given(289.0), "outline.waist_place", Given(290.0)),
    ("waist_from_heel_mm", Given(1161.0), "outline.waist_place", Given(1160.0)),
    ("waist_from_heel_mm", Given(float("nan")), "outline.waist_place", Given(725.0)),
]


@pytest.mark.parametrize(("name", "value", "code", "near"), SPEC_REFUSALS)
def test_spec_when_impossible_is_refused_and_the_nearest_is_taken(name, value, code, near):
    """Each stated limit of the spec, beside what still passes it."""
    refusal = refused(from_spec, **SPEC | {name: value})
    assert refusal.code == code
    assert str(refusal.sentence)
    if near is not None:
        assert ski(**{name: near}).length_mm


@pytest.mark.parametrize("share", [0.2, 0.35, 0.5, 0.65, 0.8])
def test_spec_when_the_waist_is_off_the_middle_is_narrowest_there(share):
    """The width called waist is the narrowest, wherever it lies; the area by integration (scipy)."""
    at = 1450.0 * share
    outline = ski(waist_from_heel_mm=Given(at, Basis.MEASURED))
    assert outline.narrowest.from_tail_mm == pytest.approx(100.0 + at)
    assert outline.narrowest.width_mm == 98.0

    def width(x):
        return 98 + (22 * (1 - x / at) ** 2 if x < at else 32 * ((x - at) / (1450 - at)) ** 2)

    area = quad(width, 0, at)[0] + quad(width, at, 1450)[0]
    assert measures(outline=outline).contact_area_mm2 == pytest.approx(area, rel=2e-5)


def test_spec_when_the_waist_is_wider_than_the_ends_is_still_an_outline():
    """A ski without sidecut has widths and areas; only its radius does not exist."""
    assert measured(waist_width_mm=140.0).plan_area_mm2 > measured().plan_area_mm2
    straight = ski(tip_width_mm=98.0, tail_width_mm=98.0)
    assert measures(outline=straight).side_mm == pytest.approx(1450.0)


@pytest.mark.parametrize(
    ("changed", "bad", "good"), [("edge_overrun_mm", 1451.0, 1450.0), ("sidewall_short_mm", -1.0, 0.0)]
)
def test_measures_when_overrun_is_impossible_is_refused(changed, bad, good):
    """More edge beyond the contact length than there is contact length is a slip."""
    outline = ski()
    for value in (bad, float("nan")):
        assert refused(measures, outline=outline, **{changed: Given(value)}).code == "outline.overrun"
    assert measures(outline=outline, **{changed: Given(good)}).edge_wrap_mm > 0
    longer = measures(outline=outline, edge_overrun_mm=Given(150.0), sidewall_short_mm=Given(0.0))
    assert longer.edge_partial_mm - measured().edge_partial_mm == pytest.approx(100)
    assert longer.sidewall_mm == pytest.approx(2900)


WIDTHS = [(0, 100.0), (100, 120.0), (825, 98.0), (1550, 130.0), (1700, 90.0), (1800, 0.0)]


def stations(*pairs):
    return [Station(float(place), width) for place, width in pairs or WIDTHS]


def test_stations_when_typed_give_widths_lines_and_areas():
    """Straight between six widths: the area by hand, the lines at the widest places, the waist between."""
    outline = from_stations(stations=stations())
    assert (outline.heel_mm, outline.waist_mm, outline.shoulder_mm, outline.tail) == (
        100.0,
        825.0,
        1550.0,
        None,
    )
    got = measures(outline=outline)
    by_hand = 100 * 110 + 725 * 109 + 725 * 114 + 150 * 110 + 100 * 45
    assert got.plan_area_mm2 == pytest.approx(by_hand)
    assert got.contact_area_mm2 == pytest.approx(725 * 109 + 725 * 114)
    rim = [
        math.hypot(100, 10),
        math.hypot(725, 11),
        math.hypot(725, 16),
        math.hypot(150, 20),
        math.hypot(100, 45),
    ]
    assert got.edge_wrap_mm == pytest.approx(2 * sum(rim) + 100)
    assert got.edge_partial_mm == pytest.approx(2 * (rim[1] + rim[2] + 100))
    assert got.narrowest == Station(825.0, 98.0)
    assert got.how.source == "common practice, no source"


def test_stations_when_lines_are_typed_use_them_and_say_measured():
    """A line that was measured outranks the widest place."""
    outline = from_stations(stations=stations(), heel_mm=150.0, shoulder_mm=1500.0)
    assert (outline.heel_mm, outline.shoulder_mm) == (150.0, 1500.0)
    assert [line.basis for line in outline.how.inputs[1:]] == [Basis.MEASURED, Basis.MEASURED]
    assumed = from_stations(stations=stations()).how.inputs[1:]
    assert [line.basis for line in assumed] == [Basis.ASSUMED, Basis.ASSUMED]


STATION_REFUSALS = [
    ([], "outline.stations"),
    (WIDTHS[:4], "outline.stations"),
    ([(10, 100.0), *WIDTHS[1:]], "outline.stations"),
    ([*WIDTHS[:3], (825, 99.0), *WIDTHS[3:]], "outline.stations"),
    ([WIDTHS[0], WIDTHS[2], WIDTHS[1], *WIDTHS[3:]], "outline.stations"),
    ([*WIDTHS[:5], (float("nan"), 0.0)], "outline.stations"),
    ([*WIDTHS[:5], (3001, 0.0)], "outline.stations"),
    ([*WIDTHS[:4], (1700, 0.0), WIDTHS[5]], "outline.width"),
    ([WIDTHS[0], (100, 0.0), *WIDTHS[2:]], "outline.width"),
    ([*WIDTHS[:4], (1700, -5.0), WIDTHS[5]], "outline.width"),
    ([*WIDTHS[:4], (1700, 401.0), WIDTHS[5]], "outline.width"),
    ([*WIDTHS[:4], (1700, float("inf")), WIDTHS[5]], "outline.width"),
    ([(place / 10, width) for place, width in WIDTHS], "outline.length"),
]


@pytest.mark.parametrize(("pairs", "code"), STATION_REFUSALS)
def test_stations_when_impossible_are_refused(pairs, code):
    """Too few, unsorted, repeated, not from the tail, no width, no number, too short; the good ones pass."""
    bad = [Station(float(place), width) for place, width in pairs]
    assert refused(from_stations, stations=bad).code == code
    assert from_stations(stations=stations()).length_mm == 1800


def test_stations_when_five_or_with_open_ends_are_taken():
    """Five widths are enough; ends may have a width or none."""
    pointed = [(0, 0.0), (200, 120.0), (825, 98.0), (1550, 130.0), (1800, 20.0)]
    got = measures(outline=from_stations(stations=stations(*pointed)))
    rim = sum(math.dist((a, u / 2), (b, v / 2)) for (a, u), (b, v) in pairwise(pointed))
    assert got.edge_wrap_mm == pytest.approx(2 * rim + 20)


@pytest.mark.parametrize(
    ("heel", "shoulder", "taken"),
    [(-1.0, None, 0.0), (None, 1801.0, 1800.0), (1101.0, 1550.0, 1100.0), (float("nan"), None, 100.0)],
)
def test_stations_when_the_lines_are_impossible_are_refused(heel, shoulder, taken):
    """Lines outside the ski or almost on each other are refused; the nearest are taken."""
    assert (
        refused(from_stations, stations=stations(), heel_mm=heel, shoulder_mm=shoulder).code == "outline.zone"
    )
    good = {"heel_mm": taken} if heel is not None else {"shoulder_mm": taken}
    assert (
        from_stations(stations=stations(), **{"shoulder_mm": shoulder} | good if heel else good).contact_mm
        > 0
    )


def test_spec_and_its_own_stations_when_compared_give_the_same():
    """An outline typed in as its own widths has the same area and edge."""
    outline = ski(tail=Tail.ROUND)
    typed = from_stations(stations=outline.stations, heel_mm=outline.heel_mm, shoulder_mm=outline.shoulder_mm)
    one, two = measures(outline=outline), measures(outline=typed)
    assert two.plan_area_mm2 == pytest.approx(one.plan_area_mm2)
    assert two.edge_wrap_mm == pytest.approx(one.edge_wrap_mm)
    assert two.edge_partial_mm == pytest.approx(one.edge_partial_mm)


@given(st.lists(st.floats(0, 1800), min_size=1, max_size=5))
def test_pieces_when_laid_end_to_end_sum_to_the_whole(cuts):
    """Area, side and length are conserved however a ski is cut across."""
    outline = ski()
    places = sorted({0.0, 1800.0, *cuts})
    pieces = [piece(outline=outline, start_mm=a, end_mm=b) for a, b in pairwise(places)]
    whole = piece(outline=outline, start_mm=0.0, end_mm=1800.0)
    assert math.fsum(one.area_mm2 for one in pieces) == pytest.approx(whole.area_mm2)
    assert math.fsum(one.side_mm for one in pieces) == pytest.approx(whole.side_mm)
    assert math.fsum(one.length_mm for one in pieces) == pytest.approx(1800.0)
    assert max(one.widest_mm for one in pieces) == pytest.approx(whole.widest_mm)


def test_piece_when_places_are_impossible_is_refused():
    """Off the ski, no number or the wrong way round; a piece of no length has no area."""
    outline = ski()
    for start, end in ((-1.0, 5.0), (0.0, 1800.1), (float("nan"), 5.0), (6.0, 5.0)):
        assert refused(piece, outline=outline, start_mm=start, end_mm=end).code == "outline.place"
    none = piece(outline=outline, start_mm=5.0, end_mm=5.0)
    assert (none.area_mm2, none.side_mm, none.length_mm) == (0.0, 0.0, 0.0)
    assert none.how.inputs[0].value == 5.0
    for place in (-0.1, 1800.1, float("nan")):
        assert refused(width_at, outline=outline, from_tail_mm=place).code == "outline.place"
