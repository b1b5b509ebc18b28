"""Loading a trip of two trailers: the one scanned, the one the list says, and the zone of the list in it."""

from uuid import UUID

import pytest

from inventory.actions import loading, road, trips
from inventory.compute.codes import Kind
from inventory.models import State, Trip
from inventory.queries import aboard, objections
from tests import away
from tests.make import Shop, refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def two(shop: Shop) -> Shop:
    """Wren and Heron, each with a zone; a jug that the list puts into zone 1 of Wren."""
    names = away.plan(shop).names
    names["heron"] = shop.place(Kind.TRAILER, "Heron", names["yard"])
    names["back"] = shop.place(Kind.ZONE, "the back", names["heron"])
    shop.do(trips.change_trip, trip=names["trip"], changes={"trailers": [names["trailer"], names["heron"]]})
    names["jug"] = shop.package("resin", place=names["store"])
    shop.do(loading.put_on_list, trip=names["trip"], things=[names["jug"]], zone=names["zone"])
    return shop


def load(shop: Shop, **more: object) -> UUID | None:
    shop.do(road.load, trip=shop.names["trip"], thing=shop.names["jug"], **more)
    return State.objects.get(thing_id=shop.names["jug"]).place_id


def fixes(shop: Shop, to: UUID, *, late: bool = False) -> list[tuple[str, str]]:
    facts = aboard.facts_of(Trip.objects.get(id=shop.names["trip"]), shop.at.date())
    found = objections.objection(facts, aboard.Scan(shop.names["jug"], "X", to, late=late))
    return [(str(fix.label), fix.sure) for fix in found.fixes] if found else []


@pytest.mark.parametrize(("to", "told"), [("back", "the back, Heron"), ("heron", "Heron")])
def test_load_into_the_other_trailer_of_the_trip_is_said_and_done_once_somebody_is_sure(two, to, told):
    """Left chosen by an earlier scan, it would put the balance of both out without a word."""
    place = two.names[to]
    with refused("loading.wrong_trailer", "zone 1, Wren", f"and {told} was scanned"):
        load(two, to=place)
    assert fixes(two, place) == [("Put it into zone 1, Wren", ""), ("Load it here all the same", "trailer")]
    assert fixes(two, place, late=True) == []  # a scan that waited was carried already
    assert load(two, to=place, sure=("trailer",)) == place


def test_load_into_the_trailer_of_the_list_goes_into_the_zone_of_the_list(two):
    """The trailer scanned as a whole, or another of its zones."""
    assert fixes(two, two.names["trailer"]) == fixes(two, two.names["zone 2"]) == []
    assert load(two, to=two.names["trailer"]) == two.names["zone"]
    assert load(two, to=two.names["zone 2"]) == two.names["zone 2"]
