"""Each guest's own parts: sheet, cores, tags, moulds, gear, papers; each lack beside what puts it right."""

from dataclasses import replace
from datetime import timedelta

import pytest

from inventory.actions import artwork, build_steps, builds, equipment, layups, loading, places, stock
from inventory.compute.artwork import Stage
from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.compute.units import Base
from inventory.models import Guest, Hold, Listed, Seat
from inventory.queries import things
from inventory.queries.notes import Note
from inventory.queries.readiness.parts import reasons
from inventory.queries.readiness.reader import read
from tests import away
from tests.make import Shop, grams, pieces
from tests.queries import rooms

pytestmark = pytest.mark.django_db
CORE = [{"material": "blank", "kind": "piece", "plies": 1, "extent": "whole ski"}]


@pytest.fixture
def ready(shop: Shop) -> Shop:
    """A trip with one booked pair of 1720 mm."""
    away.plan(shop)
    pair, *skis = shop.pair(length_mm=1720, workshop=shop.names["workshop"])
    shop.names |= {"pair": pair, "left": skis[0], "right": skis[1]}
    return shop


def notes(shop: Shop, code: str) -> list[Note]:
    found = reasons(read(away.trip(shop), shop.at.date()))
    return [note for note in found if note.code == code and note.level is not Level.FINE]


def make(shop: Shop, name: str, kind: Kind = Kind.EQUIPMENT, place: str = "store", **facts):
    return shop.do(equipment.make_equipment, kind=kind, name=name, place=shop.names[place], facts=facts).thing


def test_sheet_when_printed_here_and_checked_is_no_reason_before_it_is(ready):
    """Each stage has its sentence; the button says what the artwork's page takes."""
    ready.do(artwork.plan_artwork, pair=ready.names["pair"], printer_days=14, bleed_mm=5)
    said = []
    for stage in Stage:
        (note,) = notes(ready, "ready.sheet")
        said.append(str(note.sentence))
        ready.do(artwork.mark_artwork, pair=ready.names["pair"], stage=stage, on=ready.at.date())
        if stage is Stage.PRINTER:
            cure = notes(ready, "ready.sheet")[0].cures[0]
            assert cure.values == {"stage": "printed and here", "on": ready.at.date().isoformat()}
    assert notes(ready, "ready.sheet") == []
    assert "not at the printer yet" in said[0]
    assert "has been at the printer since" in said[4]
    assert "not checked yet" in said[5]


def test_sheets_that_are_here_and_in_no_package_are_to_be_received(ready):
    """Two for a pair whose sheet is here; one received leaves one, both leave nothing to say."""
    ready.material("top", Base.PIECE)
    card = ready.do(layups.make_layup, name="Top", layers=[CORE[0] | {"material": "top"}]).thing
    widths = {"tip_mm": 130.0, "waist_mm": 98.0, "tail_mm": 117.0, "layup_id": card}
    ready.do(builds.specify, pair=ready.names["pair"], changes=widths)
    ready.do(artwork.plan_artwork, pair=ready.names["pair"], printer_days=14, bleed_mm=5)
    for stage in Stage:
        assert notes(ready, "ready.sheet_unbooked") == []
        ready.do(artwork.mark_artwork, pair=ready.names["pair"], stage=stage, on=ready.at.date())
        if stage is Stage.HERE:
            break
    (note,) = notes(ready, "ready.sheet_unbooked")
    assert (str(note.sentence), note.level) == ("Top: 2 that are here are in no package yet.", Level.LOOK)
    assert note.cures[0].page == "stock-receive"
    ready.package("top", pieces(1), number="T-1")
    (note,) = notes(ready, "ready.sheet_unbooked")
    assert str(note.sentence) == "Top: 1 that is here is in no package yet."
    ready.package("top", pieces(1), number="T-2")
    assert notes(ready, "ready.sheet_unbooked") == []


