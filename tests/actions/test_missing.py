"""What was looked for in vain: no trip counts on it until it was moved, counted, used or looked over."""

from uuid import UUID

import pytest

from inventory.actions import count, equipment, places, road
from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.models import Event, Inspection, Trip
from inventory.queries import home, readiness
from inventory.queries.missing import missing
from inventory.queries.readiness.facts import Packed, Piece, Spot
from inventory.queries.readiness.reader import read
from tests import away
from tests.make import Shop, metres
from tests.queries.test_readiness_materials import only, ready

pytestmark = pytest.mark.django_db
__all__ = ["ready"]


def spot(shop: Shop, thing: UUID) -> Spot:
    facts = read(away.trip(shop), shop.at.date())
    rows: list[Packed | Piece] = [*facts.packages, *facts.equipment]
    return next(row.spot for row in rows if row.id == thing)


def codes(shop: Shop) -> dict[str, Level]:
    return {note.code: note.level for note in readiness.answer(away.trip(shop), shop.at.date()).reasons}


def test_missing_thing_covers_nothing_of_the_next_trip_until_it_is_scanned_where_it_lies(ready):
    """It lies aboard by the books. Only a scan of what is missing is written, as a move to where it is."""
    coil = ready.package("edge", metres(50), "E-1", place=ready.names["zone"])
    run = away.another(ready, 0, 1, ready.names["trailer"], [], "Run", sort="supply run")
    ready.do(road.depart, trip=run)
    assert only(ready).level is Level.FINE
    ready.do(road.not_here, trip=run, thing=coil)
    ready.do(road.come_home, trip=run)
    assert (only(ready).level, only(ready).code) == (Level.STOP, "ready.short")
    assert {cure.page for cure in only(ready).cures} == {"stock-receive"}
    assert codes(ready)["ready.missing"] is Level.LOOK
    assert (spot(ready, coil).goes, spot(ready, coil).vehicle) == (False, ready.names["trailer"])
    events = Event.objects.count()
    for _ in range(2):
        ready.do(road.load, trip=ready.names["trip"], thing=coil)
        assert Event.objects.count() == events + 1
        assert only(ready).level is Level.FINE
    assert "ready.missing" not in codes(ready)
    assert home.missing(Trip.objects.get(id=run)) == []


def test_thing_missing_by_a_count_is_there_again_once_it_is_moved_counted_or_inspected(ready):
    """With the bin it lies in, or by itself; a mask too."""
    zone = ready.names["zone"]
    bin_ = ready.place(Kind.BIN, "bin 7", zone)
    coil = ready.package("edge", metres(50), "E-1", place=bin_)
    mask = ready.do(
        equipment.make_equipment,
        kind=Kind.EQUIPMENT,
        name="mask",
        place=ready.names["store"],
        facts={"sort": "respirator"},
    ).thing
    ready.do(equipment.plan_inspection, equipment=mask, what="straps", every_months=12)
    straps = Inspection.objects.get().id
    found_by = {
        bin_: lambda: ready.do(places.move, things=[bin_], to=zone),
        coil: lambda: ready.do(count.count_place, place=bin_, counted=[(coil, metres(50))]),
        mask: lambda: ready.do(equipment.inspect_equipment, inspection=straps, passed=True, why="whole"),
    }
    for thing, place in ((bin_, zone), (coil, bin_), (mask, ready.names["store"])):
        ready.do(count.count_place, place=place, missing=[thing])
        assert missing() == {thing}
        within = coil if thing == bin_ else thing
        assert spot(ready, within).missing
        assert (only(ready).level is Level.STOP) == (within == coil)
        found_by[thing]()
        assert not spot(ready, within).missing
        assert only(ready).level is Level.FINE
