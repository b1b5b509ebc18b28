"""Stowage through the room of the answer: what lies beside what, and the road against limits of storing."""

from dataclasses import replace

import pytest

from inventory.compute.reasons import Level
from inventory.queries.readiness.facts import Spot, Supposing
from inventory.queries.readiness.stowage import reasons
from tests.queries.rooms import aboard, against, facts, id_of, kg, material, of, package, piece, trailer, zone

SOLVENT = material("solvent", "solvent", "ul", density_kg_m3=800.0)
ZONES = [zone("zone 1", 1500), zone("zone 3", 2800), zone("zone 4", 3900)]


def world(can="zone 1", suits="zone 4", trailers=None, extra=(), **more):
    """A rack with a can of solvent, and dry suits."""
    given = {
        "trailers": trailers or [trailer(zones=ZONES)],
        "materials": [SOLVENT],
        "packages": [package(SOLVENT, 5_000_000, aboard(can, bin="rack"))],
        "equipment": [piece("dry suits", "clothing", aboard(suits)), *extra],
        "bins": ["rack"],
    }
    return facts(**(given | more))


def test_reasons_when_solvent_lies_beside_clothing_stop_and_name_both():
    """In another zone nothing is said; one click moves the lighter of the two into a zone that parts them."""
    assert against(reasons(world())) == []
    note = of(reasons(world(can="zone 4")), "ready.stow_beside")
    assert note.level is Level.STOP
    assert "solvent (rack)" in str(note.sentence)
    assert "dry suits" in str(note.sentence)
    assert note.cures[0].page == "places-move"
    assert note.cures[0].values["things"] == "E-dry suits"
    assert set(note.codes) == {"B-rack", "E-dry suits"}


@pytest.mark.parametrize(
    ("sort", "beside"),
    [
        ("clothing", True),
        ("food", True),
        ("clean gear", True),
        ("respirator", True),
        ("router", False),
        ("extinguisher", False),
    ],
)
def test_reasons_of_each_sort_know_what_is_clean(sort, beside):
    """Tools and extinguishers may lie beside a can."""
    given = world(suits="zone 3", extra=[piece("it", sort, aboard("zone 1"))])
    assert against(reasons(given)) == (["ready.stow_beside"] if beside else [])


@pytest.mark.parametrize(
    ("purpose", "beside"),
    [("resin", True), ("hardener", True), ("waste", True), ("glue", True), ("edge", False)],
)
def test_reasons_of_each_purpose_know_what_harms(purpose, beside):
    """Edges are only steel."""
    row = material("it", purpose)
    given = world(
        can="zone 1",
        materials=[SOLVENT, row],
        packages=[package(row, kg(1), aboard("zone 4"))],
    )
    assert against(reasons(given)) == (["ready.stow_beside"] if beside else [])


def test_reasons_of_a_tow_car_and_of_a_trailer_without_zones_take_each_for_one_space():
    """Suits in the car beside a can there stop, the can alone is looked at; a click puts the suits behind."""
    one = trailer(zones=ZONES)
    car = Spot((one.car.thing_id,), one.car.thing_id, True, None, one.car.thing_id)
    can, suits = package(SOLVENT, 5_000_000, car), piece("dry suits", "clothing", car)
    given = {"trailers": [one], "packages": [can]}
    assert against(reasons(world(**given))) == ["ready.stow_car"]
    both = reasons(world(**given, equipment=[suits]))
    assert against(both) == ["ready.stow_beside", "ready.stow_car"]
    note = of(both, "ready.stow_beside")
    assert (note.level, note.cures[0].values["things"]) == (Level.STOP, "E-dry suits")
    for zones, level in ((True, Level.UNKNOWN), (False, Level.STOP)):
        here = trailer(zones=ZONES) if zones else replace(one, zones=())
        given = {"trailers": [here], "packages": [package(SOLVENT, 5_000_000, aboard(""))]}
        assert against(reasons(world(**given, equipment=[]))) == []
        loose = [piece("dry suits", "clothing", aboard(""))]
        note = of(reasons(world(**given, equipment=loose)), "ready.stow_beside")
        assert (note.level, bool(note.cures)) == (level, zones)


def test_reasons_when_the_only_other_zone_holds_the_same_offer_no_move():
    """Two zones, both with solvent: the suits can go nowhere, nor can the can."""
    two = [zone("zone 1", 1500), zone("zone 4", 3900)]
    given = world(
        can="zone 4",
        trailers=[trailer(zones=two)],
        packages=[
            package(SOLVENT, 5_000_000, aboard("zone 4", bin="rack")),
            package(SOLVENT, 5_000_000, aboard("zone 1"), code="P2"),
        ],
        extra=[piece("bread", "food", aboard("zone 1"))],
    )
    notes = [note for note in reasons(given) if note.code == "ready.stow_beside"]
    assert [note.cures for note in notes] == [(), ()]


def test_reasons_when_a_move_would_break_a_plate_offer_another():
    """80 kg from 3.9 m to 1.5 m put 64 kg more on a nose of 21 kg that bears 80; to 2.8 m, 29 kg."""
    given = world(
        can="zone 4",
        trailers=[trailer(zones=ZONES, nose_mg=kg(80))],
        packages=[package(SOLVENT, 125_000_000, aboard("zone 4", bin="rack"))],
        extra=[],
        equipment=[piece("dry suits", "clothing", aboard("zone 4"), mass_mg=kg(80))],
    )
    cure = of(reasons(given), "ready.stow_beside").cures[0]
    assert cure.values == {"things": "E-dry suits", "to": "Z-zone 3"}


def test_reasons_when_solvent_rides_in_the_car_say_that_people_do_too():
    """In the trailer nobody sits beside it."""
    van = replace(aboard(), goes_in=id_of("the van"), goes_zone=None)
    assert against(reasons(world(packages=[package(SOLVENT, 1, van)]))) == ["ready.stow_car"]


RESIN = material("resin", "resin", stored_from_c=15.0, stored_to_c=30.0, crystallises=True)


def road(low=18.0, high=25.0, row=RESIN, **more):
    trip = {"road_low_c": low, "road_high_c": high}
    return facts(materials=[row], packages=[package(row, kg(5))], trip=trip, **more)


@pytest.mark.parametrize(
    ("low", "high", "codes"),
    [
        (15.0, 30.0, []),
        (14.0, 30.0, ["ready.stow_cold"]),
        (15.0, 31.0, ["ready.stow_warm"]),
        (None, 25.0, ["ready.stow_road"]),
        (18.0, None, ["ready.stow_road"]),
    ],
)
def test_reasons_of_the_road_weigh_it_against_limits_of_storing(low, high, codes):
    """At a limit nothing is said; beyond it, look; not entered, cannot say."""
    notes = reasons(road(low, high))
    assert against(notes) == codes
    for note in notes:
        assert note.level is (Level.UNKNOWN if note.code == "ready.stow_road" else Level.LOOK)


def test_reasons_when_it_is_supposed_colder_say_so():
    """18 °C less 5 is below 15."""
    assert against(reasons(road(supposing=Supposing(colder_c=5.0)))) == ["ready.stow_cold"]


def test_reasons_when_a_card_has_no_limits_ask_nothing():
    """Steel stands any road."""
    assert reasons(road(None, None, row=material("edge", "edge", "mm"))) == []
