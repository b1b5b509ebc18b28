"""Whether all can be pressed in the hours there are: the plan, or the smallest reason why not."""

import math
from dataclasses import replace

import pytest

from inventory.compute import timetable
from inventory.compute.reasons import Basis, Given, Level
from inventory.compute.timetable import Answer, Mould, Press, Pressing, Shift, Workshop, plan
from tests.compute.press_logs import refused

DAY = Shift(480, 1080, 2)  # eight to six, two people
NEXT_DAY = Shift(1920, 2520, 2)


def press(name="left", **facts):
    """Heated: half an hour closing, 40 up, 150 hold, 60 cool, ten to open: 290 minutes."""
    minutes = {"heat_up_min": 40, "hold_min": 150, "cool_min": 60, "closing_min": 30, "opening_min": 10}
    given = {name: Given(facts.pop(name, value), Basis.LEARNED) for name, value in minutes.items()}
    return Press(name, heated=facts.pop("heated", True), **given, **facts)


def pairs(count, *moulds):
    return [Pressing(f"P{row}", moulds) for row in range(1, count + 1)]


def workshop(count=2, *, moulds=None, presses=None, shifts=(DAY,), pressings=None):
    moulds = [Mould("178", 4)] if moulds is None else moulds
    return Workshop(pressings or pairs(count, "178"), presses or [press()], moulds, list(shifts))


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def test_plan_when_two_cycles_fill_the_day_fits_exactly():
    """580 of 600 minutes: every moment of both cycles follows from the press's own."""
    result = plan(workshop=workshop(2))
    assert result.answer is Answer.FITS
    first, second = result.cycles
    assert (first.press, first.pressings, first.moulds) == ("left", ("P1",), ("178",))
    assert (first.closing_from_min, first.closed_min, first.hot_min) == (480, 510, 550)
    assert (first.hold_until_min, first.openable_min, first.opening_from_min, first.opened_min) == (
        700,
        760,
        760,
        770,
    )
    assert (second.closing_from_min, second.opened_min) == (770, 1060)
    assert str(result.verdict.reasons[0].sentence) == (
        "2 pressings fit in 2 cycles; the last is opened by minute 1060."
    )
    assert result.verdict.level == Level.FINE


def test_plan_when_one_minute_is_missing_does_not_fit():
    """The day ends at the very minute of the last opening, or one earlier."""
    assert plan(workshop=workshop(2, shifts=[Shift(480, 1060, 2)])).answer is Answer.FITS
    short = plan(workshop=workshop(2, shifts=[Shift(480, 1059, 2)]))
    assert short.answer is Answer.DOES_NOT_FIT
    assert (short.conflict, short.smallest) == (("P1", "P2"), True)
    assert codes(short) == ["timetable.together", "timetable.presses"]
    assert str(short.verdict.reasons[0].sentence) == (
        "P1, P2 cannot all be pressed in the hours entered; any 1 of them can."
    )


def test_plan_when_one_cannot_be_pressed_at_all_names_it_alone():
    """The cycle is longer than the day."""
    result = plan(workshop=workshop(3, shifts=[Shift(480, 760, 2)]))
    assert result.conflict == ("P1",)
    assert codes(result) == ["timetable.together", "timetable.hours"]
    assert "P1 cannot be pressed at all" in str(result.verdict.reasons[0].sentence)
    assert plan(workshop=workshop(1, shifts=[Shift(480, 770, 2)])).answer is Answer.FITS


def test_plan_when_no_mould_fits_says_so():
    """Nothing of its length on board; with it, it fits."""
    pressings = [Pressing("P1", ("178",)), Pressing("P2", ("191",))]
    result = plan(workshop=workshop(pressings=pressings))
    assert result.conflict == ("P2",)
    assert codes(result) == ["timetable.together", "timetable.no_mould"]
    both = plan(workshop=workshop(pressings=pressings, moulds=[Mould("178"), Mould("191")]))
    assert both.answer is Answer.FITS
    none = plan(workshop=workshop(1, moulds=[]))
    assert codes(none) == ["timetable.together", "timetable.no_mould"]


