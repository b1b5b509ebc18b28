"""Temperature loggers: look at a file, keep it with the place it hung in, see how warm it was."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseRedirect,
    StreamingHttpResponse,
)
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language, override
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import loggers as actions
from inventory.actions.by import Done
from inventory.compute.codes import Code
from inventory.errors import Refused, say
from inventory.formats.logger import remembered
from inventory.forms import loggers as forms
from inventory.forms import reader
from inventory.queries import loggers as queries
from inventory.queries import things, warmth
from inventory.roles import Right
from inventory.views.frame import needs, new_token, now, reads_us, said, write

LONG = 4_000_000  # bytes: a longer file takes more than a blink, and it is said how far it is
MARK = "[[how far it is]]"  # in the page that is sent in pieces


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
            asked = form.asked(sha256)
            if queries.is_long(sha256, LONG):
                to = f"{reverse('loggers-look', args=[code])}?{urlencode(_initial(asked))}"
                return HttpResponseRedirect(to)
            return _looked(request, code, place, asked)
        except Refused as refused:
            context["refused"], status = refused, 409
    elif form.is_bound:
        status = 422
    return render(request, "inventory/loggers/attach.html", context | {"form": form}, status=status)


@needs(Right.RECORD)
def look(request: HttpRequest, code: Code) -> HttpResponseBase:
    """Read a long file that was put aside, and say meanwhile how far it is; leaving the page ends it."""
    place = things.by_code(code)
    form = forms.Keep(request.GET, place=place.id)
    context: dict[str, object] = {"place": place, "code": code, "looked": None, "refused": None}
    if not form.is_valid():
        return render(request, "inventory/loggers/keep.html", context | {"form": form})
    asked = form.asked(form.cleaned_data["sha256"])
    return _in_pieces(request, asked, context, lambda looked: _found(looked, asked))


Ended = Callable[[queries.Looked], dict[str, object]]


def _in_pieces(
    request: HttpRequest, asked: queries.Asked, context: dict[str, object], ended: Ended
) -> StreamingHttpResponse:
    """A page that says how far a long file is read, and at its end what `ended` found of it.

    The pieces are made once the view has returned: in the same language, units and time zone.
    """
    page = render_to_string("inventory/loggers/look.html", context | {"here": MARK}, request)
    pieces = _told(request, asked, page, context, ended)
    return StreamingHttpResponse(_as_now(pieces, reads_us(request)))


def _as_now(pieces: Iterator[str], us: bool) -> Iterator[str]:
    language, zone = get_language(), timezone.get_current_timezone()

    def told() -> Iterator[str]:
        with override(language), reader.reading(us=us), timezone.override(zone):
            yield from pieces

    return told()


def _told(
    request: HttpRequest, asked: queries.Asked, page: str, context: dict[str, object], ended: Ended
) -> Iterator[str]:
    """The page piece by piece: its beginning, how far the reading is, what was found, its end."""
    begins, between, ends = page.split(MARK)
    yield begins
    walk = queries.steps(asked, now())
    try:
        while True:
            yield render_to_string("inventory/loggers/step.html", {"step": next(walk)})
    except StopIteration as done:
        looked: queries.Looked = done.value
        whole = {"percent": 100, "lines": looked.told.lines}
        yield render_to_string("inventory/loggers/step.html", {"step": whole})
        if _left(request):
            return
        context |= _ended(looked, asked, ended)
    except Refused as refused:
        context["refused"] = refused
    yield between + render_to_string("inventory/loggers/found.html", context, request) + ends


def _left(request: HttpRequest) -> bool:
    """True when whoever asked has left the page: nothing more is done for them."""
    gone = request.META.get("waitress.client_disconnected")
    return bool(gone and gone())


def _ended(looked: queries.Looked, asked: queries.Asked, ended: Ended) -> dict[str, object]:
    """What came of it; a refusal stands above what was found."""
    try:
        return ended(looked)
    except Refused as refused:
        return _found(looked, asked) | {"refused": refused}


@needs(Right.RECORD)
def keep(request: HttpRequest, code: Code) -> HttpResponseBase:
    """Keep the file that was looked at; of a long one it is said how far it is, and leaving keeps nothing."""
    place = things.by_code(code)
    form = forms.Keep(request.POST or None, place=place.id)
    context: dict[str, object] = {"place": place, "code": code, "looked": None, "refused": None}
    if not form.is_valid():
        return render(
            request,
            "inventory/loggers/keep.html",
            context | {"form": form},
            status=422 if form.is_bound else 200,
        )
    asked, sure = form.asked(form.cleaned_data["sha256"]), form.cleaned_data["sure"]
    if queries.is_long(asked.sha256, LONG):
        reading = new_token()

        def ended(looked: queries.Looked) -> dict[str, object]:
            if not actions.comes_first(reading):
                return {"stopped": True}
            return {"looked": looked, "kept": _kept(looked), "act": _keep(request, asked, looked, sure).token}

        return _in_pieces(request, asked, context | {"reading": reading}, ended)
    try:
        looked = queries.look(asked, now())  # outside the transaction
        done = _keep(request, asked, looked, sure)
    except Refused as refused:
        return _looked(request, code, place, asked, refused)
    to = f"{reverse('loggers-curve', args=[code])}?days={forms.span_since(looked.kept.first_at, now())}"
    return said(request, _kept(looked), to, undo=None if looked.known else done)


@require_POST
@needs(Right.RECORD)
def stop(request: HttpRequest, code: Code) -> HttpResponse:
    """Stop keeping a long file, unless its last line was read before; say which."""
    form = forms.Stop(request.POST)
    if not form.is_valid():
        raise Http404
    if not actions.comes_first(form.cleaned_data["reading"]):
        to = reverse("loggers-curve", args=[code])
        return said(request, _("Too late: it was read to its end already. What is kept stands here."), to)
    return said(request, _("Stopped. Nothing was kept."), reverse("loggers-attach", args=[code]))


def _kept(looked: queries.Looked) -> str:
    return _("Known before: nothing changed.") if looked.known else _("Kept.")


def _keep(request: HttpRequest, asked: queries.Asked, looked: queries.Looked, sure: bool) -> Done:
    """Write what was read to its end."""
    if looked.stops and not sure:
        raise _not_sure()
    log = actions.written(asked, looked, remembered(looked.shape))
    try:
        return write(request, actions.keep_log, log=log)
    finally:
        actions.settle(log)


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
        context |= _found(queries.look(asked, now()), asked)
    except Refused as second:
        if refused is None:
            raise
        context["refused"] = second
    return render(request, "inventory/loggers/keep.html", context, status=409 if refused else 200)


def _found(looked: queries.Looked, asked: queries.Asked) -> dict[str, object]:
    return {
        "looked": looked,
        "sentence": queries.sentence(looked),
        "form": forms.Keep(place=asked.place, initial=_initial(asked)),
    }


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
