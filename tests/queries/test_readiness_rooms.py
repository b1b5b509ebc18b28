"""What all rooms of the answer share: nothing there, everything on hold, and whole sentences with codes."""

import pytest

from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.queries.readiness import goods, load, power, press, safety, scale, stowage
from inventory.queries.readiness.facts import OnScale
from tests.queries.rooms import aboard, facts, kg, material, package, pair, piece, trailer, workshop

ROOMS = (goods, load, power, press, safety, scale, stowage)
rooms = pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.__name__.rpartition(".")[2])
RESIN = material("resin", "resin", stored_from_c=15.0)
THINGS = (
    ("Press 1", "", Kind.PRESS),
    ("172 mould", "", Kind.MOULD),
    ("compressor", "compressor", Kind.EQUIPMENT),
    ("generator", "generator", Kind.EQUIPMENT),
    ("extinguisher", "extinguisher", Kind.EQUIPMENT),
    ("suits", "clothing", Kind.EQUIPMENT),
    ("stove", "fuel heater", Kind.EQUIPMENT),
)


BUT_SCALE = set(ROOMS) - {scale}  # what nobody weighed is no reason
SPEAK = {
    "nothing": {load, safety},
    "nothing known": BUT_SCALE,
    "all on hold": BUT_SCALE,
    "in no zone": set(ROOMS),
}


def worlds():
    """Nothing at all; cards that say nothing; everything on hold; things in no zone."""
    booked = workshop(pair("P1"), circuits=None, opens_min=None, closes_min=None, hands=None)
    bare = [piece(name, sort, kind=kind, mass_mg=None) for name, sort, kind in THINGS]
    held = [piece(name, sort, kind=kind, held=True) for name, sort, kind in THINGS]
    loose = [piece(name, sort, aboard(""), kind) for name, sort, kind in THINGS]
    cans = [package(RESIN, kg(5), held=True)]
    unread = trailer(**dict.fromkeys(("gross_mg", "nose_mg", "axle_mm", "empty_mg")))
    unknown = {"crossings": None, "bay_c": None, "heated": None}
    return {
        "nothing": facts(trailers=[]),
        "nothing known": facts(
            trailers=[unread],
            workshops=[booked],
            materials=[RESIN],
            packages=cans,
            equipment=bare,
            trip=unknown,
        ),
        "all on hold": facts(
            workshops=[workshop(pair("P1"))], materials=[RESIN], packages=cans, equipment=held
        ),
        "in no zone": facts(
            workshops=[booked],
            materials=[RESIN],
            packages=cans,
            equipment=loose,
            weighed={trailer().id: OnScale(mass_mg=kg(900))},
        ),
    }


@rooms
@pytest.mark.parametrize("name", ["nothing", "nothing known", "all on hold", "in no zone"])
def test_reasons_of_bad_input_are_whole_sentences_with_codes(room, name):
    """No room breaks or is silent without cause, and every value a sentence asks for is there."""
    found = room.reasons(worlds()[name])
    assert bool(found) == (room in SPEAK[name])
    for note in found:
        assert note.code.startswith("ready.")
        for sentence in (note.sentence, note.why, *(cure.sentence for cure in note.cures)):
            assert sentence is None or str(sentence).strip()
        for cure in note.cures:
            assert not cure.values or (cure.page and cure.button)


def test_rooms_when_everything_is_on_hold_are_never_content():
    """Presses, compressor and extinguisher on hold each stop the trip."""
    found = {
        note.code
        for room in ROOMS
        for note in room.reasons(worlds()["all on hold"])
        if note.level is Level.STOP
    }
    assert {"ready.press_none", "ready.safety_extinguisher"} <= found


def test_rooms_when_nothing_is_known_cannot_say():
    """No card is taken for a number, and no room is silent about what it lacks."""
    levels = {
        room.__name__.rpartition(".")[2]: max(note.level for note in room.reasons(worlds()["nothing known"]))
        for room in ROOMS
        if room in SPEAK["nothing known"]
    }
    assert all(level >= Level.UNKNOWN for level in levels.values()), levels
