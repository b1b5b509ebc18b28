"""Seats of a workshop and the guests in them."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.actions import builds as actions
from inventory.actions.by import By, Done
from inventory.forms import seats as forms
from inventory.queries import builds as queries
from inventory.roles import Right
from inventory.views.frame import ask, needs, said


@needs(Right.PEOPLE)
def book(request: HttpRequest, workshop: UUID) -> HttpResponse:
    """Book a seat for a new guest."""
    row = queries.workshop(workshop)
    if row is None:
        raise Http404

    def book_it(by: By, **values: Any) -> Done:
        return actions.book_seat(by, workshop=workshop, **values)

    form = forms.BookSeat(request.POST or None)
    return ask(request, form, "inventory/seats/book.html", book_it, _back(request, workshop), card=row)


@needs(Right.PEOPLE)
def change(request: HttpRequest, seat: UUID) -> HttpResponse:
    """Give a seat back, or book it for who waits."""
    row = queries.seat(seat)
    if row is None:
        raise Http404
    form = forms.ChangeSeat(request.POST or None, seat=row)
    then = _back(request, row.workshop_id)
    return ask(request, form, "inventory/seats/change.html", actions.change_seat, then, seat=row)


@needs(Right.PEOPLE)
def guest(request: HttpRequest, guest: UUID) -> HttpResponse:
    """A guest's card."""
    row = queries.guest(guest)
    if row is None:
        raise Http404
    back = queries.newest_workshop_of(guest)

    def change_it(by: By, **changes: object) -> Done:
        return actions.change_guest(by, guest=guest, changes=changes)

    form = forms.GuestCard(request.POST or None, card=row)
    return ask(
        request, form, "inventory/seats/guest.html", change_it, _back(request, back), card=row, workshop=back
    )


@needs(Right.PEOPLE)
def again(request: HttpRequest, guest: UUID) -> HttpResponse:
    """Book another seat for a guest whose card there is."""
    row = queries.guest(guest)
    if row is None:
        raise Http404

    def book_it(by: By, **values: Any) -> Done:
        return actions.book_again(by, guest=guest, **values)

    def then(done: Done) -> HttpResponse:
        data = form.cleaned_data
        told = _("On the wait list.") if data["waiting"] else _("The seat is booked.")
        return said(request, told, reverse("builds-workshop", args=[data["workshop"]]))

    form = forms.BookAgain(request.POST or None, ahead=queries.workshops_ahead(timezone.localdate()))
    return ask(request, form, "inventory/seats/again.html", book_it, then, card=row)


def _back(request: HttpRequest, workshop: UUID | None) -> Any:
    def then(done: Done) -> HttpResponse:
        to = reverse("builds-workshop", args=[workshop]) if workshop else reverse("bench")
        return said(request, _("Kept."), to)

    return then
