"""The dossier of a thing: both directions, exposures, corrections, holds, place."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import books, places, press, stock
from inventory.compute.codes import Kind, make
from inventory.compute.fold import Trouble
from inventory.compute.steps import Role
from inventory.models import Event, Tag
from inventory.queries import dossier as query
from inventory.queries.stock import package
from tests import make as room
from tests.make import grams, pieces, refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def built(shop):
    """One pair, laid up from one batch and two blanks, pressed in one cycle and judged."""
    supplier = shop.do(_supplier, name="Ulvsnipa Harpiks").thing
    resin = shop.package("resin", number="R-1", supplier=supplier, expires_on=room.day("2027-06-01"))
    hardener = shop.package("hardener", number="H-9", expires_on=room.day("2027-06-01"))
    blanks = shop.package("blank", amount=pieces(4), number="K-3")
    pair, left, right = shop.pair()
    batch = shop.mix(resin, hardener)
    blank_of = {}
    for ski in (left, right):
        blank_of[ski] = shop.do(stock.split_package, package=blanks, amount=pieces(1)).thing
        shop.do(press.lay_up, ski=ski, inputs=[(blank_of[ski], pieces(1)), (batch, grams(150))])
    machine = shop.do(press.put_equipment_into_use, kind=Kind.PRESS, name="Press 1").thing
    mould = shop.do(press.put_equipment_into_use, kind=Kind.MOULD, name="184 mould").thing
    cycle = shop.do(
        press.record_cycle, press=machine, skis=[left, right], mould=mould, set_kpa=300, set_c=80, minutes=25
    ).thing
    shop.do(press.judge, cycle=cycle, passed=True, why="reached 80 degrees for 20 min")
    shop.built = {
        "resin": resin,
        "hardener": hardener,
        "blanks": blanks,
        "blank": blank_of[left],
        "pair": pair,
        "left": left,
        "right": right,
        "batch": batch,
        "press": machine,
        "mould": mould,
        "cycle": cycle,
    }
    return shop


def _supplier(by, **values):
    from inventory.actions import materials

    return materials.make_supplier(by, **values)


def test_dossier_of_a_ski_goes_back_to_the_printed_numbers_of_its_lots(built):
    """Ski, batch, jug, lot: amounts on the way, the maker's number and the supplier at the end."""
    b = built.built
    found = query.dossier(b["left"])
    numbers = {link.label.number for link in found.made_of if link.label and link.of.kind is Kind.LOT}
    assert numbers == {"R-1", "H-9", "K-3"}
    lot = next(link for link in found.made_of if link.label and link.label.number == "R-1")
    assert lot.label.supplier == "Ulvsnipa Harpiks"
    steps = {(link.made.id, link.of.id): (link.amount, link.level) for link in found.made_of}
    assert steps[b["left"], b["batch"]] == (grams(150), 1)
    assert steps[b["batch"], b["hardener"]] == (grams(90), 2)
    assert [link.level for link in found.made_of] == sorted(link.level for link in found.made_of)
    assert found.whole.id == b["pair"]


def test_dossier_of_a_ski_names_cycle_press_and_mould_in_one_hop(built):
    """The press cycle with its set points, and the verdict with its reason, in order."""
    b = built.built
    pressed, judged = query.dossier(b["left"]).exposures
    assert [by.id for by in pressed.by] == [b["cycle"], b["press"], b["mould"]]
    assert [by.name for by in pressed.by] == ["", "Press 1", "184 mould"]
    assert pressed.facts["set_c"] == 80
    assert (judged.step, judged.facts["passed"], judged.note) == (
        "judged",
        True,
        "reached 80 degrees for 20 min",
    )


def test_dossier_of_a_lot_goes_forward_to_every_ski_with_its_pair(built):
    """From the hardener's lot to its jug, the batch and both skis."""
    b = built.built
    found = query.dossier(package(b["hardener"]).lot_id)
    assert [link.made.id for link in found.went_into[:2]] == [b["hardener"], b["batch"]]
    skis = [link for link in found.went_into if link.made.kind is Kind.SKI]
    assert {link.made.id for link in skis} == {b["left"], b["right"]}
    assert {link.pair.id for link in skis} == {b["pair"]}
    assert found.made_of == ()
    assert found.label.number == "H-9"


def test_dossier_of_a_pair_is_that_of_both_its_skis(built):
    """A pair is not made of its skis in the books; its dossier speaks of both."""
    b = built.built
    found = query.dossier(b["pair"])
    assert [part.name for part in found.parts] == ["left", "right"]
    assert {link.made.id for link in found.made_of if link.level == 1} == {b["left"], b["right"]}
    assert {exposure.thing.id for exposure in found.exposures} == {b["left"], b["right"]}


@pytest.mark.parametrize("what", ["cycle", "press", "mould"])
def test_dossier_of_a_cycle_press_or_mould_lists_what_it_was_applied_to(built, what):
    """One hop, the other way: a walk never goes on through a press."""
    b = built.built
    found = query.dossier(b[what])
    assert [ski.id for ski in found.exposed] == [b["left"], b["right"]]
    assert found.made_of == found.went_into == ()


