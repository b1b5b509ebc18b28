"""The shop's own pages. The first run: what a new shop must know, a step at a time, each kept at once."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django import forms
from django.contrib.auth import authenticate, login
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from inventory.actions import people
from inventory.actions import shop as actions
from inventory.actions.by import Done
from inventory.errors import Refused
from inventory.formats.qr_page import page_code
from inventory.forms import shop as asked
from inventory.queries import machine, materials, network, tags, zones
from inventory.queries import shop as queries
from inventory.roles import Right, Role
from inventory.views.frame import ask, by, led_back, needs, new_token, now, own_address, person_of, said

STEPS = {
    "letter": gettext_lazy("This laptop's letter"),
    "shop": gettext_lazy("The shop"),
    "host": gettext_lazy("The host name on tags"),
    "owner": gettext_lazy("The owner"),
}
_FORMS: dict[str, type[forms.Form]] = {
    "letter": asked.Letter,
    "shop": asked.ShopCard,
    "host": asked.Host,
    "owner": asked.Owner,
}
_AGAIN = frozenset({"shop", "host"})  # what may be changed until the first run is over
_NEAR = frozenset({"127.0.0.1", "::1", ""})
_NEAR_NAMES = frozenset({"localhost", "127.0.0.1", "::1"})


def first_run(request: HttpRequest) -> HttpResponse:
    """Ask the next thing; once nothing is left, this page leads to the first one.

    Open to all, and only on the laptop itself: whoever answers becomes the owner.
    """
    left = queries.next_step()
    if not left or queries.is_set_up():
        return redirect("day")
    if not _is_near(request):
        return render(request, "inventory/shop/first-run.html", {"elsewhere": True}, status=403)
    step = _step(request, left)
    form = _FORMS[step](request.POST or None, initial=_initial(step))
    status, refused = 200, None
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic(durable=True):
                _KEEP[step](request, form.values())  # type: ignore[attr-defined]
        except Refused as error:
            status, refused = 409, error
        else:
            return _next(request, step, form)
    elif form.is_bound:
        status = 422
    context = {"form": form, "step": step, "steps": _told(left, step), "refused": refused, "clock": now()}
    return render(request, "inventory/shop/first-run.html", context, status=status)


@needs(Right.RECORD)
@require_POST
def clock(request: HttpRequest) -> HttpResponse:
    """Say that the laptop's clock is right, when it stands far from what was recorded last.

    What was sent before it was said is sent on to its page, which shows it again.
    """
    watch = request.META.get("watched_clock")
    if watch is not None:
        watch.sure(now())
    page = own_address(request.GET.get("to", ""))
    if page:
        return HttpResponseRedirect(page, preserve_request=True)
    return said(request, _("Taken as right."), reverse("day"))


@needs(Right.OWN)
def card(request: HttpRequest) -> HttpResponse:
    """The shop's name and settings, to change at any time."""

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("shop-card"))

    form = asked.Settings(request.POST or None, initial=_initial("shop"))
    return ask(request, form, "inventory/shop/card.html", actions.change_shop, then)


@needs(Right.OWN)
def limits(request: HttpRequest) -> HttpResponse:
    """How far a finished ski may be off, and between what moisture wood is glued."""
    card = queries.card()

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("shop-limits"))

    form = asked.Limits(request.POST or None, initial=card.limits if card else {})
    return ask(request, form, "inventory/shop/limits.html", actions.set_limits, then)


@needs(Right.OWN)
def host(request: HttpRequest) -> HttpResponse:
    """The host name on tags, and what follows from it; it stays once anything carries it."""
    card = queries.card()
    named = card.host if card else ""

    def then(done: Done) -> HttpResponse:
        to = led_back(request, reverse("shop-host"))
        return said(request, _("The tags carry that name from now on."), to)

    form = asked.Host(request.POST or None, initial={"host": named})
    fixed = bool(named) and tags.printed_any()
    return ask(request, form, "inventory/shop/host.html", actions.change_shop, then, host=named, fixed=fixed)


