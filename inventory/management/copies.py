"""Copies of the books' database while it is in use, and databases made from such copies. Knows no table.

SQLite copies itself with VACUUM INTO, which brings what is still in the write-ahead log; PostgreSQL with
pg_dump, at one moment that others can look at.
"""

import os
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from django.db import connections, transaction
from django.db.utils import ConnectionHandler

from inventory.errors import Refused, say


@contextmanager
def of_now(connection: Any, to: Path) -> Iterator[None]:
    """Copy the books into a file. Inside, the default connection reads the books as they are in the copy.

    Refuses: backup.no_tool, backup.tool_failed
    """
    if connection.vendor == "sqlite":
        with closing(sqlite3.connect(connection.settings_dict["NAME"], timeout=20)) as source:
            source.execute("VACUUM INTO ?", [str(to)])
        with _instead(to):
            yield
        for extra in ("-wal", "-shm"):
            to.with_name(to.name + extra).unlink(missing_ok=True)
        return
    with transaction.atomic(durable=True), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        cursor.execute("SELECT pg_export_snapshot()")
        (snapshot,) = cursor.fetchone()
        _run(connection, "pg_dump", "--format=custom", f"--snapshot={snapshot}", f"--file={to}")
        yield


def check(connection: Any, copy: Path) -> None:
    """Refuse a copy that its own database finds damaged.

    Refuses: backup.no_tool, backup.tool_failed
    """
    if connection.vendor != "sqlite":
        _run(connection, "pg_restore", "--list", str(copy), database=False)
        return
    with closing(sqlite3.connect(f"file:{copy}?mode=ro&immutable=1", uri=True)) as source:
        found = source.execute("PRAGMA integrity_check").fetchone()[0]
    if found != "ok":
        raise _failed("SQLite", str(found))


def is_empty(connection: Any) -> bool:
    """True when the database of these settings holds no table yet."""
    if connection.vendor == "sqlite":
        return not Path(str(connection.settings_dict["NAME"])).exists()
    return not connection.introspection.table_names()


def put(connection: Any, copy: Path) -> None:
    """Make the database of these settings from a copy.

    Refuses: backup.no_tool, backup.tool_failed
    """
    connection.close()
    if connection.vendor == "sqlite":
        copy.replace(str(connection.settings_dict["NAME"]))
        return
    _run(connection, "pg_restore", "--no-owner", "--exit-on-error", "--single-transaction", str(copy))


@contextmanager
def _instead(file: Path) -> Iterator[None]:
    """Let the default connection read another SQLite file for a while."""
    before = connections["default"]
    other = ConnectionHandler({"default": dict(before.settings_dict) | {"NAME": str(file)}})["default"]
    connections["default"] = other
    try:
        yield
    finally:
        other.close()
        connections["default"] = before


def _run(connection: Any, tool: str, *words: str, database: bool = True) -> None:
    """Run one of PostgreSQL's tools; what it must know to sign in goes by the environment, not the words."""
    known = connection.settings_dict
    values = {
        "PGHOST": known["HOST"],
        "PGPORT": str(known["PORT"] or ""),
        "PGUSER": known["USER"],
        "PGPASSWORD": known["PASSWORD"],
    }
    where = [f"--dbname={known['NAME']}"] if database else []
    environment = os.environ | {name: value for name, value in values.items() if value}
    try:
        done = subprocess.run(  # noqa: S603 - the tools and their words are ours
            [tool, *where, *words], env=environment, capture_output=True, text=True, check=False
        )
    except FileNotFoundError as error:
        raise Refused(
            "backup.no_tool",
            say("{tool} is not on this computer.", tool=tool),
            say("Install pg_dump and pg_restore of the server's version, then try again."),
        ) from error
    if done.returncode:
        raise _failed(tool, done.stderr.strip()[-400:])


def _failed(tool: str, why: str) -> Refused:
    return Refused(
        "backup.tool_failed",
        say("{tool} did not do it: {why}", tool=tool, why=why),
        say("Put that right, then try again; the books themselves were not changed."),
    )
