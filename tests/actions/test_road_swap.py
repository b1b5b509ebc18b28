"""One package taken in another's place at loading: that one's line ends, and no third package's."""

from datetime import timedelta
from uuid import UUID

import pytest

from inventory.actions import loading, road, stock
from inventory.models import Listed, State
from inventory.queries import aboard, objections
from tests import away
from tests.make import Shop, day, refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def ready(shop: Shop) -> Shop:
    """Two jugs of one resin on the list, a good one first and one whose date comes first; a third is not."""
    names = away.plan(shop).names
    for name, expires in (
        ("good", day("2027-06-30")),
        ("short", shop.at.date() + timedelta(1)),
        ("third", day("2027-06-30")),
    ):
        names[name] = shop.package("resin", number=f"N-{name}", place=names["store"], expires_on=expires)
    things = [names["good"], names["short"]]
    shop.do(loading.put_on_list, trip=names["trip"], things=things, zone=names["zone 2"])
    return shop


def fix(shop: Shop, thing: str, label: str, **scanned: object) -> objections.Fix:
    facts = aboard.facts_of(away.trip(shop), shop.at.date())
    found = objections.objection(facts, aboard.Scan(shop.names[thing], "X", None, **scanned))
    assert found is not None
    return next(each for each in found.fixes if str(each.label).startswith(label))


def tap(shop: Shop, thing: str, one: objections.Fix, to: UUID | None = None) -> UUID | None:
    sure = one.sure.split(",")
    shop.do(road.load, trip=shop.names["trip"], thing=shop.names[thing], to=to, sure=sure)
    return State.objects.get(thing_id=shop.names[thing]).place_id


def listed(shop: Shop) -> set[str]:
    on_it = set(Listed.objects.filter(ended=False).values_list("thing_id", flat=True))
    return {name for name, thing in shop.names.items() if thing in on_it}


def test_package_taken_in_place_of_one_that_lasts_too_short_ends_that_ones_line(ready):
    """The good jug stays on the list; the third has the zone that the short one's line said."""
    with refused("loading.past"):
        ready.do(road.load, trip=ready.names["trip"], thing=ready.names["short"])
    assert tap(ready, "third", fix(ready, "short", "Take P")) == ready.names["zone 2"]
    assert listed(ready) == {"good", "third"}


def test_package_taken_in_place_of_one_on_hold_ends_that_ones_line(ready):
    """A jug that no line names, on hold: a fourth goes beside what is listed, where it is put."""
    ready.do(stock.hold, things=[ready.names["short"]], reason="cloudy")
    assert tap(ready, "third", fix(ready, "short", "Take P")) == ready.names["zone 2"]
    assert listed(ready) == {"good", "third"}
    for name in ("held", "fourth"):
        ready.names[name] = ready.package(
            "resin", number=f"N-{name}", place=ready.names["store"], expires_on=day("2027-06-30")
        )
    ready.do(stock.hold, things=[ready.names["held"]], reason="cloudy")
    one = fix(ready, "held", "Take P")
    assert tap(ready, "fourth", one, ready.names["zone"]) == ready.names["zone"]
    assert listed(ready) == {"good", "third", "fourth"}


def test_package_taken_in_place_of_what_the_list_names_ends_the_line_that_was_told(ready):
    """Told of the good one; once another phone has loaded that, no other line ends for it."""
    one = fix(ready, "third", "Take this one")
    ready.do(road.load, trip=ready.names["trip"], thing=ready.names["good"])
    with refused("loading.which_zone"):
        tap(ready, "third", one)
    assert listed(ready) == {"good", "short"}
    one = fix(ready, "third", "Take this one")
    assert tap(ready, "third", one) == ready.names["zone 2"]
    assert listed(ready) == {"good", "third"}
