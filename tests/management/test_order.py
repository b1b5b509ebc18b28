"""order: the season's list in words and as data; its exit codes; every field documented."""

import json
from dataclasses import fields
from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Season
from inventory.queries.season import facts as season_facts
from tests import make
from tests.architecture.test_docs import ROOT
from tests.make import grams, pieces
from tests.management.running import run
from tests.season_shop import plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def planned(db):
    """Three workshops from a month ahead on, by this computer's clock, which the command reads."""
    shop = make.Shop(at=timezone.now() - timedelta(hours=5))
    return plan(shop, timezone.localdate())


def test_order_says_supplier_day_packs_reasons_and_totals(planned):
    """Everything in time: exit code 0."""
    ran = run("order", "Winter")
    assert ran.code == 0, ran.err
    for told in (
        "Ulvsnipa Harpiks: send it by",
        "2 x 50 g Glue",
        "Needed for Hut 1",
        "goods",
        "for each workshop",
        "Pairs: 6 booked",
    ):
        assert told in ran.out, told
    assert "Guest" not in ran.out


def test_order_as_data_holds_what_the_words_say(planned):
    """The same numbers; the season by its id too; what if everything fills."""
    data = json.loads(run("order", planned.season, "--json").out)
    glue = next(row for row in data["materials"] if row["material"] == "glue")
    assert (data["name"], glue["needed"]) == ("Winter", {"value": 70_000, "base": "mg"})
    assert json.loads(run("order", "winter", "--json", "--if", "full").out)["what_if"] == "full"


def test_order_when_something_is_late_ends_with_1(planned):
    """A workshop in five days; stock for all of it makes it 0 again."""
    Season.objects.update(starts_on=timezone.localdate())
    from inventory.models import Workshop

    first = Workshop.objects.get(id=planned.workshops[0])
    first.starts_on, first.ends_on = planned.day(5), planned.day(6)
    first.save()
    ran = run("order", "Winter")
    assert (ran.code, "late, was to be sent by" in ran.out) == (1, True)
    planned.shop.package("glue", grams(100), number="G-1", expires_on=planned.day(300))
    planned.shop.package("blank", pieces(20), number="K-1")
    assert run("order", "Winter").code == 0


def test_order_of_an_unknown_season_ends_with_2(planned):
    """Two of one name cannot be told apart either."""
    ran = run("order", "Summer")
    assert (ran.code, ran.out) == (2, "")
    assert "0 seasons are called Summer" in ran.err
    plan(planned.shop, planned.today, pairs=0, starts=())
    assert "2 seasons" in run("order", "Winter").err


def test_every_field_of_the_data_is_on_the_help_page():
    """Each row and field, and no other."""
    page = (ROOT / "inventory/docs/ordering.md").read_text("utf-8").partition("## Fields")[2]
    rows = [row for row in vars(season_facts).values() if getattr(row, "__name__", "").endswith("Fact")]
    wanted = {(row.__name__, field.name) for row in rows for field in fields(row)}
    found, room = set(), ""
    for line in page.splitlines():
        if line.startswith("### "):
            room = line.removeprefix("### ")
        elif line.startswith("| `") and room:
            found.add((room, line.split("`")[1]))
    assert found == wanted
