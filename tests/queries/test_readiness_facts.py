"""What the answer before a trip is read from: once, flat, with what is supposed applied."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.actions import builds, materials, stock, trips
from inventory.compute.codes import Kind
from inventory.queries.readiness.facts import Facts, Supposing
from inventory.queries.readiness.reader import read
from tests import away, make

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop: make.Shop) -> make.Shop:
    return away.plan(shop)


def facts(shop: make.Shop, supposing: Supposing | None = None) -> Facts:
    return read(away.trip(shop), shop.at.date(), supposing)


def test_read_when_a_jug_lies_in_the_trailer_knows_that_it_is_aboard(world: make.Shop) -> None:
    """The same jug in the barn is not; both know where they lie."""
    here = world.package(place=world.names["zone"])
    home = world.package(number="N-2", place=world.names["store"])
    spots = {each.id: each.spot for each in facts(world).packages}
    assert spots[here].aboard
    assert spots[here].goes
    assert not spots[home].goes
    assert spots[here].goes_in == world.names["trailer"]
    assert spots[here].goes_zone == world.names["zone"]
    assert facts(world).where(spots[home]) == "the barn"


def test_read_when_the_trailer_is_supposed_to_stay_has_nothing_aboard(world: make.Shop) -> None:
    world.package(place=world.names["zone"])
    there = facts(world, Supposing(without=world.names["trailer"]))
    assert there.trailers == ()
    assert there.aboard == ()
    assert len(facts(world).trailers) == len(facts(world).aboard) == 1


def test_read_when_a_guest_more_is_supposed_has_one_more_open_seat(world: make.Shop) -> None:
    world.pair(workshop=world.names["workshop"])
    assert [each.open_seats for each in facts(world).workshops] == [1]
    assert [each.open_seats for each in facts(world, Supposing(guests=1)).workshops] == [2]


def test_read_when_a_pair_is_booked_knows_its_seat_and_its_skis(world: make.Shop) -> None:
    pair, *_ = world.pair(workshop=world.names["workshop"])
    (found,) = facts(world).pairs
    assert found.id == pair
    assert found.seat == "booked"
    assert found.shaped is None
    assert [ski.side for ski in found.skis] == ["left", "right"]
    assert not found.both("profiled")


def statements(shop: make.Shop) -> int:
    with CaptureQueriesContext(connection) as caught:
        facts(shop)
    return len(caught)


def test_read_when_there_is_ten_times_as_much_asks_no_more_of_the_database(world: make.Shop) -> None:
    def more(count: int) -> None:
        workshop: UUID = world.do(
            builds.plan_workshop,
            name="Low hut",
            starts_on=world.at.date() + timedelta(4),
            ends_on=world.at.date() + timedelta(4),
        ).thing
        for at in range(count):
            world.pair(f"Guest {at}", workshop=workshop)
            late = world.at.date() + timedelta(200)
            world.package(number=f"M-{at}", place=world.names["zone"], expires_on=late)
            world.place(Kind.BIN, f"bin {at} of {count}", world.names["store"])
        world.do(
            trips.change_trip,
            trip=world.names["trip"],
            changes={"workshops": [world.names["workshop"], workshop]},
        )

    more(1)
    few = statements(world)
    more(10)
    assert statements(world) == few


@pytest.mark.parametrize(("clock", "day"), [("22:59", 28), ("23:01", 29)])
def test_read_when_clocks_change_counts_an_opened_life_by_the_shops_own_day(
    world: make.Shop, clock: str, day: int
) -> None:
    """Opened about midnight before summer time begins in Oslo, 28 March 2027; until then UTC + 1 h."""
    hour, minute = map(int, clock.split(":"))
    world.at = datetime(2027, 3, 27, hour, minute, tzinfo=UTC) - timedelta(seconds=2)
    jug = world.package(expires_on=date(2027, 12, 1))
    changes = {"opened_life_days": 1}
    world.do(materials.edit_material, material=world.names["resin"], changes=changes)
    world.at = datetime(2027, 3, 27, hour, minute, tzinfo=UTC) - timedelta(seconds=1)
    world.do(stock.open_package, package=jug)
    with timezone.override(ZoneInfo("Europe/Oslo")):
        trip = away.trip(world)
        (found,) = read(trip, date(2027, 3, 28)).packages
    assert found.through == date(2027, 3, day)
