"""Trips' pages: the list, and what is put on it, set aside and taken off by the pages' own forms."""

import re
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.actions import people, road, trips
from inventory.actions.shop import change_person
from inventory.compute.codes import Code, Kind
from inventory.models import Listed, Tag, Trip, Workshop
from inventory.roles import Role
from tests import away, make
from tests.make import metres
from tests.views.markup import read

pytestmark = pytest.mark.django_db


def code(thing) -> str:
    return Tag.objects.filter(thing_id=thing).order_by("code").first().code


@pytest.fixture
def shop(db):
    """A shop some hours ago by this computer's clock, which the pages read; a trip in three days."""
    return away.plan(make.Shop(at=timezone.now() - timedelta(hours=5)))


@pytest.fixture
def crew(shop, client):
    people.give_way_in(person=shop.crew, username="crew", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="crew"), backend="django.contrib.auth.backends.ModelBackend")
    return client


def address(shop, verb: str) -> str:
    return f"/trips/{shop.names['trip']}/{verb}/"


def test_list_when_nothing_is_on_it_says_what_to_do_next(crew, shop):
    assert "Nothing is on the list yet" in crew.get(address(shop, "list")).content.decode()


def test_put_on_when_a_jug_is_scanned_shows_it_in_its_place(crew, shop):
    jug = shop.package(place=shop.names["store"])
    values = {"things": code(jug), "zone": str(shop.names["zone"]), "why": "For every pair."}
    page = crew.post(address(shop, "put-on"), values, follow=True)
    assert page.redirect_chain[-1][0] == address(shop, "list")
    text = page.content.decode()
    assert all(word in text for word in ("the barn", "To zone 1, Wren.", "For every pair."))
    assert text.count('class="tickbox"') == 1  # of its one line, on paper
    assert f"On the loading list: 5 kg of Resin {Code(code(jug)).shown}." in text


def test_set_aside_when_a_length_is_typed_keeps_it_and_what_is_no_length_is_said(crew, shop):
    coil = shop.package("edge", metres(50), "E-1", place=shop.names["store"])
    wrong = crew.post(address(shop, "set-aside"), {"package": code(coil), "amount": "4 kg"})
    assert wrong.status_code == 422
    assert not Listed.objects.exists()
    told = crew.post(address(shop, "set-aside"), {"package": code(coil), "amount": "4.1 m"}, follow=True)
    assert "Set aside, and on the loading list: 4.1 m of Edge " in told.content.decode()
    assert Listed.objects.get().amount == 4_100


def test_take_off_when_it_is_listed_leaves_the_list_bare(crew, shop):
    jug = shop.package()
    for verb in ("put-on", "take-off"):
        crew.post(address(shop, verb), {"things": code(jug)})
    assert Listed.objects.get().ended
    again = crew.post(address(shop, "take-off"), {"things": code(jug)})
    assert again.status_code == 409
    assert "is not on the list of this trip" in again.content.decode()


def test_put_on_when_the_form_says_where_it_was_leads_back_there(crew, shop):
    jug = shop.package()
    to = address(shop, "trip")
    answer = crew.post(address(shop, "put-on"), {"things": code(jug), "next": to})
    assert answer.url == to


@pytest.mark.parametrize("verb", ["list", "put-on", "set-aside", "take-off"])
def test_trips_pages_are_valid_html(crew, shop, verb):
    jug = shop.package(place=shop.names["store"])
    crew.post(address(shop, "put-on"), {"things": code(jug)})
    read(crew.get(address(shop, verb)).content.decode())


def test_trip_when_what_is_supposed_cannot_be_says_so_and_answers_as_it_is(crew, shop):
    """Ten guests more may be asked, eleven not; both answer the trip itself."""
    page = crew.get(address(shop, "trip"), {"guests": "11", "without": "nothing"})
    text = page.content.decode()
    assert page.status_code == 200
    assert "Only supposed" not in text
    assert "reasons stand against leaving" in text or "reason stands against leaving" in text
    assert "Only supposed" in crew.get(address(shop, "trip"), {"guests": "10"}).content.decode()


