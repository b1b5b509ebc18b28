"""The road: load by scan, leave, arrive, home again, count what was opened, weigh the waste."""

from collections.abc import Callable
from functools import partial
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import road as actions
from inventory.actions.by import By, Done
from inventory.compute.units import Amount, Base
from inventory.forms import road as forms
from inventory.forms.loggers import span_since
from inventory.queries import aboard, load_now, loading, readiness, trip_numbers, trips, usage
from inventory.queries import home as homes
from inventory.queries import road as queries
from inventory.queries.readiness import scale
from inventory.roles import Right, may
from inventory.views.cures import curable
from inventory.views.frame import ask, needs, now, role_of, said, write


@needs(Right.RECORD)
def load(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Tick the loading list by scanning; kept on the open page without signal, and sent by itself."""
    row = _found(trip)
    facts = aboard.facts_of(row, timezone.localdate(now()))
    walk = loading.walk(row)
    context = {
        "trip": row,
        "walk": walk,
        "left": walk.count,
        "masses": load_now.masses(facts, walk),
        "helps": list(curable(request, load_now.helps(facts), request.path)),
        "standing": queries.standing(trip),
    }
    return render(request, "inventory/road/load.html", context)


@needs(Right.RECORD)
def depart(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Leave; what is not aboard and what stands against it is said before."""
    row = _found(trip)
    today = timezone.localdate(now())
    against = readiness.answer(row, today).against
    left = loading.walk(row).count
    form = forms.Depart(request.POST or None, against=against, left=left)
    then = _then(request, trip, _("On the road."))
    standing = queries.standing(trip)
    context = {"trip": row, "against": against, "left": left, "other_day": row.leaves_on != today}
    context["standing"] = standing if request.method == "GET" else None  # else the refusal says so
    return ask(
        request, form, "inventory/road/depart.html", partial(_with, actions.depart, trip), then, **context
    )


def _with(action: Callable[..., Done], trip: UUID, by: By, **values: Any) -> Done:
    return action(by, trip=trip, **values)


@needs(Right.RECORD)
@require_POST
def arrive(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Say that the trip has arrived."""
    done = write(request, actions.arrive, trip=_found(trip).id)
    return said(request, _("Arrived."), reverse("trips-trip", args=[trip]), undo=done)


@needs(Right.RECORD)
def home(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Home again: what is still aboard, what is to be counted, what is missing, what came of it."""
    row, standing = _found(trip), queries.standing(trip)
    rows = homes.used(row)
    form = forms.CountHome(request.POST or None, rows=rows)
    context = {
        "trip": row,
        "standing": standing,
        "span": span_since(standing.departed_at, now()),
        "still": homes.still_aboard(row),
        "over": usage.record(trip) is not None,
        "used": rows,
        "missing": homes.missing(row),
        "handed": homes.handed(row),
        "waste": _shown(homes.waste(trip)),
        "trailers": queries.trailers(row),
        "may_run": may(role_of(request), Right.RUN),
    }
    then = _then(request, trip, _("Counted."), "road-home")
    return ask(
        request, form, "inventory/road/home.html", partial(_with, actions.count_home, trip), then, **context
    )


@needs(Right.RECORD)
@require_POST
def come_home(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Say that the trip is home."""
    done = write(request, actions.come_home, trip=_found(trip).id)
    return said(request, _("Home again."), reverse("road-home", args=[trip]), undo=done)


@needs(Right.RECORD)
@require_POST
def not_here(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Say that a thing is not in the trailers."""
    form = forms.OfThing(request.POST)
    if not form.is_valid():
        raise Http404
    done = write(request, actions.not_here, trip=_found(trip).id, **form.values())
    return said(request, _("Missing: on record."), reverse("road-home", args=[trip]), undo=done)


@needs(Right.RECORD)
def weigh(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Weigh the loaded trailers, as they leave or as they are home."""
    row = _found(trip)
    standing = queries.standing(trip)
    named = [(id, name) for id, name in trips.trailers() if str(id) in row.trailers]
    form = forms.Weigh(
        request.POST or None,
        trailers=named,
        away=standing.departed_at is not None,
        assumed=scale.ASSUMED,
        initial={f"{what}_doubt_mg": queries.scale_last(what) for what in scale.ASSUMED},
    )
    then = _then(request, trip, _("On record."), "road-home" if standing.departed_at else "trips-trip")
    return ask(
        request,
        form,
        "inventory/road/weigh.html",
        partial(_with, actions.weigh_load, trip),
        then,
        trip=row,
        weights=trip_numbers.shown({"weights": trip_numbers.weights(row)}).weights,
    )


@needs(Right.RECORD)
def waste(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Weigh the waste, what is chemical apart."""
    row = _found(trip)
    form = forms.Waste(request.POST or None)
    then = _then(request, trip, _("On record."), "road-home")
    return ask(
        request,
        form,
        "inventory/road/waste.html",
        partial(_with, actions.weigh_waste, trip),
        then,
        trip=row,
        waste=_shown(homes.waste(trip)),
    )


def _then(
    request: HttpRequest, trip: UUID, sentence: str, to: str = "trips-trip"
) -> Callable[[Done], HttpResponse]:
    def then(done: Done) -> HttpResponse:
        return said(request, sentence, reverse(to, args=[trip]), undo=done)

    return then


def _shown(waste: dict[str, int]) -> dict[str, Amount]:
    return {sort: Amount(mg, Base.MG) for sort, mg in waste.items()}


def _found(id: UUID) -> Any:
    row = trips.trip(id)
    if row is None:
        raise Http404
    return row
