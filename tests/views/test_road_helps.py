"""The page where a trip is loaded: what several phones tick, and the move that helps by one tap."""

import html
import re
from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.urls import reverse

from inventory.actions import loading, people, places, road, trips
from inventory.compute.codes import Kind
from inventory.models import Listed, State
from tests import away
from tests.make import grams, token
from tests.queries.rooms import car
from tests.views.test_road import KG, code, page, plain, scan

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(shop, client):
    """A trailer that may carry 100 kg on its nose, and 90 kg of resin that are listed for far in front."""
    away.plan(shop)
    client.shop, client.names = shop, shop.names
    plates = {"gross_mg": 1500 * KG, "axle_load_mg": 1400 * KG, "tyres_side_mg": 900 * KG, "axles": 1}
    empty = {"empty_mg": 680 * KG, "empty_nose_mg": 60 * KG, "axle_mm": 3000, "nose_mg": 100 * KG}
    shop.do(places.edit_place, place=shop.names["trailer"], changes=plates | empty)
    for name, behind in (("zone", 1300), ("zone 2", 2900)):
        shop.do(places.edit_place, place=shop.names[name], changes={"behind_mm": behind, "right_mm": 0})
    van = shop.place(Kind.TOW_CAR, "the van", shop.names["yard"])
    card = {name: value for name, value in vars(car()).items() if name.endswith(("_mg", "_mm"))}
    shop.do(places.edit_place, place=van, changes=card)
    tows = {str(shop.names["trailer"]): [str(van), ""]}
    shop.do(trips.change_trip, trip=shop.names["trip"], changes={"tows": tows})
    shop.names["jug"] = shop.package("resin", grams(90_000), place=shop.names["store"])
    shop.do(loading.put_on_list, trip=shop.names["trip"], things=[shop.names["jug"]], zone=shop.names["zone"])
    for person, name in ((shop.helper, "sunniva"), (shop.crew, "odd")):
        people.give_way_in(person=person, username=name, password="a-long-one-for-tests")
    return client


def sign_in(desk, name):
    user = User.objects.get(username=name)
    desk.force_login(user, backend="django.contrib.auth.backends.ModelBackend")


def taps(markup):
    """What can be tapped below the load: where it goes, and what it sends."""
    below = re.search(r"<div data-helps[^>]*>(.*?)<div data-load-list", markup, re.S)
    markup = below[1] if below else markup
    found = re.findall(r'<form method="post" action="([^"]*)">(.*?)</form>', markup, re.S)
    return [(to, dict(re.findall(r'name="(.*?)" value="(.*?)"', inside))) for to, inside in found]


def test_thing_aboard_is_put_where_it_helps_by_one_tap_of_whoever_may_move(desk):
    """A helper, led back to the page; then nothing is left to help. The scan's answer has the same tap."""
    sign_in(desk, "sunniva")
    answer = scan(desk, desk.names["jug"])
    told = desk.get(page(desk, "load")).content.decode()
    ((to, sent),) = taps(told)
    assert [(to, sent | {"csrfmiddlewaretoken": ""})] == [
        (there, values | {"csrfmiddlewaretoken": ""}) for there, values in taps(answer.json()["helps"])
    ]
    back = desk.post(to, sent)
    assert back.url == page(desk, "load")
    assert State.objects.get(thing_id=desk.names["jug"]).place_id == desk.names["zone 2"]
    told = desk.get(back.url)
    assert taps(told.content.decode()) == []
    assert "When all of the list is aboard" not in plain(told)
    assert re.search(r"Moved to .*zone 2.*Take it back", plain(told))


def test_line_that_waits_is_changed_by_one_tap_of_whoever_may_plan_and_read_by_a_helper(desk):
    """The list is the crew's: a helper reads which move helps, and has no button for it."""
    sign_in(desk, "sunniva")
    read = desk.get(page(desk, "load"))
    assert re.search(r"Put .* into zone 2", plain(read))
    assert taps(read.content.decode()) == []
    sign_in(desk, "odd")
    ((to, sent),) = taps(desk.get(page(desk, "load")).content.decode())
    assert desk.post(to, sent).url == page(desk, "load")
    assert Listed.objects.get(thing_id=desk.names["jug"]).zone_id == desk.names["zone 2"]
    assert taps(desk.get(page(desk, "load")).content.decode()) == []
    assert code(desk.names["jug"]).replace("-", "") in sent["things"].replace("-", "")


def test_scan_answers_with_what_other_phones_loaded_and_with_what_was_taken_back(desk):
    """Two lines by two phones: the second answer has both; one taken back, only the other is aboard."""
    sign_in(desk, "sunniva")
    other = desk.shop.package("resin", grams(50), number="M", place=desk.names["store"])
    desk.shop.do(loading.put_on_list, trip=desk.names["trip"], things=[other], zone=desk.names["zone"])
    act = token()
    scan(desk, desk.names["jug"], token=str(act))
    told = scan(desk, other).json()
    assert (set(told["aboard"]), told["left"]) == ({code(desk.names["jug"]), code(other)}, 0)
    back = {"token": str(token()), "do": "undo", "act": str(act), "trip": str(desk.names["trip"])}
    told = desk.post(reverse("scan-send"), back).json()
    assert (told["said"], told["aboard"], told["left"]) == ("Taken back.", [code(other)], 1)
    told = desk.post(reverse("scan-send"), back | {"token": str(token()), "trip": ""}).json()
    assert "aboard" not in told


def test_trip_that_left_asks_for_no_departure_and_shows_how_warm_it_was_since(desk):
    """Before, the page has its button; after, it says when, and the trip looks back as far as it was away."""
    sign_in(desk, "sunniva")
    assert "We are leaving" in plain(desk.get(page(desk, "depart")))
    desk.shop.do(road.depart, trip=desk.names["trip"])
    told = plain(desk.get(page(desk, "depart")))
    assert "This trip left on" in told
    assert "We are leaving" not in told
    for days, back in ((5, 7), (20, 30), (400, 365)):
        with time_machine.travel(desk.shop.at + timedelta(days=days)):
            sign_in(desk, "sunniva")
            assert f"/curve/?days={back}" in desk.get(page(desk, "home")).content.decode()


def test_page_of_a_trip_without_a_list_leads_to_it_and_a_closed_trip_offers_nothing_to_tap(desk):
    """With a line it says no such thing; what is on no list can be put right, until the trip is home."""
    sign_in(desk, "sunniva")
    assert "Nothing is on this trip's list yet" not in html.unescape(plain(desk.get(page(desk, "load"))))
    desk.shop.do(loading.take_off_list, trip=desk.names["trip"], things=[desk.names["jug"]])
    assert "Nothing is on this trip's list yet" in html.unescape(plain(desk.get(page(desk, "load"))))
    desk.shop.do(road.depart, trip=desk.names["trip"])
    assert scan(desk, desk.names["jug"]).json()["fixes"]
    desk.shop.do(road.come_home, trip=desk.names["trip"])
    with time_machine.travel(desk.shop.at + timedelta(minutes=5)):
        sign_in(desk, "sunniva")
        answer = scan(desk, desk.names["jug"])
    assert (answer.status_code, answer.json()["code"]) == (409, "loading.closed")
    assert not answer.json().get("fixes")
