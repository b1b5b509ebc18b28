"""The day sheet: what it says, how it gathers, where each sentence leads, and that it stays quick to read."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.actions import artwork, builds, equipment, finishing, materials, press, scans, stock, trips
from inventory.actions import shop as shop_actions
from inventory.compute.codes import Kind
from inventory.compute.fold import Trouble
from inventory.compute.reasons import Level
from inventory.errors import Refused, say
from inventory.models import Disagreement
from inventory.models.cards import CARDS
from inventory.queries import day, off_season, readiness
from inventory.queries import trips as trip_queries
from inventory.queries.notes import worst_first
from inventory.views.day import linked
from tests.make import Shop, grams, pieces, token
from tests.queries import warm

TODAY = date(2026, 11, 30)


def said(notes: object) -> list[str]:
    return [str(note.sentence) for note in notes]


def trip_to(shop: Shop, leaves: int = 3, pairs: int = 0) -> object:
    """A trip in so many days, to a workshop with so many pairs."""
    first = TODAY + timedelta(days=leaves)
    workshop = shop.do(builds.plan_workshop, name="Kvitskard", starts_on=first, ends_on=first).thing
    for _ in range(pairs):
        shop.pair(workshop=workshop)
    trailer = shop.place(Kind.TRAILER, "Stoat")
    return shop.do(
        trips.plan_trip,
        name="Kvitskard",
        leaves_on=first,
        back_on=first,
        trailers=[trailer],
        workshops=[workshop],
    ).thing


def test_day_sheet_when_nothing_is_wrong_says_nothing(shop):
    """A workshop is near, so it is no off-season either; all else is in order."""
    trip_to(shop, leaves=20)
    assert said(day.notes(TODAY)) == []


def test_day_sheet_when_five_jars_pass_one_date_gathers_them_with_their_codes(shop):
    """One sentence with five codes under it; a sixth of another day is a sentence of its own."""
    trip_to(shop, leaves=20)
    glue = shop.material("glue", grams(1).base)
    soon = TODAY + timedelta(days=4)
    shop.do(stock.receive_lot, material=glue, number="G-1", packages=[grams(50)] * 5, expires_on=soon)
    shop.package("glue", grams(50), "G-2", expires_on=soon + timedelta(days=1))
    five, one = day.notes(TODAY)
    assert str(five.sentence) == f"5 packages of Glue, lot G-1, pass their date on {soon}."
    assert len(set(five.codes)) == 5
    assert "passes its date" in str(one.sentence)
    assert one.codes == ()
    assert one.page == "thing"
    assert one.about[0] in str(one.sentence)


@pytest.mark.parametrize(
    ("days", "level", "word"),
    [(-1, Level.STOP, "passed"), (0, Level.LOOK, "passes"), (30, Level.LOOK, "passes")],
)
def test_day_sheet_around_the_last_day_tells_past_from_near(shop, days, level, word):
    """On its last day a package may still be used; the day after it has passed."""
    trip_to(shop, leaves=20)
    shop.package(expires_on=TODAY + timedelta(days=days))
    (note,) = day.notes(TODAY)
    assert (note.level, word in str(note.sentence)) == (level, True)


def test_day_sheet_when_something_is_held_quotes_why(shop):
    """The reason that was typed stands under the sentence."""
    trip_to(shop, leaves=20)
    jug = shop.package()
    shop.do(stock.hold, things=[jug], reason="thick")
    (note,) = day.notes(TODAY)
    assert str(note.sentence).startswith("On hold: package P")
    assert str(note.why) == "“thick”"


def test_day_sheet_when_an_inspection_is_overdue_stops_and_leads_to_the_card(shop):
    """Due on the day is not overdue; the day after it is."""
    trip_to(shop, leaves=20)
    hose = shop.do(equipment.make_equipment, kind=Kind.EQUIPMENT, name="Hose 3").thing
    shop.do(
        equipment.plan_inspection,
        equipment=hose,
        what="look for cracks",
        who="crew",
        every_months=12,
        last_on=date(2025, 11, 30),
    )
    (due,) = day.notes(TODAY)
    assert (due.level, str(due.sentence)) == (
        Level.LOOK,
        "“look for cracks” of Hose 3 is due by 2026-11-30.",
    )
    (overdue, _) = day.notes(TODAY + timedelta(days=1))  # and that nothing is backed up yet
    assert (overdue.level, overdue.page) == (Level.STOP, "equipment-card")
    assert str(overdue.sentence) == "“look for cracks” of Hose 3 was due by 2026-11-30."


@pytest.mark.parametrize(
    ("days", "level", "words"),
    [(23, None, ""), (22, Level.LOOK, "within a week"), (15, Level.LOOK, "a week"), (14, Level.STOP, "late")],
)
def test_day_sheet_counts_artwork_back_from_the_workshop_by_the_printers_days(shop, days, level, words):
    """Four days at the printer: the guest's artwork is due 3 + 4 + 5 + 3 = 15 days before the first day."""
    trip_to(shop, leaves=20)
    first = TODAY + timedelta(days=days)
    workshop = shop.do(builds.plan_workshop, name="Hestlia", starts_on=first, ends_on=first).thing
    pair, _, _ = shop.pair(workshop=workshop)
    assert [note for note in day.notes(TODAY) if note.page == "builds-workshop"] == []
    shop.do(artwork.plan_artwork, pair=pair, printer_days=4, bleed_mm=5)
    found = [note for note in day.notes(TODAY) if note.page == "builds-workshop"]
    assert [note.level for note in found] == ([level] if level else [])
    assert all(words in str(note.sentence) and note.about == (str(workshop),) for note in found)


