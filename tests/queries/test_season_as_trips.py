"""What the season asks for beside what its trips do: one rule for spare pairs, reserve, cups and gloves."""

from datetime import date

import pytest

from inventory.actions import builds, cutting, layups, materials, road, stock
from inventory.compute.codes import Kind
from inventory.compute.cutting.taken import Size, Some
from inventory.compute.units import Base
from inventory.models import Hold, Season, Trip
from inventory.queries.readiness import materials as trip_materials
from inventory.queries.readiness.reader import read
from inventory.queries.season import plan as season_plan
from tests import away
from tests.make import Shop, day, grams, metres
from tests.queries.test_readiness_materials import WET
from tests.season_shop import Planned, plan

pytestmark = pytest.mark.django_db

TODAY = date(2026, 12, 1)


@pytest.fixture
def planned(shop: Shop) -> Planned:
    """One workshop of two pairs, every seat booked, and the trip to it."""
    shop.at = shop.at.replace(year=TODAY.year, month=TODAY.month, day=TODAY.day)
    found = plan(shop, TODAY, starts=(30,))
    trailer = shop.names["trailer"] = shop.place(Kind.TRAILER, "Wren", shop.place(Kind.YARD, "the yard"))
    shop.names["trip"] = away.another(shop, 28, 33, trailer, found.workshops)
    return found


def of_season(planned: Planned, key: str) -> int:
    row = season_plan.season_list(Season.objects.get(), TODAY).row(key)
    return row.plan.planned if row else 0


def met_of_trip(planned: Planned, key: str) -> trip_materials.Met | None:
    facts = read(Trip.objects.get(id=planned.shop.names["trip"]), TODAY)
    return next((met for met in trip_materials.allotted(facts) if met.material.key == key), None)


def of_trip(planned: Planned, key: str) -> int:
    met = met_of_trip(planned, key)
    return met.needed if met else 0


def test_spare_pairs_and_reserve_of_the_shop_are_of_the_season_as_of_the_trip(planned):
    """2 pairs and 1 spare of 10 g and 2 cores; with 3 spares and half as much again 5 x 15 g and 5 x 3."""
    both = of_season, of_trip
    assert [[find(planned, key) for key in ("glue", "blank")] for find in both] == [[30_000, 6]] * 2
    planned.shop.do(away.settle, spare_pairs=3, reserve_percent=50)
    assert [[find(planned, key) for key in ("glue", "blank")] for find in both] == [[75_000, 15]] * 2
    planned.shop.do(away.settle, spare_pairs=0, reserve_percent=0)
    assert [[find(planned, key) for key in ("glue", "blank")] for find in both] == [[20_000, 4]] * 2


def test_gloves_by_hands_and_cups_by_mixes_are_ordered_as_they_are_taken_along(planned):
    """Two guests and one of the crew, two days, 8 gloves a day: 48. Cups: 4 a pair, for 2 pairs and 1 spare.

    Neither is asked for while the books keep none; the reserve is on top of both.
    """
    shop = planned.shop
    for purpose in ("gloves", "cups"):
        assert (of_season(planned, purpose), of_trip(planned, purpose)) == (0, 0)
        shop.material(purpose, Base.PIECE)
    shop.do(builds.change_workshop, workshop=planned.workshops[0], changes={"hands": 1})
    assert (of_season(planned, "gloves"), of_trip(planned, "gloves")) == (48, 48)
    assert (of_season(planned, "cups"), of_trip(planned, "cups")) == (0, 0)
    for purpose in ("resin", "hardener"):
        shop.material(purpose, Base.MG)
    ratio = {"hardener_per_hundred": 30.0, "resin_id": shop.names["resin"]}
    shop.do(materials.edit_material, material=shop.names["hardener"], changes=ratio)
    shop.do(layups.add_layer, layup=planned.layup, layer=WET[0])
    assert (of_season(planned, "cups"), of_trip(planned, "cups")) == (12, 12)
    shop.do(away.settle, reserve_percent=50)
    assert (of_season(planned, "gloves"), of_trip(planned, "gloves")) == (72, 72)
    assert (of_season(planned, "cups"), of_trip(planned, "cups")) == (18, 18)


def test_glue_without_a_date_is_enough_for_neither_and_glue_that_is_missing_not_for_the_season(planned):
    """With the date on its label it is for both; the trip has it aboard. Looked for in vain, it is none."""
    zone = planned.shop.place(Kind.ZONE, "zone 1", planned.shop.names["trailer"])
    for number, expires_on, short in (("G-1", None, 30_000), ("G-2", day("2027-06-30"), 0)):
        jug = planned.shop.package("glue", grams(30), number=number, place=zone, expires_on=expires_on)
        row = season_plan.season_list(Season.objects.get(), TODAY).row("glue")
        assert (row.plan.short, met_of_trip(planned, "glue").short) == (short, short)
    planned.shop.do(road.depart, trip=planned.shop.names["trip"])
    planned.shop.do(road.not_here, trip=planned.shop.names["trip"], thing=jug)
    assert season_plan.season_list(Season.objects.get(), TODAY).row("glue").plan.short == 30_000


def test_what_is_cut_counts_as_the_coil_it_is_cut_from_until_that_is_on_hold(planned):
    """A pair takes 4 m of edge, three do 12 m: cut of a coil of 14 m they are as good as the coil."""
    shop = planned.shop
    shop.material("edge", Base.MM)
    edge = {"material": "edge", "kind": "piece", "plies": 4_000, "extent": "once a pair", "loss": 1.0}
    shop.do(layups.add_layer, layup=planned.layup, layer=edge)
    zone = shop.place(Kind.ZONE, "zone 1", shop.names["trailer"])
    coil = shop.package("edge", metres(14), "E-1", place=zone)

    def short():
        row = season_plan.season_list(Season.objects.get(), TODAY).row("edge")
        return row.plan.short, met_of_trip(planned, "edge").short

    assert short() == (0, 0)
    shop.do(cutting.cut, source=coil, pieces=[Some(Size(2000), 6)], offcuts=[], kerf_mm=0.0)
    assert short() == (0, 0)
    shop.do(stock.hold, things=[coil], reason="cracks")
    assert short() == (12_000, 12_000)
    shop.do(stock.lift_hold, hold=Hold.objects.get().event_id, reason="only scratched")
    assert short() == (0, 0)


def test_open_seats_wear_gloves_as_sure_as_they_fill(shop):
    """Two booked and four open seats at 50 %: Bin(4, 0.5) is covered by 3 at 9 of 10 (binomial: 0.9375)."""
    planned = plan(shop, TODAY, starts=(30,), seats=6, fill_percent=50)
    shop.material("gloves", Base.PIECE)
    assert of_season(planned, "gloves") == (2 + 3) * 2 * 8