def test_core_when_both_are_profiled_is_no_reason_and_one_is_not_enough(ready):
    ready.material("blank", Base.PIECE)
    card = ready.do(layups.make_layup, name="Core", layers=CORE).thing
    ready.do(builds.specify, pair=ready.names["pair"], changes={"layup_id": card})
    for ski in ("left", "right"):
        assert len(notes(ready, "ready.core")) == 1
        ready.do(build_steps.record_step, step="profiled", things=[ready.names[ski]], doer=ready.owner)
    assert notes(ready, "ready.core") == []


def test_cores_of_two_pairs_are_one_reason_and_of_one_lead_to_its_step(ready):
    ready.material("blank", Base.PIECE)
    card = ready.do(layups.make_layup, name="Core", layers=CORE).thing
    other, *skis = ready.pair("Siv", workshop=ready.names["workshop"])
    for pair in (ready.names["pair"], other):
        ready.do(builds.specify, pair=pair, changes={"layup_id": card})
    (note,) = notes(ready, "ready.core")
    assert str(note.sentence) == "The cores of 2 pairs are not profiled yet."
    codes = things.codes_of([ready.names["pair"], other])
    assert {code.replace("-", "") for code in note.codes} == set(codes)
    ready.do(build_steps.record_step, step="profiled", things=skis, doer=ready.owner)
    (note,) = notes(ready, "ready.core")
    assert (note.cures[0].page, note.codes) == ("builds-step", ())


def test_tags_when_every_ski_has_a_code_are_told_and_are_no_reason(ready):
    """Whether they were printed no book says."""
    assert notes(ready, "ready.tag") == []
    found = reasons(read(away.trip(ready), ready.at.date()))
    assert [str(note.sentence) for note in found if note.code == "ready.tag"] == [
        "The tags of 2 skis are laid in with them: take them along."
    ]


def test_mould_when_it_is_in_the_barn_is_offered_and_on_the_list_it_comes_along(ready):
    """One length off is another mould."""
    make(ready, "178 mould", Kind.MOULD, "zone", lengths_mm=[1780])
    mould = make(ready, "172 mould", Kind.MOULD, lengths_mm=[1720])
    (note,) = notes(ready, "ready.mould")
    (cure,) = note.cures
    assert "172 mould" in str(cure.sentence)
    assert cure.values["zone"] == str(ready.names["zone"])
    ready.do(loading.put_on_list, trip=ready.names["trip"], things=[mould])
    assert notes(ready, "ready.mould") == []


def test_mould_when_no_length_is_said_is_unknown_and_when_held_is_none(ready):
    mould = make(ready, "172 mould", Kind.MOULD, "zone")
    assert notes(ready, "ready.mould")[0].level is Level.UNKNOWN
    ready.do(equipment.edit_equipment, equipment=mould, changes={"lengths_mm": [1720]})
    assert notes(ready, "ready.mould") == []
    ready.do(stock.hold, things=[mould], reason="cracked")
    (note,) = notes(ready, "ready.mould")
    assert "is on hold" in str(note.why)


def test_mould_when_two_laptops_listed_it_for_trips_of_the_same_days_is_said(ready):
    """As after a merge: both lines are there."""
    mould = make(ready, "172 mould", Kind.MOULD, lengths_mm=[1720])
    ready.do(loading.put_on_list, trip=ready.names["trip"], things=[mould])
    other = ready.place(Kind.TRAILER, "Dunlin", ready.names["yard"])
    workshop = ready.do(
        builds.plan_workshop,
        name="Mid hut",
        starts_on=ready.at.date() + timedelta(4),
        ends_on=ready.at.date() + timedelta(4),
    ).thing
    trip = away.another(ready, 4, 5, other, [workshop], "Mid hut")
    assert notes(ready, "ready.twice") == []
    Listed.objects.create(id=loading.line_id(trip, mould), trip_id=trip, thing_id=mould)
    (note,) = notes(ready, "ready.twice")
    assert "Mid hut" in str(note.sentence)


