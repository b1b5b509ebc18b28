"""What the scale showed, against the plates and against the list."""

from dataclasses import replace
from datetime import timedelta

import pytest

from inventory.actions import places, road
from inventory.compute.reasons import Basis, Level
from inventory.forms.sentences import text
from inventory.models import Trip
from inventory.queries import load_now
from inventory.queries.loading import Walk
from inventory.queries.readiness.facts import OnScale
from inventory.queries.readiness.reader import read
from inventory.queries.readiness.scale import against_list, reasons, told_of
from tests import away
from tests.make import MONDAY, grams
from tests.queries.rooms import aboard, at_home, car, facts, kg, of, piece, trailer, zone

PLATES = {"gross_mg": kg(1500), "axle_load_mg": kg(1450), "nose_mg": kg(75)}


def said(mass, nose, **more):
    """The sentences, with their levels."""
    one = replace(trailer(**PLATES), **more)
    notes = reasons(facts(trailers=[one], weighed={one.id: OnScale(mass, nose)}))
    return {str(note.sentence): note.level for note in notes}


@pytest.mark.parametrize(
    ("mass", "nose", "over"),
    [
        (kg(1500), kg(75), []),  # at its plates
        (kg(1500) + 1, kg(75), ["trailer's mass"]),
        (kg(1500), kg(75) + 1, ["nose weight"]),
        (kg(1500), kg(49), ["axle load"]),  # 1,451 kg are left for the axle
        (kg(1600), None, ["trailer's mass"]),
        (None, kg(90), ["nose weight"]),
    ],
)
def test_what_was_weighed_stands_against_leaving_only_above_a_plate(mass, nose, over):
    """One milligram decides; the axle is what the nose does not carry."""
    found = [sentence for sentence, level in said(mass, nose).items() if level is Level.STOP]
    assert len(found) == len(over)
    assert all(word in sentence for word, sentence in zip(over, found, strict=True))


def test_how_much_over_is_said_with_weight_and_plate():
    one = trailer(**PLATES)
    note = of(reasons(facts(trailers=[one], weighed={one.id: OnScale(None, kg(90))})), "ready.weighed_over")
    told = {name: note.sentence.values[name] for name in ("weighed", "over", "plate")}
    assert told == {"weighed": grams(90_000), "over": grams(15_000), "plate": grams(75_000)}


def test_what_the_tow_car_bears_counts_as_a_plate_of_the_trailer():
    """60 kg on the ball, 1,300 kg to draw: the lower plate decides."""
    towed = {"car": car(towed_mg=kg(1300), ball_nose_mg=kg(60))}
    assert Level.STOP not in said(kg(1400), kg(65)).values()
    assert list(said(kg(1400), kg(65), **towed).values()).count(Level.STOP) == 2


def test_nothing_is_said_of_what_was_not_weighed_or_has_no_plate():
    """A room of its own says that a plate was not read."""
    one = trailer()
    assert reasons(facts(trailers=[one], weighed={})) == []
    assert reasons(facts(trailers=[one], weighed={one.id: OnScale()})) == []


def weighed_against(mass=None, nose=None, gear=(), moved=0, good_to=(None, None), **card):
    """The notes on a scale against the list: empty 680 kg, 75 kg on the nose, both known to the gram."""
    one = trailer(zones=[zone("zone 1", 3000)], **card)
    mass_doubt, nose_doubt = good_to
    on = {one.id: OnScale(mass, nose, moved=moved, mass_doubt_mg=mass_doubt, nose_doubt_mg=nose_doubt)}
    return list(against_list(facts(trailers=[one], weighed=on, equipment=gear), one))


@pytest.mark.parametrize(
    ("shows", "differs"),
    [(803.3, ""), (803.4, "more than the list"), (756.7, ""), (756.6, "less than the list")],
)
def test_scale_and_list_are_apart_only_by_more_than_their_doubts_together(shows, differs):
    """100 kg aboard give or take 3, the scale good to 20 kg: 2 sqrt((3^2 + 20^2) / 3) = 23.35 kg.

    Worked by hand from JCGM 100:2008, 4.3.7 and 5.1.2 (from memory).
    """
    found = weighed_against(kg(shows), gear=[piece("lathe", mass_mg=kg(100))])
    assert [note.level for note in found] == ([Level.LOOK] if differs else [])
    assert all(differs in str(note.sentence) for note in found)


@pytest.mark.parametrize(
    ("shows", "nose", "differs"),
    [(784.8, 75, 0), (784.9, 75, 1), (780, 76.1, 0), (780, 76.2, 1)],
)
def test_scale_that_was_said_to_be_better_finds_less(shows, nose, differs):
    """Good to 3 kg and 1 kg: 2 sqrt((3^2 + 3^2) / 3) = 4.899 and 2 x 1 / sqrt(3) = 1.155 kg are doubt alone.

    Worked by hand from JCGM 100:2008, 4.3.7 and 5.1.2 (from memory). The lathe stands over the axle.
    """
    gear = [piece("lathe", mass_mg=kg(100))]
    found = weighed_against(kg(shows), kg(nose), gear=gear, good_to=(kg(3), kg(1)))
    assert len(found) == differs
    assert not weighed_against(kg(shows), kg(nose), gear=gear)
    for note in found:
        (line,) = (each for each in note.how.inputs if each.name == "give or take, scale")
        assert (line.value, line.basis) == (3.0 if nose == 75 else 1.0, Basis.MEASURED)


