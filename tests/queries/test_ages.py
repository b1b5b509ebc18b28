"""Where packages stood and how warm it was: moves, bins that travelled, pouring, readings, assumptions."""

from datetime import timedelta

import pytest

from inventory.actions import care, materials, places, stock
from inventory.compute.ageing import charge
from inventory.compute.codes import Kind
from inventory.compute.reasons import Basis, Given, Level
from inventory.compute.units import Base
from inventory.queries.ages import STORE_C, TRAILER_C, age_of, told_where, where_stood
from tests.make import day, grams

pytestmark = pytest.mark.django_db
H = timedelta(hours=1)


@pytest.fixture
def house(shop):
    """A store, a trailer, a bin in the store, a jug of resin in the bin; and what they are called."""
    store, trailer = shop.place(Kind.STORE, "Loft"), shop.place(Kind.TRAILER, "Stoat")
    bin_ = shop.place(Kind.BIN, "bin", store)
    resin = shop.do(
        materials.make_material,
        key="r",
        name="R",
        base=Base.MG,
        facts={"stored_to_c": 27.0, "opened_life_days": 100},
    ).thing
    jug = shop.do(
        stock.receive_lot,
        material=resin,
        number="N",
        packages=[grams(1000)],
        expires_on=day("2027-11-30"),
        place=bin_,
    ).things[-1]
    return {"store": store, "trailer": trailer, "bin": bin_, "jug": jug}


def later(shop, hours):
    shop.at += hours * H
    return shop.at


def test_where_it_stood_follows_the_bin_and_the_jug(shop, house):
    """Bin into the trailer, jug out into the store: three stretches, each with all it stood in."""
    shop.do(places.move, by=_at(shop, later(shop, 24)), things=[house["bin"]], to=house["trailer"])
    shop.do(places.move, by=_at(shop, later(shop, 24)), things=[house["jug"]], to=house["store"])
    found = where_stood(house["jug"], later(shop, 24))
    assert [stretch.places for stretch in found] == [
        (house["bin"], house["store"]),
        (house["bin"], house["trailer"]),
        (house["store"],),
    ]
    assert found[0].ends == found[1].starts
    assert found[-1].ends == shop.at


def _at(shop, at):
    shop.at = at
    return shop.by()


def test_what_was_poured_is_as_old_as_what_it_was_poured_from(shop, house):
    """A bottle filled after a day carries the jug's day with it."""
    later(shop, 24)
    bottle = shop.do(stock.split_package, package=house["jug"], amount=grams(100)).thing
    end = later(shop, 24)
    jug, poured = age_of(house["jug"], end), age_of(bottle, end)
    assert poured.used_days == pytest.approx(jug.used_days)
    assert [stretch.places for stretch in where_stood(bottle, end)] == [(house["bin"], house["store"])] * 2


def test_age_without_readings_is_assumed_by_the_place_and_says_so(shop, house):
    """A day in the store, a day in the trailer: charged at what each is taken to be, all of it assumed."""
    begun = shop.at
    shop.do(places.move, by=_at(shop, begun + 24 * H), things=[house["bin"]], to=house["trailer"])
    age = age_of(house["jug"], begun + 48 * H)
    label = Given(27.0, Basis.DATA_SHEET)
    expected = sum(charge(celsius=c.value, label_c=label).charged for c in (STORE_C, TRAILER_C))
    assert age.used_days == pytest.approx(expected, rel=1e-3)
    assert age.assumed_days == pytest.approx(2, rel=1e-3)
    assert "assumed" in str(age.verdict.reasons[-1].sentence)


def test_age_with_the_places_own_assumption_takes_that(shop, house):
    """The card of the trailer says 50 degrees: so be it, also for what stands in it."""
    shop.do(places.edit_place, place=house["store"], changes={"assumed_c": 50.0})
    age = age_of(house["jug"], later(shop, 24))
    expected = charge(celsius=50.0, label_c=Given(27.0, Basis.DATA_SHEET)).charged
    assert age.used_days == pytest.approx(expected, rel=1e-3)


