"""The record of a trip and the usage factors through the pages."""

import re
from datetime import timedelta
from uuid import UUID

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import builds, layups, people, road, stock, trips
from inventory.models import LayupCard, Trip, TripRecord, UsageFactor
from tests import away, bench_world
from tests.make import grams

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(shop, client):
    """Odd of the crew; a lay-up, and a trip."""
    client.world = bench_world.world(shop)
    away.plan(shop)
    client.shop = shop
    people.give_way_in(person=shop.crew, username="odd", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="odd"), backend="django.contrib.auth.backends.ModelBackend")
    return client


def plain(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())).replace("\xa0", " ")


def recorded(desk, number, *, layup=None, net=1_000_000, used=1_250_000):
    """A trip long ago whose record teaches so much of resin; the flow makes one whole."""
    trip = Trip.objects.create(
        id=_id(number),
        name="High hut",
        leaves_on="2026-01-01",
        back_on="2026-01-02",
    )
    entry = {
        "layup": str(layup or desk.world.layup),
        "material": str(desk.shop.names["resin"]),
        "net": net,
        "used": used,
        "pairs": 5,
    }
    TripRecord.objects.create(trip=trip, taught=[entry], next_time="A second scale.")
    return trip


def _id(number):
    return UUID(int=0x01890A5DAC967000BCCE000000000000 + number)


def test_factors_without_any_trip_say_what_to_do(desk):
    """An empty page leads on."""
    assert "No trip has taught anything yet" in plain(desk.get("/usage/factors/"))


def test_factor_is_suggested_from_two_trips_accepted_and_taken_back(desk):
    """One trip: nothing to accept. Two: accepted on the page, taken back on the page."""
    recorded(desk, 1)
    told = plain(desk.get("/usage/factors/"))
    assert "nothing is suggested yet" in told
    assert "Needs are reckoned with 1.150, as is usual: 15.0 % more than ends up in the pairs." in told
    wanted = {"layup": str(desk.world.layup), "material": str(desk.shop.names["resin"])}
    assert desk.post("/usage/accept/", wanted).status_code == 409
    recorded(desk, 2, used=1_350_000)
    told = plain(desk.get("/usage/factors/"))
    assert "from 10 pairs on 2 trips" in told
    assert "All together: 1.300; from 10 pairs a suggestion goes 50 % of the way there" in told
    assert "Accepted, needs are reckoned with 22.5 % more than ends up in the pairs." in told
    told = plain(desk.post("/usage/accept/", wanted, follow=True))
    assert "Needs are reckoned with 1.225, as was accepted: 22.5 % more than ends up in the pairs." in told
    assert UsageFactor.objects.get().ended is False
    assert "Taken back" in plain(desk.post("/usage/drop/", wanted, follow=True))
    assert UsageFactor.objects.get().ended is True
    told = plain(desk.get("/usage/factors/"))
    assert told.index("Taken back ") < told.index("Accepted 1.225 "), "the newest first"
    assert told.count("· Odd Fether") == 2
    assert desk.post("/usage/accept/", {"layup": "x"}).status_code == 409


def test_factor_that_is_what_is_usual_is_not_offered_to_accept(desk):
    """1.15 is usual for resin; a trip that took a little more leaves something to accept."""
    for number in (1, 2):
        recorded(desk, number, used=1_150_000)
    told = plain(desk.get("/usage/factors/"))
    assert "That is what is usual: nothing to accept." in told
    assert "Accept 1.150" not in told
    recorded(desk, 3, used=1_200_000)
    assert "nothing to accept" not in plain(desk.get("/usage/factors/"))


def test_record_says_that_a_factor_waits_until_it_is_accepted(desk):
    """One trip suggests nothing; after a second its record leads to the factors, until one is accepted."""
    first = recorded(desk, 1)
    assert "the trips suggest" not in plain(desk.get(f"/usage/{first.id}/record/"))
    second = recorded(desk, 2)
    told = desk.get(f"/usage/{second.id}/record/")
    assert "Of 1 material the trips suggest how much is used." in plain(told)
    desk.post("/usage/accept/", {"layup": str(desk.world.layup), "material": str(desk.shop.names["resin"])})
    assert "the trips suggest" not in plain(desk.get(f"/usage/{second.id}/record/"))


