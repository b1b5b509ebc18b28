"""Backups of a whole shop and shops made from them. Used by the commands of those names.

A backup holds the books and the files of the data folder. It leaves out the secret, which a new folder makes
anew, and the list of people who were erased, which must outlive every backup.
"""

import tempfile
from datetime import datetime
from pathlib import Path
from typing import IO

from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import connection

from inventory.errors import Refused, say
from inventory.formats import backup
from inventory.formats.backup import Page
from inventory.management import copies, tables
from inventory.queries import exchange

_LEFT_OUT = ("shop.sqlite3", "serving.", "secret", "demo.json")


def files() -> dict[str, Path]:
    """The files of the data folder that are no books: papers, photos, artwork, loggers' files."""
    folder = Path(settings.DATA_FOLDER)
    return {
        path.relative_to(folder).as_posix(): path
        for path in sorted(folder.rglob("*"))
        if path.is_file()
        and not path.is_symlink()
        and not path.relative_to(folder).as_posix().startswith(_LEFT_OUT)
    }


def write(file: Path, now: datetime) -> Page:
    """Write a backup while the shop is in use, and read it again whole before it gets its name.

    Refuses: backup.exists, backup.damaged, backup.no_tool, backup.tool_failed
    """
    if file.exists():
        raise Refused(
            "backup.exists",
            say("There is a file {file} already.", file=file),
            say("Give the backup another name, such as the day's date."),
        )
    part = file.with_name(file.name + ".part")
    try:
        with tempfile.TemporaryDirectory(dir=file.parent, prefix=".backup-") as made:
            books = Path(made) / "books"
            with copies.of_now(connection, books):
                page = Page(now.isoformat(timespec="seconds"), connection.vendor, exchange.ledger_hash())
            copies.check(connection, books)
            with part.open("xb") as out:
                page = backup.write(out, page=page, books=books, files=files())
        with part.open("rb") as written:
            backup.check(written, backup.read_page(written))
        part.replace(file)
    finally:
        part.unlink(missing_ok=True)
    return page


def restore(file: Path) -> Page:
    """Make this empty data folder's shop from a backup, and prove it: the same ledger, hash by hash.

    Refuses: restore.not_empty, restore.other_database, restore.differs, and what reading a backup refuses
    """
    folder = Path(settings.DATA_FOLDER)
    with file.open("rb") as packed:
        page = backup.read_page(packed)
        _check_place(page)
        backup.check(packed, page)
        with tempfile.TemporaryDirectory(dir=folder, prefix=".restore-") as made:
            books = Path(made) / "books"
            backup.unpack(packed, page, backup.BOOKS, books)
            for name in page.entries:
                if name.startswith(backup.FILES):
                    _put_file(packed, page, name, folder)
            copies.put(connection, books)
    tables.bring_up_to_date(connection)
    if exchange.ledger_hash() != page.ledger:
        raise Refused(
            "restore.differs",
            say("The books that were restored are not those that were backed up."),
            say("Do not use this folder. Restore another backup into another empty folder."),
        )
    Session.objects.all().delete()
    return page


def made_at(file: Path) -> datetime:
    """When a backup was made, by the clock of its laptop then.

    Refuses: what reading a backup refuses
    """
    with file.open("rb") as packed:
        return datetime.fromisoformat(backup.read_page(packed).made)


def _check_place(page: Page) -> None:
    """Refuse a place that holds anything, and books of another kind of database."""
    folder = Path(settings.DATA_FOLDER)
    if not copies.is_empty(connection) or files():
        raise Refused(
            "restore.not_empty",
            say("{folder} or its database holds something already.", folder=folder),
            say("Name an empty folder with SHOP_DATA, and an empty database when it is PostgreSQL's."),
        )
    if page.engine != connection.vendor:
        raise Refused(
            "restore.other_database",
            say("The backup is of {engine}; here it is {here}.", engine=page.engine, here=connection.vendor),
            say("Set DATABASE_URL to an empty database of that kind, or leave it empty for SQLite."),
        )


def _put_file(packed: IO[bytes], page: Page, name: str, folder: Path) -> None:
    to = folder / name.removeprefix(backup.FILES)
    to.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    backup.unpack(packed, page, name, to)