def test_age_with_readings_is_measured_where_anybody_read(shop, house):
    """A thermometer that keeps its highest read twice a day apart: that day counts at it, no more assumed."""
    shop.do(care.record_reading, place=house["store"], celsius=18.0)
    later(shop, 24)
    shop.do(care.record_reading, place=house["store"], celsius=20.0, highest_c=24.0)
    age = age_of(house["jug"], shop.at)
    assert age.used_days == pytest.approx(1, rel=1e-2)
    assert age.assumed_days == pytest.approx(0, abs=1e-3)


def test_age_takes_the_innermost_place_where_anybody_read(shop, house):
    """The bin by the stove is warmer than the store: the bin's thermometer counts."""
    for place, highest in ((house["store"], 20.0), (house["bin"], 45.0)):
        shop.do(care.record_reading, place=place, celsius=18.0)
        house[f"{place}"] = highest
    later(shop, 24)
    for place in (house["store"], house["bin"]):
        shop.do(care.record_reading, place=place, celsius=18.0, highest_c=house[f"{place}"])
    age = age_of(house["jug"], shop.at)
    expected = charge(celsius=45.0, label_c=Given(27.0, Basis.DATA_SHEET)).charged
    assert age.used_days == pytest.approx(expected, rel=1e-2)


def test_age_of_a_summer_in_a_hot_trailer_is_past_before_its_date(shop, house):
    """Half a year at 38 degrees as read: used up by its warmth, in date by its label."""
    shop.do(places.move, things=[house["bin"]], to=house["trailer"])
    shop.do(care.record_reading, place=house["trailer"], celsius=30.0)
    later(shop, 24 * 182)
    shop.do(care.record_reading, place=house["trailer"], celsius=30.0, highest_c=38.0)
    age = age_of(house["jug"], shop.at)
    assert age.verdict.level is Level.LOOK
    assert age.forecast < shop.at.date() < age.good_through


def test_age_of_what_has_no_date_or_is_no_package_is_not_told(shop, house):
    """Nobody can say; and a bin has no age."""
    assert age_of(shop.package(number="undated"), shop.at) is None
    assert age_of(house["bin"], shop.at) is None
    assert where_stood(house["store"], shop.at)[0].places == ()


def test_reading_that_was_taken_back_counts_no_more(shop, house):
    """An undone reading leaves the day assumed."""
    from inventory.actions import books

    shop.do(care.record_reading, place=house["store"], celsius=18.0)
    later(shop, 24)
    token = shop.do(care.record_reading, place=house["store"], celsius=18.0, highest_c=20.0).token
    assert age_of(house["jug"], shop.at).assumed_days == pytest.approx(0, abs=1e-3)
    shop.do(books.undo, token=token, reason="wrong place")
    assert age_of(house["jug"], shop.at).assumed_days == pytest.approx(1, rel=1e-2)


def test_where_it_stood_is_told_by_where_the_bin_was_then(shop, house):
    """A bin that is in the trailer now stood in the store before; what is beside it does not split a stay."""
    other = shop.place(Kind.BIN, "other", house["store"])
    shop.do(places.move, by=_at(shop, later(shop, 24)), things=[other], to=house["trailer"])
    shop.do(places.move, by=_at(shop, later(shop, 24)), things=[house["bin"]], to=house["trailer"])
    told = told_where(house["jug"], later(shop, 24))
    assert [words for _, words in told] == ["Loft, bin", "Stoat, bin"]
    bottle = shop.do(stock.split_package, package=house["jug"], amount=grams(100)).thing
    told = told_where(bottle, later(shop, 24))
    assert [words for _, words in told] == ["Loft, bin", "Stoat, bin"]
    assert told[1][0].ends == shop.at
