"""Lay-up cards: all of them, one with its layers, and how it is changed."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import layups as actions
from inventory.actions.by import By, Done
from inventory.forms import layups as forms
from inventory.queries import builds
from inventory.queries import layups as queries
from inventory.roles import Right, may
from inventory.tables.builds import LAYUP_COLUMNS, layup_row
from inventory.views.card_page import history
from inventory.views.frame import ask, needs, role_of, said, write
from inventory.views.leave import as_file


@needs(Right.SEE)
def layups(request: HttpRequest) -> HttpResponse:
    """Every lay-up card."""
    cards = builds.layups()
    file = as_file(request, "lay-ups", LAYUP_COLUMNS, lambda: [layup_row(row) for row in cards])
    context = {"cards": cards, "may_run": may(role_of(request), Right.RUN)}
    return file or render(request, "inventory/layups/layups.html", context)


@needs(Right.RUN)
def make(request: HttpRequest) -> HttpResponse:
    """Make a lay-up card; then enter its layers."""

    def then(done: Done) -> HttpResponse:
        return HttpResponseRedirect(reverse("layups-layer", args=[done.thing]))

    form = forms.MakeLayup(request.POST or None)
    return ask(request, form, "inventory/layups/make.html", actions.make_layup, then)


def _card(id: UUID) -> Any:
    found = builds.layup(id)
    if found is None:
        raise Http404
    return found


@needs(Right.SEE)
def card(request: HttpRequest, layup: UUID) -> HttpResponse:
    """A lay-up's layers from the base up."""
    row = _card(layup)
    context = {
        "card": row,
        "layers": queries.lines(row, queries.known(row.layers)),
        "edits": history(forms.LayupName(card=row), {"layup": layup}),
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/layups/card.html", context)


@needs(Right.RUN)
def edit(request: HttpRequest, layup: UUID) -> HttpResponse:
    """Rename a lay-up, or say that it is no longer built."""
    row = _card(layup)

    def change(by: By, **values: Any) -> Done:
        return actions.change_layup(by, layup=layup, **values)

    form = forms.LayupName(request.POST or None, card=row)
    return ask(request, form, "inventory/layups/edit.html", change, _back(request, layup), card=row)


@needs(Right.RUN)
def layer(request: HttpRequest, layup: UUID) -> HttpResponse:
    """Add a layer."""
    row = _card(layup)

    def add(by: By, **values: Any) -> Done:
        return actions.add_layer(by, layup=layup, **values)

    form = forms.AddLayer(request.POST or None)
    return ask(request, form, "inventory/layups/layer.html", add, _back(request, layup), card=row)


@needs(Right.RUN)
@require_POST
def drop(request: HttpRequest, layup: UUID, number: int) -> HttpResponse:
    """Take a layer off."""
    _card(layup)
    write(request, actions.drop_layer, layup=layup, number=number)
    return said(request, _("Taken off."), reverse("layups-card", args=[layup]))


def _back(request: HttpRequest, layup: UUID) -> Any:
    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("layups-card", args=[layup]))

    return then