def test_template_and_scale_when_the_shop_has_them_must_come(ready):
    """A shop without templates needs none."""
    assert notes(ready, "ready.template") == []
    assert notes(ready, "ready.scale")[0].level is Level.LOOK
    for name, sort, code in (
        ("172 template", "template", "ready.template"),
        ("Scale", "scale", "ready.scale"),
    ):
        thing = make(ready, name, sort=sort, lengths_mm=[1720])
        assert notes(ready, code)[0].level is Level.STOP
        assert notes(ready, code)[0].cures
        ready.do(places.move, things=[thing], to=ready.names["zone"])
        assert notes(ready, code) == []
        ready.do(stock.hold, things=[thing], reason="bent")
        (note,) = notes(ready, code)
        assert (note.level, "is on hold" in str(note.why), note.cures) == (Level.STOP, True, ())
        ready.do(stock.lift_hold, hold=Hold.objects.get().event_id, reason="straight")


def test_worn_when_a_size_is_missing_names_it_and_what_has_no_size_fits_all(ready):
    Guest.objects.update(size="S")
    make(ready, "Respirator L", sort="respirator", size="L", place="zone")
    small = make(ready, "Respirator S", sort="respirator", size="S")
    (note,) = notes(ready, "ready.worn")
    assert "size S" in str(note.sentence)
    assert "Respirator S" in str(note.cures[0].sentence)
    ready.do(places.move, things=[small], to=ready.names["zone"])
    assert notes(ready, "ready.worn") == []
    ready.do(places.move, things=[small], to=ready.names["store"])
    make(ready, "Respirator, any", sort="respirator", place="zone")
    assert notes(ready, "ready.worn") == []


MEDIUM = [rooms.piece(f"mask {number}", "respirator", size="M") for number in (1, 2)]


@pytest.mark.parametrize(
    ("guests", "lacks"),
    [
        ([("", "M")], []),
        ([("", "M", "M")], [(2, 3, "")]),
        ([("", "L")], [(0, 1, "L")]),
        ([("M", "M"), ("M", "M")], []),
        ([("M", "M"), ("M", "M", "M")], [(2, 3, "M")]),
    ],
)
def test_worn_counts_those_there_on_one_day_and_gives_who_has_no_size_what_is_left(guests, lacks):
    """Two masks in M. Of two workshops, one after the other, the second wears what the first wore."""
    shops = []
    for number, sizes in enumerate(guests):
        day = rooms.STARTS + timedelta(3 * number)
        given = rooms.workshop(starts_on=day, ends_on=day + timedelta(1))
        shops.append(replace(given, sizes=sizes))
    found = reasons(rooms.facts(workshops=shops, equipment=MEDIUM))
    told = [note.sentence.values for note in found if note.code == "ready.worn"]
    assert [(row["there"], row["people"], row["size"]) for row in told] == lacks


def test_worn_on_days_when_two_workshops_are_on_counts_both():
    one = replace(rooms.workshop(), sizes=("M", "M"))
    last = rooms.workshop(starts_on=rooms.ENDS, ends_on=rooms.ENDS)
    for sizes, lacks in ((("M",), ["ready.worn"]), ((), [])):
        found = reasons(rooms.facts(workshops=[one, replace(last, sizes=sizes)], equipment=MEDIUM))
        assert [note.code for note in found if note.code == "ready.worn"] == lacks


def test_papers_when_resin_comes_along_without_its_sheet_are_a_reason(ready):
    """What stays at home needs none here; a sheet kept with the card is enough."""
    jug = ready.package("resin", grams(5000), place=ready.names["store"])
    assert notes(ready, "ready.sheet_missing") == []
    ready.do(places.move, things=[jug], to=ready.names["zone"])
    (note,) = notes(ready, "ready.sheet_missing")
    assert note.cures[0].page == "papers-attach"


def test_given_back_when_the_sheet_was_printed_says_so_and_counts_nothing_else(ready):
    ready.do(artwork.plan_artwork, pair=ready.names["pair"], printer_days=14, bleed_mm=5)
    for stage in list(Stage)[:4]:
        ready.do(artwork.mark_artwork, pair=ready.names["pair"], stage=stage, on=ready.at.date())
    ready.do(builds.change_seat, seat=Seat.objects.get().id, state="given back")
    (note,) = notes(ready, "ready.given_back")
    assert (note.level, "after its top sheet went to the printer" in str(note.sentence)) == (Level.LOOK, True)
    assert notes(ready, "ready.sheet") == []
    assert notes(ready, "ready.mould") == []
