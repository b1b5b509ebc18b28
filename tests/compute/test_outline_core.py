"""Core volume, nesting on a sheet, and what a ski should weigh."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import simpson

from inventory.compute.outline import Station, Tail, from_stations, measures, width_at
from inventory.compute.outline.core import Thickness, core, thickness_at, usual_core
from inventory.compute.outline.nesting import nest
from inventory.compute.reasons import Basis, Given
from inventory.errors import Refused
from tests.compute.skis import ski

NONE = Given(0.0, Basis.MEASURED)


def refused(call, **arguments):
    with pytest.raises(Refused) as caught:
        call(**arguments)
    return caught.value.code


def board(width=100.0, length=1000.0):
    """A plain board: every area and volume is known by hand."""
    places = [0.0, length / 4, length / 2, length * 3 / 4, length]
    return from_stations(
        stations=[Station(place, width) for place in places], heel_mm=0.0, shoulder_mm=length
    )


def test_core_of_a_plain_board_has_the_volume_of_its_box():
    """100 x 1000 x 10 mm is a million cubic millimetres; half as thick at the ends, three quarters."""
    even = core(outline=board(), thicknesses=[Thickness(0.0, 10.0), Thickness(1000.0, 10.0)], inset_mm=NONE)
    assert even.volume_mm3 == pytest.approx(1_000_000)
    assert (even.area_mm2, even.mean_mm, even.share_of_box) == pytest.approx((100_000, 10, 1))
    assert (even.box_length_mm, even.box_width_mm, even.box_thick_mm) == (1000, 100, 10)
    profile = [Thickness(0.0, 5.0), Thickness(500.0, 10.0), Thickness(1000.0, 5.0)]
    tapered = core(outline=board(), thicknesses=profile, inset_mm=NONE)
    assert tapered.volume_mm3 == pytest.approx(750_000)
    narrow = core(outline=board(), thicknesses=profile, inset_mm=Given(10.0, Basis.MEASURED))
    assert narrow.volume_mm3 == pytest.approx(600_000)
    assert narrow.box_width_mm == 80
    assert [line.name for line in narrow.how.inputs[:3]] == ["core from", "core to", "inset on each side"]


@given(
    st.lists(st.floats(1, 20), min_size=2, max_size=6),
    st.floats(0, 12),
    st.floats(50, 400),
    st.floats(1300, 1600),
)
def test_core_when_compared_with_integration_agrees(thick, inset, start, end):
    """Width times thickness, interpolated by numpy and integrated by scipy on a fine grid."""
    outline = ski()
    places = [start + (end - start) * at / (len(thick) - 1) for at in range(len(thick))]
    profile = [Thickness(place, value) for place, value in zip(places, thick, strict=True)]
    got = core(outline=outline, thicknesses=profile, inset_mm=Given(inset))

    grid = np.unique(np.concatenate([np.linspace(start, end, 20_001), places]))
    along, wide = zip(*((one.from_tail_mm, one.width_mm) for one in outline.stations), strict=True)
    product = (np.interp(grid, along, wide) - 2 * inset) * np.interp(grid, places, thick)
    assert got.volume_mm3 == pytest.approx(simpson(product, x=grid), rel=1e-5)
    assert 0 < got.share_of_box <= 1 + 1e-9
    assert min(thick) - 1e-9 <= got.mean_mm <= max(thick) + 1e-9


def test_core_when_thicker_or_longer_is_no_smaller():
    """More wood never has less volume."""
    outline = ski()
    thin = core(outline=outline, thicknesses=[Thickness(100.0, 5.0), Thickness(1550.0, 5.0)], inset_mm=NONE)
    thick = core(outline=outline, thicknesses=[Thickness(100.0, 5.0), Thickness(1550.0, 6.0)], inset_mm=NONE)
    longer = core(outline=outline, thicknesses=[Thickness(50.0, 5.0), Thickness(1550.0, 5.0)], inset_mm=NONE)
    assert thin.volume_mm3 < thick.volume_mm3
    assert thin.volume_mm3 < longer.volume_mm3


@pytest.mark.parametrize(
    "profile",
    [
        [],
        [(100.0, 5.0)],
        [(100.0, 5.0), (100.0, 6.0)],
        [(200.0, 5.0), (100.0, 6.0)],
        [(-1.0, 5.0), (100.0, 6.0)],
        [(100.0, 5.0), (1801.0, 6.0)],
        [(100.0, 0.0), (1500.0, 6.0)],
        [(100.0, -5.0), (1500.0, 6.0)],
        [(100.0, 41.0), (1500.0, 6.0)],
        [(100.0, float("nan")), (1500.0, 6.0)],
        [(float("nan"), 5.0), (1500.0, 6.0)],
        [(100.0, 5.0), (1800.0, 6.0)],
    ],
)
def test_core_when_thicknesses_are_impossible_is_refused(profile):
    """Too few, unsorted, repeated, off the ski, no thickness, or up to the tip where no width is left."""
    outline = ski()
    bad = [Thickness(*one) for one in profile]
    assert refused(core, outline=outline, thicknesses=bad, inset_mm=NONE) == "outline.core"
    good = [Thickness(0.0, 5.0), Thickness(1799.0, 40.0)]
    assert core(outline=outline, thicknesses=good, inset_mm=NONE).volume_mm3 > 0


def test_core_when_the_inset_leaves_no_width_is_refused():
    """49 mm on each side of a 98 mm waist leaves nothing; 48.9 leaves a little."""
    profile = [Thickness(100.0, 5.0), Thickness(1550.0, 5.0)]
    for inset in (49.0, -1.0, 51.0, float("nan")):
        assert refused(core, outline=ski(), thicknesses=profile, inset_mm=Given(inset)) == "outline.core"
    assert core(outline=ski(), thicknesses=profile, inset_mm=Given(48.9)).volume_mm3 > 0
    wide, even = board(width=150.0), [Thickness(0.0, 5.0), Thickness(1000.0, 5.0)]
    assert refused(core, outline=wide, thicknesses=even, inset_mm=Given(50.1)) == "outline.core"
    assert core(outline=wide, thicknesses=even, inset_mm=Given(50.0)).volume_mm3 == pytest.approx(250_000)


def test_usual_core_when_nothing_is_given_is_assumed_and_says_so():
    """Ends 2.5, middle 10.5 mm (common practice, 2 to 3.5 and 9 to 12 mm; a builders' series, read)."""
    usual = usual_core(outline=ski())
    assert [(one.from_tail_mm, one.thick_mm) for one in usual.thicknesses] == [
        (100.0, 2.5),
        (675.0, 10.5),
        (975.0, 10.5),
        (1550.0, 2.5),
    ]
    assert {line.basis for line in usual.how.inputs} == {Basis.ASSUMED}
    given_core = usual_core(outline=ski(), flat_mm=Given(0.0, Basis.MEASURED))
    assert len(given_core.thicknesses) == 3
    assert core(outline=ski(), thicknesses=given_core.thicknesses, inset_mm=NONE).mean_mm == pytest.approx(
        6.5, 0.03
    )


@pytest.mark.parametrize(
    ("name", "bad", "good"),
    [("end_mm", 0.4, 0.5), ("middle_mm", 40.1, 40.0), ("flat_mm", -1.0, 0.0), ("flat_mm", 1431.0, 1430.0)],
)
def test_usual_core_when_impossible_is_refused(name, bad, good):
    """Each limit beside what passes it; not a number never does."""
    for value in (bad, float("nan")):
        assert refused(usual_core, outline=ski(), **{name: Given(value)}) == "outline.core"
    assert usual_core(outline=ski(), **{name: Given(good)}).thicknesses


def test_thickness_at_when_outside_or_without_thicknesses_is_refused():
    """Straight between two, refused outside them."""
    profile = [Thickness(100.0, 5.0), Thickness(200.0, 7.0)]
    assert thickness_at(thicknesses=profile, from_tail_mm=150.0) == 6.0
    assert thickness_at(thicknesses=profile, from_tail_mm=200.0) == 7.0
    for place in (99.9, 200.1, float("nan")):
        assert refused(thickness_at, thicknesses=profile, from_tail_mm=place) == "outline.core"
    assert refused(thickness_at, thicknesses=[], from_tail_mm=150.0) == "outline.core"


def test_nest_of_plain_boards_lies_edge_to_edge():
    """Three boards of 100 mm with 5 mm between and around: 320 mm, by hand."""
    lying = nest(outline=board(), skis=3, gap_mm=Given(5.0), end_mm=Given(20.0))
    assert (lying.length_mm, lying.width_mm, lying.spacing_mm) == (1040.0, 320.0, 105.0)
    assert lying.centres_mm == (55.0, 160.0, 265.0)
    assert lying.turned == (False, True, False)
    assert lying.used_share == pytest.approx(300_000 / (1040 * 320))
    assert lying.how.inputs[0].value == 3


@given(st.integers(1, 6), st.floats(0, 20), st.floats(90, 150), st.floats(80, 140), st.sampled_from(Tail))
def test_nest_when_skis_lie_in_it_none_overlap_or_reach_over(skis, gap, tip, tail, shape):
    """At every millimetre the sides keep the gap, and the nest is never wider than skis laid the same way."""
    outline = ski(tip_width_mm=tip, tail_width_mm=tail, waist_width_mm=75.0, tail=shape)
    lying = nest(outline=outline, skis=skis, gap_mm=Given(gap), end_mm=Given(0.0))

    def width(at, turned):
        return width_at(outline=outline, from_tail_mm=(1800.0 - at) if turned else at)

    touching = []
    for at in range(0, 1801, 7):
        sides = []
        for centre, turned in zip(lying.centres_mm, lying.turned, strict=True):
            half = width(float(at), turned) / 2
            sides.append((centre - half, centre + half))
        assert sides[0][0] >= gap - 1e-9
        assert sides[-1][1] <= lying.width_mm - gap + 1e-9
        touching += [right[0] - left[1] for left, right in pairwise(sides)]
    assert all(between >= gap - 1e-9 for between in touching)
    if touching:
        assert min(touching) == pytest.approx(gap, abs=0.7)
    assert lying.width_mm <= skis * outline.widest_mm + (skis + 1) * gap + 1e-9
    assert 0 < lying.used_share <= 1
    got = measures(outline=outline)
    assert lying.used_share * lying.area_mm2 == pytest.approx(skis * got.plan_area_mm2)


@pytest.mark.parametrize(
    ("name", "bad", "good"),
    [
        ("skis", 0, 1),
        ("skis", 21, 20),
        ("skis", -1, 2),
        ("skis", True, 1),
        ("skis", 1.5, 1),
        ("gap_mm", Given(-1.0), Given(0.0)),
        ("gap_mm", Given(501.0), Given(500.0)),
        ("end_mm", Given(float("nan")), Given(0.0)),
        ("end_mm", Given(-0.1), Given(0.0)),
    ],
)
def test_nest_when_impossible_is_refused(name, bad, good):
    """Each limit beside what passes it."""
    plain = {"outline": ski(), "skis": 2, "gap_mm": Given(5.0), "end_mm": Given(20.0)}
    assert refused(nest, **plain | {name: bad}) == "outline.nest"
    assert nest(**plain | {name: good}).width_mm > 0


def test_nest_of_a_pair_is_within_the_strips_that_are_usual():
    """A pair's base comes from 0.57 m2 of strip for 0.38 m2 of ski (common practice, no source)."""
    lying = nest(outline=ski(), skis=2, gap_mm=Given(8.0), end_mm=Given(50.0))
    assert 0.383e6 < lying.area_mm2 < 0.57e6
    assert math.isclose(lying.length_mm, 1900.0)
