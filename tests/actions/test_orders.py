"""Orders: written, sent, received short, over, damaged, instead, late, given up; and each refusal."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from inventory.actions import books, delivery, materials, orders
from inventory.actions.delivery import LotRow
from inventory.actions.orders import Packs
from inventory.compute.units import Base
from inventory.models import Hold, Order, OrderLine, Revision
from inventory.queries import orders as read
from inventory.queries.orders import Stage
from tests.make import grams, refused

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 30)


@pytest.fixture
def glue(shop):
    return shop.material("glue", Base.MG)


@pytest.fixture
def supplier(shop):
    return shop.do(materials.make_supplier, name="Ulvsnipa Harpiks").thing


def packs(glue, count=2):
    return Packs(glue, 50_000, count, 18_900, "G-50", 10)


def written(shop, supplier, *lines):
    done = shop.do(orders.write_order, supplier=supplier, lines=list(lines), freight=4_900)
    return done.things[0], *done.things[1:]


def sent(shop, supplier, glue, count=2, promised=10):
    order, line = written(shop, supplier, packs(glue, count))
    shop.do(orders.send_order, order=order, promised_on=TODAY + timedelta(promised))
    return order, line


def receive(shop, line, glue, amounts, *, number="G-1", **more):
    row = LotRow(glue, number, tuple(grams(each) for each in amounts), order_line=line, **more)
    return shop.do(delivery.receive_delivery, lots=[row])


def stage(order):
    return read.order(order).stage


def test_order_goes_from_being_written_to_all_here(shop, supplier, glue):
    """Stage by stage; goods and freight are its total; every edit a revision."""
    order, line = written(shop, supplier, packs(glue))
    row = read.order(order)
    assert (row.stage, row.goods, row.total) == (Stage.WRITING, 37_800, 42_700)
    shop.do(orders.send_order, order=order)
    assert stage(order) is Stage.SENT
    receive(shop, line, glue, [50])
    assert stage(order) is Stage.PART
    receive(shop, line, glue, [50], number="G-2")
    assert stage(order) is Stage.HERE
    assert Revision.objects.filter(card="order").count() == 2


def test_write_when_there_is_nothing_or_no_pack_is_refused(shop, supplier, glue):
    """One line of one pack can be written; no line, no pack, ten thousand and one, no supplier cannot."""
    with refused("order.nothing"):
        shop.do(orders.write_order, supplier=supplier, lines=[])
    for count in (0, 10_001):
        with refused("order.packs", str(count)):
            written(shop, supplier, packs(glue, count))
    with refused("order.packs"):
        written(shop, supplier, replace(packs(glue), pack=0))
    for price in (-1, 10**13 + 1, 10**40):
        with refused("order.packs"):
            written(shop, supplier, replace(packs(glue), price=price))
    with refused("card.unknown"):
        written(shop, glue, packs(glue))
    assert Order.objects.count() == 0
    assert len(written(shop, supplier, packs(glue, 1))) == 2


def test_lines_change_only_while_the_order_is_being_written(shop, supplier, glue):
    """Before it is sent packs change and lines are added; afterwards only that the rest is over."""
    order, line = written(shop, supplier, packs(glue))
    shop.do(orders.edit_line, line=line, changes={"packs": 3})
    with refused("card.number", "1.000e+40"):
        shop.do(orders.edit_line, line=line, changes={"price": 10**40})
    shop.do(orders.add_line, order=order, line=packs(shop.material("resin", Base.MG), 1))
    shop.do(orders.send_order, order=order)
    with refused("order.sent"):
        shop.do(orders.edit_line, line=line, changes={"packs": 4})
    with refused("order.sent"):
        shop.do(orders.add_line, order=order, line=packs(glue))
    with refused("order.sent"):
        shop.do(orders.send_order, order=order)
    shop.do(orders.edit_line, line=line, changes={"ended": True})
    assert OrderLine.objects.get(id=line).packs == 3


def test_pallet_of_an_order_never_sent_is_received_and_from_then_on_the_order_counts_as_sent(
    shop, supplier, glue
):
    """What is here can be booked; lines change no more, and nothing is learned of its lead time until a day
    is entered, none after it came. Undone, the order is being written again."""
    order, line = written(shop, supplier, packs(glue))
    shop.do(orders.edit_line, line=line, changes={"packs": 3})
    shop.at += timedelta(days=8)
    done = receive(shop, line, glue, [50])
    row = read.order(order)
    assert (row.stage, row.unsaid) == (Stage.PART, True)
    assert read.came_unsent(done.token) == ["Ulvsnipa Harpiks"]
    for action, values in ((orders.edit_line, {"line": line, "changes": {"packs": 4}}),
                           (orders.add_line, {"order": order, "line": packs(glue)})):  # fmt: skip
        with refused("order.came", "2026-12-08"):
            shop.do(action, **values)
    assert read.seen([row]) == []
    shop.do(books.undo, token=done.token, reason="another pallet")
    shop.do(orders.edit_line, line=line, changes={"packs": 4})
    assert read.order(order).stage is Stage.WRITING
    again = receive(shop, line, glue, [50], number="G-2")
    shop.at += timedelta(days=1)
    with refused("order.came_before"):
        shop.do(orders.send_order, order=order)
    shop.do(orders.send_order, order=order, sent_on=TODAY)
    assert not read.order(order).unsaid
    assert read.came_unsent(again.token) == []
    assert [each.days for each in read.seen([read.order(order)])] == [6]


def test_send_when_its_days_cannot_be_or_it_was_given_up_is_refused(shop, supplier, glue):
    """Sent tomorrow; promised before it was sent; given up: each refused beside the one that is sent."""
    order, _ = written(shop, supplier, packs(glue))
    with refused("order.promised"):
        shop.do(orders.send_order, order=order, sent_on=TODAY + timedelta(1))
    with refused("order.promised"):
        shop.do(orders.send_order, order=order, promised_on=TODAY - timedelta(1))
    over, _ = written(shop, supplier, packs(glue))
    shop.do(orders.give_up_order, order=over)
    with refused("order.over"):
        shop.do(orders.send_order, order=over)
    shop.do(orders.send_order, order=order, promised_on=TODAY + timedelta(9))
    with refused("order.promised"):
        shop.do(orders.edit_order, order=order, changes={"promised_on": TODAY - timedelta(3)})
    shop.do(orders.edit_order, order=order, changes={"promised_on": TODAY + timedelta(12)})
    assert read.order(order).order.promised_on == TODAY + timedelta(12)


def test_send_when_nothing_is_left_in_it_is_refused(shop, supplier, glue):
    """Its only line was given up."""
    order, line = written(shop, supplier, packs(glue))
    shop.do(orders.edit_line, line=line, changes={"ended": True})
    with refused("order.nothing"):
        shop.do(orders.send_order, order=order)


def test_delivery_short_and_over_say_so(shop, supplier, glue):
    """100 g ordered: 80 g came and the rest is over: 20 g short. Of another 120 g came: 20 g over."""
    order, line = sent(shop, supplier, glue)
    receive(shop, line, glue, [50, 30])
    (row,) = read.order(order).lines
    assert (row.left.value, row.short.value) == (20_000, 0)
    shop.do(orders.edit_line, line=line, changes={"ended": True})
    (row,) = read.order(order).lines
    assert (row.left.value, row.short.value, stage(order)) == (0, 20_000, Stage.HERE)
    other, line = sent(shop, supplier, glue)
    receive(shop, line, glue, [50, 50, 20], number="G-3")
    (row,) = read.order(other).lines
    assert (row.over.value, row.left.value, stage(other)) == (20_000, 0, Stage.HERE)


def test_what_comes_damaged_is_received_and_on_hold(shop, supplier, glue):
    """It counts as come; nobody can use it; the same delivery undamaged is free."""
    order, line = sent(shop, supplier, glue)
    done = receive(shop, line, glue, [50], damaged=True)
    assert Hold.objects.filter(thing_id=done.things[-1]).exists()
    receive(shop, line, glue, [50], number="G-2")
    assert Hold.objects.count() == 1
    (row,) = read.order(order).lines
    assert (row.came.value, row.damaged.value) == (100_000, 50_000)


def test_another_material_instead_is_named_and_the_ordered_one_is_still_waited_for(shop, supplier, glue):
    """It does not count as what was ordered."""
    order, line = sent(shop, supplier, glue)
    receive(shop, line, shop.material("resin", Base.MG), [500])
    (row,) = read.order(order).lines
    assert (row.left.value, row.arrivals[0].instead, stage(order)) == (100_000, "Resin", Stage.PART)


def test_delivery_for_no_line_or_an_order_given_up_is_refused(shop, supplier, glue):
    """The same delivery without a line is received."""
    order, line = sent(shop, supplier, glue)
    with refused("order.no_line"):
        receive(shop, order, glue, [50])
    shop.do(orders.give_up_order, order=order)
    with refused("order.no_line"):
        receive(shop, line, glue, [50])
    receive(shop, None, glue, [50])


def test_a_delivery_that_is_undone_is_waited_for_again(shop, supplier, glue):
    """What came follows from the ledger: taken back, nothing came."""
    order, line = sent(shop, supplier, glue)
    done = receive(shop, line, glue, [50, 50])
    assert stage(order) is Stage.HERE
    shop.do(books.undo, token=done.token, reason="wrong order")
    assert stage(order) is Stage.SENT


def test_an_order_is_late_after_the_day_it_was_promised_for(shop, supplier, glue):
    """On the day it is not; once it is here it is not."""
    order, line = sent(shop, supplier, glue, promised=10)
    assert not read.order(order).late(TODAY + timedelta(10))
    assert read.order(order).late(TODAY + timedelta(11))
    receive(shop, line, glue, [50, 50])
    assert not read.order(order).late(TODAY + timedelta(11))


def test_lead_time_is_learned_from_own_orders_that_came(shop, supplier, glue):
    """Sent on Monday, here on Friday of the next week: nine open days."""
    order, line = sent(shop, supplier, glue)
    shop.at += timedelta(11)
    receive(shop, line, glue, [100])
    took = read.seen(read.orders())
    assert [(each.supplier, each.days) for each in took] == [(supplier, 9)]
    assert read.lead_of(supplier, 7, took).orders == 1
    assert read.order(order).stage is Stage.HERE


def test_price_history_is_of_orders_that_were_sent(shop, supplier, glue):
    """Newest first; one being written is no price that was paid."""
    sent(shop, supplier, glue)
    shop.at += timedelta(2)
    dear = replace(packs(glue), price=19_900)
    order, _ = written(shop, supplier, dear)
    assert [each.price for each in read.price_history(glue)] == [18_900]
    shop.do(orders.send_order, order=order)
    assert [each.price for each in read.price_history(glue)] == [19_900, 18_900]


def test_a_day_in_the_past_is_promised_by_nobody_and_today_is(shop, supplier, glue):
    """Sent ten days ago: yesterday is refused, today is not; a promise that became late stays."""
    order, _ = sent(shop, supplier, glue, promised=3)
    shop.at += timedelta(days=10)
    today = TODAY + timedelta(10)
    with refused("order.promised_past", "which is past"):
        shop.do(orders.edit_order, order=order, changes={"promised_on": today - timedelta(1)})
    kept = {"promised_on": TODAY + timedelta(3), "freight": 5_000}
    shop.do(orders.edit_order, order=order, changes=kept)
    assert read.order(order).late(today)
    shop.do(orders.edit_order, order=order, changes={"promised_on": today})
    assert (read.order(order).order.promised_on, read.order(order).order.freight) == (today, 5_000)
