"""READ trips: which there are, where they go, with which trailers. Whether one can leave is `readiness`."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from types import SimpleNamespace
from typing import Any
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from inventory.compute.codes import Kind
from inventory.models import Person, Place, Trip, Workshop


@dataclass(frozen=True, slots=True)
class Row:
    """One trip of the list, its trailers and workshops by name."""

    id: UUID
    name: str
    leaves_on: date
    back_on: date
    trailers: tuple[str, ...]
    workshops: tuple[str, ...]
    pairs: int


def trip(id: UUID) -> Trip | None:
    """One trip."""
    return Trip.objects.filter(id=id).first()


def next_trip(today: date) -> Trip | None:
    """The trip that leaves next, today included."""
    return Trip.objects.filter(leaves_on__gte=today, cancelled=False).order_by("leaves_on", "name").first()


def called(name: str, today: date) -> Trip | None:
    """The trip of this name, in any case, that leaves next; or the next of all."""
    if name.strip().casefold() == "next":
        return next_trip(today)
    rows = Trip.objects.filter(name__iexact=name.strip(), leaves_on__gte=today, cancelled=False)
    return rows.order_by("leaves_on").first()


def overlapping(row: Trip) -> QuerySet[Trip]:
    """Other trips that are away on one of the same days; coming back and leaving on one day is no clash."""
    rows = Trip.objects.filter(leaves_on__lt=row.back_on, back_on__gt=row.leaves_on, cancelled=False)
    return rows.exclude(id=row.id)


def trailers() -> list[tuple[UUID, str]]:
    """Every trailer in use, by name."""
    rows = Place.objects.filter(thing__kind=Kind.TRAILER, thing__state__isnull=False)
    return list(rows.order_by("name").values_list("thing_id", "name"))


def tow_cars() -> list[tuple[UUID, str]]:
    """Every tow car in use, by name."""
    rows = Place.objects.filter(thing__kind=Kind.TOW_CAR, thing__state__isnull=False)
    return list(rows.order_by("name").values_list("thing_id", "name"))


def people() -> list[Person]:
    """Everybody who works here, by name."""
    return list(Person.objects.order_by("name"))


def trailer_name(id: UUID) -> str:
    """What a trailer is called."""
    return Place.objects.filter(thing_id=id).values_list("name", flat=True).first() or ""


def workshops_from(day: date) -> QuerySet[Workshop]:
    """Workshops that end on that day or later, the next first, with how many pairs are booked."""
    booked = Count("pairs", filter=Q(pairs__thing__state__isnull=False))
    return Workshop.objects.filter(ends_on__gte=day).annotate(booked=booked).order_by("starts_on", "name")


def workshops_named(ids: Iterable[str]) -> list[Workshop]:
    """These workshops, in order of their days."""
    return list(Workshop.objects.filter(id__in=[UUID(id) for id in ids]).order_by("starts_on", "name"))


def card(row: Trip) -> Any:
    """What a trip's card says, as its form shows it."""
    crossings = "unknown" if row.crossings is None else " ".join(row.crossings) or "none"
    fields = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    return SimpleNamespace(**fields | {"crossings": crossings})


def workshops_of(row: Trip) -> list[Workshop]:
    """The workshops of a trip, in order of their days."""
    return list(Workshop.objects.filter(id__in=row.workshops).order_by("starts_on", "name"))


def listed() -> list[Row]:
    """Every trip, the last to leave first: the same few statements however many there are."""
    trips = list(Trip.objects.order_by("-leaves_on", "name"))
    names = dict(
        Place.objects.filter(thing_id__in=_all(row.trailers for row in trips)).values_list("thing_id", "name")
    )
    wanted = Workshop.objects.filter(id__in=_all(row.workshops for row in trips))
    booked = Count("pairs", filter=Q(pairs__thing__state__isnull=False))
    workshops = {row.id: row for row in wanted.annotate(booked=booked)}
    return [
        Row(
            row.id,
            row.name,
            row.leaves_on,
            row.back_on,
            tuple(names.get(UUID(trailer), "") for trailer in row.trailers),
            tuple(workshops[UUID(id)].name for id in row.workshops if UUID(id) in workshops),
            sum(workshops[UUID(id)].booked for id in row.workshops if UUID(id) in workshops),
        )
        for row in trips
    ]


def _all(lists: Iterable[list[str]]) -> set[UUID]:
    return {UUID(text) for found in lists for text in found}


def without_trip(today: date, until: date) -> list[Workshop]:
    """Workshops of these days that no trip goes to yet."""
    rows = Workshop.objects.filter(starts_on__gte=today, starts_on__lte=until).order_by("starts_on")
    going = _all(Trip.objects.filter(back_on__gte=today).values_list("workshops", flat=True))
    return [row for row in rows if row.id not in going]
