"""Corrections: undo an act, settle a disagreement."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import books as actions
from inventory.actions.by import By, Done
from inventory.forms import books as forms
from inventory.queries import disagreements as queries
from inventory.roles import Right, may
from inventory.views.frame import ask, led_back, needs, role_of, said, write
from inventory.views.told import Told, told


@needs(Right.RECORD)
@require_POST
def undo(request: HttpRequest, act: UUID) -> HttpResponse:
    """Take one act back, and go back to where the person was: both stay readable."""
    write(request, actions.undo, token=act, reason=request.POST.get("reason", "")[:300] or "taken back")
    return said(request, _("Taken back. Both stay in the books."), led_back(request, reverse("day")))


@needs(Right.SEE)
def disagreements(request: HttpRequest) -> HttpResponse:
    """What people have still to settle."""
    rows = [(row, _sides(row)) for row in queries.open_ones()]
    context = {"rows": rows, "may_run": may(role_of(request), Right.RUN)}
    return render(request, "inventory/books/disagreements.html", context)


@needs(Right.RUN)
def settle(request: HttpRequest, disagreement: UUID) -> HttpResponse:
    """Settle one by word."""

    def settle_it(by: By, *, how: str) -> Done:
        return actions.settle(by, disagreement=disagreement, how=how)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Settled."), reverse("books-disagreements"))

    form = forms.Settle(request.POST or None)
    row = queries.one(disagreement)
    more = {"row": row, "sides": _sides(row) if row else [], "may_run": True}
    return ask(request, form, "inventory/books/settle.html", settle_it, then, **more)


def _sides(row: queries.Told) -> list[tuple[queries.Side, list[Told]]]:
    """Each side with what happened there, in the words of a thing's page."""
    return [(side, told(side.events, row.thing.id) if row.thing else []) for side in row.sides]
