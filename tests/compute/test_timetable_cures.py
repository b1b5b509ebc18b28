"""Which single change would make a timetable fit, each with the least that does."""

from dataclasses import replace

from inventory.compute.timetable import Answer, Mould, Pressing, Shift, Workshop, plan
from inventory.compute.timetable import cures as timetable_cures
from inventory.compute.timetable.cures import cures
from tests.compute.press_logs import refused
from tests.compute.test_timetable import DAY, NEXT_DAY, pairs, press, workshop


def found(asked):
    return {(cure.kind, cure.what, cure.amount) for cure in cures(workshop=asked).cures}


def test_cures_when_all_fits_are_none():
    """Nothing to cure."""
    assert cures(workshop=workshop(2)).cures == ()


def test_cures_when_the_day_is_a_minute_short_offer_what_alone_would_do():
    """One minute more, another press, or one pair less; more moulds or people would not help."""
    asked = workshop(2, shifts=[Shift(480, 1059, 2)])
    assert found(asked) == {
        ("press", "left", 1),
        ("minutes", "1059", 1),
        ("without", "P1", 1),
        ("without", "P2", 1),
    }
    sentences = [str(cure.sentence) for cure in cures(workshop=asked).cures]
    assert sentences[:2] == ["One more press like left.", "1 min more in the shift that ends at minute 1059."]


def test_cures_when_people_are_too_few_give_the_least_number():
    """Four pairs, two presses, one day: two more people (one is not enough), 20 minutes, or a press."""
    asked = workshop(4, presses=[press("left"), press("right")])
    result = found(asked)
    assert ("hands", "", 2) in result
    assert ("minutes", "1080", 20) in result
    assert ("press", "right", 1) in result


def test_cures_when_one_mould_is_short_name_it_and_not_others():
    """Three pairs on one mould: one more of it; the mould nobody wants is not offered."""
    asked = Workshop(
        pairs(3, "178"),
        [press("left"), press("right"), press("third")],
        [Mould("178"), Mould("165")],
        [replace(DAY, hands=9)],
    )
    result = found(asked)
    assert ("mould", "178", 1) in result
    assert not any(what == "165" for _, what, _ in result)
    assert not any(kind == "hands" for kind, _, _ in result)


def test_cures_when_a_shift_is_followed_by_the_next_does_not_run_into_it():
    """Morning and afternoon of the same two people: only the last one may be longer."""
    asked = workshop(2, shifts=[Shift(480, 720, 2), Shift(720, 1059, 2)])
    assert {what for kind, what, _ in found(asked) if kind == "minutes"} == {"1059"}
    apart = workshop(3, shifts=[Shift(480, 1059, 2), Shift(1920, 2200, 2)])
    assert ("minutes", "1059", 221) in found(apart)
    assert found(replace(apart, pressings=pairs(4, "178"))) == {("press", "left", 1)}
    assert ("minutes", "2200", 20) in found(apart)


def test_cures_when_each_is_taken_the_workshop_fits_and_with_less_it_does_not():
    """Every minute offered is needed, and enough."""
    asked = workshop(5, presses=[press("left")], shifts=[DAY, NEXT_DAY])
    offered = {what: amount for kind, what, amount in found(asked) if kind == "minutes"}
    assert offered
    for end, amount in offered.items():
        for extra, answer in ((amount, Answer.FITS), (amount - 1, Answer.DOES_NOT_FIT)):
            longer = [
                replace(shift, to_min=shift.to_min + extra) if str(shift.to_min) == end else shift
                for shift in asked.shifts
            ]
            assert plan(workshop=replace(asked, shifts=longer)).answer is answer


def test_cures_when_nothing_alone_would_do_are_none():
    """Two pairs whose mould is not there: leaving one out is not enough, and none can be counted up."""
    asked = workshop(pressings=[Pressing("P1", ("191",)), Pressing("P2", ("191",))])
    assert found(asked) == set()


def test_cures_when_the_search_is_stopped_counts_what_it_could_not_tell(monkeypatch):
    """Not told is not offered, and not hidden."""
    asked = workshop(2, shifts=[Shift(480, 1059, 2)])
    assert cures(workshop=asked).untold == 0
    monkeypatch.setattr(timetable_cures, "STEPS", 0)
    stopped = cures(workshop=asked)
    assert stopped.cures == ()
    assert stopped.untold > 3


def test_cures_when_at_the_limits_still_try_one_more():
    """Eight presses are the most a workshop enters; a ninth may still be the cure."""
    presses = [press(str(n)) for n in range(8)]
    asked = Workshop(pairs(9, "178"), presses, [Mould("178", 40)], [Shift(480, 780, 50)])
    assert {kind for kind, _, _ in found(asked)} == {"press", "without"}


def test_cures_when_the_workshop_is_impossible_are_refused():
    """As the plan is."""
    with refused("timetable.nothing", "no shifts"):
        cures(workshop=workshop(2, shifts=[]))
