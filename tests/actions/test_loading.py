"""Loading lists: what putting on, setting aside and taking off make true; each refusal beside what is not."""

from datetime import timedelta
from uuid import UUID

import pytest

from inventory.actions import builds, loading, stock, trips
from inventory.actions.loading import line_id
from inventory.compute.codes import Kind
from inventory.models import Listed
from inventory.queries import loading as read
from tests import away
from tests.make import Shop, grams, metres, refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def ready(shop: Shop) -> Shop:
    return away.plan(shop)


@pytest.fixture
def later(ready: Shop) -> UUID:
    """Another trip, a week after."""
    workshop = ready.do(
        builds.plan_workshop,
        name="Low hut",
        starts_on=ready.at.date() + timedelta(11),
        ends_on=ready.at.date() + timedelta(11),
    ).thing
    return away.another(ready, 10, 12, ready.names["trailer"], [workshop], "Low hut")


def line(shop: Shop, thing: UUID) -> Listed:
    return Listed.objects.get(trip_id=shop.names["trip"], thing_id=thing)


def test_put_on_list_when_a_mould_is_scanned_lists_it_with_its_zone(ready):
    mould = ready.place(Kind.BIN, "bin 7", ready.names["store"])
    ready.do(
        loading.put_on_list, trip=ready.names["trip"], things=[mould], zone=ready.names["zone"], why="172 mm"
    )
    row = line(ready, mould)
    assert (row.zone_id, row.why, row.amount, row.ended) == (ready.names["zone"], "172 mm", None, False)


def test_put_on_list_when_listed_twice_has_one_line(ready):
    jug = ready.package()
    for zone in (None, ready.names["zone"]):
        ready.do(loading.put_on_list, trip=ready.names["trip"], things=[jug, jug], zone=zone)
    assert line(ready, jug).zone_id == ready.names["zone"]
    assert line(ready, jug).id == line_id(ready.names["trip"], jug)


def test_put_on_list_when_nothing_or_a_place_is_scanned_is_refused(ready):
    """A bin may go, a store may not."""
    put = {"trip": ready.names["trip"]}
    with refused("loading.nothing"):
        ready.do(loading.put_on_list, things=[], **put)
    with refused("loading.no_goods", "store"):
        ready.do(loading.put_on_list, things=[ready.names["store"]], **put)
    assert not Listed.objects.exists()
    ready.do(loading.put_on_list, things=[ready.place(Kind.BIN, "bin 7", ready.names["store"])], **put)
    assert Listed.objects.count() == 1


def test_put_on_list_when_it_is_on_hold_is_refused_and_the_other_is_not(ready):
    held, free = ready.package(number="H-1"), ready.package(number="H-2")
    ready.do(stock.hold, things=[held], reason="thick")
    with refused("stock.on_hold"):
        ready.do(loading.put_on_list, trip=ready.names["trip"], things=[held])
    ready.do(loading.put_on_list, trip=ready.names["trip"], things=[free])


def test_put_on_list_when_the_zone_is_elsewhere_is_refused(ready):
    jug = ready.package()
    shelf = ready.place(Kind.ZONE, "shelf", ready.names["store"])
    with refused("loading.not_a_zone"):
        ready.do(loading.put_on_list, trip=ready.names["trip"], things=[jug], zone=shelf)
    ready.do(loading.put_on_list, trip=ready.names["trip"], things=[jug], zone=ready.names["zone 2"])


def test_put_on_list_when_the_thing_is_unborn_or_the_trip_unknown_is_refused(ready):
    with refused("thing.unborn"):
        ready.do(loading.put_on_list, trip=ready.names["trip"], things=[UUID(int=5)])
    with refused("card.unknown"):
        ready.do(loading.put_on_list, trip=UUID(int=5), things=[ready.package()])


def test_put_on_list_when_the_trip_is_over_is_refused(ready):
    jug = ready.package()
    ready.at += timedelta(days=7)
    with refused("loading.over", "High hut"):
        ready.do(loading.put_on_list, trip=ready.names["trip"], things=[jug])
    ready.at -= timedelta(days=7)
    ready.do(loading.put_on_list, trip=ready.names["trip"], things=[jug])


