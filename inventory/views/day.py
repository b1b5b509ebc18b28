"""The day sheet: what to know today, most urgent first; and the list of the off-season."""

from collections.abc import Iterable
from dataclasses import replace
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from inventory.queries import day as queries
from inventory.queries import off_season as jobs
from inventory.queries.notes import Cure, Note
from inventory.roles import Right
from inventory.views.frame import needs, now


def linked(notes: Iterable[Note]) -> list[Note]:
    """The same notes with the address each leads to."""
    return [replace(note, url=address(note)) if note.page else note for note in notes]


def address(row: Note | Cure) -> str:
    """Where a note or a cure leads."""
    search = f"?{urlencode(row.find)}" if row.find else ""
    return reverse(row.page, args=row.about) + search


@needs(Right.SEE)
def day(request: HttpRequest) -> HttpResponse:
    """The first page."""
    today = timezone.localdate(now())
    return render(request, "inventory/day.html", {"today": today, "notes": linked(queries.notes(today))})


@needs(Right.SEE)
def off_season(request: HttpRequest) -> HttpResponse:
    """What is done between two seasons."""
    today = timezone.localdate(now())
    context = {"notes": linked(jobs.jobs(today)), "near": not queries.off_season(today)}
    return render(request, "inventory/day/off-season.html", context)
