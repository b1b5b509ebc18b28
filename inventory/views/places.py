"""Places: make them, put things in them."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import places as actions
from inventory.actions.by import Done
from inventory.forms import places as forms
from inventory.queries import places as queries
from inventory.queries import things
from inventory.roles import Right
from inventory.views.frame import ask, needs, said


@needs(Right.SEE)
def places(request: HttpRequest) -> HttpResponse:
    """Every place and how many things lie in it."""
    return render(request, "inventory/places/places.html", {"places": queries.tree()})


@needs(Right.RUN)
def make(request: HttpRequest) -> HttpResponse:
    """Put a place into use; then print its tag."""

    def then(done: Done) -> HttpResponse:
        address = f"{reverse('tags-choose')}?codes={','.join(things.codes_of(done.things))}"
        return said(request, _("The place is there. Print its tag."), address, undo=done)

    return ask(
        request, forms.MakePlace(request.POST or None), "inventory/places/make.html", actions.make_place, then
    )


@needs(Right.RECORD)
def move(request: HttpRequest) -> HttpResponse:
    """Put things somewhere."""

    def then(done: Done) -> HttpResponse:
        return said(request, _("Moved."), reverse("places-move"), undo=done)

    form = forms.Move(request.POST or None, initial={"things": request.GET.get("codes", "")})
    return ask(request, form, "inventory/places/move.html", actions.move, then)
