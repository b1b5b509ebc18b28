"""The shop's own list of steps on the build card."""

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import build_steps as actions
from inventory.actions.by import Done
from inventory.forms import build_steps as forms
from inventory.queries import build_steps as queries
from inventory.roles import Right, may
from inventory.views.frame import ask, needs, role_of, said
from inventory.views.leave import as_file


@needs(Right.SEE)
def build_steps(request: HttpRequest) -> HttpResponse:
    """Every step in order, who may do it, and what was left out."""
    jobs = queries.jobs()
    file = as_file(
        request,
        "steps",
        (_("Number"), _("What is done"), _("Who may do it")),
        lambda: [(number, job.label, job.least.value) for number, job in enumerate(jobs, start=1)],
    )
    context = {"jobs": jobs, "left_out": queries.left_out(), "may_run": may(role_of(request), Right.RUN)}
    return file or render(request, "inventory/build_steps/build-steps.html", context)


@needs(Right.RUN)
def add(request: HttpRequest) -> HttpResponse:
    """Put a step of the shop's own on the card."""
    jobs = queries.jobs()
    initial = {"who": "anyone", "after": jobs[-2].key if len(jobs) > 1 else ""}
    form = forms.AddStep(request.POST or None, jobs=jobs, initial=initial)
    return ask(request, form, "inventory/build_steps/add.html", actions.add_step, _kept(request))


@needs(Right.RUN)
def change(request: HttpRequest, step: str) -> HttpResponse:
    """Rename a step, make it stricter, move it, or leave it out."""
    kept = queries.one(step)
    if kept is None:
        raise Http404
    form = forms.ChangeStep(request.POST or None, kept=kept, jobs=queries.jobs())
    return ask(
        request, form, "inventory/build_steps/change.html", actions.change_step, _kept(request), kept=kept
    )


def _kept(request: HttpRequest) -> Callable[[Done], HttpResponse]:
    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept. The build cards say so."), reverse("build-steps"))

    return then
