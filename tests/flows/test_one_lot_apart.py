"""One lot received on two laptops apart is one lot once they met. Story: working-apart.md."""

import pytest

from inventory.actions import books, stock
from inventory.models import Disagreement, Event, Package
from inventory.queries import lots, trace
from inventory.queries.books import differences
from tests.make import grams, refused


def _apart(laptops, theirs="N-1"):
    """Two laptops that know the same shop and each received one jug; the jugs' lots."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        shop.package(number="N-0", amount=grams(10))  # the material's card is known to both
    b.merge(a.export(), shop.by())
    with a.in_hand():
        mine = Package.objects.get(thing_id=shop.package(number="N-1", amount=grams(100)))
    with b.in_hand():
        other = Package.objects.get(thing_id=shop.package(number=theirs, amount=grams(100)))
    return a, b, shop, mine, other


def test_a_lot_received_apart_is_one_lot_for_a_trace_from_either_side(laptops):
    """Both laptops reach both jugs from either card, end with equal books, and say it once."""
    a, b, shop, mine, other = _apart(laptops)
    a.merge(b.export(), shop.by())
    b.merge(a.export(), shop.by())
    for laptop in (a, b):
        with laptop.in_hand():
            for lot in (mine.lot_id, other.lot_id):
                assert {mine.thing_id, other.thing_id} <= set(trace.forward([lot]).things)
            assert lots.one_with(mine.lot_id) == [other.lot_id]
            assert lots.twins() == []
            assert Event.objects.filter(step="one lot").count() == 1
            assert list(differences()) == []
    assert a.hash() == b.hash()


def test_lots_with_other_numbers_stay_two(laptops):
    """The success differs by the printed number alone."""
    a, b, shop, mine, other = _apart(laptops, theirs="N-2")
    a.merge(b.export(), shop.by())
    with a.in_hand():
        assert other.thing_id not in trace.forward([mine.lot_id]).things
        assert lots.one_with(mine.lot_id) == []


@pytest.mark.parametrize("held_before", [True, False])
def test_a_hold_on_one_card_stops_the_jug_of_the_other(laptops, held_before):
    """Held before or after the meeting; a jug of another lot can be drawn from."""
    a, b, shop, mine, other = _apart(laptops)
    hold = {"things": [mine.lot_id], "reason": "thick"}
    if held_before:
        a.do(stock.hold, shop.by(), **hold)
    a.merge(b.export(), shop.by())
    if not held_before:
        a.do(stock.hold, shop.by(), **hold)
    with a.in_hand():
        with refused("stock.on_hold"):
            shop.do(stock.draw, package=other.thing_id, amount=grams(1))
        free = Package.objects.get(lot__number="N-0").thing_id
        shop.do(stock.draw, package=free, amount=grams(1))
        assert list(differences()) == []


def test_both_laptops_that_say_it_apart_agree_when_they_meet_again(laptops):
    """Each merged the other's older bundle, so each said it: twice said is the same."""
    a, b, shop, mine, other = _apart(laptops)
    from_a, from_b = a.export(), b.export()
    a.merge(from_b, shop.by())
    b.merge(from_a, shop.by())
    a.merge(b.export(), shop.by())
    b.merge(a.export(), shop.by())
    assert a.hash() == b.hash()
    with a.in_hand():
        assert lots.one_with(other.lot_id) == [mine.lot_id]
        assert list(differences()) == []


def test_a_delivery_said_to_be_of_one_lot_can_still_be_undone(laptops):
    """What says that two cards are one lot uses neither."""
    a, b, shop, mine, other = _apart(laptops)
    a.merge(b.export(), shop.by())
    with a.in_hand():
        token = Event.objects.get(step="received", lines__thing_id=mine.thing_id).act
        shop.do(books.undo, token=token, reason="twice")
        assert list(differences()) == []
    b.merge(a.export(), shop.by())
    with b.in_hand():
        assert not Disagreement.objects.exists()
        shop.do(stock.draw, package=other.thing_id, amount=grams(1))
        assert list(differences()) == []
