"""check_ledger: every difference is said, exit 1; rebuild puts them right and says what it changed."""

from uuid import UUID

import pytest
from django.db import models

from inventory.actions import books, stock
from inventory.compute.fold import Trouble
from inventory.models import Balance, Disagreement, Event, Hold, Skipped, State, Tag
from tests import make
from tests.make import grams
from tests.management.running import run

pytestmark = pytest.mark.django_db


def everything_derived() -> dict[str, list[dict[str, object]]]:
    """Every derived row, but for the numbers the database gives rows itself."""
    found = {}
    for model in (Balance, State, Hold, Tag, Skipped, Disagreement):
        rows = list(model._default_manager.values())
        for row in rows:
            if isinstance(model._meta.pk, models.AutoField):
                row.pop("id")
        found[model.__name__] = sorted(rows, key=str)
    return found


def test_check_when_the_books_are_right_says_so_and_ends_with_0(shop):
    """Nothing differs: one line."""
    shop.package()
    ran = run("check_ledger")
    assert (ran.code, ran.out.strip()) == (
        0,
        "The books are right: every derived row is what the events say.",
    )


def test_check_when_a_balance_was_changed_behind_the_books_says_which_and_ends_with_1(shop):
    """The thing, what is written, and what the events say."""
    jug = shop.package(amount=grams(100))
    Balance.objects.filter(thing_id=jug).update(amount=99_000)
    ran = run("check_ledger")
    assert ran.code == 1
    assert str(jug) in ran.out
    assert "value=99000" in ran.out
    assert "value=100000" in ran.out
    assert Balance.objects.get(thing_id=jug).amount == 99_000


def test_rebuild_puts_right_what_was_changed_and_says_so(shop):
    """Exit 0, the row named, and a second check finds nothing."""
    jug = shop.package(amount=grams(100))
    Balance.objects.filter(thing_id=jug).update(amount=99_000)
    ran = run("check_ledger", "--rebuild")
    assert ran.code == 0
    assert f"changed: thing {jug}" in ran.out
    assert "Rows written anew: 1." in ran.out
    assert Balance.objects.get(thing_id=jug).amount == 100_000
    assert run("check_ledger").code == 0


def test_rebuild_when_nothing_differs_changes_nothing(shop):
    """The rows stay as they are, and nothing is said to be changed."""
    shop.package()
    before = everything_derived()
    ran = run("check_ledger", "--rebuild")
    assert (ran.code, "changed" in ran.out) == (0, False)
    assert everything_derived() == before


def test_rebuild_from_nothing_writes_every_derived_row_as_it_was(shop):
    """All six tables emptied: every row comes back from the events."""
    jug = shop.package(amount=grams(100))
    shop.do(stock.open_package, package=jug)
    wrong = shop.do(stock.draw, package=jug, amount=grams(5))
    shop.do(books.undo, token=wrong.token, reason="another jug")
    shop.do(stock.hold, things=[shop.package(number="N-2")], reason="cloudy")
    shop.pair()
    before = everything_derived()
    for model in (Balance, State, Hold, Tag, Skipped, Disagreement):
        model._default_manager.all().delete()
    assert run("check_ledger").code == 1
    assert run("check_ledger", "--rebuild").code == 0
    assert everything_derived() == before


def test_rebuild_takes_away_rows_of_things_whose_birth_was_undone(shop):
    """A balance and a hold left behind for a jug that was never delivered: found, and taken away."""
    jug = shop.package()
    received = Event.objects.get(step="received")
    shop.do(books.undo, token=received.act, reason="wrong lot")
    Balance.objects.create(thing_id=jug, amount=1)
    Hold.objects.create(thing_id=jug, event=received)
    ran = run("check_ledger")
    assert ran.code == 1
    assert f"balance {jug}" in ran.out
    assert f"hold {jug}" in ran.out
    assert run("check_ledger", "--rebuild").code == 0
    assert not Balance.objects.filter(thing_id=jug).exists()
    assert not Hold.objects.filter(thing_id=jug).exists()


def test_rebuild_takes_away_a_disagreement_that_no_event_says(shop):
    """A disagreement nobody's record explains goes; one about a card, which no event says, stays."""
    jug = shop.package()
    for number, trouble in enumerate((Trouble.SHORT, Trouble.CARD_EDITED_TWICE), 1):
        Disagreement.objects.create(id=UUID(int=number), trouble=trouble, subject=jug)
    ran = run("check_ledger", "--rebuild")
    assert ran.code == 0
    assert f"disagreement {UUID(int=1)}" in ran.out
    assert [row.trouble for row in Disagreement.objects.all()] == [Trouble.CARD_EDITED_TWICE]


def test_rebuild_when_a_number_is_missing_says_so_and_ends_with_1(shop):
    """An event that is not there cannot be made again from the others."""
    shop.package()
    machine = Event.objects.values_list("machine", flat=True).first()
    Event.objects.create(
        id=make.token(),
        machine=machine,
        number=1000,
        clock=1,
        sort=1,
        act=make.token(),
        type="ObjectEvent",
        biz_step="other",
        step="step done",
        at=shop.at,
    )
    ran = run("check_ledger", "--rebuild")
    assert ran.code == 1
    assert "event numbers" in ran.out


def test_check_of_a_folder_without_books_is_refused_and_of_one_with_books_is_not(shop):
    """No tables: exit 2 and what to do on the error stream."""
    from django.db import connection

    assert run("check_ledger").code == 0
    with connection.cursor() as cursor:
        cursor.execute("ALTER TABLE django_migrations RENAME TO hidden")
    ran = run("check_ledger")
    assert (ran.code, ran.out) == (2, "")
    assert "There are no books in this data folder yet." in ran.err
    assert "manage.py serve" in ran.err


@pytest.mark.parametrize(
    ("change", "code"),
    [("newer", "written by a newer version"), ("older", "of an older version")],
)
def test_check_of_books_of_another_version_is_refused(shop, change, code):
    """A migration this program does not know, or one that is waiting: nothing is read, nothing written."""
    from django.db.migrations.recorder import MigrationRecorder

    if change == "newer":
        MigrationRecorder.Migration.objects.create(app="inventory", name="9999_from_the_future")
    else:
        MigrationRecorder.Migration.objects.filter(app="inventory").delete()
    ran = run("check_ledger")
    assert ran.code == 2
    assert code in ran.err
