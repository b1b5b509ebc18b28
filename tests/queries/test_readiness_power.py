"""Power, air and spares through the room of the answer: what is over, what is not known, what is at home."""

import pytest

from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.queries.readiness.power import reasons
from tests.queries.rooms import against, at_home, facts, of, pair, piece, trailer, workshop, zone

SPARES = [
    piece("spare bladder", "bladder"),
    piece("hose", "hose"),
    piece("spare controller", "controller", watts=0.0),
    piece("cable", "cable"),
]
ONE = (("north wall", 230.0, 16.0),)
TWO = (("north wall", 230.0, 16.0), ("oven", 230.0, 16.0))


def press(name="Press 1", watts=1500.0, **card):
    numbers = {"heated": True, "air_l_min": 5.0, "air_kpa": 300.0, "watts": watts}
    return piece(name, kind=Kind.PRESS, **(numbers | card))


def compressor(**card):
    numbers = {"watts": 1100.0, "start_watts": 3000.0, "air_l_min": 120.0, "air_kpa": 600.0}
    return piece("compressor", "compressor", **(numbers | card))


def world(*equipment, circuits=ONE, spares=SPARES, **more):
    return facts(workshops=[workshop(pair("P1"), circuits=circuits)], equipment=[*equipment, *spares], **more)


def test_reasons_when_a_circuit_carries_all_say_what_runs_together():
    """1500 W and 1100 W by a motor's power factor of 0.8: (1500 + 1375) / 230 = 12.5 A of 16.

    P = U I (arithmetic); 80 % of 16 A is 12.8 A for what runs for hours: NEC 210.20 (from memory).
    """
    notes = reasons(world(press(), compressor()))
    assert against(notes) == []
    note = of(notes, "ready.power_together")
    assert note.sentence.values["watts"] == 2600
    assert "north wall" in str(note.why)


@pytest.mark.parametrize(
    ("watts", "expected"),
    [(1500.0, []), (1700.0, ["ready.power_circuit_near"]), (2400.0, ["ready.power_circuit_over"])],
)
def test_reasons_when_a_circuit_is_near_or_over_say_so(watts, expected):
    """(1700 + 1375) / 230 = 13.4 A are above 12.8; (2400 + 1375) / 230 = 16.4 above 16."""
    assert against(reasons(world(press(watts=watts), compressor()))) == expected


def test_reasons_when_a_second_circuit_is_there_spread_over_both():
    """What is too much for one is not for two; what must be on one stays there."""
    things = [press(watts=2400.0), compressor()]
    assert against(reasons(world(*things))) == ["ready.power_circuit_over"]
    assert against(reasons(world(*things, circuits=TWO))) == []
    tied = [press(watts=2400.0, circuit="oven"), compressor(circuit="oven")]
    assert against(reasons(world(*tied, circuits=TWO))) == ["ready.power_circuit_over"]


def test_reasons_when_the_venue_is_not_known_cannot_say():
    """With its circuits it can."""
    notes = reasons(world(press(), compressor(), circuits=None))
    assert against(notes) == ["ready.power_venue"]
    assert of(notes, "ready.power_venue").cures[0].page == "builds-change"


@pytest.mark.parametrize(
    ("card", "expected"),
    [
        ({"watts": 4000.0, "start_watts": 6000.0}, []),
        # a start adds 3000 - 1100 W to the 2600 W that run: 4500 W
        ({"watts": 4000.0, "start_watts": 4400.0}, ["ready.power_start_over"]),
        ({"watts": 2500.0, "start_watts": 6000.0}, ["ready.power_generator_over"]),
        ({"watts": None, "start_watts": 6000.0}, ["ready.power_generator_unknown"]),
        ({"watts": 4000.0, "start_watts": None}, ["ready.power_generator_start_unknown"]),
    ],
)
def test_reasons_when_there_is_only_a_generator_judge_it(card, expected):
    """Without any power at the venue the generator that comes along carries all."""
    given = world(press(), compressor(), piece("generator", "generator", **card), circuits=())
    assert against(reasons(given)) == expected


def test_reasons_when_there_is_no_power_and_no_generator_stop_and_say_where_it_is():
    """The one in the barn is one click from the list."""
    there = piece("generator", "generator", at_home(), watts=4000.0, start_watts=6000.0)
    note = of(reasons(world(press(), compressor(), there, circuits=())), "ready.power_none")
    assert note.level is Level.STOP
    assert note.cures[0].values["things"] == "E-generator"
    assert "the barn" in str(note.cures[0].sentence)


