"""What trips were like and what they teach: the record of one, and the usage factors."""

from functools import partial
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import usage as actions
from inventory.actions.by import By, Done
from inventory.compute.units import Amount
from inventory.errors import Refused, say
from inventory.forms import usage as forms
from inventory.queries import road, trip_numbers, trips
from inventory.queries import usage as queries
from inventory.queries.trip_differed import differed
from inventory.roles import Right, may
from inventory.views.frame import ask, needs, role_of, said, write


@needs(Right.RUN)
def record(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Planned against what was, what it teaches, and three questions."""
    row = trips.trip(trip)
    if row is None:
        raise Http404
    kept = queries.record(trip)
    fields = ("saved_us", "failed", "next_time")
    initial = {field: getattr(kept, field) for field in fields} if kept else {}
    form = forms.Record(request.POST or None, initial=initial)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("usage-record", args=[trip]))

    taught, numbers = queries.taught(row), trip_numbers.shown(trip_numbers.numbers(row))
    whys = [each.why_not for each in taught]
    same = all(why == whys[0] for why in whys)
    context = {
        "trip": row,
        "kept": kept,
        "standing": road.standing(trip),
        "taught": [(each, Amount(each.net, each.base), Amount(each.used, each.base)) for each in taught],
        "why_none": whys[0] if whys and same else None,  # the same of every material: said once
        "numbers": numbers,
        "differed": differed(numbers),
        "suggested": queries.suggested(row),
    }
    return ask(request, form, "inventory/usage/record.html", partial(_of, trip), then, **context)


def _of(trip: UUID, by: By, **values: Any) -> Done:
    return actions.record_trip(by, trip=trip, **values)


@needs(Right.SEE)
def factors(request: HttpRequest) -> HttpResponse:
    """What the trips suggest, and what was accepted."""
    context = {"rows": queries.offers(), "may_run": may(role_of(request), Right.RUN)}
    return render(request, "inventory/usage/factors.html", context)


@needs(Right.RUN)
@require_POST
def accept(request: HttpRequest) -> HttpResponse:
    """Accept a factor."""
    write(request, actions.accept_factor, **_values(request))
    return said(request, _("Accepted: needs are reckoned with it."), reverse("usage-factors"))


@needs(Right.RUN)
@require_POST
def drop(request: HttpRequest) -> HttpResponse:
    """Take an accepted factor back."""
    write(request, actions.drop_factor, **_values(request))
    return said(request, _("Taken back: needs are reckoned as is usual."), reverse("usage-factors"))


def _values(request: HttpRequest) -> dict[str, UUID]:
    form = forms.OfFactor(request.POST)
    if not form.is_valid():
        raise Refused(
            "usage.no_factor",
            say("Fewer than two recorded trips say how much of it is used."),
            say("Count what was opened after each trip, and record the trip."),
        )
    return form.values()
