"""READ the genealogy: what a thing is made of, and what was made of it. Knows the ledger, no topic.

A walk alternates: from a thing to the events that bore it or that it took in, from an event to its inputs,
and so on; the other way round forwards. There is no second copy of the genealogy, skipped events are passed
over, and `UNION` ends a walk that meets itself. The recursion holds ids only: both databases misjudge a join
on it by orders of magnitude, so rows are fetched by id afterwards.
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


@dataclass(frozen=True, slots=True)
class Walk:
    """The things reached, those it began with left out, and every step between them."""

    begun: tuple[UUID, ...]
    things: tuple[UUID, ...]
    events: tuple[Any, ...]  # as the database gives ids

    @property
    def steps(self) -> tuple[Step, ...]:
        """Every step, in the order of the events. Read on demand: most callers want the things only."""
        reached = {*self.begun, *self.things}
        made: dict[UUID, list[UUID]] = {}
        sources: dict[UUID, list[tuple[UUID, int | None]]] = {}
        events = [_id(event) for event in self.events]
        for part in chunks(events):
            lines = Line.objects.filter(event_id__in=part, role__in=[Role.INPUT, *MADE])
            for event, thing, role, amount in lines.values_list("event_id", "thing_id", "role", "amount"):
                if thing not in reached:
                    continue
                if role == Role.INPUT:
                    sources.setdefault(event, []).append((thing, amount))
                else:
                    made.setdefault(event, []).append(thing)
        found = (
            Step(thing, event, source, amount)
            for event in events
            for thing in made.get(event, ())
            for source, amount in sources.get(event, ())
        )
        return tuple(dict.fromkeys(found))


MADE = (Role.OUTPUT, Role.GAINS)
AT_ONCE = 400  # things that one statement begins with
# Table names and roles are ours; things are parameters. Short: each call reads the whole of it for marks.
_WALK = """WITH RECURSIVE walk(at, is_event) AS (VALUES {starts} UNION
SELECT CASE is_event WHEN 0 THEN event_id ELSE thing_id END, 1 - is_event FROM walk JOIN {line} AS line
ON (is_event = 0 AND thing_id = at AND role IN ({enter}))
OR (is_event = 1 AND event_id = at AND role IN ({leave}))
WHERE NOT EXISTS (SELECT 1 FROM {skipped} AS s WHERE s.event_id = line.event_id)
) SELECT at, is_event FROM walk"""

_EACH = """WITH RECURSIVE walk(start, at, is_event) AS (VALUES {starts} UNION
SELECT start, CASE is_event WHEN 0 THEN event_id ELSE thing_id END, 1 - is_event
FROM walk JOIN {line} AS line
ON (is_event = 0 AND thing_id = at AND role IN ({enter}))
OR (is_event = 1 AND event_id = at AND role IN ({leave}))
WHERE NOT EXISTS (SELECT 1 FROM {skipped} AS s WHERE s.event_id = line.event_id)
) SELECT start, at FROM walk WHERE is_event = 0 AND at <> start"""


def back(things: Iterable[UUID]) -> Walk:
    """Everything these things are made of, back to what has no inputs."""
    return _walk(things, MADE, (Role.INPUT,))


def forward(things: Iterable[UUID]) -> Walk:
    """Everything that has any of these things in it."""
    return _walk(things, (Role.INPUT,), MADE)


def forward_each(things: Iterable[UUID]) -> dict[UUID, set[UUID]]:
    """By each of these things everything that has it in it; a statement for each 200 of them."""
    found: dict[UUID, set[UUID]] = {id: set() for id in things}
    starts: list[Any] = [id.hex if connection.vendor == "sqlite" else id for id in found]
    with connection.cursor() as cursor:
        for part in chunks(starts, AT_ONCE // 2):
            marks = ", ".join(["(%s, %s, 0)"] * len(part))
            sql = _filled(_EACH, marks, (Role.INPUT,), MADE)
            cursor.execute(sql, [id for id in part for _ in range(2)])
            for start, at in cursor.fetchall():
                found[_id(start)].add(_id(at))
    return found


def _walk(things: Iterable[UUID], enter: tuple[Role, ...], leave: tuple[Role, ...]) -> Walk:
    begun = tuple(dict.fromkeys(things))
    as_text = connection.vendor == "sqlite"
    starts: list[Any] = [id.hex for id in begun] if as_text else list(begun)
    rows: list[tuple[Any, int]] = []
    with connection.cursor() as cursor:
        for part in chunks(starts, AT_ONCE):
            cursor.execute(_statement(len(part), enter, leave), part)
            rows += cursor.fetchall()
    if len(starts) > AT_ONCE:
        rows = list(dict.fromkeys(rows))
    left_out = set(starts)
    found = [at for at, is_event in rows if not is_event and at not in left_out]
    events = tuple([at for at, is_event in rows if is_event])
    return Walk(begun, tuple(map(UUID, found)) if as_text else tuple(found), events)


def _id(kept: Any) -> UUID:
    return kept if isinstance(kept, UUID) else UUID(kept)


@lru_cache(maxsize=64)
def _statement(count: int, enter: tuple[Role, ...], leave: tuple[Role, ...]) -> str:
    return _filled(_WALK, ", ".join(["(%s, 0)"] * count), enter, leave)


def _filled(statement: str, starts: str, enter: tuple[Role, ...], leave: tuple[Role, ...]) -> str:
    return statement.format(
        starts=starts,
        line=Line._meta.db_table,
        skipped=Skipped._meta.db_table,
        enter=", ".join(f"'{role}'" for role in enter),
        leave=", ".join(f"'{role}'" for role in leave),
    )


def on_hold() -> set[UUID]:
    """Everything that is on hold, itself or by anything it is made of, poured or cut from."""
    held = set(Hold.objects.values_list("thing_id", flat=True))
    return held | set(forward(held).things) if held else held


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