def test_plan_and_edit_keep_cars_drivers_warmth_and_the_way(crew, shop):
    """Typed on the page; a change of one field leaves all others as they are."""
    car = shop.place(Kind.TOW_CAR, "the van", shop.names["yard"])
    other = shop.place(Kind.TRAILER, "Dunlin", shop.names["yard"])
    days = {name: str(shop.at.date() + timedelta(at)) for name, at in (("leaves_on", 3), ("back_on", 6))}
    typed = days | {
        "name": "High hut",
        "sort": "workshop",
        "trailers": [str(other)],
        "workshops": [str(shop.names["workshop"])],
        "car_0": str(car),
        "driver_0": str(shop.crew),
        "bay_c": "15 °C",
        "heated": "false",
        "watchers": [str(shop.owner)],
        "crossings": "ferry",
        "road_low_c": "-5 °C",
        "road_high_c": "41 °F",
        "rules": "adr",
    }
    answer = crew.post("/trips/plan/", typed)
    row = Trip.objects.exclude(id=shop.names["trip"]).get()
    assert answer.url == f"/trips/{row.id}/trip/"
    assert row.tows == {str(other): [str(car), str(shop.crew)]}
    assert (row.bay_c, row.heated, row.crossings, row.road_high_c) == (15.0, False, ["ferry"], 5.0)
    page = crew.get(f"/trips/{row.id}/edit/").content.decode()
    initial = dict(re.findall(r'name="(initial-\w+)" value="([^"]*)"', page))
    crew.post(f"/trips/{row.id}/edit/", initial | typed | {"cancelled": "false", "crossings": "none"})
    again = Trip.objects.get(id=row.id)
    assert again.crossings == []
    assert (again.tows, again.bay_c, again.watchers) == (row.tows, row.bay_c, row.watchers)
    text = crew.get(f"/trips/{row.id}/trip/").content.decode()
    assert all(word in text for word in ("the van", "Odd Fether", "ADR, Europe", "neither", "−5 °C"))


def test_trip_tells_each_watcher_with_the_own_licence_classes(crew, shop):
    """Names are parted from the classes of one licence: A (B, BE), C; nobody takes BE for a person."""
    shop.do(change_person, person=shop.owner, name="Ragna", role=Role.OWNER, licence="B, BE")
    watchers = [shop.owner, shop.crew]
    shop.do(trips.change_trip, trip=shop.names["trip"], changes={"watchers": watchers})
    text = crew.get(address(shop, "trip")).content.decode()
    assert "Ragna (B, BE)" in text
    assert "Ragna, B" not in text


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        (
            "by the door: 230 V, 16 A\nbarn: 120 V; 20 A",
            [["by the door", 230.0, 16.0], ["barn", 120.0, 20.0]],
        ),
        ("none", []),
        ("", None),
        ("by the door: 230 A", False),
        ("by the door: 0 V, 16 A", False),
    ],
)
def test_venue_keeps_circuits_as_they_are_typed_and_says_what_is_none(crew, shop, typed, kept):
    """No power there, and not known, are two things."""
    to = f"/builds/{shop.names['workshop']}/change/"
    page = crew.get(to).content.decode()
    values = dict(re.findall(r'name="(initial-\w+)" value="([^"]*)"', page))
    day = str(shop.at.date() + timedelta(4))
    values |= {"name": "High hut", "starts_on": day, "ends_on": day, "opens_min": "8:30", "circuits": typed}
    answer = crew.post(to, values | {"cancelled": "false", "capacity": "2"})
    row = Workshop.objects.get(id=shop.names["workshop"])
    if kept is False:
        assert answer.status_code == 422
        assert row.circuits is None
    else:
        assert (row.circuits, row.opens_min) == (kept, 510)


def test_trip_offers_to_load_and_leave_beside_its_answer_and_before_its_card(crew, shop):
    """What is to be done next stands by what it rests on; one of it is the main one."""
    found = crew.get(address(shop, "trip")).content.decode()
    places = [
        found.index(words) for words in ("Can we leave?", "Loading list", "Load by scanning", "Leaves on")
    ]
    assert places == sorted(places)
    assert found.count("act-main") == 2  # the other leads to the page itself, for the keyboard


def test_trips_say_of_the_next_whether_it_can_leave_until_it_has_left(crew, shop):
    """The page's word is that of the trip's own page."""
    (word,) = re.findall(
        r'<p class="answer">.*?(Ready|Not ready|Cannot say)',
        crew.get(address(shop, "trip")).content.decode(),
        re.DOTALL,
    )
    assert crew.get("/trips/").content.decode().count(f"{word}</span>") == 1
    leaves = away.trip(shop).leaves_on
    assert f"against leaving on {leaves:%-d %b %Y}" in crew.get("/trips/").content.decode()
    shop.do(road.depart, trip=shop.names["trip"])
    assert f"{word}</span>" not in crew.get("/trips/").content.decode()
