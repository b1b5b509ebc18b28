"""READ how far a trip is: loading, away, there, home. What it says are events that name the trip."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from inventory.models import Event, Line, Trip
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named
from inventory.queries.ledger import moment

DEPARTED, ARRIVED, HOME = "departed", "arrived", "came home"
STEPS = (DEPARTED, ARRIVED, HOME)
WEIGHED = "load weighed"
WEIGHED_WHEN = ("leaving", "home")


@dataclass(frozen=True, slots=True)
class Standing:
    """When a trip left, arrived and came home; None: not yet."""

    departed_at: datetime | None = None
    arrived_at: datetime | None = None
    home_at: datetime | None = None

    @property
    def away(self) -> bool:
        """True from departure until it is home."""
        return self.departed_at is not None and self.home_at is None

    def home_by(self, then: datetime) -> bool:
        """True when it was home before a moment."""
        return self.home_at is not None and self.home_at <= then


def standing(trip: UUID) -> Standing:
    """How far a trip is; the first of each counts, and what was undone does not."""
    rows = Event.objects.filter(step__in=STEPS, facts__trip=str(trip), skipped__isnull=True)
    found: dict[str, datetime] = {}
    for step, sort in rows.order_by("sort").values_list("step", "sort"):
        found.setdefault(step, moment(sort))  # as the books order them, whatever a clock said
    return Standing(found.get(DEPARTED), found.get(ARRIVED), found.get(HOME))


def left_since(trip: UUID, moment: datetime) -> bool:
    """Whether a trip left after a moment."""
    found = standing(trip).departed_at
    return found is not None and found > moment


def scanned_late(trip: UUID) -> int:
    """Of how many things nobody knew, as a trip left, that they were aboard: their phone had no signal."""
    left = Event.objects.filter(step=DEPARTED, facts__trip=str(trip), skipped__isnull=True).order_by("sort")
    row = left.values("sort", "clock").first()
    if row is None:
        return 0
    moved = Event.objects.filter(
        step="moved", facts__trip=str(trip), skipped__isnull=True, sort__lt=row["sort"]
    )
    known: set[UUID | None] = set()
    late: set[UUID | None] = set()
    for clock, thing in moved.values_list("clock", "lines__thing_id"):
        (late if clock > row["clock"] else known).add(thing)
    return len(late - known)


def trailers(row: Trip) -> list[Named]:
    """The trailers of a trip, by name."""
    return sorted(named(map(UUID, row.trailers)).values(), key=lambda trailer: trailer.name)


def facts_of(trip: UUID, step: str) -> dict[str, object]:
    """What was noted at one of its steps; nothing when it was not taken."""
    rows = Event.objects.filter(step=step, facts__trip=str(trip), skipped__isnull=True)
    return rows.order_by("sort").values_list("facts", flat=True).first() or {}


def weighed(trip: UUID) -> dict[str, dict[str, list[int | None]]]:
    """What the scale said of each trailer, leaving and home: [mass, nose weight] in mg, its last word."""
    rows = Line.objects.filter(
        event__step=WEIGHED, event__facts__trip=str(trip), event__skipped__isnull=True
    ).order_by("event__sort")
    found: dict[str, dict[str, list[int | None]]] = {}
    for trailer, facts in rows.values_list("thing_id", "event__facts"):
        pair = found.setdefault(str(trailer), {}).setdefault(facts["when"], [None, None])
        for at, name in enumerate(("mass_mg", "nose_mg")):
            pair[at] = facts.get(name, pair[at])
    return found


def resting_on(event: Event) -> list[Event]:
    """What rests on a departure, newest first: arrival, coming home, what was counted, missed, weighed."""
    if event.step != DEPARTED:
        return []
    rows = Event.objects.filter(facts__trip=event.facts["trip"], skipped__isnull=True)
    if rows.filter(step=DEPARTED).exclude(id=event.id).exists():  # two laptops said so
        return []
    later = Q(step__in=(ARRIVED, HOME, "counted", "not found", "waste weighed"))
    return list(rows.filter(later | Q(step=WEIGHED, facts__when="home")).order_by("-sort"))
