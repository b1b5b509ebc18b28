"""Large books for benchmarks, written in bulk: pairs with the genealogy that acts would have given them.

Rows go in by the plain driver, since the pen would need half an hour. The guards are on.
"""

import io
import json
import os
import random
from collections.abc import Callable, Iterable, Iterator
from itertools import count
from statistics import median
from time import perf_counter
from typing import Any
from uuid import UUID

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")


def begin() -> str:
    """Set Django up on the empty database of this run, and say which engine it is."""
    django.setup()
    from django.core.management import call_command
    from django.db import connection

    call_command("migrate", verbosity=0)
    return "PostgreSQL" if connection.vendor == "postgresql" else "SQLite"


def side_by_side(
    ours: Callable[[], object], floor: Callable[[], object], *, runs: int
) -> tuple[float, float, float]:
    """Time two calls in turn; return the median milliseconds of each and the median ratio of a turn."""
    turns = []
    for _ in range(runs):
        times = []
        for call in (ours, floor):
            begun = perf_counter()
            call()
            times.append((perf_counter() - begun) * 1000)
        turns.append(times)
    return (
        median(one for one, _ in turns),
        median(other for _, other in turns),
        median(one / other for one, other in turns),
    )


_WORDS = "id machine number clock sort act type action biz_step step version at offset late facts"
_EVENT = (*_WORDS.split(),)


class Books:
    """Ids are counted, so that the same books come out every time."""

    def __init__(self, pairs: int) -> None:
        self.dice = random.Random(1)
        self.numbers = count(1)
        self.things: list[tuple[Any, ...]] = []
        self.events: list[tuple[Any, ...]] = []
        self.lines: list[tuple[Any, ...]] = []
        self.machine = UUID(int=7)
        self.skis: list[UUID] = []
        self.pairs: list[tuple[UUID, UUID, UUID]] = []
        self.lots = [self._lot(kind) for kind in ("resin", "hardener", *["layer"] * 10)]
        for number in range(pairs):
            self._pair(number)

    def _id(self) -> UUID:
        return UUID(int=(next(self.numbers) << 80) | 0x7000_8000_0000_0000_0000)

    def _thing(self, kind: str, base: str = "") -> UUID:
        id = self._id()
        self.things.append((id, kind, base))
        return id

    def _event(self, step: str, lines: Iterable[tuple[UUID, str, int | None]]) -> None:
        id, number = self._id(), len(self.events) + 1
        self.events.append((id, number, step))
        self.lines += [(id, at, *line) for at, line in enumerate(lines)]

    def _lot(self, kind: str) -> dict[str, Any]:
        lot = {"kind": kind, "id": self._thing("lot"), "left": 0}
        self._event("lot known", [(lot["id"], "output", None)])
        return lot

    def _package(self, lot: dict[str, Any], uses: int) -> UUID:
        """The package in hand of a lot; after some uses a new one, after some packages a new lot."""
        if lot["left"] == 0:
            if "package" in lot and self.dice.random() < 0.02:
                lot |= self._lot(lot["kind"])
            lot["package"], lot["left"] = self._thing("package", "mg"), uses
            self._event("received", [(lot["id"], "input", None), (lot["package"], "output", 5_000_000)])
        lot["left"] -= 1
        package: UUID = lot["package"]
        return package

    def _pair(self, number: int) -> None:
        pair, left, right = self._thing("pair"), self._thing("ski"), self._thing("ski")
        self._event("put into use", [(thing, "output", None) for thing in (pair, left, right)])
        self._event("paired", [(left, "part", None), (right, "part", None), (pair, "whole", None)])
        for ski in (left, right):
            batch = self._thing("resin batch", "mg")
            mixed = [(self._package(lot, 12), "input", 300_000) for lot in self.lots[:2]]
            self._event("mixed", [*mixed, (batch, "output", 600_000)])
            layers = [(self._package(lot, 40), "input", 1000) for lot in self.lots[2:]]
            self._event("laid up", [(batch, "input", 400_000), *layers, (ski, "gains", None)])
        cycle = self._thing("press cycle")
        self._event("put into use", [(cycle, "output", None)])
        self._event("pressed", [(left, "observed", None), (right, "observed", None), (cycle, "by", None)])
        self._event("handed over", [(thing, "observed", None) for thing in (pair, left, right)])
        self.pairs.append((pair, left, right))
        self.skis += [left, right]

    def write(self) -> None:
        """Write all rows, and let the database count them."""
        from django.db import connection, transaction

        from inventory.models import Event, Line, Pair, Ski, Thing

        with transaction.atomic():
            _fill(Thing, ("id", "kind", "base"), self.things)
            _fill(Event, _EVENT, self._event_rows())
            names = ("event_id", "position", "thing_id", "role", "amount", "basis")
            _fill(Line, names, ((*line, "weighed") for line in self.lines))
            shape = ("thing_id", "length_mm", "tail_shape", "chose")
            _fill(Pair, shape, ((pair, 1780, "blunt", "") for pair, _, _ in self.pairs))
            _fill(Ski, ("thing_id", "pair_id", "side"), self._ski_rows())
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")

    def _ski_rows(self) -> Iterator[tuple[UUID, UUID, str]]:
        for pair, left, right in self.pairs:
            yield left, pair, "left"
            yield right, pair, "right"

    def _event_rows(self) -> Iterator[tuple[Any, ...]]:
        at, facts = "2026-11-30 08:00:00+00:00", json.dumps({})
        for id, number, step in self.events:
            yield id, self.machine, number, number, number, id, "", "", "", step, 1, at, 0, False, facts


def _fill(model: Any, columns: tuple[str, ...], rows: Iterable[tuple[Any, ...]]) -> None:
    from django.db import connection

    table = model._meta.db_table
    names = ", ".join(f'"{name}"' for name in columns)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            text = io.StringIO()
            for row in rows:
                text.write("\t".join("\\N" if value is None else str(value) for value in row) + "\n")
            text.seek(0)
            with cursor.cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy:
                copy.write(text.getvalue())
        else:
            marks = ", ".join("?" * len(columns))
            plain = ([value.hex if isinstance(value, UUID) else value for value in row] for row in rows)
            cursor.cursor.connection.executemany(f"INSERT INTO {table} ({names}) VALUES ({marks})", plain)
