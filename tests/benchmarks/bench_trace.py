"""How long a trace takes in books of 30,000 pairs, beside the bare SQL of the same answer.

Runs on SQLite and on PostgreSQL, after ANALYZE. Gate: the query, rows included, takes at most 1.5 times the
bare statements, for a ski's back trace, a package's forward trace, and the biggest lot's. What a recall asks
of the same books is in `recall`.
"""

import sqlite3
import sys
from collections import Counter
from collections.abc import Callable
from uuid import UUID

from tests.benchmarks import recall
from tests.benchmarks.books import Books, begin, side_by_side

PAIRS = 30_000
MOST = 1.5

_RECURSIVE = """
WITH RECURSIVE walk(id, is_event) AS (
  SELECT {start}, 0
  UNION
  SELECT CASE WHEN is_event = 0 THEN line.event_id ELSE line.thing_id END, 1 - is_event
  FROM walk JOIN inventory_line AS line
    ON (is_event = 0 AND line.thing_id = walk.id AND line.role IN ({enter}))
    OR (is_event = 1 AND line.event_id = walk.id AND line.role IN ({leave}))
  WHERE NOT EXISTS (SELECT 1 FROM inventory_skipped WHERE event_id = line.event_id)
) SELECT id FROM walk WHERE is_event = 0
"""
_MADE, _USED = "'output', 'gains'", "'input'"


def bare(thing: UUID, end: str) -> Callable[[], set[UUID]]:
    """The one recursive statement through the plain driver, and the things it reaches."""
    from django.db import connection

    sqlite = connection.vendor == "sqlite"
    start = f"'{thing.hex}'" if sqlite else f"'{thing}'::uuid"
    enter, leave = (_MADE, _USED) if end == "made" else (_USED, _MADE)
    statement = _RECURSIVE.format(start=start, enter=enter, leave=leave)
    connection.ensure_connection()

    def call() -> set[UUID]:
        cursor = sqlite3.Cursor(connection.connection) if sqlite else connection.connection.cursor()
        cursor.execute(statement)
        return {UUID(row[0]) if sqlite else row[0] for row in cursor.fetchall()} - {thing}

    return call


def main() -> int:
    """Print the times, and return 1 when a ratio is above the gate."""
    engine = begin()
    books = Books(PAIRS)
    books.write()
    print(f"{engine}: {len(books.things):,} things, {len(books.events):,} events, {len(books.lines):,} lines")

    from inventory.queries import trace

    packages = Counter(thing for _, _, thing, role, _ in books.lines if role == "input")
    biggest = max((thing for thing, kind, _ in books.things if kind == "lot"), key=lambda lot: packages[lot])
    jug = next(thing for thing, kind, _ in reversed(books.things) if kind == "package")
    walks = {
        "back from a ski": (trace.back, books.skis[len(books.skis) // 2], "made"),
        "forward from a package": (trace.forward, jug, "source"),
        "forward from the biggest lot": (trace.forward, biggest, "source"),
    }
    failed = False
    for name, (walk, thing, end) in walks.items():
        floor = bare(thing, end)
        found = walk([thing]).things
        assert set(found) == floor(), name
        runs = 51 if len(found) < 5000 else 7
        ours, plain, ratio = side_by_side(lambda w=walk, t=thing: w([t]), floor, runs=runs)
        failed |= ratio > MOST
        print(
            f"{engine}: {name}, {len(found):,} things: {ours:.2f} ms; bare {plain:.2f} ms; "
            f"ratio {ratio:.2f} (at most {MOST})"
        )
    failed |= recall.measure(engine, biggest, bare(biggest, "source"))
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
