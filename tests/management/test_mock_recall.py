"""mock_recall: a lot at random, both ways, reckoned up; kept, and nothing else is written."""

import json

import pytest

from inventory.models import Event, Hold, MockRecall, Tag
from inventory.queries import recalls_mock as queries
from inventory.queries.stock import package
from tests.make import refused
from tests.management.running import run
from tests.returns import Bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(shop):
    found = Bench(shop)
    found.pair("TH-1")
    found.pair("TH-1", guest="Ola", over=False)
    return found


def lot_of(thing):
    lot = package(thing).lot_id
    return lot, Tag.objects.get(thing_id=lot).code


def test_mock_recall_of_a_lot_counts_both_ways_and_every_gram(bench):
    """20,000 g received; two pairs took 30 g of hardener into each of four cups."""
    lot, code = lot_of(bench.jug("TH-1"))
    before = Event.objects.count()
    done = run("mock_recall", "--lot", code)
    assert done.code == 0
    assert "4 skis, 1 pairs with owners, 0 of them with a contact, 2 skis in work, 1 packages" in done.out
    assert "the lot among them" in done.out
    assert "BRCGS" in done.out
    assert "21 CFR 1.1455" in done.out
    row = MockRecall.objects.get(lot_id=lot)
    became = row.result["became"]
    assert row.result["received"] == 20_000_000 == sum(became.values())
    assert became["in resin batches"] == 4 * 30_000
    assert became["in stock"] == 20_000_000 - 120_000
    assert became["unexplained"] == 0
    assert (Event.objects.count(), Hold.objects.count()) == (before, 0)


def test_mock_recall_draws_a_lot_that_was_received_and_gives_data(bench):
    """Any of the three; as data the same counts."""
    done = run("mock_recall", "--json")
    data = json.loads(done.out)
    assert done.code == 0
    assert MockRecall.objects.get().lot_id in queries.choices()
    assert data["skis"] == 4
    assert data["back_finds_the_lot"] is True


def test_mock_recall_of_a_fresh_lot_has_no_way_back(bench, shop):
    """Nothing was made of it yet: that is an answer."""
    lot, code = lot_of(shop.package("glue", number="G-1"))
    assert run("mock_recall", "--lot", code).code == 0
    result = MockRecall.objects.get(lot_id=lot).result
    assert (result["skis"], result["back_finds_the_lot"], result["to_hold"]) == (0, None, 2)


def test_mock_recall_without_any_lot_is_refused(shop):
    """An empty shop, and a code that is no lot's."""
    assert run("mock_recall").code == 2
    with refused("recall.no_lot"):
        queries.try_out(lot=shop.owner, stopwatch=lambda: 0)
