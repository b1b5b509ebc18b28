"""Places on their pages: neighbours of one name, and what lies in a trailer and in none of its zones."""

import html
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import places
from inventory.compute.codes import Kind
from inventory.compute.load import Quantity
from inventory.models import Package, Place, State, Tag, Trip
from inventory.queries import aboard, in_no_zone
from inventory.queries.readiness.masses import carried, loaded
from tests import away, make
from tests.make import grams, refused
from tests.views.test_stock_pages import code, signed_in

pytestmark = pytest.mark.django_db
MOVE = "/places/move/"


@pytest.fixture
def shop(db):
    """A yard, a store, a trailer of two zones."""
    return away.plan(make.Shop())


@pytest.fixture
def crew(shop, client):
    """A browser signed in as crew."""
    return signed_in(client, shop, "crew")


def test_place_of_its_neighbours_name_is_refused_and_of_any_other_fact_it_is_not(shop):
    """The same name in any case and spacing; another name, another kind, another place is taken."""
    names = shop.names
    first = shop.place(Kind.BIN, "Hardener bin", names["zone"])
    tag = Tag.objects.get(thing_id=first).code
    for again in ("Hardener bin", " hardener  BIN "):
        with refused("place.name_taken", "the yard, Wren, zone 1", tag[:4]):
            shop.place(Kind.BIN, again, names["zone"])
    shop.place(Kind.BIN, "Hardener bin 2", names["zone"])
    shop.place(Kind.BIN, "Hardener bin", names["zone 2"])
    shop.place(Kind.STORE, "the other barn", names["yard"])
    shop.place(Kind.TRAILER, "the other barn", names["yard"])
    with refused("place.name_taken", "There is a yard called the yard already"):
        shop.place(Kind.YARD, "The Yard")


def test_place_renamed_as_its_neighbour_is_refused_and_its_own_name_in_capitals_is_not(shop):
    """A card sent again with the name as it was stays, whatever its neighbours are called."""
    names = shop.names
    bins = [shop.place(Kind.BIN, name, names["zone"]) for name in ("Bin a", "Bin b")]
    with refused("place.name_taken", "Bin a"):
        shop.do(places.edit_place, place=bins[1], changes={"name": "bin A"})
    assert Place.objects.get(thing_id=bins[1]).name == "Bin b"
    shop.do(places.edit_place, place=bins[1], changes={"name": "BIN B"})
    Place.objects.filter(thing_id=bins[0]).update(name="BIN B")  # as two laptops apart can do
    shop.do(places.edit_place, place=bins[1], changes={"name": "BIN B", "assumed_c": 12})
    assert Place.objects.get(thing_id=bins[1]).assumed_c == 12


def test_make_page_says_who_is_called_so_elsewhere_and_keeps_what_was_typed_when_refused(crew, shop):
    """Elsewhere it is taken and said; beside its namesake it is refused, with the form as it was."""
    names = shop.names
    shop.place(Kind.BIN, "Hardener bin", names["zone"])
    given = {"kind": "bin", "name": "Hardener bin", "inside": code(names["zone"])}
    answer = crew.post("/places/make/", given)
    assert answer.status_code == 409
    assert 'value="Hardener bin"' in answer.content.decode()
    answer = crew.post("/places/make/", given | {"inside": code(names["zone 2"])}, follow=True)
    assert "Called so elsewhere too:" in answer.content.decode()
    assert "(the yard, Wren, zone 1)" in answer.content.decode()
    answer = crew.post("/places/make/", given | {"name": "Glue bin"}, follow=True)
    assert "Called so elsewhere" not in answer.content.decode()


def test_move_into_a_trailer_and_no_zone_says_so_and_one_tap_puts_it_right(crew, shop):
    """The receipt says what can be said of its load; the zone's button moves it and leads back."""
    names = shop.names
    jug = shop.package(place=names["store"])
    page = crew.post(MOVE, {"things": code(jug), "to": "Wren"}, follow=True).content.decode()
    assert "Moved to the yard, Wren." in page
    assert "Resin is in Wren, in no zone." in page
    assert "counts in the mass of Wren" in page
    form = re.search(rf'<form method="post" action="{MOVE}">.*?</form>', page, re.DOTALL)[0]
    taps = dict(re.findall(r'name="to" value="(\w{4}-\w{4})">([^<]+)', form))
    assert list(taps.values()) == ["Put into zone 1", "Put into zone 2"]
    sent = dict(re.findall(r'type="hidden" name="(things|next)" value="([^"]*)"', form))
    answer = crew.post(MOVE, sent | {"to": list(taps)[1]}, follow=True)
    assert State.objects.get(thing_id=jug).place_id == names["zone 2"]
    assert "in no zone" not in answer.content.decode()


