"""Temperature loggers: look at a file, keep it with the place it hung in, see how warm it was."""

from datetime import timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import loggers as actions
from inventory.compute.codes import Code
from inventory.errors import Refused, say
from inventory.formats.logger import remembered
from inventory.forms import loggers as forms
from inventory.queries import loggers as queries
from inventory.queries import things, warmth
from inventory.roles import Right
from inventory.views.frame import needs, now, said, write


@needs(Right.RECORD)
def attach(request: HttpRequest, code: Code) -> HttpResponse:
    """Look at a logger's file; nothing is kept yet."""
    place = things.by_code(code)
    form = forms.Attach(request.POST or None, request.FILES or None, place=place.id)
    context: dict[str, object] = {"place": place, "code": code}
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            sha256 = actions.put_aside(form.cleaned_data["file"].chunks(), now=now())
            return _looked(request, code, place, form.asked(sha256))
        except Refused as refused:
            context["refused"], status = refused, 409
    elif form.is_bound:
        status = 422
    return render(request, "inventory/loggers/attach.html", context | {"form": form}, status=status)


@needs(Right.RECORD)
def keep(request: HttpRequest, code: Code) -> HttpResponse:
    """Keep the file that was looked at."""
    place = things.by_code(code)
    form = forms.Keep(request.POST or None, place=place.id)
    if not form.is_valid():
        return render(
            request,
            "inventory/loggers/keep.html",
            {"place": place, "code": code, "form": form, "looked": None},
            status=422 if form.is_bound else 200,
        )
    asked = form.asked(form.cleaned_data["sha256"])
    try:
        looked = queries.look(asked, now())  # outside the transaction: a long file takes seconds
        if looked.stops and not form.cleaned_data["sure"]:
            raise _not_sure()
        log = actions.written(asked, looked, remembered(looked.shape))
        try:
            done = write(request, actions.keep_log, log=log)
        finally:
            actions.settle(log)
    except Refused as refused:
        return _looked(request, code, place, asked, refused)
    told = _("Known before: nothing changed.") if looked.known else _("Kept.")
    to = reverse("loggers-curve", args=[code])
    return said(request, told, to, undo=None if looked.known else done)


def _not_sure() -> Refused:
    return Refused(
        "loggers.not_sure",
        say("Something stands against this file."),
        say("Read what, and tick that it is the right file all the same; or choose another."),
    )


def _looked(
    request: HttpRequest, code: Code, place: Any, asked: queries.Asked, refused: Refused | None = None
) -> HttpResponse:
    """What is in a file, with the one thing to do about it."""
    context: dict[str, object] = {"place": place, "code": code, "refused": refused, "looked": None}
    try:
        looked = queries.look(asked, now())
        context |= {
            "looked": looked,
            "sentence": queries.sentence(looked),
            "form": forms.Keep(place=place.id, initial=_initial(asked)),
        }
    except Refused as second:
        if refused is None:
            raise
        context["refused"] = second
    return render(request, "inventory/loggers/keep.html", context, status=409 if refused else 200)


def _initial(asked: queries.Asked) -> dict[str, object]:
    return {
        "sha256": asked.sha256,
        "logger": str(asked.logger or ""),
        "name": asked.name,
        "zone": asked.zone,
        "probe": asked.probe,
        "day_order": asked.hints.day_order or "",
        "temperature": asked.hints.temperature or "",
        "again": asked.again,
    }


@needs(Right.SEE)
def curve(request: HttpRequest, code: Code) -> HttpResponse:
    """How warm it was in a place, this year and the year before, and what stood there beyond its limits."""
    place = things.by_code(code)
    form = forms.Span(request.GET if "days" in request.GET else None, initial={"days": 365})
    span = timedelta(days=form.cleaned_data["days"] if form.is_bound and form.is_valid() else 365)
    moment = now()
    context = {
        "place": place,
        "code": code,
        "form": form,
        "picture": warmth.picture(place.id, now=moment, span=span),
        "beyond": warmth.beyond(now=moment, since=moment - span, place=place.id),
        "loggers": queries.all_of(place.id),
    }
    return render(request, "inventory/loggers/curve.html", context, status=422 if form.errors else 200)
