"""The loading list in walking order."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import equipment, loading, places, press
from inventory.compute.codes import Kind
from inventory.queries.loading import walk
from tests import away
from tests.make import Shop, grams, metres

pytestmark = pytest.mark.django_db


@pytest.fixture
def ready(shop: Shop) -> Shop:
    return away.plan(shop)


def put(shop: Shop, *things, **more) -> None:
    shop.do(loading.put_on_list, trip=shop.names["trip"], things=list(things), **more)


def test_walk_when_things_lie_in_two_places_goes_place_by_place_the_heaviest_first(ready):
    """Bin 2 comes before bin 10 of no use here: places go by name, as the map of places has them."""
    attic = ready.place(Kind.STORE, "attic", ready.names["yard"])
    light = ready.package("resin", grams(500), "R-1", place=ready.names["store"])
    heavy = ready.package("resin", grams(5000), "R-2", place=ready.names["store"])
    upstairs = ready.package("resin", grams(100), "R-3", place=attic)
    put(ready, light, upstairs, heavy)
    found = walk(away.trip(ready))
    assert [stop.lies for stop in found.stops] == ["attic", "the barn"]
    assert [line.thing.id for stop in found.stops for line in stop.lines] == [upstairs, heavy, light]
    assert found.count == 3


def test_walk_when_bins_stand_in_one_place_goes_by_what_is_in_them(ready):
    """A bin weighs what lies in it: the one with resin and a hose before a jug, the one with a can after."""
    heavy, light = (ready.place(Kind.BIN, name, ready.names["store"]) for name in ("a box", "b box"))
    ready.package("resin", grams(3000), "R-1", place=heavy)
    ready.do(
        equipment.make_equipment,
        kind=Kind.EQUIPMENT,
        name="Hose",
        place=heavy,
        facts={"sort": "hose", "mass_mg": 3_000_000},
    )
    ready.package("resin", grams(500), "R-2", place=light)
    jug = ready.package("resin", grams(5000), "R-3", place=ready.names["store"])
    put(ready, light, jug, heavy)
    ((stop),) = walk(away.trip(ready)).stops
    assert [line.thing.id for line in stop.lines] == [heavy, jug, light]
    assert stop.lines[0].mass_mg == 6_000_000


def test_walk_when_part_of_a_coil_is_set_aside_says_how_much(ready):
    coil = ready.package("edge", metres(50), "E-1", place=ready.names["store"])
    ready.do(
        loading.set_aside,
        trip=ready.names["trip"],
        package=coil,
        amount=metres(4.1),
        zone=ready.names["zone"],
        why="one pair more",
    )
    ((line,),) = [stop.lines for stop in walk(away.trip(ready)).stops]
    assert line.part
    assert str(line.amount.value) == "4100"
    assert (line.zone, line.why) == ("zone 1, Wren", "one pair more")


def test_walk_when_a_bin_was_loaded_says_that_it_is_aboard_with_all_in_it(ready):
    bin = ready.place(Kind.BIN, "bin 7", ready.place(Kind.ZONE, "shelf", ready.names["store"]))
    ready.package(place=bin)
    ready.do(press.put_equipment_into_use, kind=Kind.EQUIPMENT, name="Hose", place=bin)
    put(ready, bin)
    assert [line.inside for stop in walk(away.trip(ready)).stops for line in stop.lines] == [2]
    ready.do(places.move, things=[bin], to=ready.names["zone"])
    found = walk(away.trip(ready))
    assert not found.stops
    assert [line.thing.id for line in found.aboard] == [bin]


def test_walk_when_ten_times_as_much_is_listed_asks_no_more_of_the_database(ready):
    def statements() -> int:
        with CaptureQueriesContext(connection) as caught:
            walk(away.trip(ready))
        return len(caught)

    put(ready, ready.package(number="Q-0", place=ready.place(Kind.BIN, "bin 0", ready.names["store"])))
    put(ready, ready.place(Kind.BIN, "bin 11", ready.names["store"]))
    few = statements()
    for at in range(1, 11):
        bin = ready.place(Kind.BIN, f"bin {at}", ready.names["store"])
        put(ready, ready.package(number=f"Q-{at}", place=bin), bin)
    assert statements() == few
