"""READ how far a trip is: loading, away, there, home. What it says are events that name the trip."""

from collections.abc import Iterable
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


def put_there(things: Iterable[UUID]) -> tuple[UUID, datetime] | None:
    """By which act, and when, the last of these things was put where it is."""
    rows = Line.objects.filter(thing_id__in=list(things), to__isnull=False, event__skipped__isnull=True)
    return rows.order_by("-event__sort").values_list("event__act", "event__at").first()


def facts_of(trip: UUID, step: str) -> dict[str, object]:
    """What was noted at one of its steps; nothing when it was not taken."""
    rows = Event.objects.filter(step=step, facts__trip=str(trip), skipped__isnull=True)
    return rows.order_by("sort").values_list("facts", flat=True).first() or {}


@dataclass(frozen=True, slots=True)
class Weighing:
    """What was once read of one trailer, in mg, and how far off the scale may be; None: nobody said.

    `sort`: where the books have it; `who`: a person's id.
    """

    trailer: UUID
    when: str  # leaving, home
    mass_mg: int | None
    nose_mg: int | None
    at: datetime
    sort: int
    who: UUID | None
    mass_doubt_mg: int | None = None
    nose_doubt_mg: int | None = None


def weighings(trip: UUID) -> list[Weighing]:
    """Every time a trailer of the trip was put on a scale, in order; what was undone is left out."""
    rows = Line.objects.filter(
        event__step=WEIGHED, event__facts__trip=str(trip), event__skipped__isnull=True
    ).order_by("event__sort")
    return [
        Weighing(
            trailer,
            facts["when"],
            facts.get("mass_mg"),
            facts.get("nose_mg"),
            at,
            sort,
            who,
            facts.get("mass_doubt_mg"),
            facts.get("nose_doubt_mg"),
        )
        for trailer, facts, at, sort, who in rows.values_list(
            "thing_id", "event__facts", "event__at", "event__sort", "event__who"
        )
    ]


def scale_last(what: str) -> int | None:
    """How far off the scale was said to be, in mg, where `mass` or `nose` was last read, of any trip."""
    rows = Event.objects.filter(step=WEIGHED, skipped__isnull=True, facts__has_key=f"{what}_mg")
    facts: dict[str, int] = rows.order_by("-sort").values_list("facts", flat=True).first() or {}
    return facts.get(f"{what}_doubt_mg")


def weighed(trip: UUID) -> dict[str, dict[str, list[int | None]]]:
    """What the scale said of each trailer, leaving and home: [mass, nose weight] in mg, its last word."""
    found: dict[str, dict[str, list[int | None]]] = {}
    for each in weighings(trip):
        pair = found.setdefault(str(each.trailer), {}).setdefault(each.when, [None, None])
        for at, mg in enumerate((each.mass_mg, each.nose_mg)):
            pair[at] = pair[at] if mg is None else mg
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
