"""Trips: what planning makes true, and what it refuses, each beside the plan that differs by one fact."""

from datetime import date
from uuid import UUID

import pytest

from inventory.actions import builds, loading, places, trips
from inventory.actions.shop import change_shop
from inventory.compute.codes import Kind
from inventory.models import Listed, Revision, TowCar, Trip
from inventory.queries import trips as read
from tests.make import Shop, metres, refused

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
    with refused("trip.away", "Stoat", "Kvitskard", str(MONDAY)):
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


# --- what drives, who, how warm, and the next trip ------------------------------------------------------


@pytest.fixture
def car(shop: Shop) -> UUID:
    return shop.place(Kind.TOW_CAR, "The grey van")


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"sort": "outing"}, "trip.sort"),
        ({"loads_on": FRIDAY}, "trip.load_day"),
        ({"crossings": ["ford"]}, "trip.crossing"),
        ({"bay_c": 90.0}, "trip.warmth"),
        ({"road_low_c": 5.0, "road_high_c": -5.0}, "trip.warmth"),
        ({"watchers": [UUID(int=7)]}, "trip.nobody"),
        ({"rules": "none"}, "trip.rules"),
    ],
)
def test_plan_trip_when_one_more_fact_is_wrong_is_refused_and_leaves_nothing(shop, plan, change, code):
    """The same facts, each possible, are kept."""
    with refused(code):
        shop.do(trips.plan_trip, **plan | change)
    assert not Trip.objects.exists()
    right = {
        "sort": "workshop",
        "loads_on": THURSDAY,
        "crossings": ["ferry"],
        "bay_c": 15.0,
        "road_low_c": -5.0,
        "road_high_c": 5.0,
        "watchers": [shop.owner],
        "rules": "adr",
    }
    row = Trip.objects.get(id=shop.do(trips.plan_trip, **plan | right).thing)
    assert (row.loads_on, row.crossings, row.bay_c, row.watchers) == (
        THURSDAY,
        ["ferry"],
        15.0,
        [str(shop.owner)],
    )


def test_plan_trip_when_the_car_is_none_or_away_or_draws_two_is_refused(shop, plan, car, trailer):
    """One car, one trailer, one trip at a time."""
    yard = shop.place(Kind.YARD, "Elsewhere")
    other = shop.place(Kind.TRAILER, "Ptarmigan", yard)
    with refused("trip.not_a_car"):
        shop.do(trips.plan_trip, **plan | {"tows": {str(trailer): [str(trailer), ""]}})
    both = {str(trailer): [str(car), ""], str(other): [str(car), ""]}
    with refused("trip.car_twice", "The grey van"):
        shop.do(trips.plan_trip, **plan | {"trailers": [trailer, other], "tows": both})
    with refused("trip.nobody"):
        shop.do(trips.plan_trip, **plan | {"tows": {str(trailer): [str(car), str(UUID(int=7))]}})
    shop.do(trips.plan_trip, **plan | {"tows": {str(trailer): [str(car), str(shop.owner)]}})
    again = plan | {"trailers": [other], "tows": {str(other): [str(car), ""]}}
    with refused("trip.away", "Kvitskard"):
        shop.do(trips.plan_trip, **again)
    shop.do(trips.plan_trip, **again | {"tows": {}})


def test_plan_trip_when_it_is_a_supply_run_needs_no_workshop(shop, plan):
    with refused("trip.no_workshop"):
        shop.do(trips.plan_trip, **plan | {"workshops": []})
    shop.do(trips.plan_trip, **plan | {"workshops": [], "sort": "supply run"})


def test_change_trip_when_it_is_cancelled_frees_its_trailer(shop, plan):
    """Another trip may have it then; the same days were refused before."""
    first = shop.do(trips.plan_trip, **plan).thing
    with refused("trip.away"):
        shop.do(trips.plan_trip, **plan)
    shop.do(trips.change_trip, trip=first, changes={"cancelled": True})
    shop.do(trips.plan_trip, **plan)


def test_copy_trip_takes_what_drives_and_of_the_list_what_comes_back(shop, plan, car, trailer):
    """A bin goes again; so much of a package was for other pairs. Days keep their distance."""
    yard = shop.place(Kind.YARD, "Elsewhere")
    bin = shop.place(
        Kind.BIN, "edge box", shop.place(Kind.ZONE, "shelf", shop.place(Kind.STORE, "barn", yard))
    )
    coil = shop.package("edge", metres(50), "E-1")
    facts = {
        "loads_on": date(2026, 12, 2),
        "tows": {str(trailer): [str(car), str(shop.owner)]},
        "bay_c": 12.0,
    }
    first = shop.do(trips.plan_trip, **plan | facts).thing
    shop.do(loading.put_on_list, trip=first, things=[bin], why="Every time.")
    shop.do(loading.set_aside, trip=first, package=coil, amount=metres(20))
    later = shop.do(
        builds.plan_workshop, name="Hestlia", starts_on=date(2026, 12, 18), ends_on=date(2026, 12, 18)
    ).thing
    copy = {"trip": first, "name": "Hestlia", "workshops": [later]}
    with refused("trip.workshop_outside"):
        shop.do(trips.copy_trip, leaves_on=date(2026, 12, 19), **copy)
    with refused("card.unknown"):
        shop.do(trips.copy_trip, leaves_on=date(2026, 12, 17), **copy | {"trip": UUID(int=7)})
    row = Trip.objects.get(id=shop.do(trips.copy_trip, leaves_on=date(2026, 12, 17), **copy).thing)
    assert (row.loads_on, row.back_on) == (date(2026, 12, 16), date(2026, 12, 21))
    assert (row.tows, row.bay_c, row.workshops) == (facts["tows"], 12.0, [str(later)])
    assert [(line.thing_id, line.why) for line in Listed.objects.filter(trip=row)] == [(bin, "Every time.")]


def test_shop_when_it_carries_more_in_reserve_than_anybody_is_refused(shop):
    """Five spare pairs and 100 % are the most."""
    with refused("shop.reserve"):
        shop.do(change_shop, spare_pairs=6)
    with refused("shop.reserve"):
        shop.do(change_shop, reserve_percent=101)
    shop.do(change_shop, spare_pairs=5, reserve_percent=100)


def test_workshop_when_its_venue_closes_before_it_opens_is_refused(shop, workshop):
    hours = {"opens_min": 8 * 60, "closes_min": 8 * 60}
    with refused("workshop.hours", "08:00"):
        shop.do(builds.change_workshop, workshop=workshop, changes=hours)
    shop.do(builds.change_workshop, workshop=workshop, changes=hours | {"closes_min": 20 * 60})


def test_tow_car_is_a_place_whose_card_keeps_its_plates(shop, car):
    """Renamed, it has one name; a length that no car has is refused."""
    shop.do(places.edit_place, place=car, changes={"name": "The red van", "gross_mg": 3_200_000_000})
    row = TowCar.objects.get(thing_id=car)
    assert (row.name, row.gross_mg, read.trailer_name(car)) == ("The red van", 3_200_000_000, "The red van")
    with refused("place.measure"):
        shop.do(places.edit_place, place=car, changes={"wheelbase_mm": 30_000})
