"""What one pair needs: the answer before a trip and the season's list have it from one place."""

from datetime import timedelta
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import builds, finishing, layups, press
from inventory.compute.units import Base
from inventory.models import Material, Pair
from inventory.queries import builds as builds_read
from inventory.queries.layups import known
from inventory.queries.pair_needs import expected_of, needs_of
from inventory.queries.readiness.needs import wanted
from inventory.queries.readiness.reader import read
from inventory.queries.season.needs import demand
from tests import away
from tests.make import MONDAY, pieces
from tests.season_shop import LAYERS, SHAPE

pytestmark = pytest.mark.django_db
IN_THE_HEAD = {"blank": Fraction(2), "glue": Fraction(10_000)}  # a pair by LAYERS: two cores, 10 g of glue

LAID = frozenset(IN_THE_HEAD)


def _pairs(row):
    return row.pairs + row.open_seats + row.spares


@pytest.fixture
def pair(shop):
    """A pair of a workshop that a trip goes to, with a shape and a lay-up card."""
    away.plan(shop)
    for purpose, base in (("blank", Base.PIECE), ("glue", Base.MG)):
        shop.material(purpose, base)
    layup = shop.do(layups.make_layup, name="Touring", layers=LAYERS).thing
    booked, *_ = shop.pair(workshop=shop.names["workshop"], length_mm=1800)
    shop.do(builds.specify, pair=booked, changes={"layup_id": layup, **SHAPE})
    return booked


def test_pair_needs_the_same_before_a_trip_and_in_the_season(shop, pair):
    """Both have the numbers that are reckoned in the head; without a shape neither has any."""
    cards = Material.objects.in_bulk()
    keys = {id: row.key for id, row in cards.items()}

    def before_a_trip():
        rows = [row for row in wanted(read(away.trip(shop), shop.at.date())) if keys[row.material] in LAID]
        return {keys[row.material]: Fraction(row.amount, _pairs(row)) for row in rows}

    def in_the_season():
        return demand([shop.names["workshop"]], cards).booked[shop.names["workshop"]]

    assert before_a_trip() == in_the_season() == IN_THE_HEAD
    shop.do(builds.specify, pair=pair, changes=dict.fromkeys(SHAPE))
    assert before_a_trip() == in_the_season() == {}


def test_ski_still_to_be_laid_up_is_asked_for_by_trip_and_season_and_another_for_a_rejected_one(shop, pair):
    """Of 2 cores and 10 g a ski takes half (in the head). Laid up, it takes no more; rejected, all again.

    The workshop over, its material is asked for by the next; of a pair that nobody began it is not.
    """
    cards = Material.objects.in_bulk()
    keys = {id: row.key for id, row in cards.items()}
    own, left, right = shop.names["workshop"], *builds_read.skis_of(pair)
    later = shop.do(
        builds.plan_workshop,
        name="Later",
        starts_on=MONDAY.date() + timedelta(60),
        ends_on=MONDAY.date() + timedelta(61),
        capacity=None,
    ).thing

    def skis():
        rows = [row for row in wanted(read(away.trip(shop), shop.at.date())) if keys[row.material] in LAID]
        trip = {
            keys[row.material]: row.amount - (_pairs(row) - row.pairs) * IN_THE_HEAD[keys[row.material]]
            for row in rows
        }
        season = demand([own], cards).booked[own]
        over = demand([later], cards, [own])
        assert trip == season
        assert over.booked[later] == (season if over.again else {})
        ((a_ski,),) = [{2 * amount / IN_THE_HEAD[key] for key, amount in season.items()} or {0}]
        return a_ski, over.again

    def lay_up(ski):
        shop.do(press.lay_up, ski=ski, inputs=[(blanks, pieces(1))])

    blanks = shop.package("blank", pieces(10))
    assert skis() == (2, 0)
    lay_up(left)
    assert skis() == (1, 1)
    lay_up(right)
    assert skis() == (0, 0)
    shop.do(finishing.inspect_ski, ski=right, outcome="rework", why="a dry edge")
    assert skis() == (0, 0)
    shop.do(finishing.inspect_ski, ski=right, outcome="reject", why="cracked")
    assert skis() == (1, 1)
    (new,) = shop.do(finishing.replace_ski, ski=right).things
    assert skis() == (1, 1)
    shop.do(finishing.inspect_ski, ski=left, outcome="reject", why="cracked too")
    shop.do(finishing.replace_ski, ski=left)
    assert skis() == (2, 2)
    lay_up(new)
    lay_up(builds_read.skis_of(pair)[0])
    assert skis() == (0, 0)


def test_needs_of_many_pairs_ask_the_database_nothing(shop, pair):
    """What is known of materials comes in; a refused shape is an answer, and a missing one is none."""
    rows = list(Pair.objects.select_related("layup"))
    stuff = known(LAYERS)
    with CaptureQueriesContext(connection) as caught:
        assert [expected_of(row, stuff) for row in rows * 10] == [IN_THE_HEAD] * 10
    assert len(caught) == 0
    assert needs_of(Pair(length_mm=1800), stuff) is None
    assert expected_of(Pair(length_mm=1800), stuff) is None
