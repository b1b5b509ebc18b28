"""READ seasons: their workshops on a line of time, seats booked and open, and how sure those are."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from inventory.compute.planning.facts import PUT_AWAY
from inventory.compute.reasons import Basis, Given
from inventory.models import Ruling, Season, Trip, Workshop

FILL = Given(0.5, Basis.ASSUMED, "nobody said how sure an open seat is")
HISTORY = 12  # workshops that are over, the newest first


class WhatIf(StrEnum):
    """What the open seats are taken for: as sure as the season's card says, all filled, or none."""

    AS_SET = ""
    FULL = "full"
    BOOKED = "booked"


@dataclass(frozen=True, slots=True)
class Seats:
    """One workshop of a season: its days, and its seats. `open` None: how many it has is not known.

    `label` is its name with its day; `load_known`: a trip says when it is loaded.
    """

    id: UUID
    name: str
    label: str
    starts_on: date
    ends_on: date
    load_on: date
    load_known: bool
    capacity: int | None
    booked: int
    waiting: int

    @property
    def open(self) -> int | None:
        """Seats nobody has; none when more are booked than there are."""
        return None if self.capacity is None else max(0, self.capacity - self.booked)

    @property
    def over(self) -> int:
        """Seats booked beyond those there are."""
        return 0 if self.capacity is None else max(0, self.booked - self.capacity)


@dataclass(frozen=True, slots=True)
class History:
    """How full the workshops that are over were: of so many, so many seats, so many taken."""

    workshops: int
    seats: int
    taken: int

    @property
    def percent(self) -> int | None:
        """Seats taken of a hundred."""
        return round(100 * self.taken / self.seats) if self.seats else None


def seasons() -> QuerySet[Season]:
    """Every season, the newest first."""
    return Season.objects.order_by("-starts_on", "name")


def season(id: UUID) -> Season | None:
    """One season."""
    return Season.objects.filter(id=id).first()


def current(today: date) -> Season | None:
    """The season that is on or comes next; else the last one."""
    ahead = Season.objects.filter(ends_on__gte=today).order_by("starts_on", "name").first()
    return ahead or seasons().first()


def named(words: str) -> list[Season]:
    """Seasons of this name, or with this id."""
    try:
        return list(Season.objects.filter(id=UUID(words)))
    except ValueError:
        rows = Season.objects.order_by("-starts_on")
        return [row for row in rows if row.name.casefold() == words.strip().casefold()]


def fill_chance(row: Season) -> Given[float]:
    """How sure it is that an open seat of a season fills."""
    if row.fill_percent is None:
        return FILL
    return Given(row.fill_percent / 100, Basis.ASSUMED, "as set for the season")


def put_away(row: Season | None) -> Given[int]:
    """How many days goods take from a delivery to the shelf, ready to load."""
    if row is None or row.put_away_days is None:
        return PUT_AWAY
    return Given(row.put_away_days, Basis.ASSUMED, "as set for the season")


def season_of(day: date) -> Season | None:
    """The season that a day is in."""
    return Season.objects.filter(starts_on__lte=day, ends_on__gte=day).order_by("starts_on", "name").first()


def workshops(row: Season) -> list[Seats]:
    """The season's workshops by their days, those called off left out; two statements."""
    between = Workshop.objects.filter(
        starts_on__gte=row.starts_on, starts_on__lte=row.ends_on, cancelled=False
    )
    loads = _loads()
    found = [
        _seats(each, loads.get(str(each.id)))
        for each in between.annotate(
            booked=Count("seats", filter=Q(seats__state="booked")),
            waiting=Count("seats", filter=Q(seats__state="wait list")),
        ).order_by("starts_on", "name", "id")
    ]
    return _apart(found)


def _loads() -> dict[str, date]:
    """When each workshop's trip is loaded, by the workshop's id as text."""
    found: dict[str, date] = {}
    for trip in Trip.objects.filter(cancelled=False).order_by("leaves_on"):
        for workshop in trip.workshops:
            found.setdefault(workshop, trip.loads_on or trip.leaves_on)
    return found


def _seats(row: Workshop, load_on: date | None) -> Seats:
    return Seats(
        row.id,
        row.name,
        f"{row.name}, {row.starts_on.day} {row.starts_on:%b}",
        row.starts_on,
        row.ends_on,
        min(load_on or row.starts_on - timedelta(1), row.ends_on),
        load_on is not None,
        row.capacity,
        row.booked,  # type: ignore[attr-defined]
        row.waiting,  # type: ignore[attr-defined]
    )


def _apart(rows: Iterable[Seats]) -> list[Seats]:
    """Two workshops of one name and day are told apart by a number."""
    seen: dict[str, int] = {}
    found = []
    for row in rows:
        seen[row.label] = seen.get(row.label, 0) + 1
        number = seen[row.label]
        found.append(row if number == 1 else replace(row, label=f"{row.label} ({number})"))
    return found


def history(today: date) -> History:
    """How full the workshops were that are over and whose seats are known."""
    over = Workshop.objects.filter(ends_on__lt=today, capacity__isnull=False, cancelled=False)
    rows = over.annotate(booked=Count("seats", filter=Q(seats__state="booked"))).order_by("-starts_on")
    found = list(rows[:HISTORY])
    return History(
        len(found),
        sum(row.capacity or 0 for row in found),
        sum(min(row.booked, row.capacity or 0) for row in found),
    )


def rulings(row: Season) -> dict[UUID, Ruling]:
    """What people decided for materials of a season."""
    return {ruling.material_id: ruling for ruling in Ruling.objects.filter(season=row)}
