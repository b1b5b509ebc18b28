"""Several laptops in one test: each has a database of its own, and one at a time is in hand.

What is written while a laptop is in hand is undone when the laptops are put away.
"""

import io
import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.core.management import call_command
from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.utils import ConnectionHandler

from inventory.actions import exchange
from inventory.actions.by import By
from inventory.formats import bundle
from inventory.queries import exchange as read
from inventory.queries.books import differences
from tests import make

_databases: dict[str, BaseDatabaseWrapper] = {}


def _database(letter: str) -> BaseDatabaseWrapper:
    """A migrated database for one laptop, made once a test run."""
    if letter not in _databases:
        default = connections["default"]
        settings = dict(default.settings_dict)
        worker = os.environ.get("PYTEST_XDIST_WORKER", "")
        if default.vendor == "sqlite":
            settings["NAME"] = f"file:laptop_{letter}_{worker}?mode=memory&cache=shared"
        else:
            name = f"{settings['NAME']}_laptop_{letter.lower()}"
            with default._nodb_cursor() as cursor:
                cursor.execute(f'DROP DATABASE IF EXISTS "{name}"')
                cursor.execute(f'CREATE DATABASE "{name}"')
            settings["NAME"] = name
        wrapper = ConnectionHandler({"default": settings})["default"]
        with _as_default(wrapper):
            call_command("migrate", verbosity=0)
        _databases[letter] = wrapper
    return _databases[letter]


@contextmanager
def _as_default(wrapper: BaseDatabaseWrapper) -> Iterator[None]:
    before = connections["default"]
    connections["default"] = wrapper
    try:
        yield
    finally:
        connections["default"] = before


def close_all() -> None:
    """Close and drop what `_database` made."""
    for wrapper in _databases.values():
        name = wrapper.settings_dict["NAME"]
        wrapper.close()
        if wrapper.vendor == "postgresql":
            with connections["default"]._nodb_cursor() as cursor:
                cursor.execute(f'DROP DATABASE IF EXISTS "{name}"')
    _databases.clear()


class Laptop:
    """One machine with its own books."""

    def __init__(self, letter: str) -> None:
        self.letter = letter
        self.wrapper = _database(letter)
        with _as_default(self.wrapper):
            self._atomic = transaction.atomic()
            self._atomic._from_testcase = True  # as Django's own tests do: a command's durable one may begin
            self._atomic.__enter__()

    @contextmanager
    def in_hand(self) -> Iterator[None]:
        """Everything inside happens on this laptop."""
        with _as_default(self.wrapper):
            yield

    def put_away(self) -> None:
        """Undo all that was written."""
        with _as_default(self.wrapper):
            transaction.set_rollback(True)
            self._atomic.__exit__(None, None, None)

    def export(self) -> bytes:
        """The whole books as a bundle."""
        from inventory.models import Machine, Shop

        with self.in_hand():
            here = Machine.objects.get(here=True)
            header = bundle.Header(shop=str(Shop.objects.get().id), machine=str(here.id), made="")
            file = io.BytesIO()
            bundle.write(file, header, read.rows())
            return file.getvalue()

    def merge(self, packed: bytes, by: By) -> None:
        """Merge a bundle into these books."""
        header, rows = bundle.read(io.BytesIO(packed))
        with self.in_hand():
            exchange.meet(by, header=header, rows=rows)

    def hash(self) -> str:
        """The hash of these books."""
        with self.in_hand():
            return read.ledger_hash()

    def do(self, action: Any, by: By, **values: Any) -> Any:
        """Call an action on this laptop."""
        with self.in_hand():
            return action(by, **values)


def meet(one: Laptop, other: Laptop, shop: make.Shop) -> None:
    """Each merges the other's books."""
    one.merge(other.export(), shop.by())
    other.merge(one.export(), shop.by())


def right(*laptops: Laptop) -> None:
    """What is derived on each of these is what the events say."""
    for laptop in laptops:
        with laptop.in_hand():
            assert list(differences()) == []


def open_shop(letters: str) -> tuple[dict[str, Laptop], make.Shop]:
    """A shop on the first laptop; the others met it once and know it."""
    laptops = {letter: Laptop(letter) for letter in letters}
    first = letters[0]
    with laptops[first].in_hand():
        shop = make.Shop(letter="A")
    for letter in letters[1:]:
        with laptops[letter].in_hand():
            make.Shop(letter=letter)
        laptops[letter].merge(laptops[first].export(), shop.by())
        laptops[first].merge(laptops[letter].export(), shop.by())
    return laptops, shop
