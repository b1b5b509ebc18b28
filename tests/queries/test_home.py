"""What a trip used, what it misses and what it built: of this trip alone, whatever the next one does."""

from datetime import timedelta

import pytest

from inventory.actions import builds, cutting, loading, places, press, road, stock
from inventory.compute.codes import Kind
from inventory.compute.cutting.taken import Size, Some
from inventory.forms.road import CountHome
from inventory.queries import home, usage
from tests import away
from tests.make import Shop, day, grams, metres, pieces

pytestmark = pytest.mark.django_db
H = timedelta(hours=1)


@pytest.fixture
def back(shop: Shop) -> Shop:
    """A jug of 5 kg was on a trip and 1 kg was taken out; it is home and nobody has counted."""
    away.plan(shop)
    names = shop.names
    names["jug"] = shop.package("resin", place=names["store"], expires_on=day("2027-06-30"))
    shop.do(loading.put_on_list, trip=names["trip"], things=[names["jug"]], zone=names["zone"])
    shop.do(road.load, trip=names["trip"], thing=names["jug"])
    shop.do(road.depart, trip=names["trip"])
    shop.do(stock.draw, package=names["jug"], amount=grams(1000))
    shop.at += 5 * 24 * H
    shop.do(road.come_home, trip=names["trip"])
    shop.at += 24 * H
    return shop


def again(shop: Shop) -> None:
    """The trailer leaves on the next trip, with what is still in it."""
    workshop = shop.do(
        builds.plan_workshop,
        name="Low hut",
        starts_on=shop.at.date() + timedelta(1),
        ends_on=shop.at.date() + timedelta(2),
    ).thing
    shop.names["second"] = away.another(shop, 0, 4, shop.names["trailer"], [workshop], name="Low hut")
    shop.do(road.depart, trip=shop.names["second"])


def of_first(shop: Shop) -> home.Used:
    (row,) = home.used(away.trip(shop))
    return row


def test_count_at_home_is_of_the_trip_that_came_home_and_stays_so(back):
    """Counted before the next trip it holds, whatever that takes and counts; it asks for no other count."""
    back.do(stock.count, thing=back.names["jug"], amount=grams(3900))
    again(back)
    back.do(stock.draw, package=back.names["jug"], amount=grams(2000))
    back.do(road.come_home, trip=back.names["second"])
    back.do(road.count_home, trip=back.names["second"], counts=[(back.names["jug"], grams(1800))])
    row = of_first(back)
    assert (row.left, row.gone, row.late) == (3_900_000, 1_100_000, False)
    (second,) = home.used(away.Trip.objects.get(id=back.names["second"]))
    assert (second.had, second.gone) == (3_900_000, 2_100_000)


@pytest.mark.parametrize("what", ["driven off", "taken from at home", "taken from and counted for it"])
def test_count_after_it_was_used_again_is_of_no_trip_that_came_home_before(back, what):
    """Not counted in time: whatever is found later says nothing of this trip, and is not asked for."""
    jug = back.names["jug"]
    assert not of_first(back).late
    assert CountHome(rows=home.used(away.trip(back))).rows
    if what == "driven off":
        again(back)
    else:
        back.do(stock.draw, package=jug, amount=grams(2000))
    if what == "taken from and counted for it":
        back.do(road.count_home, trip=back.names["trip"], counts=[(jug, grams(1900))])
    else:
        back.do(stock.count, thing=jug, amount=grams(1900))
    row = of_first(back)
    assert (row.late, row.counted_at, row.gone) == (True, None, 1_000_000)
    assert not CountHome(rows=home.used(away.trip(back))).rows
    (taught,) = usage.taught(away.trip(back))
    assert "was not counted before it was used again" in str(taught.why_not)


def test_missing_is_what_this_trip_looked_for_in_vain(back):
    """Lost on the second trip it stands on that one's page; and is to be unloaded from neither."""
    again(back)
    second = away.Trip.objects.get(id=back.names["second"])
    assert [thing.id for thing in home.still_aboard(second).unload] == [back.names["jug"]]
    back.do(road.not_here, trip=second.id, thing=back.names["jug"])
    assert [thing.id for thing in home.missing(second)] == [back.names["jug"]]
    assert home.missing(away.trip(back)) == []
    assert home.still_aboard(away.trip(back)).unload == ()
    back.do(places.move, things=[back.names["jug"]], to=back.names["store"])
    assert home.missing(second) == []


def test_what_was_cut_is_to_be_unloaded_or_missing_as_a_package_is(back):
    """Four edges cut from a coil aboard: the batch lies where the coil does; in a bin it goes with that."""
    names = back.names
    coil = back.package("edge", metres(14), "E-1", place=names["zone"])
    cut = [Some(Size(1700), 4)]
    batch, *_ = back.do(cutting.cut, source=coil, pieces=cut, offcuts=[], kerf_mm=2.0).things
    there = {thing.id for thing in home.still_aboard(away.trip(back)).unload}
    assert there == {names["jug"], coil, batch}
    back.do(road.not_here, trip=names["trip"], thing=batch)
    assert batch not in {thing.id for thing in home.still_aboard(away.trip(back)).unload}
    bin_ = back.place(Kind.BIN, "bin 7", names["zone"])
    back.do(places.move, things=[batch, coil], to=bin_)
    assert {thing.id for thing in home.still_aboard(away.trip(back)).unload} == {names["jug"], bin_}


def test_pair_counts_as_built_on_a_trip_when_it_was_laid_up_before_that_was_home(shop):
    """One was laid up while away; the other by an hour too late."""
    away.plan(shop)
    blanks = shop.package("blank", pieces(10), "K-1")
    built, *skis = shop.pair(workshop=shop.names["workshop"])
    _, *later = shop.pair("Bo", workshop=shop.names["workshop"])
    shop.do(road.depart, trip=shop.names["trip"])
    for ski in skis:
        shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1))])
    shop.at += 100 * H
    shop.do(road.come_home, trip=shop.names["trip"])
    shop.at += H
    for ski in later:
        shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1))])
    assert [pair.thing_id for pair in usage.built(away.trip(shop))] == [built]
