"""READ what the day sheet says of trips that left: who is away, and what is home and not yet counted."""

from datetime import datetime, timedelta

from inventory.compute.reasons import Level
from inventory.errors import say
from inventory.models import Event, Trip, TripRecord
from inventory.queries.ledger import microseconds
from inventory.queries.notes import Note
from inventory.queries.road import DEPARTED, HOME

RECENT = timedelta(days=60)  # a trip that came home longer ago is asked about no more


def notes(now: datetime) -> list[Note]:
    """Trips away, and trips that are home without a record: three statements however many there are."""
    rows = Event.objects.filter(
        step__in=(DEPARTED, HOME), sort__gt=microseconds(now - RECENT), skipped__isnull=True
    )
    steps: dict[str, dict[str, datetime]] = {}
    for step, at, facts in rows.order_by("sort").values_list("step", "at", "facts"):
        steps.setdefault(str(facts.get("trip", "")), {}).setdefault(step, at)
    trips = Trip.objects.in_bulk(list(steps))
    kept = set(TripRecord.objects.filter(trip_id__in=trips).values_list("trip_id", flat=True))
    return [_note(trip, steps[str(id)]) for id, trip in trips.items() if id not in kept]


def _note(trip: Trip, steps: dict[str, datetime]) -> Note:
    about = (str(trip.id),)
    if HOME in steps:
        sentence = say("Home from {name}: count what was opened, and record the trip.", name=trip.name)
        return Note(sentence, Level.LOOK, page="road-home", about=about)
    sentence = say("On the road to {name} since {at}.", name=trip.name, at=steps[DEPARTED])
    return Note(sentence, Level.FINE, page="road-home", about=about)