def test_day_sheet_when_codes_led_to_nothing_counts_each_text_once_for_a_week(shop):
    """Two texts, one of them twice; eight days later they are forgotten here."""
    trip_to(shop, leaves=28)
    for text in ("9999-0001?", "9999-0001?", "9999-0002?"):
        scans.keep_failed(shop.by(), id=token(), text=text, refused=UNKNOWN)
    (note,) = day.notes(TODAY)
    assert (str(note.sentence)[:24], note.page) == ("2 codes were scanned thi", "scan-failed")
    assert not any("scanned" in sentence for sentence in said(day.notes(TODAY + timedelta(days=8))))


def test_day_sheet_when_two_truths_disagree_leads_to_them(shop):
    """Nothing disagrees on one laptop; an open disagreement is one sentence, a settled one none."""
    trip_to(shop, leaves=20)
    row = Disagreement.objects.create(id=token(), trouble=Trouble.SHORT, subject=shop.package())
    (note,) = day.notes(TODAY)
    assert (str(note.sentence), note.page) == ("Two truths disagree: settle them.", "books-disagreements")
    Disagreement.objects.filter(id=row.id).update(settled_by=token())
    assert said(day.notes(TODAY)) == []


def test_day_sheet_worries_when_no_good_backup_is_kept_after_a_day_or_a_week(shop):
    """Never: from the second day on. Old: more than a week, and something was written since."""
    trip_to(shop, leaves=28)
    tomorrow, in_a_week = TODAY + timedelta(days=1), TODAY + timedelta(days=9)
    assert said(day.notes(TODAY)) == []
    assert said(day.notes(tomorrow)) == ["These books were never backed up: a lost laptop loses them."]
    shop_actions.note_backup(at=shop.at + timedelta(days=1))
    assert said(day.notes(tomorrow)) == said(day.notes(in_a_week)) == []
    shop.at += timedelta(days=2)
    shop.package()
    (worry,) = day.notes(in_a_week)
    assert str(worry.sentence).startswith("The last good backup is of ")
    assert said(day.notes(TODAY + timedelta(days=7))) == []


def test_day_sheet_of_a_demo_asks_for_no_backup(shop):
    """It is made anew each day."""
    trip_to(shop, leaves=28)
    CARDS["shop"].objects.update(demo=True)
    assert said(day.notes(TODAY + timedelta(days=3))) == []


def test_day_sheet_marks_what_waits_for_a_hand_as_to_do_and_nothing_as_fine(shop):
    """A fine mark beside what is still to do would be wrong."""
    shop.pair()
    notes = day.notes(TODAY)
    assert notes
    assert [note for note in notes if note.level is Level.FINE and not note.todo] == []


def test_day_sheet_when_one_or_several_pairs_wait_says_a_whole_sentence_for_each(shop):
    """Pairs of a workshop to come wait for nothing yet."""
    trip_to(shop, leaves=20, pairs=2)
    assert said(day.notes(TODAY)) == []
    shop.pair()
    assert said(day.notes(TODAY)) == ["1 pair waits to be laid up."]
    shop.pair()
    assert said(day.notes(TODAY)) == ["2 pairs wait to be laid up."]


def test_day_sheet_tells_pairs_that_failed_a_verdict_from_those_that_wait_for_a_step(shop):
    """A person decides; once a ski is rejected there is nothing to decide."""
    trip_to(shop, leaves=20, pairs=2)
    _, left, _ = shop.pair()
    shop.do(finishing.inspect_ski, ski=left, outcome="pass", why="straight")
    assert said(day.notes(TODAY)) == ["1 pair waits to be laid up."]
    shop.do(finishing.inspect_ski, ski=left, outcome="rework", why="the edge is proud")
    assert said(day.notes(TODAY)) == ["1 pair did not pass a verdict and waits for a decision."]
    shop.do(finishing.inspect_ski, ski=left, outcome="reject", why="it is cracked")
    assert "waits for a decision" not in " ".join(said(day.notes(TODAY)))


def test_day_sheet_when_a_workshop_near_has_no_trip_asks_for_one(shop):
    """The same workshop with a trip is not asked about."""
    first = TODAY + timedelta(days=5)
    workshop = shop.do(builds.plan_workshop, name="Hestlia", starts_on=first, ends_on=first).thing
    (note,) = day.notes(TODAY)
    assert (note.page, note.find) == ("trips-plan", {"workshop": str(workshop)})
    trailer = shop.place(Kind.TRAILER, "Stoat")
    shop.do(
        trips.plan_trip,
        name="Hestlia",
        leaves_on=first,
        back_on=first,
        trailers=[trailer],
        workshops=[workshop],
    )
    assert not any("No trip" in sentence for sentence in said(day.notes(TODAY)))


