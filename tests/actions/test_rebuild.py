"""Rebuild: whatever was changed behind the books, what is derived comes back from the events alone."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.actions import books, places, stock
from inventory.actions.rebuild import rebuild
from inventory.compute.codes import Kind
from inventory.models import Balance, Disagreement, Event, Hold, Skipped, State, Tag
from inventory.queries.books import differences
from tests.make import grams, token

DERIVED = (Balance, State, Hold, Tag, Skipped, Disagreement)


def written() -> list[tuple[object, ...]]:
    """Every derived row as values."""
    found = []
    for model in DERIVED:
        names = [field.attname for field in model._meta.concrete_fields if field.attname != "id"]
        found += [(model.__name__, *row) for row in model._default_manager.values_list(*names)]
    return sorted(found, key=str)


def troubled(laptops):
    """Two laptops that met after each did what the other could not see: shorts, holds, an undone delivery."""
    found, shop = laptops("AB")
    a, b = found["A"], found["B"]
    with a.in_hand():
        first, second = shop.package(amount=grams(100)), shop.package(amount=grams(100), number="N-2")
        third = shop.package(amount=grams(100), number="N-3")
        store, trailer = shop.place(Kind.STORE), shop.place(Kind.TRAILER)
        delivery = Event.objects.filter(step="received").order_by("sort")[1].act
    b.merge(a.export(), shop.by())
    a.do(stock.draw, shop.by(), package=first, amount=grams(80))
    b.do(stock.draw, shop.by(), package=first, amount=grams(80))
    a.do(books.undo, shop.by(), token=delivery, reason="another lot")
    b.do(stock.draw, shop.by(), package=second, amount=grams(1))
    a.do(places.move, shop.by(), things=[first], to=store)
    b.do(places.move, shop.by(), things=[first], to=trailer)
    b.do(stock.hold, shop.by(), things=[first], reason="cloudy")
    same = token()
    for laptop, weight in ((a, 98), (b, 97)):
        laptop.do(stock.count, shop.by(token_=same), thing=third, amount=grams(weight))
    a.merge(b.export(), shop.by())
    return a


def test_rebuild_after_a_meeting_with_every_trouble_writes_the_same_rows_again(laptops):
    """Disagreements, skipped twins, suspended reversals and holds: all rows gone, all rows back."""
    laptop = troubled(laptops)
    with laptop.in_hand():
        before = written()
        kinds = {row[0] for row in before}
        assert kinds == {model.__name__ for model in DERIVED}
        for model in DERIVED:
            model._default_manager.all().delete()
        changed = list(rebuild())
        assert {"thing", "tag", "skipped", "disagreement"} == {difference.what for difference in changed}
        assert written() == before
        assert list(differences()) == []


def test_rebuild_when_nothing_differs_gives_nothing_and_writes_nothing(laptops):
    """Books that are right stay untouched."""
    laptop = troubled(laptops)
    with laptop.in_hand():
        before = written()
        assert list(rebuild()) == []
        assert written() == before


@pytest.mark.django_db
@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(data=st.data())
def test_rebuild_after_any_rows_were_changed_leaves_no_difference(shop, data):
    """Amounts, places, openings, tags changed or taken away at random: found, and put right."""
    jugs = [shop.package(amount=grams(50), number=f"N-{shop.at.isoformat()}") for _ in range(2)]
    before = written()
    jug = data.draw(st.sampled_from(jugs), label="jug")
    harm = data.draw(
        st.lists(
            st.sampled_from(["amount", "no balance", "no state", "opened", "tag", "no tag"]), min_size=1
        ),
        label="harm",
    )
    for what in harm:
        _harm(jug, what)
    assert list(differences()) != []
    assert list(rebuild()) != []
    assert written() == before
    assert list(differences()) == []


def _harm(jug, what):
    rows = Balance.objects.filter(thing_id=jug)
    if what == "amount":
        rows.update(amount=7)
    elif what == "no balance":
        rows.delete()
    elif what == "no state":
        State.objects.filter(thing_id=jug).delete()
    elif what == "opened":
        State.objects.filter(thing_id=jug).update(opened_at="2026-01-01T00:00:00+00:00")
    elif what == "tag":
        Tag.objects.filter(thing_id=jug).update(thing_id=None)
    else:
        Tag.objects.filter(thing_id=jug).delete()


@pytest.mark.django_db
def test_rebuild_when_there_are_ten_times_as_many_things_reads_no_more_often(shop):
    """Not one statement a thing: two packages or twenty, the same number of statements."""

    def asked(packages):
        for number in range(packages):
            shop.package(number=f"N-{number}")
        with CaptureQueriesContext(connection) as caught:
            assert list(rebuild()) == []
        return len(caught)

    assert asked(2) == asked(20)
