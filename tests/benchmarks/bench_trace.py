"""How long a trace takes in books of 30,000 pairs, beside the bare SQL of the same answer.

Runs on SQLite and on PostgreSQL, after ANALYZE. Gate: the query, rows included, takes at most 1.5 times the
bare statements, for a ski's back trace, a package's forward trace, and the biggest lot's.
"""

import sys
from collections import Counter
from collections.abc import Callable
from uuid import UUID

from tests.benchmarks.books import Books, begin, milliseconds

PAIRS = 30_000
MOST = 1.5

# One statement that alternates things and events.
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


def bare_levels(thing: UUID, end: str) -> Callable[[], set[UUID]]:
    """The level-by-level statements through Django's cursor, and the ids they reach."""
    from django.db import connection

    sqlite = connection.vendor == "sqlite"
    first = thing.hex if sqlite else thing
    other = "source" if end == "made" else "made"
    statement = (
        f"SELECT {other}.thing_id FROM inventory_line made JOIN inventory_line source "
        "ON source.event_id = made.event_id "
        f"WHERE {end}.thing_id IN ({{}}) AND made.role IN ({_MADE}) AND source.role = 'input' "
        "AND NOT EXISTS (SELECT 1 FROM inventory_skipped s WHERE s.event_id = made.event_id)"
    )

    def call() -> set[UUID]:
        seen, frontier = {first}, [first]
        with connection.cursor() as cursor:
            while frontier:
                found: set[object] = set()
                for at in range(0, len(frontier), 900):
                    part = frontier[at : at + 900]
                    cursor.execute(statement.format(", ".join(["%s"] * len(part))), part)
                    found.update(row[0] for row in cursor.fetchall())
                frontier = [thing for thing in found if thing not in seen]
                seen.update(frontier)
        return {UUID(thing) if sqlite else thing for thing in seen - {first}}

    return call


def bare_recursive(thing: UUID, end: str) -> Callable[[], int]:
    """The recursive statement."""
    from django.db import connection

    sqlite = connection.vendor == "sqlite"
    start = f"'{thing.hex}'" if sqlite else f"'{thing}'::uuid"
    enter, leave = (_MADE, _USED) if end == "made" else (_USED, _MADE)
    statement = _RECURSIVE.format(start=start, enter=enter, leave=leave)

    def call() -> int:
        with connection.cursor() as cursor:
            cursor.execute(statement)
            return len(cursor.fetchall())

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
        bare, recursive = bare_levels(thing, end), bare_recursive(thing, end)
        found = walk([thing]).things
        assert len(found) == len(bare()) == recursive() - 1, name
        runs = 15 if len(found) < 5000 else 5
        ours, floor = milliseconds(lambda w=walk, t=thing: w([t]), runs=runs), milliseconds(bare, runs=runs)
        other = milliseconds(recursive, runs=runs)
        ratio = ours / floor
        failed |= ratio > MOST
        print(
            f"{engine}: {name}, {len(found):,} things: {ours:.2f} ms; bare {floor:.2f} ms, "
            f"one recursive statement {other:.2f} ms; ratio to the bare {ratio:.2f} (at most {MOST})"
        )
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
