"""What was weighed answers for what is only reckoned, until something is moved.

Outside: statics worked by hand; the sum of doubts worked by hand from JCGM 100:2008 (from memory).
"""

from dataclasses import replace
from datetime import timedelta

import pytest

from inventory.actions import places, road
from inventory.compute.load import Quantity
from inventory.compute.reasons import Level
from inventory.models import Trip
from inventory.queries import readiness
from inventory.queries.readiness import load, scale
from inventory.queries.readiness.facts import OnScale
from inventory.queries.readiness.reader import read
from inventory.views.trip_papers import load_sheet
from tests import away
from tests.make import grams
from tests.queries.rooms import car, facts, kg, of, piece, trailer, zone
from tests.queries.test_load_now import waits

# Empty 680 kg with 75 kg on the nose, the axle at 3 m: 90 kg at 1.5 m put 90 (1 - 1.5 / 3) = 45 kg on it,
# 120 kg in all give or take 1.35 kg, where 100 kg are allowed: over by more than any doubt.
PLATES = {"nose_mg": kg(100), "gross_mg": kg(900), "axle_load_mg": kg(850)}


def world(on, gear=(), **card):
    """One trailer with a lathe far in front, and what the scale showed of it."""
    one = trailer(zones=[zone("zone 1", 1500), zone("zone 2", 1600)], **(PLATES | card))
    things = [piece("lathe", mass_mg=kg(90)), *gear]
    return facts(trailers=[one], equipment=things, weighed={} if on is None else {one.id: on})


def against(given):
    """The codes of what stands against leaving."""
    notes = [*load.reasons(given), *scale.reasons(given)]
    return {note.code for note in notes if note.level >= Level.UNKNOWN}


GOOD = OnScale(kg(770), kg(98), mass_doubt_mg=kg(20), nose_doubt_mg=kg(2))


@pytest.mark.parametrize(
    ("changes", "stands"),
    [
        ({}, False),
        ({"nose_mg": kg(98) + 1}, True),  # 98 kg and 2 kg are at the plate; a milligram more is not
        ({"nose_doubt_mg": kg(2) + 1}, True),
        ({"nose_doubt_mg": None}, True),  # 5 kg are assumed
        ({"nose_mg": kg(95), "nose_doubt_mg": None}, False),
        ({"moved": 1}, True),
        ({"nose_since": 1}, True),
        ({"mass_since": 1}, False),  # the nose was read again
        ({"nose_mg": None}, True),
    ],
)
def test_reckoned_nose_stands_against_leaving_unless_the_scale_answers(changes, stands):
    """Each differs by one fact from the reading that answers; what is reckoned is told beside it."""
    assert against(world(None)) == {"ready.load_over"}
    given = world(replace(GOOD, **changes))
    assert against(given) == ({"ready.load_over"} if stands else set())
    codes = [note.code for note in load.reasons(given)]
    assert ("ready.load_on_scale" in codes) is not stands
    assert bool(load.helping(given, given.trailers[0], load.carried(given))) is stands


@pytest.mark.parametrize(
    ("changes", "axle", "mass", "nose"),
    [
        ({}, [kg(672)], True, True),
        ({"mass_since": 1}, [], False, True),
        ({"nose_since": 1}, [], True, False),
    ],
)
def test_axle_follows_from_mass_and_nose_of_one_load_only(changes, axle, mass, nose):
    """A thing was moved between the two readings: no axle, and only the later one is told with its time."""
    given = world(replace(GOOD, **changes))
    one = given.trailers[0]
    assert [each.mg for each in scale.shown(given, one) if each.quantity is Quantity.AXLE] == axle
    (sentence,) = scale.told_of(given, one)
    assert [bool(sentence.values.get(name)) for name in ("mass", "nose")] == [mass, nose]


def test_both_numbers_are_told_with_their_doubts_and_how():
    """Information, and no stop: 120 kg reckoned, 98 kg on the scale."""
    note = of(load.reasons(world(GOOD)), "ready.load_on_scale")
    values = {name: note.sentence.values[name] for name in ("kg", "shown", "off", "limit")}
    assert values == {
        "kg": grams(120_000),
        "shown": grams(98_000),
        "off": grams(2_000),
        "limit": grams(100_000),
    }
    assert (note.level, note.how is not None) == (Level.FINE, True)
    assert "until something is loaded, unloaded or moved" in str(note.why)


def test_reading_too_close_to_its_plate_says_that_it_does_not_answer():
    """Below the plate by less than the scale may be off: look, and what is reckoned stands beside it."""
    close = world(replace(GOOD, nose_mg=kg(99)))
    assert of(scale.reasons(close), "ready.weighed_close").level is Level.LOOK
    assert "ready.weighed_close" not in {note.code for note in scale.reasons(world(GOOD))}


def test_reading_above_its_plate_stands_beside_what_is_reckoned():
    """Neither hides the other."""
    assert against(world(replace(GOOD, nose_mg=kg(103)))) == {"ready.load_over", "ready.weighed_over"}


def test_reading_answers_only_for_a_load_that_is_all_aboard():
    """A crate that still waits at the yard for the same trailer was not on the scale; for another it may."""
    crate = partial_crate("Wren")
    assert against(world(GOOD, gear=[crate])) == {"ready.load_over"}
    assert "ready.load_over" not in against(world(GOOD, gear=[partial_crate("Dipper")]))