def test_put_on_list_when_another_trip_of_the_same_days_has_it_is_refused(ready, later):
    """A mould cannot be in two places; a trip a week later may have it too."""
    mould = ready.package()
    other = ready.place(Kind.TRAILER, "Dunlin", ready.names["yard"])
    workshop = ready.do(
        builds.plan_workshop,
        name="Mid hut",
        starts_on=ready.at.date() + timedelta(4),
        ends_on=ready.at.date() + timedelta(4),
    ).thing
    same_days = away.another(ready, 4, 5, other, [workshop], "Mid hut")
    ready.do(loading.put_on_list, trip=ready.names["trip"], things=[mould])
    ready.do(loading.put_on_list, trip=later, things=[mould])
    with refused("loading.taken", "High hut"):
        ready.do(loading.put_on_list, trip=same_days, things=[mould])
    coil = ready.package("edge", metres(50), "E-1")
    ready.do(loading.set_aside, trip=same_days, package=coil, amount=metres(20))
    with refused("loading.taken", "Mid hut"):  # whole it would take the other's 20 m along
        ready.do(loading.put_on_list, trip=ready.names["trip"], things=[coil])
    ready.do(loading.set_aside, trip=ready.names["trip"], package=coil, amount=metres(30))
    ready.do(loading.put_on_list, trip=later, things=[coil])


def test_set_aside_when_half_is_taken_leaves_half_for_the_other_trip(ready, later):
    coil = ready.package("edge", metres(50), "E-1")
    ready.do(loading.set_aside, trip=ready.names["trip"], package=coil, amount=metres(20))
    assert line(ready, coil).amount == 20_000
    assert read.free(coil, but=later, today=ready.at.date()) == 30_000
    with refused("loading.too_much", "30"):
        ready.do(loading.set_aside, trip=later, package=coil, amount=metres(30.001))
    ready.do(loading.set_aside, trip=later, package=coil, amount=metres(30))


@pytest.mark.parametrize(
    ("amount", "code"),
    [(grams(5), "stock.wrong_unit"), (metres(0), "stock.not_positive"), (metres(50.001), "loading.too_much")],
)
def test_set_aside_when_the_amount_is_wrong_is_refused(ready, amount, code):
    coil = ready.package("edge", metres(50), "E-1")
    with refused(code):
        ready.do(loading.set_aside, trip=ready.names["trip"], package=coil, amount=amount)
    ready.do(loading.set_aside, trip=ready.names["trip"], package=coil, amount=metres(50))


def test_set_aside_when_it_is_no_package_is_refused(ready):
    with refused("stock.not_a_package"):
        ready.do(loading.set_aside, trip=ready.names["trip"], package=ready.names["zone"], amount=metres(1))


def test_take_off_list_when_it_is_on_it_frees_it_and_it_may_go_on_again(ready):
    jug = ready.package()
    values = {"trip": ready.names["trip"], "things": [jug]}
    with refused("loading.not_listed"):
        ready.do(loading.take_off_list, **values)
    ready.do(loading.put_on_list, **values)
    ready.do(loading.take_off_list, **values)
    assert line(ready, jug).ended
    ready.do(loading.put_on_list, **values)
    assert not line(ready, jug).ended


def test_change_trip_when_another_trailer_goes_keeps_its_list(ready):
    """The list is the trip's; a zone of a trailer that stays at home is no place for it any more."""
    jug = ready.package()
    ready.do(loading.put_on_list, trip=ready.names["trip"], things=[jug], zone=ready.names["zone"])
    other = ready.place(Kind.TRAILER, "Dunlin", ready.names["yard"])
    ready.do(trips.change_trip, trip=ready.names["trip"], changes={"trailers": [other]})
    assert [row.thing.id for stop in read.walk(away.trip(ready)).stops for row in stop.lines] == [jug]
    with refused("loading.not_a_zone"):
        ready.do(loading.put_on_list, trip=ready.names["trip"], things=[jug], zone=ready.names["zone"])
