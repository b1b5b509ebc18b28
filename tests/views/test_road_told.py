"""What a scan at loading is told: by a phone that comes back days later, of a bin, on a trip that overran."""

from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.urls import reverse

from inventory.actions import loading, people, places, road, stock
from inventory.compute.codes import Kind
from inventory.models import Listed, State, Tag
from tests import away
from tests.make import day, grams, token

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def desk(shop, client):
    """A helper; three cans on the list for zone 1 of the trailer, away from Thursday to Sunday."""
    names = away.plan(shop).names
    cans = [("jug", "N-1"), ("held", "N-2"), ("home", "N-3")]
    for name, number in cans:
        names[name] = shop.package("glue", number=number, place=names["store"], expires_on=day("2027-06-30"))
    things = [names[name] for name, _ in cans]
    shop.do(loading.put_on_list, trip=names["trip"], things=things, zone=names["zone"])
    people.give_way_in(person=shop.helper, username="sunniva", password="a-long-one-for-tests")
    client.shop, client.names = shop, names
    return client


def code(thing):
    return Tag.objects.get(thing_id=thing).code


def scan(desk, name, **more):
    """What the page answers, some time after the shop's last act."""
    data = {"token": str(token()), "do": "load", "code": code(desk.names[name])}
    with time_machine.travel(desk.shop.at + timedelta(minutes=1), tick=False):
        user = User.objects.get(username="sunniva")
        desk.force_login(user, "django.contrib.auth.backends.ModelBackend")
        return desk.post(reverse("scan-send"), data | {"trip": str(desk.names["trip"])} | more)


def test_phone_that_comes_back_days_later_is_told_where_each_thing_lies_by_now(desk):
    """Aboard by this scan; on hold since, and aboard all the same; unloaded since. At once it is refused."""
    names, shop = desk.names, desk.shop
    shop.at += 3 * DAY
    shop.do(road.depart, trip=names["trip"])
    shop.do(stock.hold, things=[names["held"]], reason="cloudy")
    assert scan(desk, "held").json()["code"] == "stock.on_hold"
    shop.at += 3 * DAY
    shop.do(places.move, things=[names["home"]], to=names["store"])
    shop.at += DAY  # by its card the trip is over since yesterday
    late = {"ago": str(5 * 24 * 3600)}
    assert scan(desk, "jug", **late).json()["said"] == "Aboard: zone 1, Wren."
    told = scan(desk, "held", **late).json()
    assert told["said"] == "Aboard: zone 1, Wren. It is on hold: set it apart."
    assert told["left"] == 1
    told = scan(desk, "home", **late).json()
    assert told["said"] == "On record as it was scanned; by now it lies in: the barn, the yard."
    places_ = [State.objects.get(thing_id=names[name]).place_id for name in ("jug", "held", "home")]
    assert places_ == [names["zone"], names["zone"], names["store"]]


def test_trip_that_overran_its_card_still_has_its_list_for_the_scan(desk):
    """A day after it should have been back: what is listed goes aboard, what is not is refused."""
    names, shop = desk.names, desk.shop
    names["other"] = shop.package("glue", number="N-9", place=names["store"])
    shop.do(road.depart, trip=names["trip"])
    shop.at += 7 * DAY
    assert scan(desk, "jug").json()["said"] == "Aboard: zone 1, Wren."
    assert scan(desk, "other").json()["code"] == "loading.wrong_lot"


def test_bin_says_what_in_it_is_past_its_date_and_on_hold_and_an_emptied_can_is_aboard(desk):
    """Past before the trip is done, and not what lasts; past by then, the can itself says since when."""
    names, shop = desk.names, desk.shop
    names["bin"] = shop.place(Kind.BIN, "bin 7", names["store"])
    for name, expires in (("past", shop.at.date() + 2 * DAY), ("lasts", day("2027-06-30"))):
        names[name] = shop.package("resin", number=name, place=names["bin"], expires_on=expires)
    shop.do(stock.hold, things=[names["lasts"]], reason="cloudy")
    shop.do(loading.put_on_list, trip=names["trip"], things=[names["bin"]], zone=names["zone 2"])
    past, lasts = (code(names[name]) for name in ("past", "lasts"))
    told = scan(desk, "bin").json()["said"]
    assert told == (
        f"Aboard: zone 2, Wren. On hold in it: {lasts[:4]}-{lasts[4:]}. "
        f"In it, past its date before the trip is done: {past[:4]}-{past[4:]}."
    )
    shop.at += 3 * DAY
    wrong = scan(desk, "past").json()
    assert wrong["code"] == "loading.past"
    assert "is past its date: its last day was" in wrong["wrong"]
    scan(desk, "jug")
    before = scan(desk, "jug").json()["left"]
    shop.at += DAY
    shop.do(stock.count, thing=names["jug"], amount=grams(0))
    assert scan(desk, "jug").json()["left"] == before == 2


def test_helper_takes_a_package_in_place_of_another_at_the_scan_and_changes_no_list_else(desk):
    """By the tap that was offered; taking off and putting on, without loading, are the crew's."""
    names, shop = desk.names, desk.shop
    names["spare"] = shop.package("glue", number="N-9", place=names["store"], expires_on=day("2027-06-30"))
    pages = {page: reverse(f"trips-{page}", args=[names["trip"]]) for page in ("take-off", "put-on")}
    swap = scan(desk, "spare").json()["fixes"][1]
    with time_machine.travel(shop.at + timedelta(minutes=2), tick=False):
        for page in pages.values():
            assert desk.post(page, {"things": code(names["spare"])}).status_code == 403
    assert not Listed.objects.filter(ended=True).exists()
    assert scan(desk, "spare", sure=swap["sure"]).status_code == 200
    assert list(Listed.objects.filter(ended=True).values_list("thing_id", flat=True)) == [names["jug"]]