def test_plan_when_one_mould_is_wanted_too_often_names_those_that_share_it():
    """Three pairs share one mould that serves twice a day; two others do not matter."""
    pressings = [*pairs(3, "178"), Pressing("Q1", ("165",)), Pressing("Q2", ("191",))]
    presses = [press("left"), press("right"), press("third")]
    moulds = [Mould("178"), Mould("165"), Mould("191")]
    result = plan(workshop=Workshop(pressings, presses, moulds, [replace(DAY, hands=9)]))
    assert result.conflict == ("P1", "P2", "P3")
    assert codes(result) == ["timetable.together", "timetable.moulds"]
    two = [Mould("178", 2), *moulds[1:]]
    assert plan(workshop=Workshop(pressings, presses, two, [replace(DAY, hands=9)])).answer is Answer.FITS


def test_plan_when_either_mould_fits_takes_the_other():
    """One pair fits both moulds, the other only one: both at once."""
    pressings = [Pressing("P1", ("178", "185")), Pressing("P2", ("178",))]
    asked = Workshop(
        pressings, [press("left"), press("right")], [Mould("178"), Mould("185")], [Shift(480, 820, 4)]
    )
    result = plan(workshop=asked)
    assert {cycle.pressings: cycle.moulds for cycle in result.cycles} == {
        ("P1",): ("185",),
        ("P2",): ("178",),
    }


def test_plan_when_people_are_too_few_at_one_time_says_so():
    """Two presses closed by two people one after the other end half an hour later than by four."""
    asked = workshop(4, presses=[press("left"), press("right")])
    result = plan(workshop=asked)
    assert codes(result) == ["timetable.together", "timetable.hands"]
    assert plan(workshop=replace(asked, shifts=[replace(DAY, hands=4)])).answer is Answer.FITS


def test_plan_when_closing_needs_more_people_than_there_are_says_so():
    """One person cannot close what takes two; alone that is a reason."""
    result = plan(workshop=workshop(1, shifts=[replace(DAY, hands=1)]))
    assert (result.conflict, codes(result)) == (("P1",), ["timetable.together", "timetable.hands"])
    together = [replace(DAY, hands=1), replace(DAY, hands=1)]
    assert plan(workshop=workshop(1, shifts=together)).answer is Answer.FITS


def test_plan_when_heated_wants_somebody_there_while_hot():
    """Nobody is there at midday: a heated press cannot run through it, an unheated one can."""
    shifts = [Shift(480, 600, 2), Shift(720, 900, 2)]
    heated = plan(workshop=workshop(1, shifts=shifts))
    assert codes(heated) == ["timetable.together", "timetable.watch"]
    unheated = plan(workshop=workshop(1, shifts=shifts, presses=[press(heated=False)]))
    assert unheated.answer is Answer.FITS
    one = [*shifts, Shift(600, 720, 1)]
    assert plan(workshop=workshop(1, shifts=one)).answer is Answer.FITS


def test_plan_when_unheated_holds_overnight():
    """Closed in the evening, held 16 hours, opened the next morning when somebody is there."""
    cold = press(heated=False, heat_up_min=0, hold_min=960, cool_min=0)
    result = plan(workshop=workshop(1, presses=[cold], shifts=[Shift(900, 1080, 2), NEXT_DAY]))
    (cycle,) = result.cycles
    assert (cycle.closing_from_min, cycle.openable_min, cycle.opening_from_min) == (900, 1890, 1920)


def test_plan_when_cooling_may_run_on_after_the_people_left():
    """Heat ends with the day, the press stays closed, cools alone, and is opened the next morning."""
    result = plan(workshop=workshop(1, shifts=[Shift(860, 1080, 2), NEXT_DAY]))
    (cycle,) = result.cycles
    assert (cycle.hold_until_min, cycle.openable_min, cycle.opening_from_min) == (1080, 1140, 1920)
    later = plan(workshop=workshop(1, shifts=[Shift(861, 1080, 2), NEXT_DAY]))
    assert later.cycles[0].closing_from_min == 1920


