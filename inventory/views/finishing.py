"""Finished skis: measured beside the spec, inspected."""

from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import finishing as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.forms import finishing as forms
from inventory.queries import bench, builds, finishing, things
from inventory.queries.finishing import Finished, OnSki
from inventory.roles import Right, may
from inventory.views.frame import ask, led_back, needs, role_of, said


def _pair(code: Code) -> Finished:
    thing = things.by_code(code).id
    pair = builds.pair_of(thing)
    found = finishing.finished_pair(pair.thing_id if pair else thing)
    if found is None:
        raise Http404
    return found


def _ski(code: Code) -> tuple[Finished, OnSki]:
    """A ski and its pair."""
    found, thing = _pair(code), things.by_code(code).id
    own = next((ski for ski in found.skis if ski.id == thing), None)
    if own is None:
        raise Http404
    return found, own


@needs(Right.SEE)
def pair(request: HttpRequest, code: Code) -> HttpResponse:
    """Both skis of a pair as measured, beside the spec and beside each other."""
    context = {"code": code, "finished": _pair(code), "may_record": may(role_of(request), Right.RECORD)}
    return render(request, "inventory/finishing/pair.html", context)


@needs(Right.RECORD)
def measure(request: HttpRequest, code: Code) -> HttpResponse:
    """Measure one ski."""
    found, own = _ski(code)

    def measure_it(by: By, **typed: Any) -> Done:
        return actions.measure_ski(by, ski=own.id, **typed)

    def then(done: Done) -> HttpResponse:
        to = _onward(request, "finishing-measure", found, own, measured=True)
        return said(request, _("Measured."), to, undo=done, stay=True)

    form = forms.Measure(request.POST or None)
    context = {"code": code, "finished": found, "own": own, "next": _next(request)}
    return ask(request, form, "inventory/finishing/measure.html", measure_it, then, **context)


@needs(Right.RUN)
def inspect(request: HttpRequest, code: Code) -> HttpResponse:
    """Inspect one ski: pass, rework, reject."""
    found, own = _ski(code)

    def inspect_it(by: By, **typed: Any) -> Done:
        return actions.inspect_ski(by, ski=own.id, **typed)

    def then(done: Done) -> HttpResponse:
        to = _onward(request, "finishing-inspect", found, own, measured=False)
        return said(request, _("Inspected."), to, undo=done, stay=True)

    form = forms.Inspect(request.POST or None)
    context = {"code": code, "finished": found, "own": own, "next": _next(request)}
    return ask(request, form, "inventory/finishing/inspect.html", inspect_it, then, **context)


@needs(Right.RUN)
def replace(request: HttpRequest, code: Code) -> HttpResponse:
    """Make another ski in the place of a rejected one."""
    found, own = _ski(code)

    def replace_it(by: By) -> Done:
        return actions.replace_ski(by, ski=own.id)

    def then(done: Done) -> HttpResponse:
        card = reverse("builds-card", args=[things.codes_of([found.pair.thing_id])[0]])
        if not done.things:
            return said(request, _("Out of the pair. Its place was taken already."), card)
        new = Code(things.codes_of(done.things)[0]).shown
        sentence = _("%(code)s takes its place. Print its tag before it is laid up.") % {"code": new}
        return said(request, sentence, card)

    context = {"code": code, "finished": found, "own": own, "why": bench.why_rejected(own.id)}
    form = forms.Replace(request.POST if request.method == "POST" else None)
    return ask(request, form, "inventory/finishing/replace.html", replace_it, then, **context)


def _onward(request: HttpRequest, name: str, found: Finished, own: OnSki, *, measured: bool) -> str:
    """To the pair's other ski while that has it not; else to where the person came from."""
    for ski in found.skis:
        has_it = ski.measured is not None if measured else bench.last_verdict(ski.id, "inspected") is not None
        if ski.id != own.id and not has_it and bench.has_step(ski.id, "pressed"):
            return f"{reverse(name, args=[ski.code])}?{urlencode({'next': _next(request)})}"
    return led_back(request, reverse("finishing-pair", args=[own.code]))


def _next(request: HttpRequest) -> str:
    return request.POST.get("next", "") or request.GET.get("next", "")
