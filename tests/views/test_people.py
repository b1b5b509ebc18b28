"""Owners and their people: taking on, roles, ways in, devices."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.test import Client
from django.utils import timezone

from inventory.actions import people
from inventory.actions import shop as shop_actions
from inventory.models import Person, SignIn
from inventory.queries import crew
from inventory.roles import Role
from tests.make import refused

pytestmark = pytest.mark.django_db
PASSWORD = "feather and quill"


@pytest.fixture
def owner(shop, client):
    people.give_way_in(person=shop.owner, username="ragna", password=PASSWORD)
    client.post("/people/sign-in/", {"username": "ragna", "password": PASSWORD})
    return client


def sign_in(username, **more):
    browser = Client(headers={"User-Agent": "Reader/1 (Phone; made up 14) Thing/2"})
    browser.post("/people/sign-in/", {"username": username, "password": PASSWORD, **more})
    return browser


def test_owner_takes_somebody_on_who_signs_in_and_may_what_the_role_may(owner):
    """One page: card, role and way in."""
    new = {"name": "Åse Fjær", "role": "helper", "sign_in": "aase", "password": PASSWORD, "again": PASSWORD}
    assert owner.post("/people/take-on/", new).status_code == 302
    browser = sign_in("aase")
    assert browser.get("/stock/").status_code == 200
    assert browser.get("/people/").status_code == 403
    assert "Åse Fjær" in owner.get("/people/").content.decode()


@pytest.mark.parametrize(
    "wrong",
    [
        {"sign_in": "RAGNA"},
        {"again": "feather and quilt"},
        {"password": "short", "again": "short"},
        {"name": ""},
        {"role": "king"},
    ],
)
def test_taking_on_with_one_thing_wrong_takes_nobody_on(owner, wrong):
    """Neither a card nor a way in is left behind."""
    before = (Person.objects.count(), User.objects.count())
    new = {"name": "Åse", "role": "helper", "sign_in": "aase", "password": PASSWORD, "again": PASSWORD}
    assert owner.post("/people/take-on/", new | wrong).status_code == 422
    assert (Person.objects.count(), User.objects.count()) == before


def test_the_only_owner_stays_one_until_there_is_another(shop, owner):
    """Refused by name; with a second owner it is done."""
    values = {"person": shop.owner, "name": "Ragna Quill", "role": Role.CREW}
    with refused("people.last_owner", "Ragna Quill"):
        shop.do(shop_actions.change_person, **values)
    assert Person.objects.get(id=shop.owner).role == "owner"
    shop.do(shop_actions.change_person, person=shop.crew, name="Odd Fether", role=Role.OWNER)
    shop.do(shop_actions.change_person, **values)
    assert Person.objects.get(id=shop.owner).role == "crew"


def test_a_role_changed_on_the_page_counts_from_the_next_page_on(shop, owner):
    """A helper becomes crew and may plan."""
    people.give_way_in(person=shop.helper, username="sunniva", password=PASSWORD)
    browser = sign_in("sunniva")
    assert browser.get("/builds/plan/").status_code == 403
    card = {"name": "Sunniva Lid", "role": "crew"}
    assert owner.post(f"/people/{shop.helper}/edit/", card).status_code == 302
    assert browser.get("/builds/plan/").status_code == 200


def test_device_signed_out_by_an_owner_is_out_and_the_others_stay(shop, owner):
    """The page names the device by a handle; the session's key stands nowhere on it."""
    people.give_way_in(person=shop.crew, username="odd", password=PASSWORD)
    lost, kept = sign_in("odd"), sign_in("odd")
    page = owner.get("/people/devices/").content.decode()
    assert "Phone; made up 14" in page
    for key in Session.objects.values_list("session_key", flat=True):
        assert key not in page
    handle = crew.handle(lost.session.session_key)
    assert owner.post(f"/people/{handle}/device-out/").status_code == 302
    assert lost.get("/stock/").status_code == 302
    assert kept.get("/stock/").status_code == 200
    assert owner.post(f"/people/{handle}/device-out/").status_code == 409