def test_scale_that_shows_more_names_where_to_look_and_how():
    """84 kg: the heaviest first; with something that nobody weighed aboard, that, and its card."""
    lathe, saw = piece("lathe", mass_mg=kg(100)), piece("saw", mass_mg=kg(40))
    (note,) = weighed_against(kg(680 + 140 + 84), gear=[saw, lathe])
    assert note.sentence.values["more"] == grams(84_000)
    assert "something is aboard that nobody scanned, or a mass is entered too small" in str(note.sentence)
    assert str(note.why) == "Look first at the heaviest: lathe, saw."
    told = {line.name: line for line in note.how.inputs}
    assert "by the list" in told
    assert (told["give or take, scale"].value, told["give or take, scale"].basis) == (20.0, Basis.ASSUMED)
    assert [cure.page for cure in note.cures] == ["road-load", "road-weigh"]
    (note,) = weighed_against(kg(680 + 140 + 84), gear=[saw, lathe, piece("crate", mass_mg=None)])
    assert str(note.why) == "Nobody entered what these weigh: crate."
    assert note.cures[0].page == "equipment-edit"


def test_scale_counts_what_is_aboard_and_not_what_still_waits():
    """100 kg at home make no difference; the same aboard are missing on the scale."""
    assert not weighed_against(kg(680), gear=[piece("lathe", mass_mg=kg(100), spot=at_home())])
    (note,) = weighed_against(kg(680), gear=[piece("lathe", mass_mg=kg(100), spot=aboard())])
    assert "not aboard that the books have there" in str(note.sentence)


@pytest.mark.parametrize(("shows", "differs"), [(80, ""), (82, "further forward"), (68, "further back")])
def test_nose_on_the_scale_says_which_way_something_lies(shows, differs):
    """75 kg by the list, the scale good to 5 kg: 2 x 5 / sqrt(3) = 5.8 kg apart are doubt alone."""
    found = weighed_against(nose=kg(shows))
    assert all(differs in str(note.sentence) for note in found)
    assert len(found) == bool(differs)


def test_scale_says_nothing_of_a_list_that_cannot_be_worked_out():
    """No axle is entered; the same trailer measured is told of."""
    assert weighed_against(kg(900))
    assert not weighed_against(kg(900), axle_mm=None)
    assert not weighed_against(nose=kg(90), gear=[piece("crate", mass_mg=None)])


def test_scale_of_a_load_that_was_changed_since_asks_to_be_read_again():
    """Whatever it shows."""
    (note,) = weighed_against(kg(900), moved=2)
    assert "2 things were loaded, unloaded or moved in it" in str(note.sentence)
    assert note.code == "ready.weighed_before"
    assert "1 thing was" in str(weighed_against(kg(900), moved=1)[0].sentence)


@pytest.mark.parametrize(
    ("on", "told"),
    [
        (OnScale(kg(900), kg(70)), "900 kg of 1500 kg, nose 70 kg of 75 kg."),
        (OnScale(kg(900)), "900 kg of 1500 kg."),
        (OnScale(None, kg(70)), "nose 70 kg of 75 kg."),
    ],
)
def test_scale_is_told_before_what_is_reckoned(on, told):
    """What was read, and by the list as what it is."""
    one = trailer(**PLATES)
    given = facts(trailers=[one], weighed={one.id: replace(on, at=MONDAY, by="Odd Fether")})
    first, *more = (text(each).replace("\xa0", " ") for each in load_now.masses(given, Walk((), ())))
    assert first.startswith(f"Wren on the scale: {told} 30 Nov 2026")
    assert first.endswith("Odd Fether.")
    assert more[-1].startswith("Wren reckoned by what was entered")
    assert list(told_of(facts(trailers=[one]), one)) == []


@pytest.mark.django_db
def test_scale_is_read_with_when_by_whom_and_what_was_moved_since(shop):
    """The last word of each number; a jug loaded afterwards is one thing, in another store none."""
    away.plan(shop)
    trip, names = Trip.objects.get(id=shop.names["trip"]), shop.names
    jugs = [shop.package("resin", number=f"R-{n}", place=names["store"]) for n in range(2)]
    assert read(trip, shop.at.date()).weighed == {}

    def on():
        return read(trip, shop.at.date()).weighed[names["trailer"]]

    weigh = {"trip": trip.id, "when": "leaving"}
    shop.do(road.weigh_load, **weigh, weights=[(names["trailer"], kg(900), kg(70))])
    shop.at += timedelta(hours=1)
    shop.do(road.weigh_load, **weigh, weights=[(names["trailer"], kg(910), None)])
    assert on() == OnScale(kg(910), kg(70), shop.at, "Ragna Quill", 0)
    shop.do(places.move, things=[jugs[0]], to=names["zone"])
    assert on().moved == 1
    shop.do(places.move, things=[jugs[0]], to=names["store"])
    shop.do(places.move, things=[jugs[1]], to=names["yard"])
    assert on().moved == 1
    shop.do(road.weigh_load, **weigh, weights=[(names["trailer"], None, kg(71))])
    assert on().moved == 0
