"""Signing in and out; for owners the people, their ways in, and the devices they are signed in on."""

from typing import Any
from uuid import UUID

from django import forms as django_forms
from django.contrib.auth import views as auth
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.timezone import localdate
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import erasing, sheets, shop
from inventory.actions import people as actions
from inventory.actions.by import By, Done
from inventory.forms import people as forms
from inventory.forms.shop import ReaderUnits
from inventory.queries import crew, erased, recalls
from inventory.roles import Right
from inventory.views.frame import ask, needs, now, person_of, said
from inventory.views.leave import as_file

SHARED_SECONDS = 60 * 60  # on a device that others use too; common practice, no source
_LETTERS = 60  # of what a browser says of itself


class _SignIn(auth.LoginView):
    """Signing in; the session remembers on what kind of device, and ends early on a shared one."""

    template_name = "inventory/people/sign-in.html"
    authentication_form = forms.SignIn
    redirect_authenticated_user = True

    def form_valid(self, form: Any) -> HttpResponse:
        """Signed in: note the device."""
        answer = super().form_valid(form)
        shared = bool(form.cleaned_data.get("shared"))
        agent = self.request.headers.get("User-Agent", "")
        self.request.session[crew.DEVICE] = {
            "what": _device(agent),
            "since": now().isoformat(),
            "shared": shared,
        }
        if shared:
            self.request.session.set_expiry(SHARED_SECONDS)
        return answer


def _device(agent: str) -> str:
    """What a browser says its device is: the words in its first brackets."""
    return agent.partition("(")[2].partition(")")[0][:_LETTERS] or agent[:_LETTERS]


sign_in = _SignIn.as_view()
sign_out = needs(Right.SEE)(require_POST(auth.LogoutView.as_view()))


@needs(Right.OWN)
def people(request: HttpRequest) -> HttpResponse:
    """Who works here, as what."""
    workers = crew.workers()
    file = as_file(
        request,
        "people",
        (_("Name"), _("Role"), _("Signs in here as")),
        lambda: [(row.name, row.role, row.sign_in) for row in workers],
    )
    return file or render(request, "inventory/people/people.html", {"people": workers})


@needs(Right.OWN)
def take_on(request: HttpRequest) -> HttpResponse:
    """Take somebody on: a card, a role and a way in, together or not at all."""

    def action(by: By, **values: Any) -> Done:
        with transaction.atomic():
            done = shop.take_on(by, **values)
            data = form.cleaned_data
            actions.give_way_in(person=done.thing, username=data["sign_in"], password=data["password"])
        return done

    def then(done: Done) -> HttpResponse:
        return said(request, _("Taken on, with a way in on this laptop."), reverse("people"))

    form = forms.TakeOn(request.POST or None, initial={"role": "helper"})
    return ask(request, form, "inventory/people/take-on.html", action, then)


@needs(Right.SEE)
def units(request: HttpRequest) -> HttpResponse:
    """Choose the units one reads."""

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("people-units"))

    form = ReaderUnits(request.POST or None, initial={"units": person_of(request).units})
    return ask(request, form, "inventory/people/units.html", shop.choose_units, then)


@needs(Right.OWN)
def edit(request: HttpRequest, person: UUID) -> HttpResponse:
    """Change a person's name or role."""
    row = _worker(person)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Changed."), reverse("people"))

    def action(by: By, **values: Any) -> Done:
        return shop.change_person(by, person=person, **values)

    fields = ("name", "role", "under_18", "licence", "size")
    initial = {field: getattr(row, field) for field in fields}
    form = forms.Person(request.POST or None, initial=initial)
    return ask(request, form, "inventory/people/edit.html", action, then, row=row)


@needs(Right.OWN)
def way_in(request: HttpRequest, person: UUID) -> HttpResponse:
    """Give a person a way in on this laptop, or a new password."""
    row = _worker(person)
    form: django_forms.Form
    form = forms.Password(request.POST or None) if row.sign_in else forms.FirstWayIn(request.POST or None)
    if form.is_valid():
        data = form.cleaned_data
        username = row.sign_in or data["sign_in"]
        with transaction.atomic(durable=True):
            actions.give_way_in(person=person, username=username, password=data["password"])
        return said(request, _("The new password opens this laptop's doors."), reverse("people"))
    status = 422 if form.is_bound else 200
    return render(request, "inventory/people/way-in.html", {"form": form, "row": row}, status=status)


@needs(Right.OWN)
@require_POST
def end(request: HttpRequest, person: UUID) -> HttpResponse:
    """Take a person's way in away."""
    with transaction.atomic(durable=True):
        actions.end_way_in(person=person, now=now())
    return said(request, _("The way in is closed on this laptop."), reverse("people"))


@needs(Right.OWN)
def devices(request: HttpRequest) -> HttpResponse:
    """Where somebody is signed in."""
    here = crew.handle(request.session.session_key or "")
    return render(
        request, "inventory/people/devices.html", {"devices": crew.devices(now()), "this_one": here}
    )


@needs(Right.OWN)
@require_POST
def device_out(request: HttpRequest, device: str) -> HttpResponse:
    """Sign one device out; the own one too."""
    with transaction.atomic(durable=True):
        actions.sign_out_device(device=device, now=now())
    if device == crew.handle(request.session.session_key or ""):
        request.session.flush()
        return redirect("people-sign-in")
    return said(request, _("Signed out."), reverse("people-devices"))


@needs(Right.OWN)
def erase(request: HttpRequest, guest: UUID) -> HttpResponse:
    """Erase a guest; first say what goes, what stays, and that nobody can warn them then."""
    told = erased.what(guest)
    if told is None:
        raise Http404
    files = erased.files_of(guest)

    def action(by: By) -> Done:
        erasing.note_down(who=guest, on=localdate(by.now))
        return erasing.erase_guest(by, guest=guest, reviewed=bool(recalled))

    def then(done: Done) -> HttpResponse:
        erasing.drop_files(files)
        sheets.let_go()
        return said(request, _("Erased. Throw away old backups and exports as the shop has promised."), "/")

    recalled = recalls.warned_guest(guest)
    form = forms.Erase(request.POST or None, in_recall=bool(recalled))
    template = "inventory/people/erase.html"
    return ask(request, form, template, action, then, told=told, recalled=recalled)


@needs(Right.OWN)
def erase_crew(request: HttpRequest, person: UUID) -> HttpResponse:
    """Erase someone of the crew; first say what goes and what stays."""
    row = _worker(person)
    told = erased.what_of_person(person)

    def action(by: By) -> Done:
        done = erasing.erase_person(by, person=person)
        erasing.note_down(who=person, on=localdate(by.now))
        return done

    def then(done: Done) -> HttpResponse:
        return said(
            request,
            _("Erased. Throw away old backups and exports as the shop has promised."),
            reverse("people"),
        )

    form = forms.EraseCrew(request.POST or None)
    context = {"row": row, "notes": told[1] if told else 0}
    return ask(request, form, "inventory/people/erase-crew.html", action, then, **context)


def _worker(person: UUID) -> crew.Worker:
    row = crew.worker(person)
    if row is None:
        raise Http404
    return row
