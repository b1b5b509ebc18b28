"""A lot reckoned up from its events: to the last gram, whatever happened to it."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.actions import books, press, stock
from inventory.compute.codes import Kind
from inventory.compute.reconcile import Became
from inventory.models import Balance
from inventory.queries import stock as read
from inventory.queries.lots import lot, reckon_up
from tests import make
from tests.make import grams

pytestmark = pytest.mark.django_db


def reckoned(package):
    return reckon_up(lot(read.package(package).lot_id))


def told(found):
    return {
        figure.share.became: figure.amount.value // 1000 for figure in found.figures if figure.amount.value
    }


def test_lot_of_hardener_is_reckoned_up_as_the_help_page_tells_it(shop):
    """The steps of `How a lot flows`, its numbers: 4,000 g came, each figure with its events."""
    first, _second = two_jugs(shop)
    resin = shop.package("resin", grams(5000))
    shop.do(stock.open_package, package=first)
    cup = shop.mix(resin, first, 130, 39)
    bottle = shop.do(stock.split_package, package=first, amount=grams(500)).thing
    shop.do(stock.count, thing=first, amount=grams(1449))
    shop.do(stock.write_off, thing=first, amount=grams(20), reason="spilt")
    wrong = shop.do(stock.draw, package=first, amount=grams(100)).token
    shop.do(books.undo, token=wrong, reason="wrong jug")
    shop.do(stock.draw, package=first, amount=grams(1429))
    found = reckoned(first)
    assert found.received == grams(4000)
    assert told(found) == {
        Became.STOCK: 2500,
        Became.BATCHES: 39,
        Became.TAKEN: 1429,
        Became.WASTE: 20,
        Became.COUNTED: 12,
    }
    entries = {figure.share.became: figure.entries for figure in found.figures}
    (mixed,) = entries[Became.BATCHES]
    assert (mixed.step, mixed.package.id, mixed.into.id) == ("mixed", first, cup)
    (counted,) = entries[Became.COUNTED]
    assert (counted.step, counted.amount) == ("counted", grams(12))
    assert len(found.deliveries) == 2
    assert reckoned(bottle) == found


def two_jugs(shop):
    """Two jugs of 2 kg of one lot of hardener."""
    from inventory.compute.units import Base

    done = shop.do(
        stock.receive_lot,
        material=shop.material("hardener", Base.MG),
        number="2511",
        packages=[grams(2000), grams(2000)],
    )
    return done.things[-2:]


def test_lot_laid_up_is_in_skis_and_a_count_that_finds_more_is_a_difference_below_zero(shop):
    """Glue goes into a ski; a count finds 5 g more than the books."""
    blank = shop.package("blank", make.pieces(2), "K")
    glue = shop.package("glue", grams(50), "C")
    _, left, _ = shop.pair()
    shop.do(press.lay_up, ski=left, inputs=[(blank, make.pieces(1)), (glue, grams(8))])
    shop.do(stock.count, thing=glue, amount=grams(47))
    assert told(reckoned(glue)) == {Became.STOCK: 47, Became.SKIS: 8, Became.COUNTED: -5}
    (entry,) = next(f.entries for f in reckoned(glue).figures if f.share.became is Became.SKIS)
    assert entry.into.id == left


def test_lot_when_a_balance_is_not_what_the_events_say_shows_it_as_unexplained(shop):
    """Somebody went round the program: 100 g are explained by nothing, and say so."""
    jug = shop.package(amount=grams(1000))
    Balance.objects.filter(thing_id=jug).update(amount=900_000)
    assert told(reckoned(jug)) == {Became.STOCK: 900, Became.UNEXPLAINED: 100}


steps = st.lists(
    st.tuples(st.sampled_from(["draw", "split", "count", "waste", "undo", "mix"]), st.integers(1, 400)),
    max_size=8,
)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=steps)
def test_lot_is_reckoned_up_without_a_rest_whatever_happened(fresh_shop, steps):
    """Any run of draws, pourings, counts, waste, mixes and undoing: nothing is left unexplained."""
    with fresh_shop() as shop:
        jugs = list(two_jugs(shop))
        resin, last = shop.package("resin", grams(100_000)), None
        for step, amount in steps:
            jug = jugs[amount % len(jugs)]
            last = _take(shop, step, jug, resin, grams(amount), last, jugs)
        found = reckoned(jugs[0])
        assert told(found).get(Became.UNEXPLAINED, 0) == 0
        assert sum(figure.amount.value for figure in found.figures) == found.received.value
        assert sum(figure.share.tenths for figure in found.figures) == 1000


def _take(shop, step, jug, resin, amount, last, jugs):
    """One step; what cannot be done is passed over, as a person would."""
    from inventory.errors import Refused

    try:
        if step == "draw":
            return shop.do(stock.draw, package=jug, amount=amount).token
        if step == "split":
            jugs.append(shop.do(stock.split_package, package=jug, amount=amount).thing)
        elif step == "count":
            return shop.do(stock.count, thing=jug, amount=amount).token
        elif step == "waste":
            return shop.do(stock.write_off, thing=jug, amount=amount, reason="spilt").token
        elif step == "undo" and last:
            shop.do(books.undo, token=last, reason="wrong")
        elif step == "mix":
            shop.mix(resin, jug, amount.value / 300, amount.value / 1000)
    except Refused:
        return last
    return None


@pytest.fixture
def fresh_shop(db):
    """A shop made anew for each example, and taken away after it."""
    from contextlib import contextmanager

    from django.db import transaction

    @contextmanager
    def fresh():
        with transaction.atomic():
            yield make.Shop(letter="A")
            transaction.set_rollback(True)

    return fresh


def test_lot_takes_as_many_statements_for_ten_events_as_for_one(shop):
    """Flat, however much happened."""
    jug = shop.package(place=shop.place(Kind.BIN))

    def statements():
        shop.do(stock.draw, package=jug, amount=grams(1))
        with CaptureQueriesContext(connection) as caught:
            reckoned(jug)
        return len(caught)

    few = statements()
    for _ in range(9):
        many = statements()
    assert many == few
