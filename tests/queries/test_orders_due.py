"""The day sheet's sentences of orders: written and not sent, late; each beside one that needs no hand."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import delivery, materials, orders
from inventory.actions.delivery import LotRow
from inventory.actions.orders import Packs
from inventory.compute.reasons import Level
from inventory.compute.units import Base
from inventory.queries.orders_due import due
from tests.make import grams

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 30)


def write(shop, **more):
    glue = shop.material("glue", Base.MG)
    supplier = shop.do(materials.make_supplier, name="Ulvsnipa").thing
    return shop.do(orders.write_order, supplier=supplier, lines=[Packs(glue, 50_000, 1)], **more).things


@pytest.mark.parametrize(("days", "level"), [(-1, Level.STOP), (0, Level.LOOK), (7, Level.LOOK), (8, None)])
def test_an_order_that_is_written_is_to_be_sent_within_a_week_of_its_day(shop, days, level):
    """Past its day it stops; a week ahead it is told; before that it is not."""
    order, _ = write(shop, order_by=TODAY + timedelta(days))
    assert [note.level for note in due(TODAY)] == ([] if level is None else [level])
    said = " ".join(str(note.sentence) for note in due(TODAY))
    assert ("was to be sent by" in said, "send it by" in said) == (level is Level.STOP, level is Level.LOOK)
    shop.do(orders.send_order, order=order)
    assert due(TODAY) == []


def test_an_order_is_asked_after_from_the_day_after_it_was_promised_until_it_is_here(shop):
    """On its day it is not yet late."""
    order, line = write(shop)
    promised = TODAY + timedelta(3)
    shop.do(orders.send_order, order=order, promised_on=promised)
    assert due(promised) == []
    (note,) = due(promised + timedelta(1))
    assert "was promised for" in str(note.sentence)
    assert (note.page, note.about) == ("orders-order", (str(order),))
    row = LotRow(shop.names["glue"], "G-1", (grams(50),), order_line=line)
    shop.do(delivery.receive_delivery, lots=[row])
    assert due(promised + timedelta(1)) == []


def test_ten_orders_are_read_as_often_as_one(shop):
    """The statements do not grow."""

    def count():
        with CaptureQueriesContext(connection) as caught:
            due(TODAY)
        return len(caught)

    write(shop, order_by=TODAY)
    one = count()
    for _ in range(9):
        write(shop, order_by=TODAY)
    assert (len(due(TODAY)), count()) == (10, one)