@needs(Right.SEE)
def phones(request: HttpRequest) -> HttpResponse:
    """The address for phones in this network, as a code too, and what to look at when one does not get in."""
    here = urlsplit(f"//{request.get_host()}")
    if here.hostname in _NEAR_NAMES:
        own, port = network.own_address(), here.port or int(request.get_port())
        address = f"{request.scheme}://{own}:{port}/" if own else ""
        open_ = bool(own) and network.answers(own, port)
    else:  # by this address somebody is here already
        address, open_ = f"{request.scheme}://{request.get_host()}/", True
    context = {"address": address, "open": open_, "drawn": page_code(address) if open_ else None}
    return render(request, "inventory/shop/phones.html", context)


def _is_near(request: HttpRequest) -> bool:
    """Asked on the laptop itself by its own name: not through a proxy on it, nor by another site's page."""
    host = urlsplit(f"//{request.get_host()}").hostname
    return request.META.get("REMOTE_ADDR", "") in _NEAR and host in _NEAR_NAMES


def _step(request: HttpRequest, left: str) -> str:
    """The step that is asked: the next one, or one before it that may be changed still."""
    order = list(STEPS)
    wanted = (request.POST or request.GET).get("step", left)
    again = wanted in _AGAIN and order.index(wanted) < order.index(left)
    put_off = left == "host" and wanted == "owner"
    return wanted if again or put_off else left


def _told(left: str, step: str) -> list[dict[str, Any]]:
    """Every step: its name, what it kept, whether it is done, is being asked, may be taken up again."""
    order = list(STEPS)
    return [
        {
            "name": name,
            "label": STEPS[name],
            "done": index < order.index(left),
            "kept": _kept(name) if index < order.index(left) else (),
            "here": name == step,
            "again": name in _AGAIN and index < order.index(left) and name != step,
        }
        for index, name in enumerate(order)
    ]


def _kept(step: str) -> list[object]:
    """What a step kept, to be read back."""
    card, here = queries.card(), machine.here()
    if step == "letter" and here:
        return [here.letter, *filter(None, [here.name])]
    if step == "host" and card:
        return [card.host]
    if step != "shop" or card is None:
        return []
    language = dict(asked.LANGUAGES).get(card.language, card.language)
    kept = [card.name, card.currency, _UNITS[card.units], language, card.time_zone, card.reach]
    return [each for each in kept if each]


_KNOWN = ("name", "currency", "units", "language", "reach", "host", "spare_pairs", "reserve_percent")
_UNITS = {"metric": gettext_lazy("metric units"), "us": gettext_lazy("US units")}


def _initial(step: str) -> dict[str, Any]:
    """What is known already."""
    card = queries.card()
    if step in {"letter", "owner"}:
        return {"letter": "A"}  # an owner is asked afresh
    if card is None:
        home = zones.of_computer() or zones.name(None)
        return {"currency": "EUR", "units": "metric", "language": "en", "time_zone": home}
    return {name: getattr(card, name) for name in _KNOWN} | {"time_zone": card.time_zone or zones.name(None)}


def _letter(request: HttpRequest, values: dict[str, Any]) -> None:
    actions.found_machine(id=new_token(), fingerprint=machine.fingerprint(), **values)


def _shop(request: HttpRequest, values: dict[str, Any]) -> None:
    action = actions.change_shop if queries.card() else actions.open_shop
    action(by(request), **values)


def _host(request: HttpRequest, values: dict[str, Any]) -> None:
    actions.change_shop(by(request), **values)


def _owner(request: HttpRequest, values: dict[str, Any]) -> None:
    person = values["person"]
    if person is None:
        person = actions.take_on(by(request), name=values["name"], role=Role.OWNER).thing
    people.give_way_in(person=person, username=values["sign_in"], password=values["password"])


_KEEP: dict[str, Callable[[HttpRequest, dict[str, Any]], None]] = {
    "letter": _letter,
    "shop": _shop,
    "host": _host,
    "owner": _owner,
}


def _next(request: HttpRequest, step: str, form: forms.Form) -> HttpResponse:
    """On to the next step; after the last one the owner is signed in, and offered the starter catalogue."""
    if step != "owner":
        return redirect("shop-first-run")
    data = form.cleaned_data
    user = authenticate(request, username=data["sign_in"], password=data["password"])
    if user is not None:
        login(request, user)
    to = reverse("day") if materials.any_card() else f"{reverse('catalogue')}?next={reverse('day')}"
    who = _("The shop is set up. %(name)s signs in as %(sign_in)s.")
    person = person_of(request)
    name = person.name if person else data["name"]
    return said(request, who % {"name": name, "sign_in": data["sign_in"]}, to)
