"""The day sheet, trips and the demo's sign-ins as pages."""

from datetime import date, timedelta

import pytest
from django.contrib.auth import get_user_model
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.actions import builds, people, trips
from inventory.compute.codes import Kind
from inventory.models import Shop as Card
from inventory.models import Trip
from inventory.queries import demo
from tests.make import Shop

PASSWORD = "feather and quill"


@pytest.fixture
def ragna(client: Client, shop: Shop) -> Client:
    """The owner, signed in."""
    people.give_way_in(person=shop.owner, username="ragna", password=PASSWORD)
    client.force_login(
        get_user_model().objects.get(username="ragna"), "django.contrib.auth.backends.ModelBackend"
    )
    return client


def plan(shop: Shop, day: date, name: str = "Kvitskard") -> object:
    workshop = shop.do(builds.plan_workshop, name=name, starts_on=day, ends_on=day).thing
    trailer = shop.place(Kind.TRAILER, f"Stoat {day}")
    return shop.do(
        trips.plan_trip, name=name, leaves_on=day, back_on=day, trailers=[trailer], workshops=[workshop]
    ).thing


def test_day_sheet_when_a_trip_is_near_links_to_its_answer(ragna, shop):
    """The sentence leads to the trip's page, and that says why."""
    trip = plan(shop, date.today() + timedelta(days=3))
    page = ragna.get("/").content.decode()
    assert f'<a href="/trips/{trip}/trip/">Leave for Kvitskard' in page
    told = ragna.get(f"/trips/{trip}/trip/").content.decode()
    for said in ("Not ready", "No pair is booked for Kvitskard yet."):
        assert said in told


def test_trip_form_when_a_workshop_is_tapped_is_filled_in_and_plans_the_trip(ragna, shop):
    """Leave the day before, be back the day after; one tick for the trailer is left to do."""
    first = date.today() + timedelta(days=5)
    workshop = shop.do(builds.plan_workshop, name="Hestlia", starts_on=first, ends_on=first).thing
    trailer = shop.place(Kind.TRAILER, "Stoat")
    page = ragna.get("/trips/plan/", {"workshop": str(workshop)}).content.decode()
    assert f'value="{first - timedelta(days=1)}"' in page
    assert f'value="{first + timedelta(days=1)}"' in page
    sent = {
        "name": "Hestlia",
        "sort": "workshop",
        "leaves_on": str(first),
        "back_on": str(first),
        "trailers": [str(trailer)],
        "workshops": [str(workshop)],
    }
    refused = ragna.post("/trips/plan/", sent | {"back_on": str(first - timedelta(days=1))})
    assert refused.status_code == 409
    assert ragna.post("/trips/plan/", sent | {"trailers": []}).status_code == 422
    assert not Trip.objects.exists()
    done = ragna.post("/trips/plan/", sent)
    trip = Trip.objects.get()
    assert done["Location"] == f"/trips/{trip.id}/trip/"
    assert ragna.post(f"/trips/{trip.id}/edit/", sent | {"name": "Hestlia hut"}).status_code == 302
    assert Trip.objects.get().name == "Hestlia hut"


def test_trip_when_there_is_none_of_that_id_is_no_page(ragna, shop):
    """The one that is there has one."""
    trip = plan(shop, date(2027, 1, 5))
    assert ragna.get("/trips/01890a5d-ac96-774b-bcce-b302099a8057/trip/").status_code == 404
    assert ragna.get(f"/trips/{trip}/trip/").status_code == 200


def test_trips_with_ten_rows_read_as_often_as_with_one(ragna, shop):
    """The number of statements does not grow with the list."""
    first = date.today() + timedelta(days=5)
    plan(shop, first)
    with CaptureQueriesContext(connection) as few:
        ragna.get("/trips/")
    for days in range(1, 10):
        plan(shop, first + timedelta(days))
    with CaptureQueriesContext(connection) as many:
        page = ragna.get("/trips/").content.decode()
    assert page.count("With Stoat") == 10
    assert len(many) == len(few)


@pytest.mark.parametrize("is_demo", [True, False])
def test_sign_in_page_offers_the_demos_sign_ins_in_the_demo_only(client, shop, is_demo):
    """Same people, same passwords, one fact different: a shop that is no demo names nobody."""
    people.give_way_in(person=shop.owner, username="ragna", password=PASSWORD)
    Card.objects.update(demo=is_demo)
    page = client.get("/people/sign-in/").content.decode()
    assert ("Sign in as Ragna Quill, owner" in page) is is_demo
    assert (PASSWORD in page) is is_demo
    assert ("ragna" in page.lower()) is is_demo
    assert bool(demo.sign_ins()) is is_demo


def test_demo_sign_in_when_tapped_lets_the_person_in(client, shop):
    """The offered name and password are the ones that open the demo."""
    people.give_way_in(person=shop.owner, username="ragna", password=PASSWORD)
    Card.objects.update(demo=True)
    (offer,) = demo.sign_ins()
    done = client.post("/people/sign-in/", {"username": offer.sign_in, "password": offer.password})
    assert done.status_code == 302
    assert 'href="/help/tour/"' in client.get("/").content.decode()


def test_tour_in_an_empty_shop_and_in_one_with_a_trip_leads_on(ragna, shop):
    """Nothing to point at is said; a trip is pointed at."""
    assert "No trip is planned in these books" in ragna.get("/help/tour/").content.decode()
    assert "Take the tour" not in ragna.get("/").content.decode()
    trip = plan(shop, date(2099, 1, 5))
    assert f"/trips/{trip}/trip/" in ragna.get("/help/tour/").content.decode()


def test_off_season_list_names_its_jobs(ragna):
    """All nine of them."""
    page = ragna.get("/day/off-season/").content.decode()
    for word in (
        "freeze",
        "Count",
        "Re-test",
        "Bladders",
        "Relief",
        "electrics",
        "Extinguishers",
        "tyres",
        "brakes",
    ):
        assert word in page
