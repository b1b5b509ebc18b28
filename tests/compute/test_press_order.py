"""Whether a press is in order for a set point, and what people check before opening it."""

import math
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.press.order import (
    Frame,
    Part,
    Rating,
    Seen,
    judge_set_point,
    may_open,
    rating_at,
    refuse_unless_in_order,
)
from inventory.compute.reasons import Basis, Given, Level
from inventory.errors import Refused

KPA_PER_PSI = 6.894757  # NIST (from memory)
TODAY = date(2025, 3, 1)
LATER = date(2026, 3, 1)


def psi(value):
    return Given(value * KPA_PER_PSI, Basis.DATA_SHEET)


HOSE = Part("hose", (Rating(20.0, psi(100)), Rating(80.0, psi(60))), LATER)
CLAMPS = Part("end clamps", (Rating(100.0, psi(90)),), LATER)
FRAME = Frame(165.0, Given(200.0, Basis.DATA_SHEET), LATER)
ALL_SEEN = Seen(log_allows=True, heat_off=True, vented=True, gauge_kpa=0.0, everyone_clear=True)


def judged(**facts):
    known = {
        "set_kpa": psi(50),
        "hottest_c": Given(75.0),
        "parts": [CLAMPS, HOSE],
        "frame": FRAME,
        "relief_kpa": psi(55),
        "on": TODAY,
        "heated": True,
        "watcher_named": True,
    }
    return judge_set_point(**(known | facts))


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def texts(result):
    return " ".join(str(reason.sentence) for reason in result.verdict.reasons)


def refused(code, call, **facts):
    with pytest.raises(Refused) as caught:
        call(**facts)
    assert caught.value.code == code
    return str(caught.value)


def test_set_point_below_every_rating_is_in_order():
    """50 psi with the hose at 60 psi hot: the hose is named as rated lowest."""
    result = judged()
    assert result.in_order
    assert codes(result) == ["press.lowest_rated"]
    assert result.verdict.level is Level.FINE
    assert result.lowest_part == "hose"
    assert result.lowest_kpa == pytest.approx(60 * KPA_PER_PSI)
    assert "hose is rated lowest" in texts(result)


def test_set_point_of_eighty_on_a_hose_of_sixty_is_refused():
    """A hose rated 60 psi never sees 80; at 60 it does.

    Outside: a lay-flat hose of 60 psi at most is bought for presses: holuta-ski-design, 2015 (read).
    """
    assert judged(set_kpa=psi(60), relief_kpa=psi(60)).in_order
    result = judged(set_kpa=psi(80), relief_kpa=psi(60))
    assert not result.in_order
    assert codes(result)[:2] == ["press.above_rating", "press.relief_below_set"]
    assert "that hose may see at 75.0 °C" in texts(result)
    text = refused("press.not_in_order", refuse_unless_in_order, order=result)
    assert "that hose may see" in text
    refuse_unless_in_order(order=judged())


@pytest.mark.parametrize(
    ("facts", "what"),
    [
        ({"set_kpa": psi(80)}, "Lower the set point."),
        ({"relief_kpa": psi(100)}, "Have a relief valve fitted that opens at or below the lowest rating."),
        ({"relief_kpa": None}, "Read the plates and the makers' sheets, and enter what they say first."),
        ({"watcher_named": False}, "Name who stays with it."),
    ],
)
def test_refusal_of_a_press_says_what_puts_its_reason_right(facts, what):
    """A valve that opens too high is no matter of the set point."""
    with pytest.raises(Refused) as caught:
        refuse_unless_in_order(order=judged(**facts))
    assert str(caught.value.what_to_do) == what


def test_set_point_cold_is_judged_by_the_cold_rating():
    """At 20 °C the hose may see 100 psi and the clamps decide; a tenth warmer the hot rating counts."""
    cold = judged(hottest_c=Given(20.0), set_kpa=psi(85), relief_kpa=psi(90))
    assert cold.in_order
    assert cold.lowest_part == "end clamps"
    warm = judged(hottest_c=Given(20.1), set_kpa=psi(85), relief_kpa=psi(90))
    assert "press.above_rating" in codes(warm)


