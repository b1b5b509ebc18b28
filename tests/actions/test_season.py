"""Seasons and what is decided by hand: each refusal beside the success that differs by one fact."""

from datetime import timedelta

import pytest

from inventory.actions import season
from inventory.models import Ruling, Season
from tests.make import day, refused
from tests.season_shop import plan

pytestmark = pytest.mark.django_db

TODAY = day("2026-12-01")


def make(shop, name="Winter", last=90, **facts):
    return shop.do(
        season.make_season, name=name, starts_on=TODAY, ends_on=TODAY + timedelta(last), facts=facts
    )


def test_season_with_name_days_and_fill_is_made(shop):
    """What is not said stays unknown."""
    row = Season.objects.get(id=make(shop).thing)
    assert (row.name, row.fill_percent, row.cover, row.put_away_days) == ("Winter", None, "usual", None)


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ({"name": " "}, "season.no_name"),
        ({"last": -1}, "season.days"),
        ({"last": 801}, "season.days"),
        ({"fill_percent": 101}, "season.fill"),
    ],
)
def test_season_that_cannot_be_is_refused(shop, wrong, code):
    """The bounds themselves are made."""
    with refused(code):
        make(shop, **wrong)
    assert Season.objects.count() == 0
    make(shop, last=800, fill_percent=100)


def test_edit_of_a_season_is_checked_too(shop):
    """Another name is kept; an end before the beginning is not."""
    made = make(shop).thing
    shop.do(season.edit_season, season=made, changes={"name": "Winter 27"})
    with refused("season.days"):
        shop.do(season.edit_season, season=made, changes={"ends_on": TODAY - timedelta(1)})
    row = Season.objects.get(id=made)
    assert (row.name, row.ends_on) == ("Winter 27", TODAY + timedelta(90))


def test_rule_of_one_material_is_one_card_however_often_it_is_decided(shop):
    """Decided twice: the newer one stands, on the same card on every laptop."""
    planned = plan(shop, TODAY, pairs=0)
    rule = {"season": planned.season, "material": shop.names["glue"]}
    shop.do(season.rule, **rule, packs=3)
    shop.do(season.rule, **rule, cover="ample", offer=planned.offers["glue"])
    row = Ruling.objects.get()
    assert (row.packs, row.cover, row.offer_id) == (None, "ample", planned.offers["glue"])


def test_rule_with_another_materials_offer_or_too_many_packs_is_refused(shop):
    """Its own offer and ten thousand packs are kept."""
    planned = plan(shop, TODAY, pairs=0)
    rule = {"season": planned.season, "material": shop.names["glue"]}
    with refused("season.other_offer"):
        shop.do(season.rule, **rule, offer=planned.offers["blank"])
    with refused("season.packs"):
        shop.do(season.rule, **rule, packs=10_001)
    with refused("card.unknown"):
        shop.do(season.rule, season=planned.supplier, material=shop.names["glue"])
    shop.do(season.rule, **rule, offer=planned.offers["glue"], packs=10_000)
