"""Warranty terms: a card a season. They suggest; people decide."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import warranty as actions
from inventory.actions.by import Done
from inventory.compute.skis_back import CAUSES
from inventory.forms import warranty as forms
from inventory.queries import warranty as queries
from inventory.roles import Right, may
from inventory.views.frame import ask, needs, role_of, said


@needs(Right.SEE)
def warranty(request: HttpRequest) -> HttpResponse:
    """Every season's terms."""
    rows = [(row, [CAUSES[cause] for cause in row.not_for]) for row in queries.terms()]
    context = {"rows": rows, "may_own": may(role_of(request), Right.OWN)}
    return render(request, "inventory/warranty/warranty.html", context)


def _kept(request: HttpRequest) -> Any:
    return lambda done: said(request, _("Kept."), reverse("warranty"))


@needs(Right.OWN)
def make(request: HttpRequest) -> HttpResponse:
    """Make the terms of a season."""
    form = forms.Terms(request.POST or None)
    return ask(request, form, "inventory/warranty/make.html", actions.make_terms, _kept(request))


@needs(Right.OWN)
def edit(request: HttpRequest, terms: UUID) -> HttpResponse:
    """Change the terms of a season."""
    row = queries.one(terms)
    if row is None:
        raise Http404
    fields = ("name", "from_on", "to_on", "months", "not_for", "source")
    form = forms.Terms(request.POST or None, initial={field: getattr(row, field) for field in fields})

    def action(by: Any, **values: Any) -> Done:
        return actions.edit_terms(by, terms=terms, **values)

    return ask(request, form, "inventory/warranty/edit.html", action, _kept(request), row=row)
