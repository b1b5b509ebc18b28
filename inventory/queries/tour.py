"""READ what the tour leads through: the three moments, each with a thing of these very books.

A shop whose books hold none of it yet gets the stop without a link.
"""

from dataclasses import dataclass
from datetime import date

from inventory.compute.codes import Code, Kind
from inventory.models import Event, Line
from inventory.queries import trips
from inventory.queries.ledger import codes_of


@dataclass(frozen=True, slots=True)
class Stops:
    """The next trip, a ski that left the shop, a jug of the newest cup; empty where there is none."""

    trip: str = ""
    trip_name: str = ""
    ski: str = ""
    jug: str = ""


def stops(today: date) -> Stops:
    """What the tour points at; the same few statements however large the books are."""
    trip = trips.next_trip(today)
    ski = _code_in("handed over", Kind.SKI)
    return Stops(
        trip=str(trip.id) if trip else "",
        trip_name=trip.name if trip else "",
        ski=ski,
        jug=_code_in("mixed", Kind.PACKAGE, role="input"),
    )


def _code_in(step: str, kind: Kind, **more: str) -> str:
    """The code of a thing in the newest event of a step; nothing where no such event is."""
    event = Event.objects.filter(step=step, skipped__isnull=True).order_by("-sort").first()
    if event is None:
        return ""
    things = Line.objects.filter(event=event, thing__kind=kind, **more).order_by("-position")
    code = min(codes_of(things.values_list("thing_id", flat=True)).values(), default="")
    return Code(code).shown if code else ""
