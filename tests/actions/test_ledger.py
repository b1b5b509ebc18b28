"""The pen: what a late record, a token and a hold may do, whatever the happening."""

from datetime import timedelta

import pytest

from inventory.actions import books, stock
from inventory.actions.by import By
from inventory.models import Event, Material, State
from inventory.queries.books import differences
from tests import make
from tests.make import grams, refused

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("ahead", [-4, 4])
def test_record_whose_time_is_a_little_ahead_sorts_before_what_is_written_next(shop, ahead):
    """A phone's clock may be minutes ahead: the fold and the written balance still agree."""
    jug = shop.package(amount=grams(100))
    now = shop.at + timedelta(seconds=1)
    at = now + timedelta(minutes=ahead)
    stock.count(By(make.token(), now, shop.owner, at), thing=jug, amount=grams(50))
    shop.do(stock.draw, package=jug, amount=grams(10))
    assert shop.amount(jug) == 40_000
    assert list(differences()) == []
    count = Event.objects.get(step="counted")
    assert count.at == at
    assert count.sort <= count.clock


def test_record_whose_time_is_far_ahead_is_refused(shop):
    """Six minutes ahead is a wrong time; four are a wrong clock."""
    jug = shop.package(amount=grams(100))
    late = [By(make.token(), shop.at, shop.owner, shop.at + timedelta(minutes=m)) for m in (6, 4)]
    with refused("date.future"):
        stock.count(late[0], thing=jug, amount=grams(50))
    stock.count(late[1], thing=jug, amount=grams(50))


def test_token_sent_again_with_another_person_changes_nothing_and_with_other_content_is_refused(shop):
    """The first answer stands; a token that was refused is free for the right content."""
    jug = shop.package(amount=grams(100))
    by = shop.by()
    stock.draw(by, package=jug, amount=grams(20))
    assert stock.draw(shop.by(token_=by.token, as_=shop.helper), package=jug, amount=grams(20)).again
    with refused("act.other_content"):
        stock.draw(shop.by(token_=by.token), package=jug, amount=grams(21))
    free = make.token()
    with refused("stock.short"):
        stock.draw(shop.by(token_=free), package=jug, amount=grams(210))
    stock.draw(shop.by(token_=free), package=jug, amount=grams(21))
    assert shop.amount(jug) == 59_000
    assert Event.objects.get(act=by.token).who == shop.owner


@pytest.mark.parametrize("days", [29, 31])
def test_undo_of_an_opening_that_ended_a_package_is_an_owners_and_before_that_anybodys(shop, days):
    """A helper may take back their own slip, and not make an expired package usable again."""
    jug = shop.package()
    Material.objects.update(opened_life_days=30)
    opened = stock.open_package(shop.by(as_=shop.helper), package=jug)
    shop.at += timedelta(days=days)
    if days > 30:
        for person in (shop.helper, shop.crew):
            with refused("books.opened_too_long"):
                books.undo(shop.by(as_=person), token=opened.token, reason="slip")
    books.undo(shop.by(as_=shop.owner if days > 30 else shop.helper), token=opened.token, reason="slip")
    assert State.objects.get(thing_id=jug).opened_at is None
