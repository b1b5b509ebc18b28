"""Where a click puts what it lists: with what is alike, else near an axle and beside nothing it must not."""

from inventory.errors import say
from inventory.queries.readiness.cures import best_zone, bring
from tests.queries.rooms import aboard, at_home, facts, kg, material, package, piece, trailer, zone

RESIN, EDGE = material("resin", "resin"), material("edge", "edge")
ZONES = [zone("zone 1", 1500), zone("zone 2", 2900), zone("zone 4", 4100)]


def listed_into(*, alike=(), equipment=(), of=RESIN):
    """The zone that a click puts a can or bundle from the barn into."""
    can = package(of, kg(1), at_home())
    given = facts(
        trailers=[trailer(zones=ZONES)], materials=[RESIN, EDGE], packages=[can, *alike], equipment=equipment
    )
    cure = bring(given, can.code, say("Bring it."), (each.spot for each in alike))
    names = {str(place.id): place.name for place, _ in ZONES}
    return names[cure.values["zone"]]


def test_bring_when_alike_comes_along_goes_where_it_lies():
    """Otherwise nearest to the axle, at 3 m."""
    there = package(RESIN, kg(1), aboard("zone 4"), code="P-2")
    assert listed_into(alike=[there]) == "zone 4"
    assert listed_into() == "zone 2"


def test_bring_when_clothing_lies_near_the_axle_puts_resin_elsewhere():
    """Edges may lie beside it."""
    suits = [piece("dry suits", "clothing", aboard("zone 2"))]
    assert listed_into(equipment=suits) == "zone 4"
    assert listed_into(equipment=suits, of=EDGE) == "zone 2"


def test_best_zone_when_there_is_no_zone_is_none():
    """A trailer whose zones nobody made."""
    assert best_zone(facts(trailers=[])) is None
