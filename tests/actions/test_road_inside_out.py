"""A bin loaded inside out: what is in it before it, itself into itself, what is in it after it."""

from datetime import timedelta
from uuid import UUID

import pytest

from inventory.actions import loading, places, road, stock
from inventory.compute.codes import Kind
from inventory.models import Event, State
from inventory.queries import aboard
from inventory.queries.books import differences
from inventory.queries.loading import walk
from inventory.queries.readiness.reader import read
from tests import away
from tests.make import Shop, day, refused, token

pytestmark = pytest.mark.django_db


@pytest.fixture
def ready(shop: Shop) -> Shop:
    """Bin 7 on the list for zone 1, with a can in it; bin 8 beside it in the store."""
    away.plan(shop)
    names = shop.names
    names["bin"] = shop.place(Kind.BIN, "bin 7", names["store"])
    names["other"] = shop.place(Kind.BIN, "bin 8", names["store"])
    names["can"] = shop.package("glue", place=names["bin"])
    shop.do(loading.put_on_list, trip=names["trip"], things=[names["bin"]], zone=names["zone"])
    return shop


def load(shop: Shop, thing: str, **more: object) -> UUID | None:
    shop.do(road.load, trip=shop.names["trip"], thing=shop.names[thing], **more)
    return State.objects.get(thing_id=shop.names[thing]).place_id


def left(shop: Shop) -> int:
    return walk(away.trip(shop)).count


def test_content_scanned_before_its_bin_is_refused_and_the_bin_takes_it_along(ready):
    """Into a zone or by the list, at once or late: it stays in its bin until the bin is scanned."""
    for more in ({}, {"to": ready.names["zone 2"]}, {"by": ready.by(at=ready.at)}):
        with refused("loading.in_bin", "bin 7"):
            load(ready, "can", **more)
    assert load(ready, "bin") == ready.names["zone"]
    assert State.objects.get(thing_id=ready.names["can"]).place_id == ready.names["bin"]
    assert left(ready) == 0
    assert list(differences()) == []


def test_content_that_is_wanted_loose_goes_loose_and_the_bin_goes_without_it(ready):
    """Somebody is sure: the can has a line of its own, lies in zone 2, and is not moved by its old bin."""
    assert load(ready, "can", to=ready.names["zone 2"], sure=["listed"]) == ready.names["zone 2"]
    assert load(ready, "bin") == ready.names["zone"]
    assert State.objects.get(thing_id=ready.names["can"]).place_id == ready.names["zone 2"]
    assert left(ready) == 0
    assert list(differences()) == []


def test_content_scanned_after_its_bin_moves_nothing(ready):
    """The bin is aboard, and so is what is in it: by the list, into its zone, once more; not into another."""
    load(ready, "bin")
    moved = Event.objects.filter(step="moved").count()
    for more in ({}, {"to": ready.names["zone"]}, {"to": ready.names["bin"]}, {"by": ready.by(at=ready.at)}):
        assert load(ready, "can", **more) == ready.names["bin"]
    with refused("loading.in_bin", "bin 7"):
        load(ready, "can", to=ready.names["zone 2"])
    assert Event.objects.filter(step="moved").count() == moved


def test_content_of_a_bin_that_no_line_names_is_aboard_with_it_unless_it_is_on_hold(ready):
    """A bin that never left the trailer: its can needs no line; a held can, and one at home, are refused."""
    bin_ = ready.place(Kind.BIN, "bin 9", ready.names["zone 2"])
    for number, name in enumerate(("free", "held")):
        ready.names[name] = ready.package("glue", number=f"G-{number}", place=bin_)
    ready.do(stock.hold, things=[ready.names["held"]], reason="cloudy")
    moved = Event.objects.filter(step="moved").count()
    assert load(ready, "free") == bin_
    with refused("stock.on_hold"):
        load(ready, "held")
    assert Event.objects.filter(step="moved").count() == moved
    ready.names["home"] = ready.package("glue", number="G-9", place=ready.names["store"])
    with refused("loading.not_listed"):
        load(ready, "home")


def test_content_aboard_that_passes_its_date_before_the_trip_is_done_is_said_to(ready):
    """Until somebody is sure; the same can with a date after the trip is aboard and no more is said."""
    for name, expires in (("short", ready.at.date() + timedelta(2)), ("long", day("2027-06-30"))):
        ready.names[name] = ready.package("glue", number=name, place=ready.names["bin"], expires_on=expires)
    load(ready, "bin")
    with refused("loading.past"):
        load(ready, "short")
    for thing, more in (
        ("long", {}),
        ("short", {"sure": ["past"]}),
        ("short", {"by": ready.by(at=ready.at - timedelta(1))}),
    ):
        assert load(ready, thing, **more) == ready.names["bin"]


def test_content_is_aboard_since_it_or_its_bin_was_last_put_there(ready):
    """The bin at nine, a second can into it at ten: that one since ten; not of its own act."""
    ready.at += timedelta(hours=1)
    load(ready, "bin")
    nine = ready.at

    def since(thing, scan=None):
        facts = read(away.trip(ready), ready.at.date())
        return aboard.aboard_since(facts, ready.names[thing], scan or token())

    ready.names["late"] = ready.package("glue", number="G-2", place=ready.names["store"])
    ready.at += timedelta(hours=1)
    put = ready.do(places.move, things=[ready.names["late"]], to=ready.names["bin"]).token
    assert since("can", put) == nine
    assert since("late") == ready.at
    assert since("late", put) is None


@pytest.mark.parametrize(
    ("thing", "to", "code"),
    [
        ("bin", "bin", "loading.other_trailer"),
        ("bin", "other", "loading.other_trailer"),
        ("zone", "bin", "loading.no_goods"),
        ("trailer", "zone", "loading.no_goods"),
    ],
    ids=["a bin into itself", "a bin into another", "a zone into a bin", "a trailer into its zone"],
)
def test_place_loaded_inside_out_is_refused_and_the_right_way_round_it_is_not(ready, thing, to, code):
    """One thing lies in the other, never the other way round."""
    with refused(code):
        load(ready, thing, to=ready.names[to])
    assert load(ready, "bin", to=ready.names["zone 2"]) == ready.names["zone 2"]


@pytest.mark.parametrize("to", ["bin", "other"])
def test_bin_that_is_aboard_goes_into_no_bin(ready, to):
    """Aboard too: neither into itself nor into another."""
    load(ready, "bin")
    load(ready, "other", to=ready.names["zone"], sure=["listed"])
    with refused("place.rank"):
        load(ready, "bin", to=ready.names[to])
    assert load(ready, "bin", to=ready.names["zone 2"]) == ready.names["zone 2"]
    assert list(differences()) == []
