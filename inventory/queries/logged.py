"""READ what temperature loggers wrote, hour by hour, by the place they hung in.

Several files of one place are one: `compute.hours.joined`. Knows no file and no logger's card.
"""

from collections.abc import Iterable
from uuid import UUID

from inventory.compute import hours
from inventory.compute.hours import Hour
from inventory.models import Event

STEP = "temperatures logged"


def hours_of(places: Iterable[UUID], *, but: UUID | None = None) -> dict[UUID, list[Hour]]:
    """The hours of these places, in order; `but`: an event whose hours are left out."""
    rows = Event.objects.filter(step=STEP, where_id__in=list(places), skipped__isnull=True)
    found: dict[UUID, list[list[Hour]]] = {}
    for event, place, facts in rows.values_list("id", "where_id", "facts"):
        if place is not None and event != but:
            found.setdefault(place, []).append(hours.unpacked(facts.get("hours", ())))
    return {place: hours.joined(files) for place, files in found.items()}


def kept_before(place: UUID, sha256: str) -> bool:
    """Whether this very file is kept with the place already."""
    rows = Event.objects.filter(step=STEP, where_id=place, skipped__isnull=True)
    return any(facts.get("file") == sha256 for facts in rows.values_list("facts", flat=True))
