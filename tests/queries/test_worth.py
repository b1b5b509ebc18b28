"""What stock is worth, what passed its date, what pairs cost: every total is the sum of its printed parts."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import delivery, orders, press
from inventory.actions.delivery import LotRow
from inventory.actions.orders import Packs
from inventory.compute.codes import Kind
from inventory.models import Ski
from inventory.queries import worth, worth_pairs
from inventory.queries.worth import Known, Till
from tests.make import grams, pieces
from tests.season_shop import plan

pytestmark = pytest.mark.django_db

TODAY = date(2026, 12, 1)


@pytest.fixture
def planned(shop):
    return plan(shop, TODAY)


def test_price_is_what_was_paid_for_the_lot_else_the_last_order_else_an_offer(planned):
    """Each of the three beside the one that outranks it."""
    shop = planned.shop
    glue = shop.names["glue"]
    assert worth.prices().materials[glue].known is Known.OFFER
    line = Packs(glue, 50_000, 2, 20_000)
    done = shop.do(orders.write_order, supplier=planned.supplier, lines=[line])
    shop.do(orders.send_order, order=done.thing)
    last = worth.prices().of(None, glue)
    assert (last.known, last.each * 50_000) == (Known.LAST, 20_000)
    lot = LotRow(glue, "G-1", (grams(50),), order_line=done.things[1])
    born = shop.do(delivery.receive_delivery, lots=[lot]).things[0]
    dear = Packs(glue, 50_000, 1, 30_000)
    other = shop.do(orders.write_order, supplier=planned.supplier, lines=[dear])
    shop.do(orders.send_order, order=other.thing)
    found = worth.prices()
    assert (found.of(born, glue).known, found.of(born, glue).each * 50_000) == (Known.PAID, 20_000)
    assert found.of(None, glue).each * 50_000 == 30_000


def test_stock_is_worth_by_place_and_date_and_adds_up(planned):
    """100 g of glue in the Loft for a year, 50 g past its date in the trailer, resin without a price
    (decimal: 100 x 189.00 / 50 = 378.00)."""
    shop = planned.shop
    loft, stoat = shop.place(Kind.STORE, "the Loft"), shop.place(Kind.TRAILER, "Stoat")
    inside = shop.place(Kind.ZONE, "zone 1", stoat)
    shop.package("glue", grams(100), number="G-1", expires_on=TODAY + timedelta(300), place=loft)
    shop.package("glue", grams(50), number="G-2", expires_on=TODAY - timedelta(1), place=inside)
    shop.package("resin", grams(500), number="R-1", place=loft)
    rows = {row.place: row for row in worth.stock_worth(TODAY)}
    assert rows["the Loft"].by_till[Till.LATER] == Decimal("189.00") * 100 / 50 * 100
    assert (rows["the Loft"].total, rows["the Loft"].unpriced) == (37_800, 1)
    assert rows["Stoat"].by_till[Till.PAST] == rows["Stoat"].total == 18_900


def test_what_passed_its_date_says_how_much_of_its_lot_and_why(planned):
    """50 g of 100 g were used; the label ended it."""
    from inventory.actions import stock

    shop = planned.shop
    package = shop.package("glue", grams(100), number="G-1", expires_on=TODAY + timedelta(2))
    shop.do(stock.draw, package=package, amount=grams(50))
    assert worth.passed(TODAY) == ()
    (found,) = worth.passed(TODAY + timedelta(3))
    assert (found.left, found.held, found.worth) == (grams(50), grams(100), 18_900)
    assert "label" in found.why
    assert worth.passed(TODAY + timedelta(3), since=TODAY + timedelta(3)) == ()


def test_pairs_cost_what_their_skis_took_else_what_they_need(planned):
    """Built: 2 blanks of 50.00 and half a cup of resin and hardener; not built: 2 blanks and 10 g of glue
    (by hand: 2 x 500.00 / 10 and 10 x 189.00 / 50)."""
    shop = planned.shop
    blanks = shop.package("blank", pieces(10), number="K-1")
    resin, hardener = shop.package("resin", number="R-1"), shop.package("hardener", number="H-1")
    planned.offer("resin", 1_000_000, prices=[[1, 10_000]])
    cup = shop.mix(resin, hardener, 300, 90)
    skis = Ski.objects.filter(pair__workshop=planned.workshops[0]).order_by("pair_id", "thing_id")
    first = [ski for ski in skis if ski.pair_id == skis[0].pair_id]
    for ski in first:
        shop.do(press.lay_up, ski=ski.thing_id, inputs=[(blanks, pieces(1)), (cup, grams(97.5))])
    built, other = sorted(worth_pairs.of_workshop(planned.workshops[0]), key=lambda pair: not pair.built)
    parts = {name: (amount, cents) for name, amount, cents in built.parts}
    assert parts["Blank"] == (pieces(2), 10_000)
    assert parts["Resin"] == (grams(150), 1_500)
    assert parts["Hardener"] == (grams(45), None)
    assert (built.cents, built.unpriced) == (11_500, ("Hardener",))
    assert (other.built, other.cents) == (False, 10_000 + 3_780)


def test_costs_ask_as_many_statements_for_ten_packages_as_for_one(planned):
    """Stock, what passed, and a workshop's pairs."""
    shop = planned.shop

    def count():
        with CaptureQueriesContext(connection) as caught:
            worth.stock_worth(TODAY)
            worth.passed(TODAY)
            worth_pairs.of_workshop(planned.workshops[0])
        return len(caught)

    shop.package("glue", grams(1), number="G-0", expires_on=TODAY - timedelta(1))
    one = count()
    for number in range(9):
        shop.package("glue", grams(1), number=f"G-{number + 1}", expires_on=TODAY - timedelta(1))
    assert count() == one
