"""Suppliers and what they offer. Prices are for those who may see them."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import materials as materials_actions
from inventory.actions import suppliers as actions
from inventory.actions.by import By, Done
from inventory.forms import suppliers as forms
from inventory.queries import materials as queries
from inventory.queries import papers
from inventory.roles import Right, may
from inventory.views.card_page import history
from inventory.views.frame import ask, needs, role_of, said


@needs(Right.PRICES)
def suppliers(request: HttpRequest) -> HttpResponse:
    """Every supplier."""
    found = queries.all_suppliers()
    context = {"suppliers": found, "may_run": may(role_of(request), Right.RUN)}
    return render(request, "inventory/suppliers/suppliers.html", context)


@needs(Right.RUN)
def make(request: HttpRequest) -> HttpResponse:
    """Make a supplier's card."""

    def then(done: Done) -> HttpResponse:
        return said(request, _("The card is made."), reverse("suppliers-card", args=[done.thing]))

    form = forms.SupplierCard(request.POST or None)
    return ask(request, form, "inventory/suppliers/make.html", materials_actions.make_supplier, then)


def _there(found: Any) -> Any:
    if found is None:
        raise Http404
    return found


@needs(Right.PRICES)
def card(request: HttpRequest, supplier: UUID) -> HttpResponse:
    """One supplier, what it offers, and how its card came to say that."""
    row = _there(queries.supplier(supplier))
    form = forms.SupplierCard(card=row)
    offers = list(queries.offers(supplier=supplier))
    page = forms.OfferCard(card=offers[0]) if offers else None
    context = {
        "supplier": row,
        "form": form,
        "offers": [(offer, page.told(offer)) for offer in offers] if page else [],
        "papers": papers.of([supplier]),
        "edits": history(form, {"supplier": supplier}),
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/suppliers/card.html", context)


@needs(Right.RUN)
def edit(request: HttpRequest, supplier: UUID) -> HttpResponse:
    """Change a supplier's card."""
    row = _there(queries.supplier(supplier))

    def change(by: By, **changes: object) -> Done:
        return actions.edit_supplier(by, supplier=supplier, changes=changes)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("suppliers-card", args=[supplier]))

    form = forms.SupplierCard(request.POST or None, card=row)
    return ask(request, form, "inventory/suppliers/edit.html", change, then, supplier=row)


@needs(Right.RUN)
def offer(request: HttpRequest, supplier: UUID) -> HttpResponse:
    """Say what a supplier offers."""
    row = _there(queries.supplier(supplier))

    def make_it(by: By, **values: Any) -> Done:
        return actions.make_offer(by, supplier=supplier, **values)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("suppliers-card", args=[supplier]))

    form = forms.OfferCard(request.POST or None, initial={"material": request.GET.get("material", "")})
    return ask(request, form, "inventory/suppliers/offer.html", make_it, then, supplier=row)


@needs(Right.RUN)
def offer_edit(request: HttpRequest, offer: UUID) -> HttpResponse:
    """Change an offer, or end it."""
    row = _there(queries.offer(offer))

    def change(by: By, **changes: object) -> Done:
        return actions.edit_offer(by, offer=offer, changes=changes)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("suppliers-card", args=[row.supplier_id]))

    form = forms.OfferCard(request.POST or None, card=row)
    edits = history(form, {"offer": offer})
    return ask(request, form, "inventory/suppliers/offer-edit.html", change, then, offer=row, edits=edits)
