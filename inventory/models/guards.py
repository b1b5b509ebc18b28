"""The guards on what is written once: triggers that refuse every change, in SQLite and PostgreSQL.

SQLite drops a table's triggers in silence when a migration rebuilds it, so they are put back after every
`migrate`, and a system check refuses to start without them.
"""

from typing import Any

from inventory.models.ledger import Act, Event, Line, Revision, Tagging, Thing

GUARDED = (Act, Event, Line, Revision, Tagging, Thing)
_SENTENCE = "The books are only added to: {table} rows are never changed or deleted."


def _tables() -> list[str]:
    return [model._meta.db_table for model in GUARDED]


def _sqlite(table: str) -> list[str]:
    sentence = _SENTENCE.format(table=table)
    return [
        f"CREATE TRIGGER IF NOT EXISTS guard_{table}_{verb} BEFORE {verb.upper()} ON {table} "
        f"BEGIN SELECT RAISE(ABORT, '{sentence}'); END"
        for verb in ("update", "delete")
    ]


def _postgresql(table: str) -> list[str]:
    return [
        f"CREATE OR REPLACE TRIGGER guard_{table}_row BEFORE UPDATE OR DELETE ON {table} "
        "FOR EACH ROW EXECUTE FUNCTION only_added_to()",
        f"CREATE OR REPLACE TRIGGER guard_{table}_all BEFORE TRUNCATE ON {table} "
        "FOR EACH STATEMENT EXECUTE FUNCTION only_added_to()",
    ]


_FUNCTION = """
CREATE OR REPLACE FUNCTION only_added_to() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'The books are only added to: % rows are never changed or deleted.', TG_TABLE_NAME
    USING ERRCODE = 'integrity_constraint_violation';
END $$
"""


def _names(table: str, vendor: str) -> list[str]:
    ends = ("update", "delete") if vendor == "sqlite" else ("row", "all")
    return [f"guard_{table}_{end}" for end in ends]


def put_on(connection: Any) -> None:
    """Make the guards where they are missing."""
    present = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_FUNCTION)
        for table in _tables():
            if table in present:
                for statement in _sqlite(table) if connection.vendor == "sqlite" else _postgresql(table):
                    cursor.execute(statement)


def take_off(connection: Any) -> None:
    """Drop the guards: for emptying a test database, and for nothing else."""
    with connection.cursor() as cursor:
        for table in _tables():
            for name in _names(table, connection.vendor):
                on = f" ON {table}" if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER IF EXISTS {name}{on}")


def missing(connection: Any) -> list[str]:
    """The names of guards that are not there, of tables that are."""
    present = set(connection.introspection.table_names())
    catalogue = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if connection.vendor == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
    )
    with connection.cursor() as cursor:
        cursor.execute(catalogue)
        found = {row[0] for row in cursor.fetchall()}
    wanted = [name for table in _tables() if table in present for name in _names(table, connection.vendor)]
    return [name for name in wanted if name not in found]