def test_shared_device_is_out_after_an_hour_and_another_after_twelve(shop, owner):
    """As ticked when signing in."""
    people.give_way_in(person=shop.crew, username="odd", password=PASSWORD)
    shared, own = sign_in("odd", shared="on"), sign_in("odd")
    now = timezone.now()
    until = {row.handle: row.until for row in crew.devices(now)}
    ends = [until[crew.handle(browser.session.session_key)] - now for browser in (shared, own)]
    assert timedelta(minutes=58) < ends[0] <= timedelta(hours=1)
    assert timedelta(hours=11) < ends[1] <= timedelta(hours=12)


def test_way_in_taken_away_signs_out_everywhere_and_lets_nobody_in(shop, owner):
    """What the person recorded stays theirs; the only owner's way in stays."""
    people.give_way_in(person=shop.crew, username="odd", password=PASSWORD)
    browser = sign_in("odd")
    assert owner.post(f"/people/{shop.crew}/end/").status_code == 302
    assert browser.get("/stock/").status_code == 302
    assert sign_in("odd").get("/stock/").status_code == 302
    assert Person.objects.filter(id=shop.crew).exists()
    assert owner.post(f"/people/{shop.crew}/end/").status_code == 409
    assert owner.post(f"/people/{shop.owner}/end/").status_code == 409
    assert SignIn.objects.filter(person_id=shop.owner).exists()


def test_new_password_signs_out_what_was_signed_in_with_the_old_one(shop, owner):
    """And opens the doors; a person without a way in gets one."""
    people.give_way_in(person=shop.crew, username="odd", password=PASSWORD)
    browser = sign_in("odd")
    new = {"password": "quill and feather", "again": "quill and feather"}
    assert owner.post(f"/people/{shop.crew}/way-in/", new).status_code == 302
    assert browser.get("/stock/").status_code == 302
    assert sign_in("odd").get("/stock/").status_code == 302
    assert owner.post(f"/people/{shop.helper}/way-in/", new).status_code == 422
    assert owner.post(f"/people/{shop.helper}/way-in/", new | {"sign_in": "sunniva"}).status_code == 302


def test_signing_in_wrong_five_times_shuts_the_door(shop, client):
    """For this name from this address; the right password no longer helps, another name does."""
    people.give_way_in(person=shop.owner, username="ragna", password=PASSWORD)
    people.give_way_in(person=shop.crew, username="odd", password=PASSWORD)
    for _ in range(5):
        client.post("/people/sign-in/", {"username": "ragna", "password": "wrong"})
    assert sign_in("ragna").get("/stock/").status_code == 302
    assert sign_in("odd").get("/stock/").status_code == 200


def test_list_of_devices_asks_no_more_often_for_ten_than_for_one(shop, owner, django_assert_max_num_queries):
    """A shop has tens of sessions."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    people.give_way_in(person=shop.crew, username="odd", password=PASSWORD)

    def asked():
        with CaptureQueriesContext(connection) as caught:
            owner.get("/people/devices/")
        return len(caught)

    sign_in("odd")
    one = asked()
    for _ in range(9):
        sign_in("odd")
    assert asked() == one


def test_someone_erased_by_an_owner_is_off_the_list_and_out_of_the_door(shop, owner):
    """The page says what goes; without the tick nothing does. No page names them afterwards."""
    people.give_way_in(person=shop.helper, username="sunniva", password=PASSWORD)
    browser, page = sign_in("sunniva"), f"/people/{shop.helper}/erase-crew/"
    assert "What stays" in owner.get(page).content.decode()
    assert owner.post(page, {"token": ""}).status_code == 422
    assert browser.get("/stock/").status_code == 200
    assert owner.post(page, {"told": "on"}).status_code == 302
    assert browser.get("/stock/").status_code == 302
    assert "Sunniva" not in owner.get("/people/").content.decode()
    assert owner.get(page).status_code == 404
    assert owner.post(f"/people/{shop.owner}/erase-crew/", {"told": "on"}).status_code == 409
