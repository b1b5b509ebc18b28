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
_MODEL = "0"  # no laptop has this letter


def _database(letter: str) -> BaseDatabaseWrapper:
    """A database for one laptop with every table and guard, made once a test run: a copy of the model."""
    if letter not in _databases:
        model = None if letter == _MODEL else _database(_MODEL)
        settings = dict(connections["default"].settings_dict)
        if connections["default"].vendor == "sqlite":
            worker = os.environ.get("PYTEST_XDIST_WORKER", "")
            settings["NAME"] = f"file:laptop_{letter}_{worker}?mode=memory&cache=shared"
        else:
            settings["NAME"] = _created(f"{settings['NAME']}_laptop_{letter.lower()}", model)
        wrapper = _databases[letter] = ConnectionHandler({"default": settings})["default"]
        with _as_default(wrapper):
            if model is None:
                call_command("migrate", verbosity=0)
            elif model.vendor == "sqlite":
                wrapper.ensure_connection()
                model.connection.backup(wrapper.connection)
    return _databases[letter]


def _created(name: str, model: BaseDatabaseWrapper | None) -> str:
    """A new database on the server, and its name; nobody may be connected to the one it copies."""
    like = ""
    if model is not None:
        model.close()
        like = f' TEMPLATE "{model.settings_dict["NAME"]}"'
    with connections["default"]._nodb_cursor() as cursor:
        cursor.execute(f'DROP DATABASE IF EXISTS "{name}"')
        cursor.execute(f'CREATE DATABASE "{name}"{like}')
    return name


@contextmanager
def _as_default(wrapper: BaseDatabaseWrapper) -> Iterator[None]:
    before = connections["default"]
    connections["default"] = wrapper
    try:
        yield
    finally:
        connections["default"] = before


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