def test_dossier_shows_an_undone_event_and_why_and_a_walk_passes_it_over(built):
    """A batch mixed in error stays readable; the jug no longer went into it."""
    b = built.built
    token = built.do(
        press.record_mix,
        resin=b["resin"],
        hardener=b["hardener"],
        resin_mg=100_000,
        hardener_mg=30_000,
        hardener_per_hundred=30.0,
    )
    built.do(books.undo, token=token.token, reason="wrong cup")
    found = query.dossier(b["resin"])
    undone, *live = found.events
    assert (undone.step, undone.undone.why, undone.undone.who) == ("mixed", "wrong cup", "Ragna Quill")
    assert not undone.counts
    assert all(event.counts for event in live)
    assert token.thing not in {link.made.id for link in found.went_into}
    assert query.dossier(token.thing).born is False


def test_dossier_says_what_is_left_where_and_since_when_open(built):
    """Amount, opening and the place path, innermost first."""
    b = built.built
    trailer = built.place(Kind.TRAILER, "Stoat")
    zone = built.place(Kind.ZONE, "zone 2", inside=trailer)
    bin_ = built.place(Kind.BIN, "B3", inside=zone)
    built.do(places.move, things=[b["resin"]], to=bin_)
    built.do(stock.open_package, package=b["resin"])
    found = query.dossier(b["resin"])
    assert found.place_in_words == "B3, zone 2, Stoat"
    assert found.left == grams(4700)
    assert found.short is None
    assert found.opened_at == built.at
    opened, moved = found.events[:2]
    assert moved.where.name == "B3"
    assert [(part.role, part.to.name) for part in moved.parts] == [(Role.CONTENT, "B3")]
    assert opened.step == "opened"


def test_dossier_when_what_went_into_it_is_on_hold_says_which_and_why(built):
    """A hold on the hardener's lot stops the ski; without it nothing does."""
    b = built.built
    assert query.dossier(b["left"]).holds == ()
    lot = package(b["hardener"]).lot_id
    built.do(stock.hold, things=[lot], reason="cloudy")
    (stop,) = query.dossier(b["left"]).holds
    assert (stop.on.id, stop.reason, stop.who) == (lot, "cloudy", "Ragna Quill")


def test_dossier_when_people_must_settle_something_says_so(laptops):
    """Two laptops drew 80 g each of 100 g: 60 g short, in the jug's dossier."""
    found, shop = laptops("AB")
    with found["A"].in_hand():
        jug = shop.package(amount=grams(100))
    found["B"].merge(found["A"].export(), shop.by())
    for letter in "AB":
        found[letter].do(stock.draw, shop.by(), package=jug, amount=grams(80))
    found["A"].merge(found["B"].export(), shop.by())
    with found["A"].in_hand():
        told = query.dossier(jug)
    (doubt,) = told.doubts
    assert (doubt.trouble, doubt.amount) == (Trouble.SHORT, grams(60))
    assert (told.left, told.short) == (grams(0), grams(60))


def test_dossier_after_hand_over_has_no_place_and_says_when(built):
    """Handed over: with its owner since then."""
    b = built.built
    for ski in (b["left"], b["right"]):
        built.do(press.inspect, ski=ski, passed=True, why="edges sit")
    built.do(press.hand_over, pair=b["pair"])
    found = query.dossier(b["left"])
    assert (found.place, found.handed_over_at) == ((), built.at)


def test_dossier_of_nothing_is_none(shop):
    """No such thing, no dossier."""
    assert query.dossier(room.token()) is None


def test_dossier_leaves_older_events_out_and_says_so(shop):
    """A jug with many draws tells the newest."""
    jug = shop.package()
    for _ in range(3):
        shop.do(stock.draw, package=jug, amount=grams(1))
    assert query.dossier(jug, most_events=4).more_events is False
    short = query.dossier(jug, most_events=3)
    assert short.more_events
    assert [event.step for event in short.events] == ["drawn"] * 3


def test_dossier_when_there_is_more_to_tell_asks_no_more_often(shop):
    """One draw or ten, one jug or ten: the same number of statements."""

    def asked(packages, draws):
        done = shop.do(
            stock.receive_lot,
            material=shop.material("resin", grams(1).base),
            number=f"N-{packages}",
            packages=[grams(50)] * packages,
        )
        for jug in done.things[1:]:
            for _ in range(draws):
                shop.do(stock.draw, package=jug, amount=grams(1))
        with CaptureQueriesContext(
            connection,
        ) as caught:
            query.dossier(done.things[0])
            query.dossier(done.things[1])
        return len(caught)

    assert asked(1, 1) == asked(10, 10)


def test_thing_of_reads_a_code_as_typed(shop):
    """Lower case, with its hyphen, or as a printed address."""
    jug = shop.package()
    code = Tag.objects.get(thing_id=jug).code
    for text in (code, code.lower(), f"{code[:4]}-{code[4:]}", f"HTTP://QFB.EXAMPLE/{code}"):
        assert query.thing_of(text) == jug


def test_thing_of_an_unknown_code_is_refused_and_of_a_known_one_is_not(shop):
    """Nothing carries it; a laptop never met drew it; it is blank: three things, three answers."""
    jug = shop.package()
    code = Tag.objects.get(thing_id=jug).code
    assert query.thing_of(code) == jug
    with refused("tag.unknown", "PA"):
        query.thing_of(make(letter="P", machine="A", seed=b"nothing").text)
    with refused("tag.other_laptop"):
        query.thing_of(make(letter="P", machine="Q", seed=b"nothing").text)
    received = Event.objects.get(step="received").act
    shop.do(books.undo, token=received, reason="wrong lot")
    with refused("tag.blank"):
        query.thing_of(code)