def test_reasons_when_a_plate_is_not_read_cannot_say():
    """The cure leads to the card that wants it."""
    note = of(reasons(world(press(watts=None), compressor())), "ready.power_plate_unknown")
    assert note.level is Level.UNKNOWN
    assert note.cures[0].about == ("E-Press 1",)


def test_reasons_when_blankets_heat_the_press_count_those():
    """A press without watts of its own is heated by its blankets."""
    blanket = piece("blanket", "blanket", watts=1400.0)
    notes = reasons(world(press(watts=None), blanket, compressor()))
    assert of(notes, "ready.power_together").sentence.values["watts"] == 2500


def test_reasons_when_only_hand_tools_come_along_count_the_strongest():
    """One is used at a time."""
    tools = [piece("router", "router", watts=1200.0), piece("sander", "sander", watts=300.0)]
    notes = reasons(world(*tools, spares=[]))
    assert of(notes, "ready.power_together").sentence.values["watts"] == 1200


def test_reasons_when_nothing_takes_power_say_nothing():
    """A workshop by hand needs no venue's power."""
    assert reasons(world(spares=[], circuits=None)) == []


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, []),
        ({"air_l_min": 9.0}, ["ready.power_air_near"]),
        ({"air_l_min": 4.0}, ["ready.power_air_over"]),
        ({"air_kpa": 200.0}, ["ready.power_pressure_short"]),
        ({"air_l_min": None}, ["ready.power_compressor_unknown"]),
    ],
)
def test_reasons_of_air_weigh_the_presses_against_the_compressor(changes, expected):
    """5 l/min at 300 kPa are needed; half the delivery counts for a piston compressor that rests."""
    assert against(reasons(world(press(), compressor(**changes)))) == expected


def test_reasons_when_no_compressor_comes_along_stop():
    """One on hold is none."""
    held = piece("compressor", "compressor", held=True, watts=1100.0, air_l_min=120.0, air_kpa=600.0)
    assert against(reasons(world(press(), held))) == ["ready.air_none"]
    assert against(reasons(world(press(), compressor()))) == []


def test_reasons_when_a_press_says_nothing_of_its_air_cannot_say():
    """Nobody read what its bladder takes."""
    notes = reasons(world(press(air_l_min=None), compressor()))
    assert against(notes) == ["ready.power_air_unknown"]
    assert of(notes, "ready.power_air_unknown").cures[0].about == ("E-Press 1",)


@pytest.mark.parametrize("sort", ["bladder", "hose", "controller", "cable"])
def test_reasons_when_a_spare_stays_at_home_offer_to_list_it(sort):
    """Aboard nothing is said; at home one click lists it; where there is none it is only looked at."""
    others = [each for each in SPARES if each.sort != sort]
    code = f"ready.spare_{sort}"
    home = piece(f"the {sort}", sort, at_home(), watts=0.0)
    note = of(reasons(world(press(), compressor(), spares=[*others, home])), code)
    assert note.level is Level.STOP
    assert note.cures[0].page == "trips-put-on"
    assert note.cures[0].values["zone"] == str(zone("zone 1")[0].id)
    none = of(reasons(world(press(), compressor(), spares=others)), code)
    assert none.level is Level.LOOK


def test_reasons_when_a_spare_is_listed_put_it_near_the_axle():
    """Of two zones the one nearer to the axle, at 3 m."""
    wren = trailer(zones=[zone("zone 1", 1500), zone("zone 2", 2900)])
    home = piece("cable", "cable", at_home())
    given = world(press(), compressor(), spares=[*SPARES[:3], home], trailers=[wren])
    cure = of(reasons(given), "ready.spare_cable").cures[0]
    assert cure.values["zone"] == str(zone("zone 2")[0].id)


def test_reasons_of_two_venues_alike_say_air_once():
    """Air is the trailer's own, whatever the venue."""
    two = [workshop(pair("P1")), workshop(pair("P2"))]
    notes = reasons(facts(workshops=two, equipment=[press(air_l_min=None), compressor(), *SPARES]))
    assert against(notes) == ["ready.power_air_unknown"]
