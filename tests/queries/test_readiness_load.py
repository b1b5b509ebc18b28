"""The load of trailers through the room of the answer: published statics, plates, what is not known."""

import pytest

from inventory.compute.reasons import Level
from inventory.compute.units import Amount, Base
from inventory.queries.readiness.facts import OnScale
from inventory.queries.readiness.load import reasons
from inventory.queries.readiness.masses import MASS_SHARE
from tests.queries.rooms import (
    aboard,
    against,
    at_home,
    car,
    facts,
    kg,
    material,
    of,
    package,
    piece,
    trailer,
    zone,
)

# A worked workshop trailer, kg at m behind the coupling, axle at 3 m, empty 680 kg with 75 kg on the nose:
# beam statics by hand, G = 1463 kg, nose 173.93 kg, axle 1289.07 kg (computed by hand, no source).
WORKED = {
    "press frame": (260.0, 2550),
    "moulds": (110.0, 2200),
    "compressor": (45.0, 3600),
    "cores and base": (70.0, 1500),
    "glass and edges": (40.0, 1300),
    "resin": (80.0, 2900),
    "hardener": (26.0, 2900),
    "tools": (120.0, 3300),
    "skis": (32.0, 3900),
}


def worked(**changes):
    """The worked load, each thing in a zone of its own."""
    zones = [zone(name, behind) for name, (_, behind) in WORKED.items()]
    things = [piece(name, spot=aboard(name), mass_mg=kg(mass)) for name, (mass, _) in WORKED.items()]
    return facts(trailers=[trailer(zones=zones, **changes)], equipment=things)


def said(notes, quantity):
    """The values of the sentence about one quantity."""
    (values,) = [note.sentence.values for note in notes if note.sentence.values.get("quantity") == quantity]
    return {name: value.value / 1e6 if isinstance(value, Amount) else value for name, value in values.items()}


def test_reasons_of_the_worked_trailer_come_to_its_statics():
    """Everything below its plates, each with its sum unfolded."""
    notes = reasons(worked())
    assert against(notes) == []
    assert said(notes, "trailer's mass")["kg"] == pytest.approx(1463.0)
    assert said(notes, "nose weight")["kg"] == pytest.approx(173.9)
    assert said(notes, "trailer's axle load")["kg"] == pytest.approx(1289.1)
    # the rear axle by its lever: 1050 + 173.93 x (1 + 1.12 / 2.80)
    assert said(notes, "tow car's rear axle load")["kg"] == pytest.approx(1293.5)
    assert all(note.how and note.how.inputs for note in notes)
    assert all("weigh it" in str(note.why) for note in notes)


def test_reasons_of_a_published_trailer_come_to_its_nose_weight():
    """ETL 100 in, load at 88 in, empty 800 lb with 80 lb on the nose, 2500 lb in all: 284 lb.

    trailer-bodybuilders.com, talk by an engineer of a hire company (read).
    """
    pound, inch = 0.45359237, 25.4
    notes = reasons(
        facts(
            trailers=[
                trailer(
                    zones=[zone("zone 1", round(88 * inch, 3))],
                    empty_mg=kg(800 * pound),
                    empty_nose_mg=kg(80 * pound),
                    axle_mm=100 * inch,
                )
            ],
            equipment=[piece("load", mass_mg=kg(1700 * pound))],
        )
    )
    assert said(notes, "nose weight")["kg"] / pound == pytest.approx(284.0, abs=0.2)


@pytest.mark.parametrize(
    ("plate", "code", "level"),
    [
        # 173.9 kg, give or take what 3 % of each mass does to the nose
        (300, "ready.load_below", Level.FINE),
        (176, "ready.load_weigh", Level.UNKNOWN),
        (120, "ready.load_over", Level.STOP),
        (None, "ready.load_no_plate", Level.UNKNOWN),
    ],
)
def test_reasons_when_the_coupling_bears_less_says_so(plate, code, level):
    """One fact differs: the plate of the coupling. Not read is never an assumed number."""
    notes = reasons(worked(nose_mg=kg(plate)))
    found = [note for note in notes if note.level or "nose weight" in str(note.sentence)]
    worst = max(found, key=lambda note: note.level)
    assert (worst.code, worst.level) == (code, level)
    if plate is None:
        assert "coupling" in str(worst.sentence)
        assert worst.cures[0].about == ("T-Wren",)


def lifted(**more):
    """A heavy thing in front, too much on the nose until it moves behind the axle."""
    zones = [zone("zone 1", 1300), zone("zone 3", 2800, 300), zone("zone 4", 3900)]
    return facts(
        trailers=[trailer(zones=zones, nose_mg=kg(100), empty_nose_mg=kg(60))],
        bins=["resin box"],
        **more,
    )


