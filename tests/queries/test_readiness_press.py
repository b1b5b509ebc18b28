"""Press time through the room of the answer: against brute force, hours, moulds, holds, people, watchers."""

import random
from dataclasses import replace
from datetime import date, timedelta
from types import SimpleNamespace

import pytest
from django.utils import timezone

from inventory.compute import timetable
from inventory.compute.codes import Kind
from inventory.compute.reasons import Given, Level
from inventory.queries.readiness.facts import Supposing
from inventory.queries.readiness.press import reasons
from inventory.queries.readiness.timetable import plans
from tests.compute.test_timetable_brute_force import obeys, possible
from tests.queries.rooms import (
    STARTS,
    aboard,
    against,
    at_home,
    facts,
    id_of,
    material,
    of,
    pair,
    piece,
    trailer,
    workshop,
    zone,
)

# 16 h at 23 °C, 4 h at 50 °C, 1 h at 80 °C: an epoxy's data sheet in a worked example (read)
SLOW = material("slow", "hardener", cure_points=[[23.0, 16.0], [50.0, 4.0], [80.0, 1.0]])
LAYER = {"material": "resin", "hardener": "slow"}
WATCHED = {"people": {id_of("Odd"): SimpleNamespace(name="Odd")}, "trip": {"watchers": [str(id_of("Odd"))]}}


def press(name="Press 1", spot=None, **card):
    """A heated press of one pair with all its numbers."""
    numbers = {
        "heated": True,
        "holds_c": 80.0,
        "takes_pairs": 1,
        "closing_min": 45,
        "heat_up_min": 25,
        "cool_min": 30,
        "opening_min": 5,
    }
    return piece(name, spot=spot, kind=Kind.PRESS, **(numbers | card))


def mould(name, *lengths, spot=None, held=False):
    return piece(name, spot=spot, kind=Kind.MOULD, held=held, lengths_mm=list(lengths))


def world(pairs=3, presses=None, moulds=None, venue=(), **more):
    """Three pairs of 172, one press, one mould, somebody who stays."""
    booked = [pair(f"P{n}", 1720, [LAYER]) for n in range(pairs)]
    things = [*(presses or [press()]), *(moulds or [mould("172 mould", 1720)])]
    given = WATCHED | {"materials": [SLOW], "equipment": things} | more
    return facts(workshops=[workshop(*booked, **dict(venue))], **given)


def test_reasons_when_all_pairs_fit_say_until_when():
    """Three cycles of 165 minutes one after another from eight o'clock end at a quarter past four."""
    notes = reasons(world())
    assert against(notes) == []
    note = of(notes, "ready.press_fits")
    # 45 closing + 25 heat-up + 60 hold + 30 cool + 5 opening = 165; 8:00 + 3 x 2:45 = 16:15
    assert (note.sentence.values["cycles"], note.sentence.values["moment"].hour) == (3, 16)
    assert note.sentence.values["moment"].minute == 15
    assert note.page == "trips-timetable"
    assert note.how


@pytest.mark.parametrize(("pairs", "expected"), [(6, []), (7, ["ready.press_does_not_fit"])])
def test_reasons_when_one_pair_more_is_booked_than_the_hours_take_say_so(pairs, expected):
    """Four cycles on the first day, 8 to 19 h, two until half past one on the last; no seventh."""
    notes = reasons(world(pairs=pairs))
    assert against(notes) == expected
    if expected:
        note = of(notes, "ready.press_does_not_fit")
        assert note.level is Level.STOP
        assert [str(cure.sentence) for cure in note.cures]
        assert note.why


def test_reasons_when_a_guest_more_is_supposed_count_that_pair():
    """Six fit; with one more guest supposed they do not."""
    assert against(reasons(world(pairs=6))) == []
    more = world(pairs=6, supposing=Supposing(guests=1))
    assert against(reasons(more)) == ["ready.press_does_not_fit"]


def test_reasons_when_a_guest_has_a_seat_and_no_pair_count_that_pair():
    """Six fit; with one guest more who has a seat they do not, and a press is needed for that guest alone."""
    more = world(pairs=6)
    more = replace(more, workshops=(replace(more.workshops[0], without_pair=1),))
    assert against(reasons(more)) == ["ready.press_does_not_fit"]
    alone = replace(more.workshops[0], pairs=())
    assert against(reasons(replace(more, workshops=(alone,)))) == ["ready.press_hardener"]
    assert against(reasons(replace(more, workshops=(alone,), equipment=()))) == ["ready.press_none"]
    nobody = replace(alone, without_pair=0)
    assert against(reasons(replace(more, workshops=(nobody,), equipment=()))) == []


