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

NOT_READ = (None, None)


def leaving(trip: Trip, where: Where) -> dict[UUID, OnScale]:
    """By trailer: mass and nose weight each as last read; when and by whom is of the last reading."""
    rows = [row for row in road.weighings(trip.id) if row.when == "leaving"]
    if not rows:
        return {}
    names = people(row.who for row in rows)
    last = {row.trailer: row for row in rows}
    masses = {row.trailer: (row.mass_mg, row.mass_doubt_mg) for row in rows if row.mass_mg is not None}
    noses = {row.trailer: (row.nose_mg, row.nose_doubt_mg) for row in rows if row.nose_mg is not None}
    moved = _moved_since(list(last.values()), where)
    found = {}
    for id, row in last.items():
        (mass, mass_doubt), (nose, nose_doubt) = masses.get(id, NOT_READ), noses.get(id, NOT_READ)
        by = names.get(row.who, "") if row.who else ""
        found[id] = OnScale(mass, nose, row.at, by, moved[id], mass_doubt, nose_doubt)
    return found


def _moved_since(last: Sequence[road.Weighing], where: Where) -> dict[UUID, int]:
    """How many things each trailer had moved in it, into it or out of it since its last reading."""
    since = {row.trailer: row.sort for row in last}
    of = {place: at for place in where.places for at in where.chain(place) if at in since}
    rows = Line.objects.filter(
        Q(to_id__in=of) | Q(source_id__in=of),
        event__sort__gt=min(row.sort for row in last),
        event__skipped__isnull=True,
    ).values_list("event__sort", "thing_id", "source_id", "to_id")
    found: dict[UUID, set[UUID]] = {row.trailer: set() for row in last}
    for sort, thing, *ends in rows:
        into_or_out = {of[end] for end in ends if end in of}
        for trailer in into_or_out:
            if sort > since[trailer]:
                found[trailer].add(thing)
    return {trailer: len(things) for trailer, things in found.items()}
