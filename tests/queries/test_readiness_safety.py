"""Safety equipment, inspections, fuel and books through the room of the answer."""

from datetime import timedelta

import pytest

from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.queries.readiness.safety import reasons
from tests.queries.rooms import (
    BACK,
    LEAVES,
    TODAY,
    aboard,
    against,
    at_home,
    due,
    facts,
    kg,
    material,
    of,
    package,
    piece,
    trailer,
    workshop,
    zone,
)

RESIN = material("resin", "resin")
LITRE = 1_000_000


def extinguisher(name="extinguisher", spot=None, **more):
    return piece(name, "extinguisher", spot, **more)


GEAR = [extinguisher(), piece("eyewash", "eyewash"), piece("alarm", "alarm"), piece("box", "first aid")]


def world(gear=GEAR, backed_up_on=TODAY, **more):
    """Resin aboard a heated trailer, with all that is asked for."""
    given = {"materials": [RESIN], "packages": [package(RESIN, kg(5))], "equipment": gear}
    return facts(backed_up_on=backed_up_on, **(given | more))


def test_reasons_when_all_is_there_say_nothing():
    """The world the others differ from by one fact."""
    assert reasons(world()) == []


@pytest.mark.parametrize(
    ("sort", "code"),
    [
        ("extinguisher", "ready.safety_extinguisher"),
        ("eyewash", "ready.safety_eyewash"),
        ("alarm", "ready.safety_alarm"),
        ("first aid", "ready.safety_first_aid"),
    ],
)
def test_reasons_when_one_stays_at_home_stop_and_offer_it(sort, code):
    """One click puts it on the list; on hold it does not count."""
    others = [each for each in GEAR if each.sort != sort]
    home = piece("the other", sort, at_home())
    note = of(reasons(world([*others, home])), code)
    assert note.level is Level.STOP
    assert note.cures[0].values["things"] == "E-the other"
    held = piece("the other", sort, held=True)
    assert code in against(reasons(world([*others, held])))
    assert code not in against(reasons(world([*others, piece("the other", sort)])))


def test_reasons_when_nothing_harmful_comes_along_ask_for_no_eyewash():
    """Nor for an alarm where nothing is heated."""
    without = [each for each in GEAR if each.sort in ("extinguisher", "first aid")]
    given = world(without, materials=[], packages=[], trip={"heated": False})
    assert reasons(given) == []
    press = piece("Press 1", kind=Kind.PRESS, heated=True)
    given = world([*without, press], materials=[], packages=[], trip={"heated": False})
    assert against(reasons(given)) == ["ready.safety_alarm"]


def test_reasons_ask_for_an_extinguisher_in_each_trailer():
    """One in Wren is none in Owl; the one at home would go there."""
    both = [trailer(), trailer("Owl", zones=[zone("zone 1", of="Owl")])]
    home = extinguisher("another", at_home())
    note = of(reasons(world([*GEAR, home], trailers=both)), "ready.safety_extinguisher")
    assert "Owl" in str(note.sentence)
    assert note.cures[0].values["zone"] == str(zone("zone 1", of="Owl")[0].id)
    second = extinguisher("another", aboard(of="Owl"))
    assert reasons(world([*GEAR, second], trailers=both)) == []


@pytest.mark.parametrize(
    ("by", "codes"),
    [
        (BACK, []),
        (BACK - timedelta(days=1), ["ready.safety_extinguisher"]),
    ],
)
def test_reasons_when_an_extinguisher_is_due_before_the_trip_is_over_stop(by, codes):
    """In order to the last day it counts."""
    gear = [extinguisher(dues=[due(by)]), *GEAR[1:]]
    assert against(reasons(world(gear))) == codes


@pytest.mark.parametrize(
    ("by", "last_on", "level"),
    [
        (BACK, TODAY, Level.FINE),
        (LEAVES, TODAY, Level.LOOK),
        (LEAVES - timedelta(days=1), TODAY, Level.STOP),
        (None, None, Level.STOP),
    ],
)
def test_reasons_when_a_hose_is_overdue_stop_and_when_it_becomes_so_look(by, last_on, level):
    """Never inspected is overdue."""
    notes = reasons(world([*GEAR, piece("hose", "hose", dues=[due(by, last_on)])]))
    assert max([note.level for note in notes], default=Level.FINE) is level
    at_barn = reasons(world([*GEAR, piece("hose", "hose", at_home(), dues=[due(None, None)])]))
    assert at_barn == []


def test_reasons_when_something_on_hold_comes_along_say_so():
    """It is aboard for nothing."""
    notes = reasons(world([*GEAR, piece("router", "router", held=True)]))
    assert against(notes) == ["ready.safety_held"]


def test_reasons_when_a_heater_burns_fuel_say_where_not():
    """An electric one is no matter of carbon monoxide."""
    assert against(reasons(world([*GEAR, piece("stove", "fuel heater")]))) == ["ready.safety_heater"]
    assert against(reasons(world([*GEAR, piece("stove", "heater")]))) == []


PETROL = material("petrol", "fuel", "ul")


def dark(litres=70.0, burns=3.0, circuits=(), **venue):
    """A generator at a venue without power: two days of 11 h."""
    return world(
        [*GEAR, piece("generator", "generator", watts=4000.0, fuel_l_h=burns)],
        workshops=[workshop(circuits=circuits, **venue)],
        materials=[RESIN, PETROL],
        packages=[package(PETROL, round(litres * LITRE))],
    )


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        # 3 l/h x 22 h = 66 l (computed by hand)
        ({"litres": 66.0}, []),
        ({"litres": 65.9}, ["ready.safety_fuel"]),
        ({"burns": None}, ["ready.safety_fuel_unknown"]),
        ({"opens_min": None}, ["ready.safety_fuel_unknown"]),
        ({"litres": 1.0, "circuits": (("wall", 230.0, 16.0),)}, []),
    ],
)
def test_reasons_of_a_generator_weigh_its_fuel(changes, codes):
    """Only where the venue gives no power."""
    assert against(reasons(dark(**changes))) == codes


@pytest.mark.parametrize(
    ("day", "codes"),
    [
        (LEAVES - timedelta(days=7), []),
        (LEAVES - timedelta(days=8), ["ready.safety_backup"]),
        (None, ["ready.safety_backup"]),
    ],
)
def test_reasons_when_the_last_backup_is_old_say_so(day, codes):
    """It is no reason to stay, and one to look."""
    notes = reasons(world(backed_up_on=day))
    assert against(notes) == codes
    assert all(note.level is Level.LOOK for note in notes)


@pytest.mark.parametrize(
    ("day", "codes"),
    [(TODAY, []), (LEAVES - timedelta(days=8), ["ready.safety_met"]), (None, ["ready.safety_met"])],
)
def test_reasons_when_another_laptop_was_not_met_lately_say_so(day, codes):
    """What it knows is not in the answer."""
    assert against(reasons(world(met_on={"B": day}))) == codes


def test_reasons_when_a_mould_is_in_two_places_cannot_say():
    """Two laptops moved it apart; once that is settled nothing is said."""
    mould = piece("172 mould", kind=Kind.MOULD)
    apart = reasons(world([*GEAR, mould], moved_apart=frozenset({mould.id})))
    assert against(apart) == ["ready.safety_apart"]
    assert of(apart, "ready.safety_apart").level is Level.UNKNOWN
    assert "172 mould" in str(of(apart, "ready.safety_apart").sentence)
    assert reasons(world([*GEAR, mould])) == []