@pytest.mark.parametrize("seed", range(12))
def test_plans_of_small_workshops_agree_with_brute_force(seed):
    """The hold is two minutes by a made-up schedule; each case is also enumerated minute by minute."""
    rng = random.Random(seed)
    quick = material("quick", "hardener", cure_points=[[80.0, 2 / 60]])
    end, hands, count = rng.randint(5, 11), rng.randint(1, 2), rng.randint(1, 3)
    numbers = [
        {
            "heated": rng.random() < 0.5,
            "takes_pairs": rng.choice((1, 2)),
            "closing_min": rng.randint(1, 2),
            "heat_up_min": rng.randint(0, 1),
            "cool_min": rng.randint(0, 1),
            "opening_min": 1,
            "closing_hands": rng.randint(1, 2),
        }
        for _ in range(rng.randint(1, 2))
    ]
    booked = [pair(f"P{n}", rng.choice((1620, 1720)), [{"hardener": "quick"}]) for n in range(count)]
    given = facts(
        workshops=[workshop(*booked, opens_min=0, closes_min=end, hands=hands, ends_on=STARTS)],
        materials=[quick],
        equipment=[
            *(press(f"press {n}", **each) for n, each in enumerate(numbers)),
            mould("162", 1620),
            mould("172", 1720),
        ],
        **(WATCHED | {"trip": WATCHED["trip"] | {"bay_c": 80.0}}),
    )
    asked = timetable.Workshop(
        [
            timetable.Pressing(each.code, ("162 E-162" if each.row.length_mm == 1620 else "172 E-172",))
            for each in booked
        ],
        [
            timetable.Press(
                f"press {n} E-press {n}",
                each["heated"],
                *(Given(each[f"{part}_min"]) if part else Given(2) for part in ("heat_up", "", "cool")),
                Given(each["closing_min"]),
                Given(1),
                each["closing_hands"],
                1,
                each["takes_pairs"],
            )
            for n, each in enumerate(numbers)
        ],
        [timetable.Mould("162 E-162"), timetable.Mould("172 E-172")],
        [timetable.Shift(0, end, hands)],
    )
    (planned,) = plans(given)
    fits = possible(asked, list(asked.pressings))
    assert (planned.table.answer is timetable.Answer.FITS) == fits
    assert ("ready.press_fits" in [note.code for note in reasons(given)]) == fits
    if fits:
        obeys(asked, planned.table)


def test_reasons_when_an_unheated_press_holds_at_the_bay_take_the_schedule_there():
    """16 h at 23 °C do not fit in a day of 11 h but over the night; ten degrees colder they never end."""
    cold = press(heated=False, heat_up_min=None, cool_min=None, holds_c=None)
    notes = reasons(world(pairs=1, presses=[cold], trip={"bay_c": 23.0}))
    assert against(notes) == []
    opened = of(notes, "ready.press_fits").sentence.values["moment"]
    assert opened.date() == STARTS + timedelta(days=1)
    never = reasons(world(pairs=1, presses=[cold], trip={"bay_c": 13.0}))
    assert against(never) == ["ready.press_too_cold"]


def test_reasons_when_it_is_supposed_colder_hold_longer():
    """23 °C less 10: more than 5 K below the coldest listed temperature nothing counts."""
    cold = press(heated=False, heat_up_min=None, cool_min=None, holds_c=None)
    colder = world(pairs=1, presses=[cold], trip={"bay_c": 23.0}, supposing=Supposing(colder_c=10.0))
    assert against(reasons(colder)) == ["ready.press_too_cold"]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"venue": {"hands": None}}, "ready.press_hours"),
        ({"venue": {"opens_min": None}}, "ready.press_hours"),
        ({"presses": [press(closing_min=None)]}, "ready.press_card"),
        ({"presses": [press(cool_min=None)]}, "ready.press_card"),
        ({"presses": [press(heated=False)], "trip": {"bay_c": None}}, "ready.press_bay"),
        ({"materials": [material("slow", "hardener")]}, "ready.press_schedule"),
        ({"materials": []}, "ready.press_hardener"),
        ({"venue": {"opens_min": 1200}}, "ready.press_refused"),
    ],
)
def test_reasons_when_a_number_is_missing_cannot_say(change, code):
    """One fact differs from the world where all fits."""
    notes = reasons(world(**change))
    assert against(notes) == [code]
    assert of(notes, code).level is Level.UNKNOWN
    assert against(reasons(world())) == []


