"""A cup that was mixed: put right once, or thrown away."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import mixing as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.compute.mix.correct import Bench
from inventory.forms import mixing as forms
from inventory.queries import cups, things
from inventory.queries.cups import Cup
from inventory.roles import Right
from inventory.views.frame import ask, needs, now, said


def _cup(code: Code) -> Cup:
    found = cups.cup(things.by_code(code).id, now())
    if found is None:
        raise Http404
    return found


@needs(Right.RECORD)
def correct(request: HttpRequest, code: Code) -> HttpResponse:
    """Whether a cup may be put right, with how much of what; then its record."""
    cup = _cup(code)
    seen = forms.Seen(request.GET if "step" in request.GET else None)
    context: dict[str, Any] = {"code": code, "cup": cup, "seen": seen, "advice": None}
    values: dict[str, Any] = {}
    if seen.is_bound and seen.is_valid():
        values = seen.values()
        saw = Bench(values["tare_checked"], values["cup_cool"], not cup.whole, cup.corrected, cup.used_share)
        product = actions.product_of(cup)
        context["advice"] = actions.advice(cup, product, saw, values["scale_step_mg"])

    def correct_it(by: By, **typed: Any) -> Done:
        return actions.correct_mix(by, batch=cup.id, **values, **typed)

    def then(done: Done) -> HttpResponse:
        address = reverse("thing", args=things.codes_of([done.thing]))
        return said(request, _("Put right. Write the new code on the clean cup."), address, undo=done)

    if context["advice"] is None:
        status = 200 if request.method == "GET" and not seen.is_bound else 422
        return render(request, "inventory/mixing/correct.html", context, status=status)
    form = forms.Added(request.POST or None)
    return ask(request, form, "inventory/mixing/correct.html", correct_it, then, **context)


@needs(Right.RECORD)
def discard(request: HttpRequest, code: Code) -> HttpResponse:
    """Throw away what is left in a cup."""
    cup = _cup(code)

    def discard_it(by: By, **typed: Any) -> Done:
        return actions.discard_cup(by, batch=cup.id, **typed)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Thrown away. The waste is on record."), reverse("bench"), undo=done)

    form = forms.Discard(request.POST or None)
    return ask(request, form, "inventory/mixing/discard.html", discard_it, then, code=code, cup=cup)