@pytest.mark.parametrize(
    ("days", "told"),
    [(61, ["No workshop is near: the off-season list says what to do meanwhile."]), (60, [])],
)
def test_day_sheet_when_no_workshop_is_near_offers_the_off_season_list(shop, days, told):
    """Within sixty days of one it does not."""
    shop.package()
    trip_to(shop, leaves=days)
    assert said(day.notes(TODAY)) == told


def test_day_sheet_when_the_shop_is_new_says_what_to_do_first_until_a_workshop_is_planned(shop):
    """Each sentence goes once it is done; after the delivery, the phones and the first workshop are left."""
    phones = "/shop/phones/"
    first = [note.url for note in linked(day.notes(TODAY))]
    assert first == ["/places/make/?kind=yard", "/catalogue/", "/stock/receive/", phones]
    shop.place(Kind.YARD, "Yard")
    assert [note.url for note in linked(day.notes(TODAY))] == ["/catalogue/", "/stock/receive/", phones]
    shop.package()
    assert [note.url for note in linked(day.notes(TODAY))] == [phones, "/builds/plan/"]
    trip_to(shop, leaves=60)
    assert phones not in [note.url for note in linked(day.notes(TODAY))]


def test_off_season_list_when_a_jug_must_not_freeze_counts_it(shop):
    """And a material that does not say so is not counted."""
    assert "no material's card asks for it" in said(off_season.jobs(TODAY))[0]
    shop.package()
    assert "no material's card asks for it" in said(off_season.jobs(TODAY))[0]
    shop.do(materials.edit_material, material=shop.names["resin"], changes={"stored_from_c": 5.0})
    assert said(off_season.jobs(TODAY))[0] == "Move what must not freeze to a warm store: 1 package."


IN_MARCH = date(2027, 3, 1)
UNKNOWN = Refused("codes.unknown", say("Nothing here."), say("Read it again."))


def fill(shop: Shop, times: int, number: str) -> None:
    """More of everything that the day sheet speaks of."""
    for turn in range(times):
        name = f"{number}-{turn}"
        shop.package("resin", grams(500), name, expires_on=TODAY - timedelta(days=turn + 1))
        old = warm.stood(shop, name, warm.hot(shop))
        shop.do(stock.split_package, package=old, amount=grams(100))
        blank = shop.package("blank", pieces(3), name)
        shop.do(stock.hold, things=[shop.package("glue", grams(50), name)], reason=name)
        workshop = shop.do(builds.plan_workshop, name=name, starts_on=IN_MARCH, ends_on=IN_MARCH).thing
        printed, _, _ = shop.pair(workshop=workshop)
        shop.do(artwork.plan_artwork, pair=printed, printer_days=120, bleed_mm=5)
        scans.keep_failed(shop.by(), id=token(), text=f"{name}?", refused=UNKNOWN)
        _, left, _ = shop.pair()
        shop.do(press.lay_up, ski=left, inputs=[(blank, pieces(1))])
        tool = shop.do(equipment.make_equipment, kind=Kind.EQUIPMENT, name=name).thing
        shop.do(equipment.plan_inspection, equipment=tool, what=name, who="", every_months=12, last_on=None)


def test_day_sheet_with_ten_of_each_reads_as_often_as_with_one(shop):
    """The number of statements does not grow with what there is."""
    trip_to(shop, pairs=1)
    fill(shop, 1, "A")
    with CaptureQueriesContext(connection) as few:
        one = day.notes(TODAY)
    fill(shop, 9, "B")
    with CaptureQueriesContext(connection) as many:
        ten = day.notes(TODAY)
    assert len(ten) > len(one) + 9
    assert len(many) == len(few)


def test_notes_all_lead_to_pages_that_exist_and_the_worst_comes_first(shop):
    """Every address can be made, and every sentence leads somewhere."""
    trip_to(shop, pairs=1)
    fill(shop, 2, "A")
    notes = linked([*day.notes(TODAY), *off_season.jobs(TODAY)])
    assert [note.sentence for note in notes if not note.url and note.why is None] == []
    sheet = day.notes(TODAY)
    assert sheet == worst_first(sheet)
    assert reverse("trips") in str([note.url for note in notes])


def test_day_sheet_says_first_whether_the_next_trip_can_leave(shop):
    """With how many reasons; the trip's own page has them."""
    trip = trip_to(shop, pairs=1)
    first = day.notes(TODAY)[0]
    found = answer(shop, trip)
    assert found.level is Level.STOP
    assert f"Not ready: {found.against} reasons." in str(first.sentence)
    assert (first.page, first.about) == ("trips-trip", (str(trip),))


def answer(shop, trip):
    return readiness.answer(trip_queries.trip(trip), TODAY)
