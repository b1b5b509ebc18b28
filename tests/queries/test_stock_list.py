"""The list of packages: every order and narrowing against a plain walk over all rows, and flat statements."""

from datetime import timedelta
from itertools import pairwise

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.actions import care, materials, places, stock
from inventory.compute.codes import Kind
from inventory.compute.retest import Trial
from inventory.compute.units import Base
from inventory.models import Package, State
from inventory.queries.stock_list import Condition, Listing, Order, Wanted, rows_of, usable_through
from tests import make
from tests.make import day, grams

pytestmark = pytest.mark.django_db
TODAY = day("2026-11-30")


def listing(today=TODAY, order=Order.LASTS, descending=False, **wanted):
    return Listing(Wanted(**wanted), today=today, order=order, descending=descending)


def things(found):
    return [row.thing for row in found.rows(0, found.count())]


def filled(shop, rows):
    """Packages of two materials, one with a life once opened; some open, emptied, without a date."""
    kinds = [
        shop.do(
            materials.make_material, key=f"m{n}", name=f"M{n}", base=Base.MG, facts={"opened_life_days": life}
        ).thing
        for n, life in enumerate((20, None))
    ]
    made = []
    for number, (kind, after, open_, emptied) in enumerate(rows):
        expires = None if after is None else TODAY + timedelta(after)
        thing = shop.do(
            stock.receive_lot,
            material=kinds[kind],
            number=f"N-{number}",
            packages=[grams(10)],
            expires_on=expires,
        ).things[-1]
        if open_:
            shop.do(stock.open_package, package=thing)
        if emptied:
            shop.do(stock.count, thing=thing, amount=grams(0))
        made.append(thing)
    return made


def last_days(things_):
    rows = Package.objects.filter(thing_id__in=things_).select_related("lot__material", "thing__state")
    return {row.thing_id: usable_through(row).through for row in rows}


row = st.tuples(st.sampled_from([0, 1]), st.none() | st.integers(-30, 60), st.booleans(), st.booleans())


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(row, min_size=1, max_size=9), first=st.integers(0, 4), descending=st.booleans())
def test_list_by_last_day_is_the_plain_sort_of_all_rows_page_by_page(fresh_shop, rows, first, descending):
    """Oracle: every package sorted in Python by its own last day. Any page of the list is that slice."""
    with fresh_shop() as shop:
        made = filled(shop, rows)
        held = [thing for thing, (*_, emptied) in zip(made, rows, strict=True) if not emptied]
        days, sign = last_days(held), -1 if descending else 1
        expected = sorted(
            held,
            key=lambda thing: (
                days[thing] is None,
                sign * (days[thing] or TODAY).toordinal(),
                sign * thing.int,
            ),
        )
        found = listing(descending=descending)
        assert found.count() == len(held)
        assert things(found) == expected
        assert [row.thing for row in listing(descending=descending).rows(first, first + 3)] == expected[
            first : first + 3
        ]
        past = listing(condition=Condition.PAST)
        assert set(things(past)) == {thing for thing in held if days[thing] and days[thing] < TODAY}
        soon = TODAY + timedelta(10)
        assert set(things(listing(until=soon))) == {t for t in held if days[t] and days[t] <= soon}


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


def test_list_by_material_lot_and_place_follows_the_names(shop):
    """Three orders, each both ways."""
    bins = [shop.place(Kind.BIN, name) for name in ("bin 2", "bin 1")]
    for number, (kind, place) in enumerate([("resin", 0), ("edge", 1), ("glue", 0), ("glue", 1)]):
        shop.package(kind, grams(1), f"N-{9 - number}", place=bins[place])
    for order, name in ((Order.MATERIAL, "material"), (Order.LOT, "number")):
        for descending in (False, True):
            told = [getattr(row, name) for row in listing(order=order, descending=descending).rows(0, 9)]
            assert told == sorted(told, reverse=descending)
    where = [row.place for row in listing(order=Order.PLACE).rows(0, 9)]
    assert where == [bins[1], bins[1], bins[0], bins[0]]