def test_reasons_when_one_of_two_presses_has_no_numbers_only_look_at_it():
    """The other does for three pairs; for seven nobody can say."""
    two = [press("Press 1"), press("Press 2", closing_min=None)]
    assert [n.level for n in reasons(world(presses=two)) if n.code == "ready.press_card"] == [Level.LOOK]
    notes = reasons(world(pairs=7, presses=two))
    assert of(notes, "ready.press_card").level is Level.UNKNOWN


def test_reasons_when_no_press_comes_along_say_so():
    """At home it presses nothing, on hold neither."""
    assert against(reasons(world(presses=[press(spot=at_home())]))) == ["ready.press_none"]
    held = piece("Press 1", kind=Kind.PRESS, held=True, heated=True)
    assert "on hold" in str(of(reasons(world(presses=[held])), "ready.press_none").sentence)
    assert against(reasons(facts(equipment=[]))) == []


def test_reasons_when_no_mould_fits_a_pair_leave_it_out_and_say_so():
    """A mould that stays at home is a reason of the guest's own parts, not one of press time."""
    notes = reasons(world(moulds=[mould("172 mould", 1720, spot=at_home()), mould("162 mould", 1620)]))
    assert against(notes) == []
    (planned,) = plans(world(moulds=[mould("162 mould", 1620)]))
    assert planned.without_mould == ("P0", "P1", "P2")


def test_reasons_when_a_mould_is_on_hold_do_not_plan_with_it():
    """With a second one they do not wait for it."""
    (planned,) = plans(world(moulds=[mould("172 mould", 1720, held=True), mould("another", 1720)]))
    assert {name for cycle in planned.table.cycles for name in cycle.moulds} == {"another E-another"}


def test_reasons_when_nobody_is_named_to_stay_stop():
    """A press that is not heated needs nobody; one that is does."""
    none = {"trip": {"watchers": []}}
    assert against(reasons(world(**none))) == ["ready.press_watcher"]
    warm = {"trip": {"watchers": [], "bay_c": 80.0}}
    unheated = press(heated=False)
    assert against(reasons(world(presses=[unheated], **warm))) == []


def test_plans_name_somebody_for_each_heated_cycle_and_nobody_in_two_trailers():
    """Two presses in one trailer are watched by one person; in two trailers by two."""
    both = [trailer("Wren"), trailer("Owl", zones=[zone("zone 1", of="Owl")])]
    apart = [press("Press 1"), press("Press 2", spot=aboard(of="Owl"))]
    two_moulds = [mould("172 mould", 1720), mould("another", 1720)]
    here = world(pairs=4, presses=[press("Press 1"), press("Press 2")], moulds=two_moulds)
    (planned,) = plans(here)
    assert {stretch.watcher for stretch in planned.stretches} == {"Odd"}
    assert against(reasons(here)) == []
    there = world(pairs=4, presses=apart, moulds=two_moulds, trailers=both)
    assert against(reasons(there)) == ["ready.press_watcher"]
    people = WATCHED["people"] | {id_of("Ragna"): SimpleNamespace(name="Ragna")}
    named = {"watchers": [str(id_of("Odd")), str(id_of("Ragna"))]}
    assert (
        against(
            reasons(
                world(pairs=4, presses=apart, moulds=two_moulds, trailers=both, people=people, trip=named)
            )
        )
        == []
    )


def test_plans_on_the_night_the_clocks_change_keep_the_hours_on_the_wall():
    """In Oslo clocks go back an hour on 25 Oct 2026 at three: the hall still opens at eight."""
    with timezone.override("Europe/Oslo"):
        booked = [pair("P0", 1720, [LAYER])]
        days = {"starts_on": date(2026, 10, 24), "ends_on": date(2026, 10, 25)}
        cold = press(heated=False, heat_up_min=None, cool_min=None, holds_c=None)
        given = facts(
            workshops=[workshop(*booked, **days)],
            materials=[SLOW],
            equipment=[cold, mould("172 mould", 1720)],
            trip={"bay_c": 23.0},
        )
        (planned,) = plans(given)
        first, last = planned.at(480), planned.at(1440 + 480)
        assert (first.hour, last.hour) == (8, 8)
        assert first.utcoffset() != last.utcoffset()


def test_reasons_of_workshops_without_pairs_say_nothing():
    """Whether anybody comes is another room's."""
    assert reasons(world(pairs=0)) == []
