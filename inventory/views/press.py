"""At the bench: mix, lay up, press, judge, inspect, finish, hand over."""

from collections.abc import Callable
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import press as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.forms import mixing as mixing_forms
from inventory.forms import press as forms
from inventory.queries import build_card, mixing, things
from inventory.roles import Right
from inventory.views.frame import ask, led_back, needs, now, said


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
    """Mix: what these skis need and whether it may be poured; then each cup as it was weighed."""
    template, came_from = "inventory/press/mix.html", request.GET.get("next", "")
    asked = mixing_forms.MixFor(
        request.GET if "air_c" in request.GET else None, initial={"skis": request.GET.get("skis", "")}
    )
    if not (asked.is_bound and asked.is_valid()):
        waiting = [row for row in build_card.in_work() if row.waits and row.waits.key == "mix"]
        status = 422 if asked.is_bound or request.method == "POST" else 200
        context = {"asked": asked, "waiting": waiting, "next": came_from}
        return render(request, template, context, status=status)
    values = asked.values()
    plan = mixing.plan(**values, now=now())
    context = {"asked": asked, "plan": plan, "next": came_from}
    if plan.stopped:
        return render(request, template, context, status=200 if request.method == "GET" else 409)

    def mix_it(by: By, **typed: Any) -> Done:
        pour = plan.pours[0]
        more = {"skis": values["skis"], "air": values["air"], "scale_step_mg": values["step_mg"]}
        return actions.record_mix(by, asked=(pour.resin_mg, pour.hardener_mg), **more, **typed)

    def then(done: Done) -> HttpResponse:
        code = things.codes_of(done.things)[0]
        left = len(plan.pours) > 1 and not values["total_mg"]
        sentence = _("Mixed. Write %(code)s on the cup.") % {"code": Code(code).shown}
        to = request.get_full_path() if left else led_back(request, reverse("bench"))
        return said(request, sentence, to, undo=done, stay=True)

    return ask(request, mixing_forms.Weighed(request.POST or None), template, mix_it, then, **context)


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
