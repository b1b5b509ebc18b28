"""The load while it is loaded: masses by hand, what is next, what helps by the answer's own word."""

import pytest

from inventory.compute.units import Amount
from inventory.models import Listed
from inventory.queries.dossier.names import Named
from inventory.queries.load_now import helps, masses
from inventory.queries.loading import LoadLine, Stop, Walk
from inventory.queries.readiness import load as answer
from inventory.queries.readiness.facts import Spot
from tests.queries.rooms import (
    LOFT,
    YARD,
    aboard,
    facts,
    id_of,
    kg,
    material,
    package,
    piece,
    trailer,
    zone,
)

NOTHING = Walk((), ())
# A worked trailer: empty 680 kg with 75 kg on the nose, axle at 3 m. Beam statics by hand, row by row:
# 260 kg at 2.55 m put 260 (1 - 2.55 / 3) = 39.0 kg on the nose, 120 kg at 3.30 m take 12.0 kg off it,
# 110 kg at 2.20 m put 29.3 kg on it, 32 kg at 3.90 m take 9.6 kg off it.
ROWS = [
    ("nothing", None, 680.0, 75.0),
    ("press frame", (260.0, 2550), 940.0, 114.0),
    ("tools", (120.0, 3300), 1060.0, 102.0),
    ("moulds", (110.0, 2200), 1170.0, 131.3),
    ("skis", (32.0, 3900), 1202.0, 121.7),
]


def waits(where, bin="", of="Wren"):
    """In the store, and on the list for a zone."""
    chain = (*(id_of(name) for name in (bin,) if name), LOFT, YARD)
    line = Listed(
        id=id_of(f"line {bin}"), thing_id=id_of(bin) if bin else None, zone_id=id_of(f"{of} {where}")
    )
    return Spot(chain, None, False, line, id_of(of), id_of(f"{of} {where}"))


def said(given, name="Wren", walk=NOTHING):
    """Mass and nose weight of a trailer now, in kg."""
    (values,) = [
        each.values
        for each in masses(given, walk)
        if each.values.get("trailer") == name and "gross_most" in each.values
    ]
    return values["gross"].value / 1e6, values["nose"].value / 1e6


def loaded(count, **changes):
    """The worked trailer with the first so many rows aboard, and all others waiting."""
    rows = [(name, *row) for name, row, _, _ in ROWS if row]
    zones = [zone(name, behind) for name, _, behind in rows]
    things = [
        piece(name, spot=aboard(name) if at < count else waits(name), mass_mg=kg(mass))
        for at, (name, mass, _) in enumerate(rows)
    ]
    return facts(trailers=[trailer(zones=zones, **changes)], equipment=things)


@pytest.mark.parametrize("count", range(5), ids=[name for name, *_ in ROWS])
def test_masses_row_by_row_are_those_worked_by_hand(count):
    """Only what is aboard counts: each thing that goes aboard changes both by its row."""
    assert said(loaded(count)) == pytest.approx(ROWS[count][2:], abs=0.05)


def test_masses_of_a_published_trailer_come_to_its_nose_weight():
    """Axle at 100 in, load at 88 in, empty 800 lb with 80 lb on the nose, 2500 lb in all: 284 lb.

    trailer-bodybuilders.com, talk by an engineer of a hire company (read).
    """
    pound, inch = 0.45359237, 25.4
    card = {"empty_mg": kg(800 * pound), "empty_nose_mg": kg(80 * pound), "axle_mm": 100 * inch}
    one = trailer(zones=[zone("zone 1", round(88 * inch, 3))], **card)
    gross, nose = said(facts(trailers=[one], equipment=[piece("load", mass_mg=kg(1700 * pound))]))
    assert gross / pound == pytest.approx(2500, abs=0.2)
    assert nose / pound == pytest.approx(284.0, abs=0.2)


def test_masses_leave_out_what_nobody_weighed_and_say_so():
    """The same without it says nothing of the kind."""
    known = piece("hose", mass_mg=kg(3))
    told = " ".join(
        str(each) for each in masses(facts(equipment=[known, piece("crate", mass_mg=None)]), NOTHING)
    )
    assert "not in it, as their weight or their zone is not known: crate." in told
    assert "not in it" not in " ".join(str(each) for each in masses(facts(equipment=[known]), NOTHING))


def test_masses_of_a_trailer_whose_card_lacks_something_say_that():
    """The axle was not measured."""
    (told,) = masses(facts(trailers=[trailer(axle_mm=None)]), NOTHING)
    assert "its card lacks something" in str(told)


def test_next_goes_where_the_list_says():
    """The first of the walk; where its zone is not chosen, that is said."""

    def line(zone):
        named = Named(id_of("roll rack"), piece("roll rack").kind, "B-1", "roll rack")
        return LoadLine(id_of("x"), named, None, False, "the barn", LOFT, zone, "", "", False, None, 0)

    def told(zone):
        walk = Walk((Stop("the barn", (line(zone),)),), ())
        return str(masses(facts(), walk)[-1])

    assert told("zone 3, Wren") == "Next, roll rack: into zone 3, Wren."
    assert told("") == "Next, roll rack: where it goes is not chosen yet."


RESIN = material("resin", "resin")


def test_what_helps_is_what_the_answer_says():
    """90 kg at 1.3 m are too much on the nose: both name zone 3 in the same words, and nothing in zone 3."""
    zones = [zone("zone 1", 1300), zone("zone 3", 2800), zone("zone 4", 3900)]
    one = trailer(zones=zones, nose_mg=kg(100), empty_nose_mg=kg(60))

    def given(where):
        box = package(RESIN, kg(90), aboard(where, bin="resin box"))
        return facts(trailers=[one], bins=["resin box"], materials=[RESIN], packages=[box])

    (over,) = [note for note in answer.reasons(given("zone 1")) if note.code == "ready.load_over"]
    (told,) = helps(given("zone 1"))
    assert (told.sentence, told.why, told.cures) == (over.sentence, over.why, over.cures)
    assert "zone 3" in str(told.why)
    assert helps(given("zone 3")) == []


def test_what_helps_is_sought_first_among_what_still_waits():
    """Two boxes alike, one aboard: the other is named, as it has to be carried anyway."""
    zones = [zone("zone 1", 1300), zone("zone 3", 3200)]
    one = trailer(zones=zones, nose_mg=kg(100), empty_nose_mg=kg(60))
    first = package(RESIN, kg(45), aboard("zone 1", bin="a box"), code="P-1")
    second = package(RESIN, kg(46), waits("zone 1", bin="b box"), code="P-2")
    given = facts(trailers=[one], bins=["a box", "b box"], materials=[RESIN], packages=[first, second])
    assert "b box" in str(helps(given)[0].why)


def test_masses_of_a_trailer_with_nothing_in_it_are_told_all_the_same():
    """With what was entered of it alone."""
    assert isinstance(masses(facts(), NOTHING)[0].values["gross"], Amount)
