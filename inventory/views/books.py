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
from inventory.queries import ledger
from inventory.roles import Right
from inventory.views.frame import ask, led_back, needs, said, write


@needs(Right.RECORD)
@require_POST
def undo(request: HttpRequest, act: UUID) -> HttpResponse:
    """Take one act back, and go back to where the person was: both stay readable."""
    write(request, actions.undo, token=act, reason=request.POST.get("reason", "")[:300] or "taken back")
    return said(request, _("Taken back. Both stay in the books."), led_back(request, reverse("day")))


@needs(Right.SEE)
def disagreements(request: HttpRequest) -> HttpResponse:
    """What people have still to settle."""
    rows = ledger.told_disagreements()
    return render(request, "inventory/books/disagreements.html", {"rows": rows})


@needs(Right.RUN)
def settle(request: HttpRequest, disagreement: UUID) -> HttpResponse:
    """Settle one by word."""

    def settle_it(by: By, *, how: str) -> Done:
        return actions.settle(by, disagreement=disagreement, how=how)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Settled."), reverse("books-disagreements"))

    return ask(request, forms.Settle(request.POST or None), "inventory/books/settle.html", settle_it, then)
