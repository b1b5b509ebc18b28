"""The care of what ages: temperatures read, resin warmed, old stock re-tested, how old it is."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.actions import care as actions
from inventory.actions.by import Done
from inventory.compute.codes import Code
from inventory.forms import care as forms
from inventory.queries import ages, stock, things
from inventory.roles import Right
from inventory.views.frame import ask, needs, now, said


@needs(Right.RECORD)
def read(request: HttpRequest, code: Code) -> HttpResponse:
    """Say what a thermometer shows in a place."""
    place = things.by_code(code)

    def then(done: Done) -> HttpResponse:
        return said(request, _("On record."), reverse("places-inside", args=[code]), undo=done)

    form = forms.Reading(request.POST or None, place=place.id)
    before = ages.readings_of([place.id])[-5:]
    return ask(
        request, form, "inventory/care/read.html", actions.record_reading, then, place=place, before=before
    )


@needs(Right.RECORD)
def warm(request: HttpRequest, code: Code) -> HttpResponse:
    """Record that crystals were warmed out."""
    return _about(
        request, code, forms.Warm, actions.warm, "inventory/care/warm.html", lambda: _("On record.")
    )


@needs(Right.RUN)
def retest(request: HttpRequest, code: Code) -> HttpResponse:
    """Record a re-test; where it held, a few months more."""
    package = things.by_code(code).id

    def told() -> str:
        row = stock.package(package)
        if row is not None and row.extended_through is not None:
            return _("On record. It may be used to %(day)s, once.") % {"day": row.extended_through}
        return _("On record. The trial did not hold: its date stays as it was.")

    return _about(
        request, code, forms.Retest, actions.retest_package, "inventory/care/retest.html", told, undo=False
    )


@needs(Right.SEE)
def age(request: HttpRequest, code: Code) -> HttpResponse:
    """How old a package is by its warmth, where it stood, and how that was reckoned."""
    thing = things.by_code(code)
    usable = stock.usable([thing.id]).get(thing.id)
    context = {
        "thing": thing,
        "code": code,
        "age": ages.age_of(thing.id, now()),
        "stood": ages.told_where(thing.id, now()),
        "usable": usable,
        "past": usable is not None and usable.past(timezone.localdate(now())),
    }
    return render(request, "inventory/care/age.html", context)


def _about(
    request: HttpRequest,
    code: Code,
    form_class: type[forms.OfPackage],
    action: Callable[..., Done],
    template: str,
    told: Callable[[], Any],
    *,
    undo: bool = True,
) -> HttpResponse:
    """A form about the package of a code; then back to it."""
    thing = things.by_code(code)

    def then(done: Done) -> HttpResponse:
        return said(request, told(), reverse("thing", args=[code]), undo=done if undo else None)

    form = form_class(request.POST or None, package=thing.id)
    return ask(request, form, template, action, then, thing=thing)
