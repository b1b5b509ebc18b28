"""A pair's artwork: its path with dates, its file, and whether that fits the ski."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.actions import artwork as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.errors import Refused
from inventory.forms import artwork as forms
from inventory.queries import artwork as queries
from inventory.queries import build_card, builds, papers, things
from inventory.roles import Right, may
from inventory.views.frame import ask, needs, now, role_of, said, write

_SUFFIX = {"image/jpeg": "jpg", "image/png": "png"}


def _pair(code: Code) -> Any:
    """The pair of this code, or of the ski that has it."""
    thing = things.by_code(code).id
    found = builds.pair(thing) or builds.pair_of(thing)
    if found is None:
        raise Http404
    return found


@needs(Right.SEE)
def path(request: HttpRequest, code: Code) -> HttpResponse:
    """The stages with their days, the file, and how it fits."""
    pair = _pair(code)
    row = queries.of(pair)
    context: dict[str, object] = {
        "code": code,
        "pair": pair,
        "art": row,
        "header": queries.header(row),
        "versions": queries.versions(row),
        "path": queries.path(pair, row, timezone.localdate(now())),
        "standing": build_card.standing([pair])[0],
        "may_run": may(role_of(request), Right.RUN),
    }
    try:
        shaped = builds.shaped(pair)
        context["shaped"] = shaped
        context["verdict"] = queries.fits(row, shaped) if shaped else None
    except Refused as refused:
        context["refused"] = refused
    return render(request, "inventory/artwork/path.html", context)


@needs(Right.RUN)
def plan(request: HttpRequest, code: Code) -> HttpResponse:
    """How long the printer takes, and the bleed."""
    pair = _pair(code)
    row = queries.of(pair)

    def plan_it(by: By, **values: Any) -> Done:
        return actions.plan_artwork(by, pair=pair.thing_id, **values)

    initial = {name: getattr(row, name) for name in ("printer_days", "bleed_mm", "wanted_colours")}
    form = forms.PlanArtwork(request.POST or None, initial=initial)
    return ask(request, form, "inventory/artwork/plan.html", plan_it, _back(request, code), code=code)


@needs(Right.RUN)
def mark(request: HttpRequest, code: Code) -> HttpResponse:
    """Say that a stage was done."""
    pair = _pair(code)

    def mark_it(by: By, **values: Any) -> Done:
        return actions.mark_artwork(by, pair=pair.thing_id, **values)

    form = forms.MarkArtwork(
        request.POST or None, stage=request.GET.get("stage", ""), today=timezone.localdate(now())
    )
    return ask(request, form, "inventory/artwork/mark.html", mark_it, _back(request, code), code=code)


@needs(Right.RUN)
def attach(request: HttpRequest, code: Code) -> HttpResponse:
    """Keep the file for the printer."""
    pair = _pair(code)
    form = forms.AttachArtwork(request.POST or None, request.FILES or None)
    context: dict[str, object] = {"form": form, "code": code}
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            file = form.kept()  # outside the transaction: a large file is written here
            write(request, actions.attach_artwork, pair=pair.thing_id, file=file)
            return said(request, _("Kept."), reverse("artwork-path", args=[code]))
        except Refused as refused:
            context["refused"], status = refused, 409
    elif form.is_bound:
        status = 422
    return render(request, "inventory/artwork/attach.html", context, status=status)


@needs(Right.SEE)
def file(request: HttpRequest, code: Code) -> HttpResponse:
    """The file as it came, the newest or an earlier one, to save: never within a page."""
    kept = queries.versions(queries.of(_pair(code)))
    wanted = request.GET.get("version", "")
    row = next((each for each in kept if wanted in ("", each.sha256)), None)
    if row is None or not row.here:
        raise Http404
    data = papers.path(row.sha256).read_bytes()
    headers = {
        "Content-Disposition": f'attachment; filename="{code.shown}.{_SUFFIX.get(row.media_type, "bin")}"',
        "Content-Security-Policy": "sandbox",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(data, content_type=row.media_type, headers=headers)


def _back(request: HttpRequest, code: Code) -> Any:
    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("artwork-path", args=[code]))

    return then