def test_record_before_the_trip_is_home_is_refused_with_its_words_kept(desk):
    """What was typed stays on the page."""
    address = f"/usage/{desk.shop.names['trip']}/record/"
    answer = desk.post(address, {"failed": "The big press leaked."})
    assert answer.status_code == 409
    assert "The big press leaked." in answer.content.decode()
    assert desk.get("/usage/01890a5d-ac96-774b-bcce-b302099a8057/record/").status_code == 404


def test_record_says_once_what_holds_for_every_material(desk):
    """Nothing was laid up on this trip: of two materials that is one sentence, and no column."""
    shop = desk.shop
    jugs = [shop.package(key, place=shop.names["zone"]) for key in ("resin", "hardener")]
    shop.do(road.depart, trip=shop.names["trip"], left_behind=0, against=0)
    for jug in jugs:
        shop.do(stock.draw, package=jug, amount=grams(10))
    shop.do(road.come_home, trip=shop.names["trip"])
    shop.do(road.count_home, trip=shop.names["trip"], counts=[(jug, grams(100)) for jug in jugs])
    found = plain(desk.get(f"/usage/{shop.names['trip']}/record/"))
    assert "What it teaches" in found
    assert found.count("No pair was laid up on this trip.") == 1


def test_next_trip_shows_what_was_to_be_changed(desk):
    """The record of the last trip of the same name; another name shows nothing."""
    recorded(desk, 3)
    address = f"/trips/{desk.shop.names['trip']}/trip/"
    assert "A second scale." in plain(desk.get(address))
    Trip.objects.filter(id=_id(3)).update(name="Low hut")
    assert "A second scale." not in plain(desk.get(address))


def test_record_page_shows_planned_beside_what_was_and_the_next_copy_carries_it(desk):
    """Weighed, pressed nothing, home: the numbers stand on the page, and on the trip planned as this one."""
    shop, trip = desk.shop, desk.shop.names["trip"]
    desk.world.pair("Ida")
    trailer = shop.names["trailer"]
    shop.do(road.weigh_load, trip=trip, when="leaving", weights=[(trailer, 912_000_000, 81_000_000)])
    shop.do(road.depart, trip=trip)
    shop.do(road.come_home, trip=trip)
    address = f"/usage/{trip}/record/"
    assert "912 kg" in plain(desk.get(address))
    told = plain(desk.post(address, {"next_time": "A second scale."}, follow=True))
    assert "Kept." in told
    day = shop.at.date() + timedelta(20)
    workshop = shop.do(builds.plan_workshop, name="Low hut", starts_on=day, ends_on=day, capacity=2).thing
    copy = desk.get(f"/trips/{trip}/copy/")
    assert "A second scale." in plain(copy)
    made = shop.do(trips.copy_trip, trip=trip, name="Low hut", leaves_on=day, workshops=[workshop]).thing
    told = plain(desk.get(f"/trips/{made}/trip/"))
    assert "A second scale." in told
    assert "912 kg" in told
    other = away.another(shop, 30, 31, trailer, [], "Elsewhere", sort="supply run")
    assert "912 kg" not in plain(desk.get(f"/trips/{other}/trip/"))


def test_factors_ask_as_often_for_ten_as_for_one(desk):
    """Ten lay-ups with two trips each, or one."""
    for number in (10, 11):
        recorded(desk, number)
    desk.get("/usage/factors/")
    with CaptureQueriesContext(connection) as one:
        desk.get("/usage/factors/")
    for number in range(9):
        other = desk.shop.do(layups.make_layup, name=f"L{number}", layers=bench_world.LAYERS).thing
        for turn in (0, 1):
            recorded(desk, 20 + 2 * number + turn, layup=other)
    with CaptureQueriesContext(connection) as ten:
        told = plain(desk.get("/usage/factors/"))
    assert told.count("Suggested:") == LayupCard.objects.count()
    assert len(ten) == len(one)
