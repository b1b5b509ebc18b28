"""Points for drawing a ski from above and from the side."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.outline import Station, Tail, from_stations, measures, width_at
from inventory.compute.outline.core import Thickness, core, usual_core
from inventory.compute.outline.drawing import SideLayer, plan_view, side_view
from inventory.compute.reasons import Basis, Given
from inventory.errors import Refused
from tests.compute.skis import ski


def refused(call, **arguments):
    with pytest.raises(Refused) as caught:
        call(**arguments)
    return caught.value.code


def area(points):
    """Area of a closed line (the surveyor's formula)."""
    xs, ys = np.array(points).T
    return abs(np.dot(xs, np.roll(ys, -1)) - np.dot(ys, np.roll(xs, -1))) / 2


def test_plan_view_when_drawn_is_a_closed_symmetrical_ski():
    """From tail to tip and back, as wide to the left as to the right, with three lines across."""
    view = plan_view(outline=ski())
    half = len(view.outline) // 2
    left, right = view.outline[:half], view.outline[half:]
    assert [(x, -y) for x, y in reversed(left)] == list(right)
    assert [x for x, _ in left] == sorted(x for x, _ in left)
    assert (view.length_mm, view.width_mm) == (1800.0, 130.0)
    assert [(name, a[0], round(a[1] - b[1], 6)) for name, a, b in view.across] == [
        ("heel", 100.0, 120.0),
        ("waist", 825.0, 98.0),
        ("shoulder", 1550.0, 130.0),
    ]
    assert len(view.outline) < 120
    assert view.how.inputs[-1].value == 0.2


@given(st.floats(0.05, 5), st.sampled_from(Tail), st.floats(0.3, 0.7))
def test_plan_view_when_points_are_left_out_stays_within_the_deviation(within, shape, share):
    """No station lies further from the drawn line than allowed; looser needs no more points."""
    outline = ski(tail=shape, waist_from_heel_mm=Given(1450 * share))
    view = plan_view(outline=outline, within_mm=within)
    side = view.outline[: len(view.outline) // 2]

    def away(point):
        best = math.inf
        for (x1, y1), (x2, y2) in pairwise(side):
            t = ((point[0] - x1) * (x2 - x1) + (point[1] - y1) * (y2 - y1)) / (
                (x2 - x1) ** 2 + (y2 - y1) ** 2
            )
            t = min(1.0, max(0.0, t))
            best = min(best, math.dist(point, (x1 + t * (x2 - x1), y1 + t * (y2 - y1))))
        return best

    assert max(away((one.from_tail_mm, one.width_mm / 2)) for one in outline.stations) <= within + 1e-9
    assert len(plan_view(outline=outline, within_mm=2 * within).outline) <= len(view.outline)


def test_plan_view_when_drawn_finely_has_the_plan_area():
    """The drawn line holds the area that is reckoned with."""
    outline = ski(tail=Tail.ROUND)
    drawn = area(plan_view(outline=outline, within_mm=0.001).outline)
    assert drawn == pytest.approx(measures(outline=outline).plan_area_mm2, rel=1e-4)
    for within in (0.0, -1.0, 51.0, float("nan")):
        assert refused(plan_view, outline=outline, within_mm=within) == "outline.drawing"
    assert plan_view(outline=outline, within_mm=50.0).outline


def test_plan_view_when_the_outline_was_typed_keeps_its_corners():
    """A corner that was typed is drawn."""
    widths = [(0, 100), (100, 120), (825, 98), (1550, 130), (1700, 90), (1800, 0)]
    outline = from_stations(stations=[Station(float(x), float(w)) for x, w in widths])
    assert plan_view(outline=outline).outline[:6] == tuple((float(x), w / 2) for x, w in widths)


RISES = {
    "camber_mm": Given(8.0, Basis.MEASURED),
    "tip_rise_mm": Given(60.0, Basis.MEASURED),
    "tail_rise_mm": Given(15.0),
}


def layers(outline):
    wood = usual_core(outline=outline).thicknesses
    return [
        SideLayer("base", 0.0, 1800.0, 1.4),
        SideLayer("edge", 0.0, 1800.0, 0.6),
        SideLayer("glass below", 50.0, 1750.0, 0.8),
        SideLayer("core", 100.0, 1550.0, wood),
        SideLayer("glass above", 50.0, 1750.0, 0.8),
        SideLayer("top sheet", 0.0, 1800.0, 0.5),
    ]


def at(points, along):
    return [up for x, up in points if x == along]


def test_side_view_when_drawn_stacks_its_layers_on_the_base():
    """Camber in the middle, rises at the ends, and each layer on those below it."""
    outline = ski()
    view = side_view(outline=outline, layers=layers(outline), **RISES)
    base = dict(view.base)
    assert (base[0.0], base[100.0], base[1550.0], base[1800.0]) == (15.0, 0.0, 0.0, 60.0)
    assert max(up for x, up in view.base if 100 < x < 1550) == pytest.approx(8.0, abs=0.05)
    drawn = dict(view.layers)
    assert [name for name, _ in view.layers] == [layer.name for layer in layers(outline)]
    assert at(drawn["core"], 100.0) == pytest.approx([2.8, 2.8 + 2.5])
    assert at(drawn["top sheet"], 0.0) == pytest.approx([17.0, 17.5])
    assert at(drawn["glass above"], 50.0) == pytest.approx([base_at(15, 50) + 2.8, base_at(15, 50) + 3.6])
    assert view.height_mm == pytest.approx(60 + 1.4 + 0.6 + 0.5)
    assert [line.basis for line in view.how.inputs[:3]] == [Basis.MEASURED, Basis.MEASURED, Basis.ASSUMED]


def base_at(rise, along):
    return rise * ((100 - along) / 100) ** 2


def test_side_view_when_a_core_is_drawn_has_its_section():
    """The drawn area of a layer is its length times its mean thickness."""
    outline = ski()
    view = side_view(outline=outline, layers=layers(outline), **RISES)
    drawn = dict(view.layers)
    wood = usual_core(outline=outline).thicknesses
    section = np.trapezoid([one.thick_mm for one in wood], [one.from_tail_mm for one in wood])
    assert area(drawn["core"]) == pytest.approx(section)
    assert area(drawn["base"]) == pytest.approx(1800 * 1.4)
    assert core(outline=outline, thicknesses=wood, inset_mm=Given(0.0)).box_thick_mm == 10.5


def test_side_view_when_the_ski_is_bent_the_other_way_reaches_below():
    """Reverse camber lies below the line between heel and shoulder; height counts from the lowest point."""
    outline = ski()
    only = [SideLayer("base", 0.0, 1800.0, 2.0)]
    view = side_view(outline=outline, layers=only, **RISES | {"camber_mm": Given(-10.0)})
    assert min(up for _, up in view.base) == pytest.approx(-10.0, abs=0.05)
    assert view.height_mm == pytest.approx(62 + 10, abs=0.05)


def test_side_view_when_there_is_no_tail_turn_up_is_drawn():
    """A ski that touches the snow to its very end has no tail to rise."""
    outline = ski(tail_turn_mm=Given(0.0))
    view = side_view(outline=outline, layers=[SideLayer("base", 0.0, 1800.0, 2.0)], **RISES)
    assert view.base[0] == (0.0, 0.0)


SIDE_REFUSALS = [
    ({"camber_mm": Given(301.0)}, {"camber_mm": Given(300.0)}),
    ({"camber_mm": Given(-61.0)}, {"camber_mm": Given(-60.0)}),
    ({"tip_rise_mm": Given(-1.0)}, {"tip_rise_mm": Given(0.0)}),
    ({"tail_rise_mm": Given(float("nan"))}, {"tail_rise_mm": Given(0.0)}),
    ({"layers": []}, {}),
    ({"layers": [SideLayer("x", -1.0, 5.0, 1.0)]}, {"layers": [SideLayer("x", 0.0, 5.0, 1.0)]}),
    ({"layers": [SideLayer("x", 0.0, 1801.0, 1.0)]}, {"layers": [SideLayer("x", 0.0, 1800.0, 1.0)]}),
    ({"layers": [SideLayer("x", 5.0, 5.0, 1.0)]}, {"layers": [SideLayer("x", 5.0, 6.0, 1.0)]}),
    ({"layers": [SideLayer("x", 0.0, 5.0, 0.0)]}, {"layers": [SideLayer("x", 0.0, 5.0, 0.1)]}),
    ({"layers": [SideLayer("x", 0.0, 5.0, 41.0)]}, {"layers": [SideLayer("x", 0.0, 5.0, 40.0)]}),
]


@pytest.mark.parametrize(("bad", "good"), SIDE_REFUSALS)
def test_side_view_when_impossible_is_refused(bad, good):
    """Each limit beside what passes it."""
    outline = ski()
    plain = {"outline": outline, "layers": layers(outline), **RISES}
    assert refused(side_view, **plain | bad) == "outline.drawing"
    assert side_view(**plain | good).layers


def test_side_view_when_a_core_does_not_reach_as_far_as_it_is_drawn_is_refused():
    """A core is drawn between its own ends only."""
    outline = ski()
    wood = (Thickness(100.0, 2.0), Thickness(1550.0, 2.0))
    for start, end in ((99.0, 1550.0), (100.0, 1551.0)):
        bad = [SideLayer("core", start, end, wood)]
        assert refused(side_view, outline=outline, layers=bad, **RISES) == "outline.core"
    assert (
        refused(side_view, outline=outline, layers=[SideLayer("core", 100.0, 200.0, ())], **RISES)
        == "outline.core"
    )
    good = [SideLayer("core", 100.0, 1550.0, wood)]
    assert side_view(outline=outline, layers=good, **RISES).layers


def test_side_view_when_places_are_asked_for_lie_on_the_ski():
    """Points run along the whole ski, each once, with every line and corner among them."""
    outline = ski()
    places = [x for x, _ in side_view(outline=outline, layers=layers(outline), **RISES).base]
    assert places == sorted(set(places))
    assert {0.0, 50.0, 100.0, 675.0, 975.0, 1550.0, 1750.0, 1800.0} <= set(places)
    assert max(b - a for a, b in pairwise(places)) <= 20.0
    assert width_at(outline=outline, from_tail_mm=places[-1]) == 0.0
