"""Cards of materials: all of them, one, make one, change one."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django_tables2 import RequestConfig

from inventory.actions import materials as actions
from inventory.actions.by import By, Done
from inventory.compute.units import Amount, Base
from inventory.forms import materials as forms
from inventory.queries import catalogue, papers
from inventory.queries import materials as queries
from inventory.queries.stock import past_by_material
from inventory.roles import Right, may
from inventory.tables.materials import COLUMNS, MaterialTable, purpose
from inventory.views.card_page import history
from inventory.views.frame import ask, needs, now, role_of, said
from inventory.views.leave import as_file, plain


@needs(Right.SEE)
def materials(request: HttpRequest) -> HttpResponse:
    """Every material and how much there is of it."""
    words = request.GET.get("q", "")[:100]
    found = queries.in_stock(words)

    def rows() -> list[tuple[Any, ...]]:
        return [
            (
                row.name,
                purpose(row.purpose),
                *plain(row.left),
                row.packages,
                plain(row.lowest)[0] if row.lowest else None,
            )
            for row in found
        ]

    file = as_file(request, "materials", COLUMNS, rows)
    if file is not None:
        return file
    past = past_by_material(timezone.localdate(now()))
    table = MaterialTable(found, past, empty_text=_("No material has that in its name."))
    RequestConfig(request, paginate={"per_page": 50}).configure(table)
    context = {
        "table": table,
        "any": bool(found or words),
        "q": words,
        "starter": 0 if found or words else len(catalogue.offered().entries),
        "may_run": may(role_of(request), Right.RUN),
        "may_price": may(role_of(request), Right.PRICES),
    }
    return render(request, "inventory/materials/materials.html", context)


@needs(Right.RUN)
def make(request: HttpRequest) -> HttpResponse:
    """Make a material's card, then fill it in."""

    def then(done: Done) -> HttpResponse:
        key = form.values()["key"]
        return said(
            request, _("The card is made. Fill in what is known."), reverse("materials-edit", args=[key])
        )

    form = forms.MakeMaterial(request.POST or None)
    return ask(request, form, "inventory/materials/make.html", actions.make_material, then)


def _material(key: str) -> Any:
    found = queries.material(key)
    if found is None:
        raise Http404
    return found


@needs(Right.SEE)
def card(request: HttpRequest, key: str) -> HttpResponse:
    """One material's card, and how it came to say that."""
    material = _material(key)
    form = forms.MaterialCard(card=material)
    stock = next(row for row in queries.in_stock() if row.id == material.id)
    offers = [
        {"offer": row, "pack": Amount(row.pack, Base(material.base))}
        for row in queries.offers(material=material.id)
    ]
    context = {
        "material": material,
        "form": form,
        "stock": stock,
        "offers": offers,
        "mixes": queries.hardeners_of(material.id),
        "papers": papers.of([material.id]),
        "edits": history(form, {"material": material.id}),
        "may_run": may(role_of(request), Right.RUN),
        "may_price": may(role_of(request), Right.PRICES),
    }
    return render(request, "inventory/materials/card.html", context)


@needs(Right.RUN)
def edit(request: HttpRequest, key: str) -> HttpResponse:
    """Change a material's card."""
    material = _material(key)

    def change(by: By, **changes: object) -> Done:
        return actions.edit_material(by, material=material.id, changes=changes)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("materials-card", args=[key]))

    form = forms.MaterialCard(request.POST or None, card=material)
    return ask(request, form, "inventory/materials/edit.html", change, then, material=material)