def test_plan_when_something_is_ready_late_or_due_early_keeps_to_it():
    """Ready at ten; due by one o'clock can be met only if it goes first."""
    pressings = [Pressing("P1", ("178",)), Pressing("P2", ("178",), ready_min=600)]
    assert plan(workshop=workshop(pressings=pressings)).cycles[1].closing_from_min == 770
    late = [Pressing("P1", ("178",), ready_min=780), Pressing("P2", ("178",))]
    assert [c.pressings for c in plan(workshop=workshop(pressings=late)).cycles] == [("P2",), ("P1",)]
    due = [Pressing("P1", ("178",)), Pressing("P2", ("178",), due_min=780)]
    assert [c.pressings for c in plan(workshop=workshop(pressings=due)).cycles] == [("P2",), ("P1",)]
    both = [Pressing("P1", ("178",), due_min=1059), Pressing("P2", ("178",), due_min=1059)]
    assert plan(workshop=workshop(pressings=both)).conflict == ("P1", "P2")


def test_plan_when_waiting_is_better_than_closing_at_once_waits():
    """The short one that is due comes at half past eight: closing the other at eight would miss it."""
    pressings = [Pressing("P1", ("178",)), Pressing("P2", ("178",), ready_min=510, due_min=800)]
    result = plan(workshop=workshop(pressings=pressings, shifts=[Shift(480, 1100, 2)]))
    assert [cycle.pressings for cycle in result.cycles] == [("P2",), ("P1",)]


def test_plan_when_a_press_holds_two_takes_them_together():
    """One closing, two moulds; with one mould only, one after the other."""
    wide = press(holds=2)
    together = plan(workshop=workshop(2, presses=[wide], shifts=[Shift(480, 770, 2)]))
    assert [cycle.pressings for cycle in together.cycles] == [("P1", "P2")]
    one_mould = workshop(2, presses=[wide], moulds=[Mould("178")])
    assert [cycle.pressings for cycle in plan(workshop=one_mould).cycles] == [("P1",), ("P2",)]


def test_plan_when_three_are_one_too_many_for_a_press_of_two_says_so():
    """Two closings of two a day take four pairs, not five."""
    wide = press(holds=2)
    assert plan(workshop=workshop(4, presses=[wide])).answer is Answer.FITS
    five = plan(workshop=workshop(5, presses=[wide]))
    assert (len(five.conflict), five.smallest) == (5, True)


def test_plan_when_too_many_orders_are_left_to_try_cannot_say(monkeypatch):
    """Stopped before its end the search claims nothing."""
    asked = workshop(2)
    assert plan(workshop=asked).answer is Answer.FITS
    monkeypatch.setattr(timetable, "STEPS", 2)
    result = plan(workshop=asked)
    assert (result.answer, result.verdict.level) == (Answer.CANNOT_SAY, Level.UNKNOWN)
    assert (codes(result), result.cycles) == (["timetable.too_hard"], ())


def test_plan_when_the_smallest_conflict_is_too_much_to_find_gives_one_none_can_be_spared_of(monkeypatch):
    """Two that share a mould do not fit, whatever the other three are."""
    pressings = [Pressing(f"P{n}", (name,)) for n, name in enumerate(("a", "b", "c", "d", "d"))]
    moulds = [Mould(name) for name in "abcd"]
    asked = Workshop(pressings, [press(str(n)) for n in range(5)], moulds, [Shift(480, 780, 20)])
    smallest = plan(workshop=asked)
    assert (smallest.conflict, smallest.smallest) == (("P3", "P4"), True)
    monkeypatch.setattr(timetable, "CONFLICT_STEPS", 3)
    spared = plan(workshop=asked)
    assert (spared.conflict, spared.smallest) == (("P3", "P4"), False)
    assert "any 1 of them can" in str(spared.verdict.reasons[0].sentence)
    monkeypatch.setattr(timetable, "SPARED_STEPS", 0)
    monkeypatch.setattr(timetable, "RELAXED_STEPS", 0)
    unsure = plan(workshop=asked)
    assert unsure.answer is Answer.DOES_NOT_FIT
    assert [str(reason.sentence) for reason in unsure.verdict.reasons] == [
        "P0, P1, P2, P3, P4 cannot all be pressed in the hours entered."
    ]


def test_plan_says_how():
    """The times of each press with their basis, the people, the rule."""
    lines = {line.name: (line.value, line.basis) for line in plan(workshop=workshop()).how.inputs}
    assert lines["left: hold"] == (150, Basis.LEARNED)
    assert lines["people, day 1"] == ("2 from 08:00 to 18:00", Basis.MEASURED)
    assert lines["moulds"] == (4, Basis.MEASURED)
    assert "somebody is there" in plan(workshop=workshop()).how.rule