RESIN = material("resin", "resin")


def test_reasons_when_a_bin_lies_too_far_ahead_names_the_zone_that_helps():
    """90 kg at 1.3 m put 51 kg on the nose; in zone 3 at 2.8 m 6 kg. One click moves the bin."""
    box = package(RESIN, kg(90), aboard("zone 1", bin="resin box"))
    note = of(reasons(lifted(materials=[RESIN], packages=[box])), "ready.load_over")
    assert note.level is Level.STOP
    assert "zone 3" in str(note.why)
    assert note.why.values["kg"] == Amount(kg(66), Base.MG)
    assert note.cures[0].values == {"things": "B-resin box", "to": "Z-zone 3"}
    behind = package(RESIN, kg(90), aboard("zone 3", bin="resin box"))
    assert against(reasons(lifted(materials=[RESIN], packages=[behind]))) == ["ready.load_containers"]


def test_reasons_when_the_helping_zone_holds_clothing_names_another():
    """Zone 4 helps as much; resin does not go beside clothing, nor does a move there count."""
    box = package(RESIN, kg(90), aboard("zone 1", bin="resin box"))
    suits = piece("dry suits", "clothing", aboard("zone 3"), mass_mg=kg(2))
    note = of(reasons(lifted(materials=[RESIN], packages=[box], equipment=[suits])), "ready.load_over")
    assert "zone 4" in str(note.why)


def test_reasons_when_all_lies_behind_the_axle_says_that_the_nose_lifts():
    """At the axle it does not: 150 kg at 4.2 m take 60 kg off a nose of 40."""
    for behind, expected in ((4200, ["ready.load_nose_lifts"]), (3000, [])):
        world = facts(
            trailers=[trailer(zones=[zone("zone 1", behind)], empty_nose_mg=kg(40))],
            equipment=[piece("lathe", mass_mg=kg(150))],
        )
        notes = [note for note in reasons(world) if note.code != "ready.load_ends"]
        assert against(notes) == expected


def test_reasons_when_one_side_is_heavier_than_its_tyres_names_the_other():
    """500 kg over one wheel; in the middle each carries half."""
    for right, expected in ((700, ["ready.load_over"]), (0, [])):
        zones = [zone("zone 1", 3000, right), zone("zone 2", 3000, -700)]
        world = facts(
            trailers=[trailer(zones=zones, tyres_side_mg=kg(700))],
            equipment=[piece("lathe", mass_mg=kg(500))],
        )
        notes = reasons(world)
        assert against(notes) == expected
        if expected:
            assert "heavier side" in str(of(notes, "ready.load_over").sentence)


def test_reasons_when_the_tow_cars_rear_axle_is_over_says_so():
    """1293.5 kg; its plate says 1200 or 1600."""
    for plate, expected in ((1200, ["ready.load_over"]), (1600, [])):
        base = worked()
        wren = base.trailers[0]
        wren = type(wren)(wren.id, wren.code, wren.name, wren.card, wren.zones, car(rear_axle_mg=kg(plate)))
        world = facts(trailers=[wren], equipment=base.equipment)
        assert against(reasons(world)) == expected


def test_reasons_when_a_mass_is_not_known_names_the_card_that_wants_it():
    """Once it is entered nothing is said."""
    for mass, expected in ((None, ["ready.load_not_weighed"]), (45, [])):
        world = facts(equipment=[piece("compressor", mass_mg=kg(mass)), piece("moulds", mass_mg=kg(90))])
        notes = reasons(world)
        assert against(notes) == expected
    note = of(reasons(facts(equipment=[piece("compressor", mass_mg=None)])), "ready.load_not_weighed")
    assert note.level is Level.UNKNOWN
    assert note.cures[0].page == "equipment-edit"


def test_reasons_when_a_zone_has_no_position_cannot_say():
    """With it, it can."""
    for behind, expected in ((None, ["ready.load_not_known"]), (2000, [])):
        world = facts(trailers=[trailer(zones=[zone("zone 1", behind)])], equipment=[piece("moulds")])
        notes = reasons(world)
        assert against(notes) == expected
    world = facts(trailers=[trailer(zones=[zone("zone 1", None)])], equipment=[piece("moulds")])
    assert "place of zone 1 along" in str(of(reasons(world), "ready.load_not_known").sentence)


def test_reasons_when_a_thing_lies_in_no_zone_cannot_say():
    """In zone 1 it can."""
    for where, expected in (("", ["ready.load_no_zone"]), ("zone 1", [])):
        assert against(reasons(facts(equipment=[piece("moulds", spot=aboard(where))]))) == expected


