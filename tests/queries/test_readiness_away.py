"""What is on the road with another trip on load day: it covers nothing of this one, and is not offered."""

from datetime import timedelta

import pytest

from inventory.actions import equipment, loading, road
from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.models import Trip
from inventory.queries import readiness
from tests import away
from tests.make import Shop, metres
from tests.queries.test_readiness_materials import only, ready

pytestmark = pytest.mark.django_db
__all__ = ["ready"]


def offered(shop: Shop) -> bool:
    """Whether the extinguisher in the other trailer is one to fetch."""
    found = readiness.answer(away.trip(shop), shop.at.date()).reasons
    return any("Extinguisher 9" in str(cure.sentence) for note in found for cure in note.cures)


def told(shop: Shop) -> list[str]:
    found = readiness.answer(away.trip(shop), shop.at.date()).reasons
    return [str(note.sentence) for note in found if note.code == "ready.away"]


def test_what_lies_in_a_trailer_that_is_away_on_load_day_is_neither_counted_nor_fetched(ready):
    """This trip is loaded on day 3. Back on day 4 it is too late, on day 3 or once it is home it is not."""
    heron = ready.place(Kind.TRAILER, "Heron", ready.names["yard"])
    zone = ready.place(Kind.ZONE, "zone 1", heron)
    coil = ready.package("edge", metres(50), "E-1", place=zone)
    make = {"kind": Kind.EQUIPMENT, "name": "Extinguisher 9", "place": zone}
    ready.do(equipment.make_equipment, **make, facts={"sort": "extinguisher"})
    other = away.another(ready, 0, 4, heron, [], "Far hut", sort="supply run")
    assert (only(ready).code, offered(ready)) == ("ready.short", False)
    ready.do(loading.set_aside, trip=ready.names["trip"], package=coil, amount=metres(20))
    assert only(ready).code == "ready.short"
    (sentence,) = told(ready)
    assert "is away with the trip to Far hut" in sentence
    Trip.objects.filter(id=other).update(back_on=ready.at.date() + timedelta(3))
    assert (only(ready).level, offered(ready), told(ready)) == (Level.FINE, True, [])
    Trip.objects.filter(id=other).update(back_on=ready.at.date() + timedelta(4))
    ready.do(road.depart, trip=other)
    assert only(ready).level is Level.STOP
    ready.do(road.come_home, trip=other)
    assert (only(ready).level, offered(ready), told(ready)) == (Level.FINE, True, [])
