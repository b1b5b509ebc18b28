"""The second laptop: a copy of the folder with a letter of its own, that worked apart and left its bundle.

Its books are in a file beside, only while they are made.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from uuid import UUID

from django.db import connection, connections, transaction
from django.db.utils import ConnectionHandler

from inventory.actions import exchange, stock
from inventory.compute.units import Amount, Base
from inventory.management import bundles
from inventory.management.season.agenda import Agenda

BUNDLE = "second-laptop.bundle"


def copy_books(to: Path) -> None:
    """The books as they are now, in another file, by the database's own way: nothing is left in its log."""
    connection.ensure_connection()
    with sqlite3.connect(to) as file:
        connection.connection.backup(file)
    file.close()


@contextmanager
def books_in(file: Path) -> Iterator[None]:
    """Everything inside happens in the books of another file."""
    settings = connections["default"].settings_dict | {"NAME": str(file)}
    before = connections["default"]
    other = ConnectionHandler({"default": settings})["default"]
    connections["default"] = other
    try:
        yield
    finally:
        connections["default"] = before
        other.close()


def work_apart(
    agenda: Agenda, *, id: UUID, can: UUID, unopened: UUID, under_mg: int, left: datetime, bundle: Path
) -> None:
    """What was done on the second laptop: a can opened there too, and resin taken that the first one missed.

    The bundle says so to whoever merges it: one disagreement, since the first laptop counted apart.
    """

    def begin() -> None:
        agenda.do(exchange.carry_on, id=id, letter="B", fingerprint="-")

    def work() -> None:
        agenda.do(stock.open_package, "sunniva", package=unopened)
        agenda.do(stock.draw, "sunniva", package=can, amount=Amount(under_mg, Base.MG))

    agenda.plan(left, begin)
    agenda.plan(agenda.moment(-2, "15:00"), work)
    end = agenda.moment(-2, "18:00")
    with transaction.atomic(durable=True):
        agenda.run(end)
        bundles.write(bundle, end)