def test_reasons_when_the_trailers_card_is_empty_names_what_to_measure():
    """The axle's distance, or the rest, is nothing that is guessed."""
    for changes, expected in (({"axle_mm": None, "empty_mg": None}, ["ready.load_card"]), ({}, [])):
        notes = reasons(facts(trailers=[trailer(**changes)], equipment=[piece("moulds")]))
        assert against(notes) == expected
    note = of(reasons(facts(trailers=[trailer(axle_mm=None)])), "ready.load_card")
    assert "coupling to axle" in str(note.sentence)


def test_reasons_when_no_car_draws_it_cannot_say():
    """The trailer's own plates are judged all the same."""
    notes = reasons(facts(trailers=[trailer(towed_by=None)], equipment=[piece("moulds")]))
    assert "ready.load_no_car" in against(notes)
    assert "ready.load_no_car" not in against(reasons(facts(equipment=[piece("moulds")])))


def test_reasons_when_the_cars_plate_is_not_read_lead_to_its_card():
    """The ball's plate stands on the car, the coupling's on the trailer."""
    base = worked()
    wren = base.trailers[0]
    for changes, about in (({"ball_nose_mg": None}, ("C-1",)), ({"train_mg": None}, ("C-1",))):
        towed = type(wren)(wren.id, wren.code, wren.name, wren.card, wren.zones, car(**changes), "C-1")
        note = of(reasons(facts(trailers=[towed], equipment=base.equipment)), "ready.load_no_plate")
        assert [cure.about for cure in note.cures] == [about]


def test_reasons_when_no_trailer_is_named_cannot_say():
    """Nothing is said of a load that has no trailer."""
    assert against(reasons(facts(trailers=[]))) == ["ready.load_no_trailer"]


def test_reasons_leave_out_what_stays_at_home():
    """A thing in the barn and on no list weighs nothing here."""
    notes = reasons(facts(equipment=[piece("lathe", spot=at_home(), mass_mg=kg(5000))]))
    assert against(notes) == []


def test_reasons_count_a_container_with_what_is_in_it():
    """Once weighed empty, or as its material's card says."""
    can = material("solvent", "solvent", "ul", density_kg_m3=800.0, container_mg=kg(2))
    for tare, empty in ((None, 2.0), (kg(3), 3.0)):
        world = facts(materials=[can], packages=[package(can, 5_000_000, tare_mg=tare)])
        assert said(reasons(world), "trailer's mass")["kg"] == pytest.approx(680 + 4 + empty)


def test_reasons_of_containers_and_bins_that_nobody_weighed_say_how_many_unless_the_scale_answers():
    """A jug of a card that says what it weighs empty, or that was weighed, is counted; a coil has none."""
    edge = material("edge", "edge", "mm", linear_g_m=38.0)
    known = material("hardener", "hardener", container_mg=kg(0.4))
    cans = [
        package(RESIN, kg(5), aboard(bin="box"), code="P1"),
        package(RESIN, kg(5), aboard(), code="P2", tare_mg=kg(0.3)),
        package(known, kg(5), aboard(), code="P3"),
        package(edge, 50_000, aboard(), code="P4"),
    ]
    given = {"materials": [RESIN, edge, known], "bins": ["box"]}
    note = of(reasons(facts(**given, packages=cans)), "ready.load_containers")
    assert (note.level, note.codes) == (Level.LOOK, ("P1", "B-box"))
    assert "2 empty containers and bins" in str(note.sentence)
    assert [cure.about for cure in note.cures] == [("resin",)]
    assert against(reasons(facts(**given, packages=cans[1:]))) == []
    on = OnScale(kg(700), kg(80), mass_doubt_mg=kg(5), nose_doubt_mg=kg(2))
    weighed = facts(**given, packages=cans, weighed={trailer().id: on})
    assert "ready.load_containers" not in against(reasons(weighed))


def test_reasons_of_four_hundred_packages_in_a_bin_count_as_one_load():
    """The sum unfolds by bins, and the doubt is that of what was not weighed today."""
    cans = [package(RESIN, kg(1), aboard(bin="box"), code=f"P{n}") for n in range(400)]
    world = facts(materials=[RESIN], packages=cans, bins=["box"])
    notes = reasons(world)
    values = said(notes, "trailer's mass")
    assert values["kg"] == pytest.approx(1080.0)
    assert values["give"] == pytest.approx(400 * MASS_SHARE)
    assert len(notes[0].how.inputs) < 20
