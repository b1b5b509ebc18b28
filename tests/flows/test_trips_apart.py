"""A trip weighed on one laptop, recorded on the other: its numbers and copies are the same once they met."""

from datetime import timedelta

from inventory.actions import builds, road, trips, usage
from inventory.models import Trip
from inventory.queries import trip_numbers
from inventory.queries.usage import last_time
from tests import away

KG = 1_000_000


def test_plan_weights_record_and_copy_travel_and_come_back(laptops):
    """Left and weighed on A, weighed at home and recorded on B, copied on A: both tell the same."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        away.plan(shop)
        trip, trailer = shop.names["trip"], shop.names["trailer"]
        shop.do(road.weigh_load, trip=trip, when="leaving", weights=[(trailer, 912 * KG, 81 * KG)])
        shop.do(road.depart, trip=trip)
    b.merge(a.export(), shop.by())
    b.do(road.weigh_load, shop.by(), trip=trip, when="home", weights=[(trailer, 905 * KG, 80 * KG)])
    b.do(road.come_home, shop.by(), trip=trip)
    b.do(usage.record_trip, shop.by(), trip=trip, next_time="A second scale.")
    with b.in_hand():
        (kept,) = trip_numbers.numbers(Trip.objects.get(id=trip))["weights"]
    assert (kept["leaving"], kept["home"]) == ([912 * KG, 81 * KG], [905 * KG, 80 * KG])
    a.merge(b.export(), shop.by())
    with a.in_hand():
        day = shop.at.date() + timedelta(20)
        low = shop.do(builds.plan_workshop, name="Low hut", starts_on=day, ends_on=day, capacity=1).thing
        copy = shop.do(trips.copy_trip, trip=trip, name="Low hut", leaves_on=day, workshops=[low]).thing
    b.merge(a.export(), shop.by())
    for laptop in (a, b):
        with laptop.in_hand():
            row = Trip.objects.get(id=copy)
            assert row.planned_as_id == trip
            before = last_time(row)
            assert before.next_time == "A second scale."
            assert before.numbers["weights"] == [kept]
