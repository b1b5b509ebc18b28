"""READ the genealogy: what a thing is made of, and what was made of it. Knows the ledger, no topic.

A walk goes level by level: from things to the events that bore them or that they took in, from those to their
inputs, and so on; the other way round forwards. There is no second copy of the genealogy, skipped events are
passed over, and a walk that meets itself ends. One statement a level joins two covering indexes on ids alone;
both databases misjudge the same join inside one recursive statement by orders of magnitude.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any
from uuid import UUID

from django.db import connection

from inventory.compute.steps import Role
from inventory.models import Hold, Line, Skipped
from inventory.queries.ledger import chunks


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a walk: `made` was born of, or took in, `amount` of `source` by `event`."""

    made: UUID
    event: UUID
    source: UUID
    amount: int | None


Row = tuple[Any, Any, Any, int | None]  # made, event, source, amount; ids as the database gives them


@dataclass(frozen=True, slots=True)
class Walk:
    """The things reached, in the order found, the first ones left out; and every step between them."""

    things: tuple[UUID, ...]
    rows: tuple[Row, ...]

    @property
    def steps(self) -> tuple[Step, ...]:
        """Every step, each once. Made on demand: most callers want the things only."""
        rows = ((_id(made), _id(event), _id(source), amount) for made, event, source, amount in self.rows)
        return tuple(dict.fromkeys(Step(*row) for row in rows))


_MADE = f"'{Role.OUTPUT.value}', '{Role.GAINS.value}'"
_LINE, _SKIPPED = Line._meta.db_table, Skipped._meta.db_table
_STEP = f"""
SELECT made.thing_id, made.event_id, source.thing_id, source.amount
FROM {_LINE} AS made JOIN {_LINE} AS source ON source.event_id = made.event_id
WHERE {{end}}.thing_id IN ({{things}}) AND made.role IN ({_MADE}) AND source.role = '{Role.INPUT.value}'
  AND NOT EXISTS (SELECT 1 FROM {_SKIPPED} AS skipped WHERE skipped.event_id = made.event_id)
"""  # noqa: S608 - table names and roles are ours; things are parameters


def back(things: Iterable[UUID]) -> Walk:
    """Everything these things are made of, back to what has no inputs."""
    return _walk(things, end="made")


def forward(things: Iterable[UUID]) -> Walk:
    """Everything that has any of these things in it."""
    return _walk(things, end="source")


def _walk(things: Iterable[UUID], *, end: str) -> Walk:
    plain = connection.vendor == "sqlite"  # which keeps ids as text
    frontier: list[Any] = [thing.hex if plain else thing for thing in dict.fromkeys(things)]
    seen: dict[Any, None] = dict.fromkeys(frontier)
    begun, reached = len(seen), 2 if end == "made" else 0
    rows: list[Row] = []
    with connection.cursor() as cursor:
        while frontier:
            found: list[Row] = []
            for part in chunks(frontier):
                cursor.execute(_statement(end, len(part)), part)
                found += cursor.fetchall()
            rows += found
            frontier = [thing for thing in dict.fromkeys(row[reached] for row in found) if thing not in seen]
            seen.update(dict.fromkeys(frontier))
    return Walk(tuple(_id(thing) for thing in list(seen)[begun:]), tuple(rows))


@lru_cache(maxsize=64)
def _statement(end: str, count: int) -> str:
    return _STEP.format(end=end, things=", ".join(["%s"] * count))


def _id(value: str | UUID) -> UUID:
    return value if isinstance(value, UUID) else UUID(value)


def stopped_by(things: Iterable[UUID]) -> dict[UUID, list[Hold]]:
    """Per thing the holds on it or on anything it is made of; things that nothing stops are left out.

    Two statements when nothing at all is on hold.
    """
    things = list(things)
    holds: dict[UUID, list[Hold]] = {}
    for hold in Hold.objects.select_related("thing", "event"):
        holds.setdefault(hold.thing_id, []).append(hold)
    if not holds:
        return {}
    found: dict[UUID, list[Hold]] = {}
    for thing in things:
        reached = (thing, *back([thing]).things)
        stopping = [hold for source in reached for hold in holds.get(source, ())]
        if stopping:
            found[thing] = stopping
    return found
