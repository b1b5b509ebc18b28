"""Laptops that were apart: one act on two of them, a hold on one, books put back. Story: working-apart.md."""

import pytest
from django.db import transaction

from inventory.actions import books, press, stock
from inventory.compute.units import Base
from inventory.models import Disagreement, State
from tests import make
from tests.laptops import meet, right
from tests.make import grams, refused


@pytest.mark.parametrize("undoes", ["A", "B"])
def test_undo_of_an_act_that_two_laptops_have_is_possible_on_either_and_once(laptops, undoes):
    """The laptop whose copy is passed over may take the act back too; a second time is refused."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        resin = shop.material("resin", Base.MG)
        jug = shop.package(amount=grams(100))
    meet(a, b, shop)
    drawn, came = make.token(), make.token()
    for laptop in (a, b):
        laptop.do(stock.draw, shop.by(token_=drawn), package=jug, amount=grams(30))
        done = laptop.do(
            stock.receive_lot, shop.by(token_=came), material=resin, number="N-1", packages=[grams(7)]
        )
    meet(a, b, shop)
    here = found[undoes]
    for token in (drawn, came):
        here.do(books.undo, shop.by(), token=token, reason="slip")
        with refused("books.undone_before"):
            here.do(books.undo, shop.by(), token=token, reason="slip")
    meet(a, b, shop)
    right(a, b)
    for laptop in (a, b):
        with laptop.in_hand():
            assert shop.amount(jug) == 100_000
            assert not State.objects.filter(thing_id=done.things[-1]).exists()


def test_one_token_for_two_units_on_two_laptops_merges_and_is_a_disagreement(laptops):
    """A page sent to one laptop as resin and to the other as edge: no merge is refused for it, ever."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        resin, edge = shop.material("resin", Base.MG), shop.material("edge", Base.MM)
    meet(a, b, shop)
    token = make.token()
    a.do(stock.receive_lot, shop.by(token_=token), material=resin, number="N", packages=[grams(5)])
    b.do(stock.receive_lot, shop.by(token_=token), material=edge, number="N", packages=[make.metres(5)])
    meet(a, b, shop)
    right(a, b)
    assert a.hash() == b.hash()
    with a.in_hand():
        assert Disagreement.objects.filter(trouble="same act differs").exists()


@pytest.mark.parametrize("held", ["ski", "nothing"])
def test_ski_laid_up_while_the_other_laptop_held_it_is_a_disagreement(laptops, held):
    """What takes in is used, as what is taken is; without the hold nothing disagrees."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        _, ski, _ = shop.pair()
        batch = shop.mix(shop.package("resin"), shop.package("hardener"))
    meet(a, b, shop)
    if held == "ski":
        a.do(stock.hold, shop.by(), things=[ski], reason="delaminates")
    b.do(press.lay_up, shop.by(), ski=ski, inputs=[(batch, grams(100))])
    meet(a, b, shop)
    right(a, b)
    with a.in_hand():
        troubles = list(Disagreement.objects.values_list("trouble", "subject"))
        assert troubles == ([("used while held", ski)] if held == "ski" else [])


@pytest.mark.parametrize("what", ["written off", "drawn"])
def test_jug_written_off_while_the_other_held_it_is_no_disagreement_and_drawn_it_is(laptops, what):
    """A thing on hold may be written off on the laptop that knows, so it may be on the other."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
    meet(a, b, shop)
    a.do(stock.hold, shop.by(), things=[jug], reason="cloudy")
    if what == "drawn":
        b.do(stock.draw, shop.by(), package=jug, amount=grams(100))
    else:
        b.do(stock.write_off, shop.by(), thing=jug, amount=grams(100), reason="spilt")
    meet(a, b, shop)
    right(a, b)
    with a.in_hand():
        assert Disagreement.objects.filter(trouble="used while held").exists() is (what == "drawn")


def test_books_put_back_to_an_older_state_learn_their_own_later_events_and_go_on_after_them(laptops):
    """Only the database was put back, so that nothing told; the other laptop brings what was lost."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        jug = shop.package(amount=grams(100))
        before = transaction.savepoint()
    a.do(stock.draw, shop.by(), package=jug, amount=grams(30))
    with a.in_hand():
        shop.material("hardener", Base.MG)
    b.merge(a.export(), shop.by())
    with a.in_hand():
        transaction.savepoint_rollback(before)
    a.merge(b.export(), shop.by())
    with a.in_hand():
        assert shop.amount(jug) == 70_000
        shop.package("glue", grams(9))
    a.do(stock.draw, shop.by(), package=jug, amount=grams(20))
    meet(a, b, shop)
    right(a, b)
    with b.in_hand():
        assert shop.amount(jug) == 50_000
    assert a.hash() == b.hash()