def test_list_finds_by_every_word_of_material_lot_and_code(shop):
    """Words in any order, parts of names, letters beyond ASCII, a code with or without its hyphen."""
    jug = shop.package("Resin Ås", grams(1), "TX-77")
    shop.package("hardener", grams(1), "TX-78")
    code = rows_of([jug])[0].code
    for words in ("ås", "ÅS tx", "77", code, f"{code[:4]}-{code[4:]}", code.lower(), "resin 77"):
        assert things(listing(words=words)) == [jug], words
    assert things(listing(words="resin 78")) == []
    assert len(things(listing(words="tx"))) == 2
    lot_code = listing(words="77").rows(0, 1)[0].lot
    from inventory.models import Tag

    assert things(listing(words=Tag.objects.get(thing_id=lot_code).code)) == [jug]


def test_list_narrows_to_a_place_with_all_that_stands_in_it(shop):
    """In the trailer is what lies in its bins; once the bin moved away, it is not."""
    trailer, store = shop.place(Kind.TRAILER), shop.place(Kind.STORE)
    bin_ = shop.place(Kind.BIN, inside=shop.place(Kind.ZONE, inside=trailer))
    jug = shop.package(place=bin_)
    shop.package(number="N-2", place=store)
    assert things(listing(place=trailer)) == [jug]
    shop.do(places.move, things=[bin_], to=store)
    assert things(listing(place=trailer)) == []
    assert len(things(listing(place=store))) == 2


def test_list_narrows_to_open_closed_and_on_hold(shop):
    """A hold on the lot holds its packages; open and closed part the rest."""
    first, second, third = (shop.package(number=f"N-{n}") for n in range(3))
    shop.do(stock.open_package, package=first)
    shop.do(stock.hold, things=[rows_of([second])[0].lot], reason="cloudy")
    assert things(listing(condition=Condition.OPEN)) == [first]
    assert set(things(listing(condition=Condition.CLOSED))) == {second, third}
    assert things(listing(condition=Condition.HELD)) == [second]
    assert [row.held for row in rows_of([first, second])] == [False, True]


def test_list_takes_a_retested_package_by_its_new_day(shop):
    """Past its date by the label, in date by its re-test: not among those that are past."""
    of = shop.do(
        materials.make_material,
        key="h",
        name="H",
        base=Base.MG,
        facts={"chemistry": "amine hardener", "retest_allowed": True},
    ).thing

    def jug(number, expires):
        values = {"material": of, "number": number, "packages": [grams(1)], "expires_on": day(expires)}
        return shop.do(stock.receive_lot, **values).things[-1]

    old, fresh = jug("O", "2026-11-10"), jug("F", "2027-11-10")
    assert things(listing(condition=Condition.PAST)) == [old]
    trial = Trial(30.0, 25.0)
    shop.do(
        care.retest_package,
        package=old,
        control=fresh,
        months=3,
        old=trial,
        fresh=trial,
        hardness_as_control=True,
        coupon_as_control=True,
    )
    assert things(listing(condition=Condition.PAST)) == []
    assert things(listing(until=day("2027-02-10"))) == [old]


def test_list_leaves_out_what_is_empty_and_what_was_undone(shop):
    """An emptied jug is in no list; a package never born is in none either."""
    jug = shop.package(amount=grams(1))
    shop.do(stock.draw, package=jug, amount=grams(1))
    assert things(listing()) == []
    assert State.objects.filter(thing_id=jug).exists()


@pytest.mark.parametrize("order", list(Order))
def test_list_takes_as_many_statements_for_ten_rows_as_for_one(shop, order):
    """Flat: count and page, whatever is in them."""

    def statements():
        with CaptureQueriesContext(connection) as caught:
            found = listing(order=order)
            found.count()
            found.rows(0, 25)
        return len(caught)

    shop.package(number="N-0")
    few = statements()
    for number in range(9):
        shop.package(number=f"M-{number}", expires_on=day("2027-01-01"))
    assert statements() == few


def test_all_gives_the_same_rows_as_the_pages(shop):
    """What leaves as a sheet is what the pages show."""
    for number in range(5):
        shop.package(number=f"N-{number}", expires_on=TODAY + timedelta(number))
    found = list(listing().all())
    assert found == listing().rows(0, 5)
    assert all(a.usable.through < b.usable.through for a, b in pairwise(found))
