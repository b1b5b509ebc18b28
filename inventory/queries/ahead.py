"""READ what the trips ahead will be short of, or what passes its date, and by when to act: for calendars.

No guest is named: a pair goes by its code.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from inventory.compute.reasons import Level
from inventory.errors import Sentence, say
from inventory.models import Trip
from inventory.queries import readiness
from inventory.queries.notes import Answer

DAYS, MOST = 45, 4  # so far ahead, and so many trips: each answer is worked out whole


@dataclass(frozen=True, slots=True)
class Day:
    """One thing to do on a day, for a trip. `key` is stable for the same thing of the same trip."""

    trip: UUID
    key: str
    on: date
    sentence: Sentence
    why: Sentence | None = None


def trips(today: date) -> list[Trip]:
    """The trips that leave soon, the next first."""
    rows = Trip.objects.filter(leaves_on__gte=today, leaves_on__lte=today + timedelta(DAYS), cancelled=False)
    return list(rows.order_by("leaves_on", "name")[:MOST])


def days(today: date) -> list[Day]:
    """What to do when: load, leave, and each reason on the last day it can still be put right."""
    found = []
    for row in trips(today):
        found += _of_trip(row, readiness.answer(row, today), today)
    return sorted(found, key=lambda day: (day.on, str(day.sentence)))


def _of_trip(row: Trip, answer: Answer, today: date) -> list[Day]:
    loads = row.loads_on or row.leaves_on
    values = {"name": row.name, "date": row.leaves_on}
    found = [
        Day(row.id, "load", loads, say("Load for {name}.", **values)),
        Day(row.id, "leave", row.leaves_on, say("Leave for {name}.", **values)),
    ]
    for note in answer.reasons:
        if note.level >= Level.UNKNOWN:
            on = max(today, min(note.by or loads, loads))
            sentence = say("For {name}: {said}", said=note.sentence, **values)
            why = note.why or (note.cures[0].sentence if note.cures else None)
            key = f"{note.code} {' '.join(note.about)} {note.sentence.template}"
            found.append(Day(row.id, key, on, sentence, why))
    return found
