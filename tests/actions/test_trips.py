"""Trips: what planning makes true, and what it refuses, each beside the plan that differs by one fact."""

from datetime import date
from uuid import UUID

import pytest

from inventory.actions import builds, trips
from inventory.compute.codes import Kind
from inventory.models import Revision, Trip
from tests.make import Shop, refused

THURSDAY, FRIDAY, SUNDAY, MONDAY = (date(2026, 12, day) for day in (3, 4, 6, 7))


@pytest.fixture
def trailer(shop: Shop) -> UUID:
    return shop.place(Kind.TRAILER, "Stoat", shop.place(Kind.YARD, "Hvitmo"))


@pytest.fixture
def workshop(shop: Shop) -> UUID:
    return shop.do(builds.plan_workshop, name="Kvitskard", starts_on=FRIDAY, ends_on=SUNDAY).thing


@pytest.fixture
def plan(trailer: UUID, workshop: UUID) -> dict[str, object]:
    return {
        "name": "Kvitskard",
        "leaves_on": THURSDAY,
        "back_on": MONDAY,
        "trailers": [trailer],
        "workshops": [workshop],
    }


def test_plan_trip_when_all_is_said_keeps_its_days_trailers_and_workshops(shop, plan):
    """The card says what was planned."""
    row = Trip.objects.get(id=shop.do(trips.plan_trip, **plan).thing)
    assert (row.name, row.leaves_on, row.back_on) == ("Kvitskard", THURSDAY, MONDAY)
    assert row.trailers == [str(plan["trailers"][0])]
    assert row.workshops == [str(plan["workshops"][0])]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"name": "  "}, "trip.no_name"),
        ({"back_on": date(2026, 12, 2)}, "trip.dates_reversed"),
        ({"trailers": []}, "trip.no_trailer"),
        ({"rules": "of the moon"}, "trip.rules"),
        ({"workshops": []}, "trip.no_workshop"),
        ({"workshops": [UUID(int=7)]}, "trip.no_workshop"),
        ({"trailers": [UUID(int=7)]}, "trip.not_a_trailer"),
        ({"leaves_on": date(2026, 12, 5)}, "trip.workshop_outside"),
        ({"back_on": date(2026, 12, 5)}, "trip.workshop_outside"),
    ],
)
def test_plan_trip_when_one_fact_is_wrong_is_refused_and_leaves_nothing(shop, plan, change, code):
    """The same plan with that one fact right can be made."""
    with refused(code):
        shop.do(trips.plan_trip, **plan | change)
    assert not Trip.objects.exists()
    assert not Revision.objects.filter(card="trip").exists()
    assert shop.do(trips.plan_trip, **plan).thing


def test_plan_trip_when_a_store_is_chosen_as_trailer_is_refused(shop, plan):
    """Only a trailer drives."""
    store = shop.place(Kind.STORE, "the Loft")
    with refused("trip.not_a_trailer"):
        shop.do(trips.plan_trip, **plan | {"trailers": [*plan["trailers"], store]})
    shop.do(trips.plan_trip, **plan)


def test_plan_trip_when_a_trailer_is_away_is_refused_and_says_where_and_until_when(shop, plan):
    """From the day it is back it can leave again."""
    shop.do(trips.plan_trip, **plan)
    later = shop.do(
        builds.plan_workshop, name="Hestlia", starts_on=date(2026, 12, 8), ends_on=date(2026, 12, 9)
    )
    second = plan | {"name": "Hestlia", "workshops": [later.thing], "back_on": date(2026, 12, 10)}
    with refused("trip.trailer_away", "Stoat", "Kvitskard", str(MONDAY)):
        shop.do(trips.plan_trip, **second | {"leaves_on": SUNDAY})
    assert shop.do(trips.plan_trip, **second | {"leaves_on": MONDAY}).thing


def test_change_trip_when_days_change_keeps_what_was_said_before(shop, plan):
    """The history has both; a change that planning would refuse is refused."""
    trip = shop.do(trips.plan_trip, **plan).thing
    with refused("trip.workshop_outside", "Kvitskard"):
        shop.do(trips.change_trip, trip=trip, changes={"leaves_on": SUNDAY})
    assert Trip.objects.get(id=trip).leaves_on == THURSDAY
    shop.do(trips.change_trip, trip=trip, changes={"leaves_on": FRIDAY})
    last = Revision.objects.filter(card="trip").order_by("clock").last()
    assert (last.before, last.after) == ({"leaves_on": str(THURSDAY)}, {"leaves_on": str(FRIDAY)})


def test_change_trip_when_there_is_none_is_refused(shop, plan):
    """The trip that is there can be changed."""
    with refused("card.unknown"):
        shop.do(trips.change_trip, trip=UUID(int=9), changes={"name": "Hestlia"})
    shop.do(trips.change_trip, trip=shop.do(trips.plan_trip, **plan).thing, changes={"name": "Hestlia"})
    assert Trip.objects.get().name == "Hestlia"
