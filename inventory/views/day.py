"""The day sheet: what to know today, most urgent first."""

from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from inventory.queries import day as queries
from inventory.roles import Right
from inventory.views.frame import needs, now


@needs(Right.SEE)
def day(request: HttpRequest) -> HttpResponse:
    """The first page."""
    today = timezone.localdate(now())
    notes = [replace(note, url=reverse(note.url)) if note.url else note for note in queries.notes(today)]
    return render(request, "inventory/day.html", {"today": today, "notes": notes})
