"""Workshops and pairs."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import builds as actions
from inventory.actions.by import Done
from inventory.forms import builds as forms
from inventory.queries import things
from inventory.roles import Right
from inventory.views.frame import ask, needs, said


@needs(Right.RUN)
def plan(request: HttpRequest) -> HttpResponse:
    """Plan a workshop."""

    def then(done: Done) -> HttpResponse:
        return said(request, _("The workshop is planned."), reverse("bench"))

    form = forms.PlanWorkshop(request.POST or None)
    return ask(request, form, "inventory/builds/plan.html", actions.plan_workshop, then)


@needs(Right.RUN)
def book(request: HttpRequest) -> HttpResponse:
    """Book a pair; then print its tags."""

    def then(done: Done) -> HttpResponse:
        address = f"{reverse('tags-choose')}?codes={','.join(things.codes_of(done.things))}"
        return said(request, _("Booked. Its tags can be printed already."), address, undo=done)

    form = forms.BookPair(request.POST or None)
    return ask(request, form, "inventory/builds/book.html", actions.book_pair, then)
