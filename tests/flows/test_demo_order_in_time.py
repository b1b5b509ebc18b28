"""The demo season's list: glue enough on paper and short by date, a price break, a material of short life."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from django.db.models import Sum

from inventory.models import Package, Season
from inventory.queries import orders
from inventory.queries.season import plan as season_plan
from tests.seasons import books, made, manage

pytestmark = pytest.mark.own_books


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory)


@pytest.fixture
def answer(season: Path, django_db_blocker: object) -> Iterator[season_plan.SeasonList]:
    from shop.folder import read_mark

    today = date.fromisoformat(read_mark(season).made)
    with books(season, django_db_blocker):
        yield season_plan.season_list(Season.objects.get(), today)


def codes(line):
    return [reason.code for reason in line.reasons]


def test_glue_that_is_enough_on_paper_and_short_by_date_is_ordered_in_time(answer):
    """Trouble 3: more lies there than the season needs; what passes its date is named, and more is ordered
    to come in before the first workshop that lacks it."""
    row = answer.row("edge-glue")
    there = Package.objects.filter(lot__material__key="edge-glue").aggregate(
        left=Sum("thing__balance__amount")
    )["left"]
    assert there > row.plan.planned
    assert row.plan.short > 0
    assert any("passes its date" in str(reason.sentence) for reason in row.plan.verdict.reasons)
    ((order, line),) = row.lines
    assert line.late_for == ()
    assert order.order_by >= answer.plan.orders[0].order_by
    first = next(need for need in row.planned.needed.rows if need.workshop == line.covers[0])
    assert order.receive_on <= first.load_on


def test_price_break_is_taken_and_said(answer):
    """Trouble 8: six coils of edge cost less a coil; fewer would have done."""
    row = answer.row("edge")
    ((_, line),) = row.lines
    assert "planning.price_break" in codes(line)
    assert (line.packs, line.cents_a_pack < row.plan.offer.list_cents) == (6, True)
    assert line.rest >= row.plan.offer.pack


def test_material_of_short_life_is_split_and_said(answer):
    """Trouble 8: the film of one order would pass its date before the last workshops."""
    lines = answer.row("film").lines
    assert len(lines) == 2
    assert "planning.shelf_life" in codes(lines[0][1])
    assert lines[0][1].usable_through < next(
        each.ends_on for each in answer.ahead if each.label == lines[1][1].covers[0]
    )
    assert answer.row("film").plan.lost == 0


def test_list_costs_no_more_than_the_simple_ways_and_orders_that_came_taught_lead_times(answer):
    """The plan beside both; every supplier of a delivery has orders of our own behind it."""
    plan = answer.plan
    assert plan.cost.total_cents <= min(plan.in_time.total_cents, plan.at_once.total_cents)
    assert answer.row("resin").sold[0].lead.orders >= 3
    stages = {row.stage for row in orders.orders()}
    assert {orders.Stage.HERE, orders.Stage.SENT} <= stages


def test_command_says_the_same_list(season, answer):
    """In words, with the exit code of something that is late: edge for the next trip is."""
    ran = manage(season, "order", "This winter")
    assert ran.returncode == 1, ran.stderr
    for words in ("Steel edge", "Bonding film for tip spacers", "Edge glue, thin", "late, was to be sent by"):
        assert words in ran.stdout
