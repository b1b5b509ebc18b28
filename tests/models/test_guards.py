"""What is written once stays: the databases refuse every change, however it comes."""

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from inventory.actions import stock
from inventory.checks import guards_are_on, sqlite_is_set_up
from inventory.models import Act, Balance, Event, Line, Revision, State, Tag, Tagging, Thing, guards
from tests.make import grams

pytestmark = pytest.mark.django_db

GUARDED = [Act, Event, Line, Revision, Tagging, Thing]
SENTENCE = "The books are only added to"


@pytest.fixture
def jug(shop):
    jug = shop.package()
    shop.do(stock.draw, package=jug, amount=grams(1))
    return jug


def run(sql: str) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)


@pytest.mark.parametrize("model", GUARDED)
def test_update_through_the_orm_is_refused(jug, model):
    """A queryset's update is refused by the database, in a sentence."""
    field = {Act: "content", Event: "step", Line: "role", Revision: "card", Tagging: "code", Thing: "base"}[
        model
    ]
    with pytest.raises(IntegrityError, match=SENTENCE), transaction.atomic():
        model.objects.update(**{field: "x"})


@pytest.mark.parametrize("model", GUARDED)
def test_delete_in_sql_is_refused(jug, model):
    """So is a delete that goes round the ORM."""
    with pytest.raises(IntegrityError, match=SENTENCE):
        run(f"DELETE FROM {model._meta.db_table}")


@pytest.mark.parametrize("model", GUARDED)
def test_update_in_sql_is_refused(jug, model):
    """So is an update that changes nothing."""
    key = model._meta.pk.column
    with pytest.raises(IntegrityError, match=SENTENCE):
        run(f"UPDATE {model._meta.db_table} SET {key} = {key}")


@pytest.mark.parametrize("model", GUARDED)
def test_replace_of_a_row_is_refused(jug, model):
    """Neither INSERT OR REPLACE nor ON CONFLICT DO UPDATE gets round the guards."""
    table, key = model._meta.db_table, model._meta.pk.column
    if connection.vendor == "sqlite":
        statement = f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}"
    else:
        statement = (
            f"INSERT INTO {table} OVERRIDING SYSTEM VALUE SELECT * FROM {table} "
            f"ON CONFLICT ({key}) DO UPDATE SET {key} = EXCLUDED.{key}"
        )
    with pytest.raises(IntegrityError, match=SENTENCE):
        run(statement)


def test_truncate_is_refused(jug):
    """TRUNCATE fires no row trigger; PostgreSQL has a guard for it, SQLite has no TRUNCATE."""
    statement = f"TRUNCATE {Event._meta.db_table} CASCADE"
    connection.check_constraints()  # PostgreSQL truncates nothing while deferred checks are pending
    with pytest.raises(DatabaseError if connection.vendor == "sqlite" else IntegrityError):
        run(statement)
    assert Event.objects.exists()


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE {balance} SET amount = -1",
        "UPDATE {balance} SET short = -1",
        "UPDATE {balance} SET short = 5",
        "UPDATE {state} SET place_id = thing_id",
    ],
)
def test_impossible_derived_rows_are_refused(jug, change):
    """Less than nothing, short beside something left, a thing in itself: CHECKs refuse them."""
    names = {"balance": Balance._meta.db_table, "state": State._meta.db_table}
    with pytest.raises(IntegrityError):
        run(change.format(**names))


def test_second_thing_with_one_code_is_refused(jug):
    """A code is the key of its row."""
    code = Tag.objects.get(thing_id=jug).code
    with pytest.raises(IntegrityError), transaction.atomic():
        Tag.objects.create(code=code, thing_id=jug)


def test_missing_guard_is_an_error_at_start_and_present_ones_are_not(shop):
    """shop.E001 names the guard that is gone; migrate puts it back."""
    assert guards_are_on(None, ["default"]) == []
    guards.take_off(connection)
    (error,) = guards_are_on(None, ["default"])
    assert error.id == "shop.E001"
    guards.put_on(connection)
    assert guards_are_on(None, ["default"]) == []


def test_sqlite_settings_are_checked(db):
    """shop.E002: triggers fire for REPLACE, and what was answered as saved is on the disk."""
    assert sqlite_is_set_up(None, ["default"]) == []
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA recursive_triggers=OFF")
            try:
                (error,) = sqlite_is_set_up(None, ["default"])
                assert error.id == "shop.E002"
            finally:
                cursor.execute("PRAGMA recursive_triggers=ON")
