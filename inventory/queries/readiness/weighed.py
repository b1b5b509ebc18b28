"""READ what the scale last showed of a trip's trailers as they leave, and what was moved since.

Judges nothing: `scale` does.
"""

from collections.abc import Sequence
from uuid import UUID

from django.db.models import Q

from inventory.models import Line, Trip
from inventory.queries import road
from inventory.queries.dossier.names import people
from inventory.queries.readiness.facts import OnScale
from inventory.queries.readiness.places import Where


def leaving(trip: Trip, where: Where) -> dict[UUID, OnScale]:
    """By trailer: mass and nose weight each as last read; when and by whom is of the last reading."""
    rows = [row for row in road.weighings(trip.id) if row.when == "leaving"]
    if not rows:
        return {}
    names = people(row.who for row in rows)
    last = {row.trailer: row for row in rows}
    masses = {row.trailer: row for row in rows if row.mass_mg is not None}
    noses = {row.trailer: row for row in rows if row.nose_mg is not None}
    moves = _moves(rows, where)
    found = {}
    for id, row in last.items():
        mass, nose = masses.get(id), noses.get(id)
        found[id] = OnScale(
            mass_mg=mass.mass_mg if mass else None,
            nose_mg=nose.nose_mg if nose else None,
            at=row.at,
            by=names.get(row.who, "") if row.who else "",
            moved=_since(row, moves[id]),
            mass_doubt_mg=mass.mass_doubt_mg if mass else None,
            nose_doubt_mg=nose.nose_doubt_mg if nose else None,
            mass_since=_since(mass, moves[id]),
            nose_since=_since(nose, moves[id]),
        )
    return found


def _since(row: road.Weighing | None, moves: Sequence[tuple[int, UUID]]) -> int:
    """How many things were moved after a reading."""
    return 0 if row is None else len({thing for sort, thing in moves if sort > row.sort})


def _moves(rows: Sequence[road.Weighing], where: Where) -> dict[UUID, list[tuple[int, UUID]]]:
    """By trailer what was moved in it, into it or out of it since first read; and where in the books."""
    found: dict[UUID, list[tuple[int, UUID]]] = {row.trailer: [] for row in rows}
    of = {place: at for place in where.places for at in where.chain(place) if at in found}
    lines = Line.objects.filter(
        Q(to_id__in=of) | Q(source_id__in=of),
        event__sort__gt=min(row.sort for row in rows),
        event__skipped__isnull=True,
    ).values_list("event__sort", "thing_id", "source_id", "to_id")
    for sort, thing, *ends in lines:
        for trailer in {of[end] for end in ends if end in of}:
            found[trailer].append((sort, thing))
    return found