def test_set_point_hotter_than_any_rating_is_unknown_and_not_in_order():
    """80 °C is listed, 80.1 is not: unknown, so there is no lowest-rated part.

    Outside: a fire hose blistered and popped near 200 °F: mytonskis.blogspot.com, December 2011 (read).
    """
    assert judged(hottest_c=Given(80.0)).in_order
    result = judged(hottest_c=Given(80.1))
    assert codes(result) == ["press.rating_unknown"]
    assert result.verdict.level is Level.UNKNOWN
    assert not result.in_order
    assert (result.lowest_kpa, result.lowest_part) == (None, None)
    assert "Hose has no known rating at 80.1 °C: not in order" in texts(result)


def test_set_point_with_a_part_nobody_rated_is_not_in_order():
    """A part without any rating is unknown, and another part above its rating still stops."""
    bare = Part("fitting", (), LATER)
    result = judged(parts=[HOSE, bare])
    assert codes(result) == ["press.rating_unknown"]
    both = judged(parts=[HOSE, bare], set_kpa=psi(61), relief_kpa=psi(61))
    assert codes(both) == ["press.above_rating", "press.relief_too_high", "press.rating_unknown"]
    assert both.verdict.level is Level.STOP


def test_set_point_with_an_inspection_overdue_is_not_in_order():
    """The day itself is in time, the day after is not; a day nobody entered is unknown."""
    assert judged(parts=[replace(HOSE, inspect_by=TODAY)]).in_order
    overdue = judged(parts=[replace(HOSE, inspect_by=date(2025, 2, 28))])
    assert codes(overdue) == ["press.inspection_overdue", "press.lowest_rated"]
    assert overdue.verdict.level is Level.STOP
    assert "The inspection of hose was due on 2025-02-28" in texts(overdue)
    unknown = judged(parts=[replace(HOSE, inspect_by=None)])
    assert codes(unknown) == ["press.inspection_unknown", "press.lowest_rated"]
    assert unknown.verdict.level is Level.UNKNOWN
    frame = judged(frame=replace(FRAME, inspect_by=date(2025, 2, 28)))
    assert codes(frame)[0] == "press.inspection_overdue"
    assert "The frame" in texts(frame)


def test_set_point_with_an_overloaded_frame_is_not_in_order():
    """The frame carries up to its rating; a little more stops, and an unknown rating is unknown."""
    assert judged(frame=replace(FRAME, load_kn=200.0)).in_order
    over = judged(frame=replace(FRAME, load_kn=200.06))
    assert codes(over) == ["press.frame_overloaded", "press.lowest_rated"]
    assert over.verdict.level is Level.STOP
    assert "would carry 200.1 kN, above its 200.0 kN" in texts(over)
    unknown = judged(frame=replace(FRAME, rated_kn=None))
    assert codes(unknown) == ["press.frame_unknown", "press.lowest_rated"]
    assert unknown.verdict.level is Level.UNKNOWN


def test_set_point_with_a_relief_valve_above_a_rating_is_not_in_order():
    """The valve opens at or below the lowest rating; above it stops, unknown is unknown."""
    assert judged(relief_kpa=psi(60)).in_order
    high = judged(relief_kpa=psi(60.1))
    assert codes(high) == ["press.relief_too_high", "press.lowest_rated"]
    assert high.verdict.level is Level.STOP
    assert "of hose" in texts(high)
    unknown = judged(relief_kpa=None)
    assert codes(unknown) == ["press.relief_unknown", "press.lowest_rated"]
    assert unknown.verdict.level is Level.UNKNOWN


def test_set_point_above_the_relief_valve_is_not_in_order():
    """The set point may be where the valve opens, not above."""
    assert judged(set_kpa=psi(55)).in_order
    over = judged(set_kpa=psi(55.1))
    assert codes(over) == ["press.relief_below_set", "press.lowest_rated"]
    assert over.verdict.level is Level.STOP


