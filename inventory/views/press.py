"""At the bench: mix, lay up, press, judge, inspect, finish, hand over."""

from collections.abc import Callable
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import press as actions
from inventory.actions.by import Done
from inventory.forms import press as forms
from inventory.queries import things
from inventory.roles import Right
from inventory.views.frame import ask, led_back, needs, said


def _step(
    request: HttpRequest,
    form_class: type[Form],
    action: Callable[..., Done],
    template: str,
    sentence: str,
    to: str = "bench",
) -> HttpResponse:
    """One step: its form, then on to where the person came from; a thing that was born is shown, to write its
    code down."""

    def then(done: Done) -> HttpResponse:
        codes = things.codes_of(done.things)
        address = reverse("thing", args=[codes[0]]) if codes else led_back(request, reverse(to))
        return said(request, sentence, address, undo=done)

    initial: dict[str, Any] = {
        key: value for key, value in request.GET.items() if key in form_class.base_fields
    }
    form = form_class(request.POST or None, initial=initial)
    came_from = request.POST.get("next", "") or request.GET.get("next", "")
    return ask(request, form, template, action, then, next=came_from)


@needs(Right.RUN)
def equipment(request: HttpRequest) -> HttpResponse:
    """Put a press or a mould into use."""
    return _step(
        request,
        forms.Equipment,
        actions.put_equipment_into_use,
        "inventory/press/equipment.html",
        _("In use. Print its tag."),
    )


@needs(Right.RECORD)
def mix(request: HttpRequest) -> HttpResponse:
    """Mix one cup."""
    return _step(
        request,
        forms.Mix,
        actions.record_mix,
        "inventory/press/mix.html",
        _("Mixed. The cup's code is below."),
    )


@needs(Right.RECORD)
def lay_up(request: HttpRequest) -> HttpResponse:
    """Lay up one ski."""
    return _step(request, forms.LayUp, actions.lay_up, "inventory/press/lay-up.html", _("Laid up."))


@needs(Right.RECORD)
def cycle(request: HttpRequest) -> HttpResponse:
    """Record one closing of a press."""
    return _step(
        request,
        forms.Cycle,
        actions.record_cycle,
        "inventory/press/cycle.html",
        _("Recorded. The cycle's code is below."),
    )


@needs(Right.RUN)
def judge(request: HttpRequest) -> HttpResponse:
    """Judge a press cycle."""
    return _step(request, forms.Judge, actions.judge, "inventory/press/judge.html", _("Judged."))


@needs(Right.RUN)
def inspect(request: HttpRequest) -> HttpResponse:
    """Inspect one ski."""
    return _step(request, forms.Inspect, actions.inspect, "inventory/press/inspect.html", _("Inspected."))


@needs(Right.RECORD)
def finish(request: HttpRequest) -> HttpResponse:
    """Skis are finished."""
    return _step(request, forms.Finish, actions.finish, "inventory/press/finish.html", _("Finished."))


@needs(Right.RUN)
def hand_over(request: HttpRequest) -> HttpResponse:
    """Hand a pair over."""
    return _step(
        request, forms.HandOver, actions.hand_over, "inventory/press/hand-over.html", _("Handed over.")
    )
