"""A press at work: closed, watched, opened, and its log judged."""

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import pressing as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.forms import pressing as forms
from inventory.queries import cycles, pressing, things
from inventory.queries.cycles import Cycle
from inventory.roles import Right, may
from inventory.views.curve_drawing import picture
from inventory.views.frame import ask, led_back, needs, now, person_of, role_of, said, write


@needs(Right.RECORD)
def close(request: HttpRequest) -> HttpResponse:
    """Close a press: what lies in it; then set points to start from, and what is looked at before."""
    template, came_from = "inventory/pressing/close.html", request.GET.get("next", "")
    first = {name: request.GET.get(name, "") for name in ("press", "mould", "skis")}
    chosen = forms.CloseOn(request.GET if "heated" in request.GET else None, initial=first)
    if not (chosen.is_bound and chosen.is_valid()):
        status = 422 if chosen.is_bound or request.method == "POST" else 200
        return render(request, template, {"chosen": chosen, "next": came_from}, status=status)
    values = chosen.values()
    machine = pressing.machine(values["press"], values["mould"])
    if machine is None:
        raise Http404
    proposal = pressing.propose(machine, values["skis"], heated=values["heated"], bay_c=values["bay_c"])
    me = person_of(request)
    initial = {
        "set_c": proposal.celsius,
        "set_kpa": proposal.kpa,
        "minutes": proposal.minutes,
        "watcher": str(me.id) if me else "",
    }

    def close_it(by: By, **typed: Any) -> Done:
        return actions.close_press(by, **values, **typed)

    def then(done: Done) -> HttpResponse:
        address = reverse("pressing-cycle", args=things.codes_of([done.thing]))
        return said(request, _("Closed. The cycle runs."), led_back(request, address), undo=done)

    form = forms.Close(request.POST or None, heated=values["heated"], initial=initial)
    context = {"chosen": chosen, "machine": machine, "proposal": proposal, "next": came_from}
    return ask(request, form, template, close_it, then, **context)


def _cycle(code: Code) -> Cycle:
    found = cycles.one(things.by_code(code).id)
    if found is None:
        raise Http404
    return found


@needs(Right.SEE)
def cycle(request: HttpRequest, code: Code) -> HttpResponse:
    """A press cycle: its curve, its verdict or forecast, and what can be done now."""
    row = _cycle(code)
    told = cycles.judged(row, now())
    role = role_of(request)
    context = {
        "code": code,
        "cycle": row,
        "told": told,
        "curve": picture(row, told),
        "answer": told.verdict.verdict if told.verdict else told.opening.verdict if told.opening else None,
        "ready_at": cycles.moment_of(row, told.ready_at_s),
        "person_verdict": cycles.verdict_on_record(row.id),
        "may_record": may(role, Right.RECORD),
        "may_own": may(role, Right.OWN),
    }
    return render(request, "inventory/pressing/cycle.html", context)


def _about(
    request: HttpRequest,
    code: Code,
    form: Callable[[Cycle], Any],
    action: Callable[..., Done],
    template: str,
    sentence: object,
) -> HttpResponse:
    """One thing that happens to a cycle; then back to its page."""
    row = _cycle(code)

    def do(by: By, **typed: Any) -> Done:
        return action(by, cycle=row.id, **typed)

    def then(done: Done) -> HttpResponse:
        back = led_back(request, reverse("pressing-cycle", args=[code]))
        return said(request, sentence, back, undo=done)

    came_from = request.POST.get("next", "") or request.GET.get("next", "")
    return ask(request, form(row), template, do, then, code=code, cycle=row, next=came_from)


@needs(Right.RECORD)
def read(request: HttpRequest, code: Code) -> HttpResponse:
    """Write down what thermometers and gauge show now."""

    def form(row: Cycle) -> forms.Read:
        return forms.Read(request.POST or None)

    template = "inventory/pressing/read.html"
    return _about(request, code, form, actions.read_press, template, _("On record."))


@needs(Right.RECORD)
def log(request: HttpRequest, code: Code) -> HttpResponse:
    """Add a logger's file."""

    def form(row: Cycle) -> forms.LogFile:
        ends = row.opened_at or now()
        return forms.LogFile(request.POST or None, request.FILES or None, starts=row.closed_at, ends=ends)

    return _about(request, code, form, actions.read_log, "inventory/pressing/log.html", _("The log is kept."))


@needs(Right.RECORD)
def open(request: HttpRequest, code: Code) -> HttpResponse:
    """Record an opening, everything having been looked at."""

    def form(row: Cycle) -> forms.Open:
        return forms.Open(request.POST or None)

    template = "inventory/pressing/open.html"
    return _about(request, code, form, actions.open_press, template, _("Opened. The press is free."))


@needs(Right.OWN)
def early(request: HttpRequest, code: Code) -> HttpResponse:
    """Record that a press was opened before its schedule."""

    def form(row: Cycle) -> forms.Early:
        return forms.Early(request.POST or None)

    template, sentence = "inventory/pressing/early.html", _("On record. Its skis are on hold.")
    return _about(request, code, form, actions.opened_early, template, sentence)


@needs(Right.RUN)
@require_POST
def judge(request: HttpRequest, code: Code) -> HttpResponse:
    """Judge a cycle by its log, as its page shows it."""
    done = write(request, actions.judge_by_log, cycle=_cycle(code).id)
    back = led_back(request, reverse("pressing-cycle", args=[code]))
    return said(request, _("Judged by its log."), back, undo=done)