def partial_crate(of_trailer):
    return piece("crate", mass_mg=kg(1), spot=waits("zone 1", of=of_trailer))


def test_scale_answers_for_the_tow_car_by_the_nose_and_for_the_axle_by_both():
    """Rear axle: 1,050 + 98 (1 + 1.12 / 2.8) = 1,187.2 kg, and 1.4 x 2 = 2.8 kg of doubt. By hand."""
    towed = {"car": car(rear_axle_mg=kg(1190), mass_doubt_mg=0, rear_doubt_mg=0)}
    given = world(GOOD)
    given = replace(given, trailers=(replace(given.trailers[0], **towed),))
    assert against(given) == set()
    told = [note for note in load.reasons(given) if note.code == "ready.load_on_scale"]
    rear = next(note for note in told if "rear axle" in str(note.sentence.values["quantity"]))
    assert (rear.sentence.values["shown"], rear.sentence.values["off"]) == (grams(1_187_200), grams(2_800))
    towed = {"car": car(rear_axle_mg=kg(1189), mass_doubt_mg=0, rear_doubt_mg=0)}
    assert "ready.load_over" in against(replace(given, trailers=(replace(given.trailers[0], **towed),)))


def test_plate_that_was_not_read_is_another_question_than_the_one_the_scale_answers():
    """Below the coupling's plate, the ball's not read: no stop, and cannot say for the ball."""
    unread = {"car": car(ball_nose_mg=None, bar_nose_mg=kg(300))}
    for on, stands in ((GOOD, {"ready.load_no_plate"}), (None, {"ready.load_over"})):
        given = world(on)
        given = replace(given, trailers=(replace(given.trailers[0], **unread),))
        assert against(given) == stands


def test_what_nobody_weighed_apart_is_answered_by_the_whole_trailer_on_the_scale():
    """A crate of unknown mass: cannot say, until mass and nose were read; the nose alone does not do."""
    crate = piece("crate", mass_mg=None)
    assert "ready.load_not_weighed" in against(world(None, gear=[crate]))
    assert "ready.load_not_weighed" in against(world(replace(GOOD, mass_mg=None), gear=[crate]))
    given = world(GOOD, gear=[crate])
    assert against(given) == set()
    assert of(load.reasons(given), "ready.load_not_weighed").level is Level.LOOK
    told = [str(note.sentence) for note in load.reasons(given) if note.code == "ready.load_on_scale"]
    assert sum("cannot be reckoned" in sentence for sentence in told) == len(told) == 6


def test_load_sheet_goes_by_the_scale_only_where_it_answers():
    """The same words as the answer."""

    def nose(given):
        (sheet,) = load_sheet(given)["sheets"]
        return next(str(line.word) for line in sheet.lines if line.quantity == "nose weight")

    found = {name: nose(world(on)) for name, on in (("no", None), ("good", GOOD))}
    assert found["no"] != found["good"]
    assert nose(world(replace(GOOD, nose_mg=kg(99)))) == found["no"]


@pytest.mark.django_db
def test_weighing_answers_for_a_trip_until_a_jug_is_moved_aboard(shop):
    """Weighed below: answered. A jug loaded, or carried to another zone after it: reckoned again."""
    away.plan(shop)
    names, trip = shop.names, Trip.objects.get(id=shop.names["trip"])
    plates = {"gross_mg": kg(1500), "axle_load_mg": kg(1400), "tyres_side_mg": kg(900), "axles": 1}
    empty = {"empty_mg": kg(680), "empty_nose_mg": kg(75), "axle_mm": 3000, "nose_mg": kg(78)}
    shop.do(places.edit_place, place=names["trailer"], changes=plates | empty)
    for name, behind in (("zone", 1500), ("zone 2", 1600)):
        shop.do(places.edit_place, place=names[name], changes={"behind_mm": behind, "right_mm": 0})
    jugs = [shop.package("resin", grams(90_000), number=f"R-{n}", place=names["zone"]) for n in range(2)]

    def over():
        shop.at += timedelta(minutes=5)
        return "ready.load_over" in {note.code for note in readiness.answer(trip, shop.at.date()).reasons}

    def weigh(**more):
        trailer, doubts = names["trailer"], {"mass_doubt_mg": kg(20), "nose_doubt_mg": kg(2)}
        shop.do(road.weigh_load, trip=trip.id, when="leaving", **doubts, weights=[(trailer, kg(860), kg(76))])

    assert over()
    weigh()
    assert not over()
    shop.do(places.move, things=jugs[:1], to=names["zone 2"])
    assert over()
    weigh()
    assert not over()
    shop.do(places.move, things=jugs[:1], to=names["store"])
    assert over()
    on = read(trip, shop.at.date()).weighed[names["trailer"]]
    assert (on.moved, on.mass_since, on.nose_since) == (1, 1, 1)
    shop.do(road.weigh_load, trip=trip.id, when="leaving", weights=[(names["trailer"], None, kg(71))])
    on = read(trip, shop.at.date()).weighed[names["trailer"]]
    assert (on.moved, on.mass_since, on.nose_since) == (0, 1, 0)
    assert "ready.weighed_before" in {note.code for note in readiness.answer(trip, shop.at.date()).reasons}
