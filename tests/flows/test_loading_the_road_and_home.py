"""A trip from its loading list to what it teaches: load, drive, log 38 °C, use, come home, count, learn."""

from datetime import UTC, timedelta

import pytest

from inventory.actions import builds, loading, loggers, press, road, trips, usage
from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.formats.logger import remembered
from inventory.models import Revision, Trip, TripRecord
from inventory.queries import ages, factors
from inventory.queries import loggers as loggers_read
from inventory.queries import usage as read
from inventory.queries.books import differences
from tests import bench_world
from tests.make import grams, refused

pytestmark = pytest.mark.django_db
H = timedelta(hours=1)


@pytest.fixture
def world(shop, settings, tmp_path):
    """A bench with all its packages in the barn; a trailer with a zone."""
    settings.DATA_FOLDER = tmp_path
    found = bench_world.world(shop)
    yard = shop.place(Kind.YARD, "the yard")
    found.trailer = shop.place(Kind.TRAILER, "Wren", yard)
    found.zone = shop.place(Kind.ZONE, "zone 1", found.trailer)
    return found


def drive(world, lost_g, count=("resin", "hardener")):
    """One trip with a pair; so much resin is lost beside what is taken out for it."""
    shop = world.shop
    today = shop.at.date()
    trip = shop.do(
        trips.plan_trip,
        name="Kvitskard",
        leaves_on=today,
        back_on=today + timedelta(3),
        trailers=[world.trailer],
        workshops=[world.workshop],
    ).thing
    things = [world.packages[key] for key in ("resin", "hardener")]
    shop.do(loading.put_on_list, trip=trip, things=things, zone=world.zone)
    for thing in things:
        shop.do(road.load, trip=trip, thing=thing, sure=["past", "better"])
    shop.do(road.depart, trip=trip)
    shop.do(road.arrive, trip=trip)
    _, left, right = world.pair(f"Guest {lost_g}")
    for ski in (left, right):
        cup = world.cup(ski)
        shop.do(
            press.lay_up,
            ski=ski,
            inputs=[(world.packages["blank"], Amount(1, Base.PIECE)), (cup, grams(160))],
        )
    resin = world.packages["resin"]
    there = shop.amount(resin)
    shop.at += 30 * H
    shop.do(road.come_home, trip=trip)
    for key in count:
        amount = there - round(lost_g * 1000) if key == "resin" else shop.amount(world.packages[key])
        shop.do(road.count_home, trip=trip, counts=[(world.packages[key], Amount(amount, Base.MG))])
    return trip


def test_two_trips_teach_a_factor_that_somebody_accepts_and_may_take_back(world):
    """One trip suggests nothing; two do; accepted it counts for needs; taken back it does not."""
    shop = world.shop
    resin = shop.names["resin"]
    first = drive(world, 15)
    with refused("usage.no_factor"):
        shop.do(usage.accept_factor, layup=world.layup, material=resin)
    shop.do(usage.record_trip, trip=first, next_time="A second scale.")
    (row,) = [each for each in read.offers() if each.material.id == resin]
    assert row.offered.factor is None
    world.shop.at += 72 * H
    world.workshop = _another_workshop(world)
    second = drive(world, 40)
    shop.do(usage.record_trip, trip=second, saved_us="The spare heater.")
    (row,) = [each for each in read.offers() if each.material.id == resin]
    assert (row.offered.trips, row.offered.pairs) == (2, 2)
    assert row.offered.lowest < row.offered.highest
    shop.do(usage.accept_factor, layup=world.layup, material=resin)
    found = factors.accepted()[world.layup]["resin"]
    assert found.expected == pytest.approx(row.offered.factor.expected)
    assert read.last_time(Trip.objects.get(id=second)).next_time == "A second scale."
    shop.do(usage.drop_factor, layup=world.layup, material=resin)
    assert factors.accepted() == {}
    assert Revision.objects.filter(card="usage factor").count() == 2
    assert list(differences()) == []


def _another_workshop(world):
    day = world.shop.at.date()
    return world.shop.do(
        builds.plan_workshop, name="Hestlia", capacity=None, starts_on=day, ends_on=day + timedelta(1)
    ).thing


def test_package_that_was_not_counted_teaches_nothing_and_says_so(world):
    """Hardener was counted, resin was not: only one of them teaches."""
    trip = drive(world, 15, count=("hardener",))
    found = {each.name: each.why_not for each in read.taught(Trip.objects.get(id=trip))}
    assert "is not counted" in str(found["Resin"])
    assert found["Hardener"] is None
    world.shop.do(usage.record_trip, trip=trip)
    assert [each["material"] for each in TripRecord.objects.get().taught] == [
        str(world.shop.names["hardener"])
    ]


def test_record_before_it_is_home_is_refused(world):
    """And after it is not."""
    shop = world.shop
    today = shop.at.date()
    trip = shop.do(
        trips.plan_trip,
        name="Kvitskard",
        leaves_on=today,
        back_on=today + timedelta(3),
        trailers=[world.trailer],
        workshops=[world.workshop],
    ).thing
    shop.do(road.depart, trip=trip)
    with refused("usage.not_home"):
        shop.do(usage.record_trip, trip=trip)
    shop.do(road.come_home, trip=trip)
    shop.do(usage.record_trip, trip=trip)


def test_a_hot_day_on_the_road_ages_what_was_aboard(world):
    """38 °C logged in the trailer for two days: the resin aboard ages by them, a can at home does not."""
    shop = world.shop
    at_home = shop.package("resin", grams(1000), "home-1", expires_on=shop.at.date() + timedelta(400))
    aboard = shop.package(
        "resin", grams(1000), "road-1", expires_on=shop.at.date() + timedelta(400), place=world.zone
    )
    start = shop.at.astimezone(UTC)
    rows = "\n".join(f"{start + n * timedelta(minutes=20):%Y-%m-%d %H:%M:%S},38.0" for n in range(2 * 72 + 1))
    shop.at += 49 * H
    sha256 = loggers.put_aside([b"Time,Bay (\xc2\xb0C)\n" + rows.encode()], now=shop.at)
    asked = loggers_read.Asked(place=world.trailer, sha256=sha256, zone="UTC")
    looked = loggers_read.look(asked, shop.at)
    shop.do(loggers.keep_log, log=loggers.written(asked, looked, remembered(looked.shape)))
    hot, cool = ages.age_of(aboard, shop.at), ages.age_of(at_home, shop.at)
    assert hot.used_days > 2 * 3
    assert hot.assumed_days < 0.2
    assert cool.assumed_days > 1.9
    assert list(differences()) == []
