"""The starter catalogue: what most workshops use, to tick and take."""

from types import SimpleNamespace

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import catalogue as actions
from inventory.actions.by import Done
from inventory.forms import catalogue as forms
from inventory.forms.materials import MaterialCard
from inventory.queries import catalogue as queries
from inventory.roles import Right
from inventory.views.frame import ask, needs, said


@needs(Right.RUN)
def catalogue(request: HttpRequest) -> HttpResponse:
    """Take every material by one tap, or tick what the shop uses; each number says where it is from."""
    offered = queries.offered()

    def then(done: Done) -> HttpResponse:
        if not done.things:
            return said(request, _("All of that is here already; nothing changed."), reverse("materials"))
        sentence = _("Taken. The cards are yours: check their numbers against your own data sheets.")
        return said(request, sentence, reverse("materials"))

    page = MaterialCard(card=None)
    told = [
        (entry, page.told(SimpleNamespace(**entry.facts)), entry.key in offered.known)
        for entry in offered.entries
    ]
    form = forms.Take(request.POST or None, offered=offered)
    template = "inventory/catalogue/catalogue.html"
    left = len(offered.entries) - len(offered.known)
    return ask(request, form, template, actions.take_catalogue, then, told=told, left=left)