def test_set_point_of_a_heated_cycle_needs_a_named_watcher():
    """Without a name, or not knowing it, a heated cycle stops; an unheated one does not ask."""
    for watcher in (False, None):
        result = judged(watcher_named=watcher)
        assert codes(result)[0] == "press.no_watcher"
        assert result.verdict.level is Level.STOP
        assert judged(watcher_named=watcher, heated=False).in_order


def test_set_point_unfolds_ratings_loads_and_valve():
    """Each rating that was used is a line with its basis."""
    lines = {line.name: (line.unit, line.basis) for line in judged().how.inputs}
    assert lines["set point"] == ("kPa", Basis.DATA_SHEET)
    assert lines["hottest"] == ("°C", Basis.ASSUMED)
    assert lines["hose, rating"] == ("kPa", Basis.DATA_SHEET)
    assert lines["end clamps, rating"] == ("kPa", Basis.DATA_SHEET)
    assert lines["frame load"] == ("kN", Basis.MEASURED)
    assert lines["frame rating"] == ("kN", Basis.DATA_SHEET)
    assert lines["relief valve"] == ("kPa", Basis.DATA_SHEET)
    bare = judged(relief_kpa=None, frame=replace(FRAME, rated_kn=None), parts=[Part("x", (), None)])
    assert [line.name for line in bare.how.inputs] == ["set point", "hottest", "frame load"]


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("press.pressure", {"set_kpa": Given(math.nan)}),
        ("press.pressure", {"set_kpa": Given(-1.0)}),
        ("press.pressure", {"set_kpa": Given(2_001.0)}),
        ("press.pressure", {"relief_kpa": Given(math.inf)}),
        ("press.pressure", {"parts": [Part("hose", (Rating(80.0, Given(math.nan)),), LATER)]}),
        ("press.temperature", {"hottest_c": Given(math.nan)}),
        ("press.temperature", {"hottest_c": Given(401.0)}),
        ("press.temperature", {"hottest_c": Given(-60.5)}),
        ("press.temperature", {"parts": [Part("hose", (Rating(math.inf, psi(60)),), LATER)]}),
        ("press.parts", {"parts": []}),
        ("press.parts", {"parts": [HOSE, HOSE]}),
        ("press.ratings", {"parts": [Part("hose", (Rating(80.0, psi(60)), Rating(20.0, psi(60))), LATER)]}),
        ("press.ratings", {"parts": [Part("hose", (Rating(80.0, psi(60)), Rating(80.0, psi(50))), LATER)]}),
        ("press.ratings", {"parts": [Part("hose", (Rating(20.0, psi(60)), Rating(80.0, psi(61))), LATER)]}),
        ("press.day", {"on": datetime(2025, 3, 1, tzinfo=UTC)}),
        ("press.day", {"on": "2025-03-01"}),
        ("press.day", {"parts": [replace(HOSE, inspect_by="soon")]}),
        ("press.frame", {"frame": replace(FRAME, load_kn=-1.0)}),
        ("press.frame", {"frame": replace(FRAME, load_kn=math.nan)}),
        ("press.frame", {"frame": replace(FRAME, load_kn=100_001.0)}),
        ("press.frame", {"frame": replace(FRAME, rated_kn=Given(0.0))}),
        ("press.frame", {"frame": replace(FRAME, rated_kn=Given(100_001.0))}),
    ],
)
def test_set_point_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code; the same press without it is judged."""
    assert judged().in_order
    text = refused(code, judged, **facts)
    if code == "press.parts":
        assert ("The parts are hose, hose:" if facts["parts"] else "The parts are none:") in text


def test_set_point_at_the_bounds_is_judged():
    """The largest pressure and load, no load, and the hottest and coldest temperature can be judged."""
    strong = [Part("hose", (Rating(400.0, Given(2_000.0)),), LATER)]
    most = {"set_kpa": Given(2_000.0), "relief_kpa": Given(2_000.0), "parts": strong}
    frame = Frame(100_000.0, Given(100_000.0), LATER)
    for celsius in (-60.0, 400.0):
        assert judged(**most, frame=frame, hottest_c=Given(celsius)).in_order
    assert judged(frame=Frame(0.5, Given(0.5), LATER)).in_order
    assert judged(set_kpa=Given(0.0), frame=replace(FRAME, load_kn=0.0)).in_order


def test_rating_at_is_never_interpolated():
    """Between two listed temperatures the hotter one's rating counts; equal ratings may repeat."""
    assert rating_at(part=HOSE, celsius=50.0).value == pytest.approx(60 * KPA_PER_PSI)
    assert rating_at(part=HOSE, celsius=-10.0).value == pytest.approx(100 * KPA_PER_PSI)
    assert rating_at(part=HOSE, celsius=81.0) is None
    flat = Part("pipe", (Rating(20.0, psi(60)), Rating(80.0, psi(60))), LATER)
    assert rating_at(part=flat, celsius=80.0).value == pytest.approx(60 * KPA_PER_PSI)