def test_move_into_a_zone_or_a_trailer_without_zones_says_nothing_of_zones(crew, shop):
    """One fact differs each time; and a bin is said as its own things are."""
    names = shop.names
    bare = shop.place(Kind.TRAILER, "Stoat", names["yard"])
    jug, bin_ = shop.package(), shop.place(Kind.BIN, "Bin 7")
    for to, said in ((names["zone"], False), (bare, False), (names["trailer"], True)):
        page = crew.post(MOVE, {"things": f"{code(jug)} {code(bin_)}", "to": code(to)}, follow=True)
        assert ("2 things are in Wren, in no zone." in page.content.decode()) is said


def test_page_of_a_trailer_shows_what_lies_in_no_zone_until_it_does(crew, shop):
    """A jug that is used up is not asked for."""
    names = shop.names
    jug = shop.package(place=names["trailer"])
    page = f"/places/{code(names['trailer'])}/inside/"
    assert "Resin is in Wren, in no zone." in crew.get(page).content.decode()
    assert "in no zone" not in crew.get(f"/places/{code(names['store'])}/inside/").content.decode()
    shop.do(places.move, things=[jug], to=names["zone"])
    assert "in no zone" not in crew.get(page).content.decode()
    shop.do(places.move, things=[jug], to=names["trailer"])
    shop.do(make.stock.write_off, thing=jug, amount=grams(5000), reason="spilt")
    assert "in no zone" not in crew.get(page).content.decode()


def test_put_away_into_a_trailer_and_no_zone_leads_to_its_zones(crew, shop):
    """What came goes straight aboard; the zones are one tap away, and lead back to putting away."""
    jug = shop.package()
    given = {"things": [str(jug)], "to": "Wren"}
    page = crew.post("/places/put-away/", given, follow=True).content.decode()
    assert "Put away to the yard, Wren." in page
    assert 'name="next" value="/places/put-away/"' in page


@pytest.mark.parametrize("codes", ["", "x", "PA00-0000", "PA000000,,", "%00", "a" * 3000])
def test_move_page_asked_with_codes_of_nothing_shows_the_form_alone(crew, codes):
    """No such thing, half a code, a zero byte, far too long."""
    answer = crew.get(f"{MOVE}?loose={codes}")
    assert answer.status_code == 200
    assert "in no zone" not in answer.content.decode()


def test_what_is_said_of_a_thing_in_no_zone_is_what_the_load_then_says(shop):
    """The masses of trailer and train are still known; nose weight, axle, side and car are not.

    Held against the load of the trip itself, with and without the zone.
    """
    names = shop.names
    jug = shop.package(place=names["trailer"])
    change = {"empty_mg": 600e6, "empty_nose_mg": 40e6, "axle_mm": 3000, "track_mm": 1800}
    shop.do(places.edit_place, place=names["trailer"], changes=change)
    shop.do(places.edit_place, place=names["zone"], changes={"behind_mm": 2000, "right_mm": 0})
    missing = missing_of(shop)
    assert not missing[Quantity.GROSS]
    for unsaid in (Quantity.NOSE, Quantity.AXLE, Quantity.SIDE, Quantity.REAR_AXLE, Quantity.CAR):
        assert any("no zone" in each for each in missing[unsaid]), unsaid
    assert not any("no zone" in each for each in missing[Quantity.TRAIN])
    shop.do(places.move, things=[jug], to=names["zone"])
    assert not any("no zone" in each for each in missing_of(shop)[Quantity.NOSE])


def missing_of(shop):
    facts = aboard.facts_of(Trip.objects.get(id=shop.names["trip"]), shop.at.date())
    (trailer,) = facts.trailers
    found = loaded(facts, trailer, carried(facts)).load
    return {quantity: found.of(quantity).estimate.missing for quantity in Quantity}


def test_things_in_no_zone_take_as_many_queries_for_one_as_for_ten(shop):
    """Flat, however many lie there."""
    counts = []
    for count in (1, 10):
        for number in range(count):
            shop.package(number=f"{count}-{number}", place=shop.names["trailer"])
        with CaptureQueriesContext(connection) as asked:
            (found,) = in_no_zone.in_trailer(shop.names["trailer"])
        counts.append(len(asked))
        assert found.sentence.values["count"] == Package.objects.count()
    assert counts[0] == counts[1]


def test_page_of_many_scans_says_in_no_zone_too(crew, shop):
    """Moved by scan into the trailer itself."""
    jug = shop.package()
    given = {"do": "move", "code": code(jug), "to": code(shop.names["trailer"]), "ago": "0"}
    answer = crew.post("/scan/send/", given | {"token": str(make.token())})
    assert html.unescape(answer.json()["said"]) == "Moved to Wren. Resin is in Wren, in no zone."
