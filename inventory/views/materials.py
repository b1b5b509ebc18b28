"""Cards of materials."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import materials as actions
from inventory.actions.by import Done
from inventory.forms import materials as forms
from inventory.queries import materials as queries
from inventory.roles import Right
from inventory.views.frame import ask, needs, said


@needs(Right.SEE)
def materials(request: HttpRequest) -> HttpResponse:
    """Every material."""
    return render(request, "inventory/materials/materials.html", {"materials": queries.all_materials()})


@needs(Right.RUN)
def make(request: HttpRequest) -> HttpResponse:
    """Make a material's card."""

    def then(done: Done) -> HttpResponse:
        return said(request, _("The card is made."), reverse("materials"))

    form = forms.MakeMaterial(request.POST or None)
    return ask(request, form, "inventory/materials/make.html", actions.make_material, then)
