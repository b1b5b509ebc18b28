"""A lay-up layer by layer: one scan, one layer on record."""

from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import laying as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.forms import laying as forms
from inventory.queries import bench, papers, things
from inventory.queries import laying as queries
from inventory.queries.laying import State
from inventory.roles import Right
from inventory.views.frame import ask, led_back, needs, said


def _state(code: Code) -> State:
    found = queries.state(things.by_code(code).id)
    if found is None:
        raise Http404
    return found


@needs(Right.RECORD)
def layers(request: HttpRequest, code: Code) -> HttpResponse:
    """What is laid, what comes next and how much of it; a scan lays it."""
    state = _state(code)
    came_from = request.POST.get("next", "") or request.GET.get("next", "")

    def lay_it(by: By, **typed: Any) -> Done:
        return actions.lay_layer(by, ski=state.ski, **typed)

    def then(done: Done) -> HttpResponse:
        after = _state(code)
        doer = request.POST.get("doer", "")
        here = reverse("laying-layers", args=[code])
        if after.whole:
            return said(request, _("Laid up."), _onward(request, after, here), undo=done, stay=True)
        address = f"{here}?{urlencode({'doer': doer, 'next': came_from})}"
        return said(request, _("On record."), address, undo=done, stay=True)

    form = forms.LayLayer(request.POST or None, initial={"doer": request.GET.get("doer", "")})
    context = {"code": code, "state": state, "other": _other(state), "next": came_from}
    context["papers"] = papers.of([state.ski])
    return ask(request, form, "inventory/laying/layers.html", lay_it, then, **context)


def _other(state: State) -> str:
    """The code of the pair's other ski."""
    others = [ski for ski in bench.skis_of(state.pair.thing_id) if ski != state.ski]
    return next(iter(things.codes_of(others)), "")


def _onward(request: HttpRequest, state: State, here: str) -> str:
    """To the other ski while that is not laid up; else to where the person came from."""
    other = _other(state)
    if other and not bench.has_step(things.by_code(Code(other)).id, "laid up"):
        back = urlencode({"next": request.POST.get("next", "")})
        return f"{reverse('laying-layers', args=[other])}?{back}"
    return led_back(request, here)


@needs(Right.RECORD)
def end(request: HttpRequest, code: Code) -> HttpResponse:
    """A ski is laid up although layers are missing, with why."""
    state = _state(code)

    def end_it(by: By, **typed: Any) -> Done:
        return actions.end_lay_up(by, ski=state.ski, **typed)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Laid up."), reverse("laying-layers", args=[code]), undo=done)

    form = forms.EndLayUp(request.POST or None)
    return ask(request, form, "inventory/laying/end.html", end_it, then, code=code, state=state)