@given(
    celsius=st.floats(-40, 120),
    warmer=st.floats(0, 40),
    set_psi=st.floats(0, 100),
    more=st.floats(0, 40),
)
def test_set_point_hotter_or_higher_is_never_lighter(celsius, warmer, set_psi, more):
    """More heat or more pressure never makes the verdict lighter in what is in order."""
    base = judged(hottest_c=Given(celsius), set_kpa=psi(set_psi), relief_kpa=psi(60))
    hotter = judged(hottest_c=Given(celsius + warmer), set_kpa=psi(set_psi), relief_kpa=psi(60))
    higher = judged(hottest_c=Given(celsius), set_kpa=psi(set_psi + more), relief_kpa=psi(60))
    if not base.in_order:
        assert not hotter.in_order
        assert not higher.in_order


def test_may_open_when_everything_was_seen():
    """Log, heat, vent, gauge and people: all seen, nothing is left to say."""
    result = may_open(seen=ALL_SEEN)
    assert codes(result) == []
    assert result.verdict.ok
    assert [line.name for line in result.how.inputs] == [
        "log allows it",
        "heat off",
        "vented",
        "gauge",
        "everyone clear",
    ]


@pytest.mark.parametrize(
    ("fact", "code"),
    [
        ("log_allows", "press.log"),
        ("heat_off", "press.heat"),
        ("vented", "press.vent"),
        ("everyone_clear", "press.clear"),
    ],
)
def test_may_open_when_one_thing_is_not_so_stops_and_unseen_cannot_say(fact, code):
    """Each thing alone stops; each thing nobody looked at cannot be said."""
    stopped = may_open(seen=replace(ALL_SEEN, **{fact: False}))
    assert codes(stopped) == [code]
    assert stopped.verdict.level is Level.STOP
    unseen = may_open(seen=replace(ALL_SEEN, **{fact: None}))
    assert codes(unseen) == [code]
    assert unseen.verdict.level is Level.UNKNOWN
    assert texts(stopped) != texts(unseen)
    assert texts(unseen).startswith("Nobody ")


def test_may_open_with_the_gauge_above_zero_stops():
    """A gauge that shows anything stops; one nobody read cannot be said."""
    stopped = may_open(seen=replace(ALL_SEEN, gauge_kpa=0.1))
    assert codes(stopped) == ["press.gauge"]
    assert stopped.verdict.level is Level.STOP
    assert "The gauge shows 0.1 kPa" in texts(stopped)
    unseen = may_open(seen=replace(ALL_SEEN, gauge_kpa=None))
    assert codes(unseen) == ["press.gauge"]
    assert unseen.verdict.level is Level.UNKNOWN
    for bad in (-0.1, math.nan, math.inf):
        refused("press.pressure", may_open, seen=replace(ALL_SEEN, gauge_kpa=bad))