@pytest.mark.parametrize(
    ("change", "code", "mention"),
    [
        ({"pressings": []}, "timetable.nothing", "no pressings"),
        ({"presses": []}, "timetable.nothing", "no presses"),
        ({"shifts": []}, "timetable.nothing", "no shifts"),
        ({"pressings": pairs(41, "178")}, "timetable.too_many", "41 pressings"),
        ({"presses": [press(str(n)) for n in range(9)]}, "timetable.too_many", "9 presses"),
        ({"moulds": [Mould(str(n)) for n in range(41)]}, "timetable.too_many", "41 moulds"),
        ({"shifts": [DAY] * 61}, "timetable.too_many", "61 shifts"),
        ({"pressings": [*pairs(2, "178"), *pairs(1, "178")]}, "timetable.twice", "P1 is entered twice"),
        ({"presses": [press(), press()]}, "timetable.twice", "Left is entered"),
        ({"moulds": [Mould("178"), Mould("178")]}, "timetable.twice", "178"),
        ({"shifts": [Shift(1080, 480, 2)]}, "timetable.shift_reversed", "ends at minute 480"),
        ({"shifts": [Shift(480, 480, 2)]}, "timetable.shift_reversed", "minute 480"),
        ({"shifts": [Shift(-1, 480, 2)]}, "timetable.number", "start of a shift is −1 min"),
        ({"shifts": [Shift(0, 20_161, 2)]}, "timetable.number", "20161 min"),
        ({"shifts": [Shift(0, 480, 0)]}, "timetable.number", "0 people"),
        ({"shifts": [Shift(0, 480, 51)]}, "timetable.number", "51 people"),
        ({"shifts": [Shift(0.5, 480, 2)]}, "timetable.number", "0.5 min, not a whole number"),
        ({"shifts": [Shift(0, math.nan, 2)]}, "timetable.number", "nan min"),
        ({"shifts": [Shift(True, 480, 2)]}, "timetable.number", "True min"),
        ({"presses": [press(hold_min=0)]}, "timetable.number", "hold of left is 0 min"),
        ({"presses": [press(heat_up_min=-1)]}, "timetable.number", "heat-up of left is −1 min"),
        ({"presses": [press(cool_min=20_161)]}, "timetable.number", "cooling of left"),
        ({"presses": [press(closing_min=0)]}, "timetable.number", "closing of left"),
        ({"presses": [press(opening_min=0)]}, "timetable.number", "opening of left"),
        ({"presses": [press(closing_hands=0)]}, "timetable.number", "closing left"),
        ({"presses": [press(opening_hands=0)]}, "timetable.number", "opening left"),
        ({"presses": [press(holds=0)]}, "timetable.number", "left holds"),
        ({"presses": [press(holds=9)]}, "timetable.number", "9 pressings"),
        ({"moulds": [Mould("178", 0)]}, "timetable.number", "moulds 178"),
        ({"pressings": [Pressing("P1", ("178",), ready_min=-1)]}, "timetable.number", "P1 is ready"),
        ({"pressings": [Pressing("P1", ("178",), due_min=20_161)]}, "timetable.number", "P1 is due"),
        ({"pressings": [Pressing("P1", ("178",), 600, 600)]}, "timetable.due_reversed", "minute 600"),
    ],
)
def test_plan_when_the_workshop_is_impossible_is_refused(change, code, mention):
    """The workshop that differs by one fact is answered."""
    good = workshop(2)
    assert plan(workshop=good).answer is Answer.FITS
    with refused(code, mention):
        plan(workshop=replace(good, **change))


def test_plan_when_at_the_limits_is_answered():
    """Forty pressings, eight presses, forty moulds, sixty shifts."""
    days = [Shift(n * 300, n * 300 + 300, 16) for n in range(60)]
    presses = [press(str(n)) for n in range(8)]
    asked = Workshop(pairs(40, "0"), presses, [Mould(str(n), 40) for n in range(40)], days)
    assert plan(workshop=asked).answer is Answer.FITS
