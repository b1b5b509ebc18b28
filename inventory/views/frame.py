"""The frame around every page: who asks, what they may, what a refusal looks like, when it is.

Knows no topic. The clock, the randomness of tokens and the outermost transaction of a write are here.
"""

import os
from collections.abc import Callable
from datetime import datetime
from typing import Any, TypeVar
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.views import redirect_to_login
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import render
from django.template.response import SimpleTemplateResponse
from django.urls import resolve, reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext_lazy as _

from inventory.actions.by import By, Done
from inventory.actions.loggers import too_large
from inventory.actions.watch import ASKED
from inventory.compute import codes
from inventory.errors import Refused
from inventory.forms import reader, sentences
from inventory.queries import cups, demo, people, shop, zones
from inventory.roles import OPEN_TO_ALL, Right, Role, may
from inventory.views import unbroken

View = TypeVar("View", bound=Callable[..., HttpResponseBase])

DOORS = (
    ("stock", _("Stock")),
    ("trips", _("Trips")),
    ("bench", _("Bench")),
    ("skis-back", _("Skis back")),
    ("season", _("Season")),
)
_DOOR_OF = {
    "stock": "stock",
    "materials": "stock",
    "places": "stock",
    "lots": "stock",
    "suppliers": "stock",
    "equipment": "stock",
    "catalogue": "stock",
    "care": "stock",
    "loggers": "stock",
    "papers": "stock",
    "tags": "stock",
    "trips": "trips",
    "road": "trips",
    "usage": "trips",
    "bench": "bench",
    "press": "bench",
    "build": "bench",
    "mixing": "bench",
    "laying": "bench",
    "closing": "bench",
    "finishing": "bench",
    "cutting": "bench",
    "pressing": "bench",
    "builds": "bench",
    "seats": "bench",
    "layups": "bench",
    "artwork": "bench",
    "skis": "skis-back",
    "recalls": "skis-back",
    "mock": "skis-back",
    "warranty": "skis-back",
    "season": "season",
    "orders": "season",
    "money": "season",
    "sheets": "season",
}

CLOCK_ANSWERED = "clock_answered"  # what was sent before comes back with the answer that the clock is right
_NOT_CARRIED = ("csrfmiddlewaretoken", CLOCK_ANSWERED, "password")

# What is open before the shop is set up; every other page leads to setting it up.
_BEFORE_ALL = OPEN_TO_ALL - {"people-sign-in"}


def needs(right: Right) -> Callable[[View], View]:
    """Declare the one right a page asks for."""

    def declare(view: View) -> View:
        view.right = right  # type: ignore[attr-defined]
        return view

    return declare


def now() -> datetime:
    """The moment, read once at the outermost layer."""
    return timezone.now()  # noqa: TID251 - this is the outermost layer


def new_token() -> UUID:
    """A token for one act."""
    milliseconds = int(now().timestamp() * 1000)
    return codes.uuid7(milliseconds=milliseconds, random=os.urandom(10))


def by(request: HttpRequest) -> By:
    """Who taps, when, and the token of the tap: the page's own, so that sending it again changes nothing.

    Refuses: clock.unset, clock.back, clock.leap
    """
    moment, watch = now(), request.META.get("watched_clock")
    if watch is not None:
        watch.check(moment)
    try:
        token = UUID(request.POST.get("token", ""))
    except ValueError:
        token = new_token()
    person = person_of(request)
    return By(token=token, now=moment, person=person.id if person else None)


def write(request: HttpRequest, action: Callable[..., Done], **values: Any) -> Done:
    """Call one action in the outermost transaction."""
    with transaction.atomic(durable=True):
        return action(by(request), **values)


def said(
    request: HttpRequest, sentence: object, to: str, *, undo: Done | None = None, stay: bool = False
) -> HttpResponse:
    """Go to a page and say there what was done; with `undo`, offer to take that act back.

    A form that names the page it stands on (`next`) leads back there, unless there is more to do: `stay`.
    """
    tags = f"undo:{reverse('books-undo', args=[undo.token])}" if undo else ""
    messages.success(request, sentences.text(sentence), extra_tags=tags)
    return HttpResponseRedirect(to if stay else led_back(request, to))


def led_back(request: HttpRequest, otherwise: str) -> str:
    """Where the form or the address says the person was, if that is a page here; else `otherwise`."""
    return own_address(request.POST.get("next", "") or request.GET.get("next", "")) or otherwise


def own_address(address: str) -> str:
    """The address, if that is a page here; else nothing."""
    here = url_has_allowed_host_and_scheme(address, allowed_hosts=None)
    return address if here and address.startswith("/") else ""


def ask(
    request: HttpRequest,
    form: Any,
    template: str,
    action: Callable[..., Done],
    then: Callable[[Done], HttpResponse],
    **context: Any,
) -> HttpResponse:
    """Show a form; once it is filled in, call one action with its values and go on.

    A refusal is shown above the form, with status 409 and everything that was entered still in place. What
    was sent before the clock was said to be right is shown again, and recorded by the next tap.
    """
    status = 200
    if CLOCK_ANSWERED in request.POST and form.is_bound:
        messages.info(request, _("The clock is taken as right. Below is what you entered; record it now."))
    elif request.method == "POST" and form.is_valid():
        try:
            return then(write(request, action, **form.values()))
        except Refused as refused:
            context["refused"], status = refused, 409
    elif form.is_bound:
        status = 422
    return render(request, template, {"form": form, **context}, status=status)


def may_open(request: HttpRequest, url: str) -> bool:
    """True when the person who asks may open this address of the house."""
    right = getattr(resolve(url.partition("?")[0]).func, "right", None)
    return right is None or may(role_of(request), right)


def person_of(request: HttpRequest) -> Any:
    """The person who asks; None for a stranger. Looked up once a request."""
    if not hasattr(request, "_person"):
        user = getattr(request, "user", None)
        signed_in = user is not None and user.is_authenticated
        request._person = people.of_user(user.pk) if signed_in else None  # type: ignore[attr-defined, union-attr]
    return request._person  # type: ignore[attr-defined]


def role_of(request: HttpRequest) -> Role | None:
    """As what the person works; None for a stranger."""
    person = person_of(request)
    return Role(person.role) if person else None


def _card_of(request: HttpRequest) -> Any:
    """The shop's card, looked up once a request until it is set up."""
    if not getattr(request, "_shop_card", None):
        request._shop_card = shop.card()  # type: ignore[attr-defined]
    return request._shop_card  # type: ignore[attr-defined]


def reads_us(request: HttpRequest) -> bool:
    """In which units the person reads: the own choice, else the shop's. Pages are rendered within it."""
    person = person_of(request)
    card = _card_of(request)
    return ((person.units if person else "") or (card.units if card else "")) == "us"


class Frame:
    """Middleware: lets in who may, within the shop's own time; and turns a refusal into its page."""

    def __init__(self, answer: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        with reader.reading(us=reads_us(request)), timezone.override(zones.zone(_card_of(request))):
            if "HTTP_LEFT_OUT" in request.META:
                return _refused_page(request, too_large(), status=413)
            answer = self.answer(request)
            if isinstance(answer, SimpleTemplateResponse) and not answer.is_rendered:
                answer.render()
            if answer.status_code == 405 and person_of(request):
                page = render(request, "405.html", status=405)
                page["Allow"] = answer.headers["Allow"]
                answer = page
            return unbroken.held(answer)

    def process_view(
        self, request: HttpRequest, view: Any, args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        """A page with no declared right is open only when the list says so."""
        match = request.resolver_match
        stranger = person_of(request) is None  # where somebody is signed in the shop is set up
        if stranger and match and match.url_name not in _BEFORE_ALL and not shop.is_set_up():
            return HttpResponseRedirect(reverse("shop-first-run"))
        if match is None or match.url_name in OPEN_TO_ALL:
            return None
        right = getattr(view, "right", None)
        if stranger:
            return redirect_to_login(request.get_full_path())
        if right is None or not may(role_of(request), right):
            return render(request, "inventory/not_yours.html", {"right": right}, status=403)
        return None

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponseBase | None:
        """A refusal becomes its sentence and 409, in one place."""
        if not isinstance(error, Refused):
            return None
        return _refused_page(request, error, status=409)


def _refused_page(request: HttpRequest, refused: Refused, status: int) -> HttpResponse:
    back = led_back(request, request.path) if request.method == "POST" else "/"
    return render(request, "inventory/refused.html", {"refused": refused, "back": back}, status=status)


def _clock_wrong(request: HttpRequest) -> Refused | None:
    """Why nothing is recorded now: said on every page, before somebody enters something."""
    watch = request.META.get("watched_clock")
    found: Refused | None = watch.wrong(now()) if watch is not None else None
    return found


def _carried(request: HttpRequest) -> list[tuple[str, str]]:
    """What was entered and sent, for the form that answers for the clock: names and values, no file."""
    return [
        (name, value)
        for name, values in request.POST.lists()
        if not name.startswith(_NOT_CARRIED)
        for value in values
    ]


def frame(request: HttpRequest) -> dict[str, Any]:
    """What every template may use."""
    match = request.resolver_match
    topic = (match.url_name or "").split("-")[0] if match else ""
    role = role_of(request)
    card = _card_of(request)
    wrong = _clock_wrong(request) if role else None
    return {
        "shop_name": card.name if card else "Tip to Tail",
        "is_demo": bool(card and card.demo),
        "demo_sign_ins": demo.sign_ins,  # read only by the page that shows them
        "doors": [(name, label) for name, label in DOORS] if role else [],
        "here": _DOOR_OF.get(topic, ""),
        "person": person_of(request),
        "role": role,
        "may_run": may(role, Right.RUN),
        "cups_running": (lambda: cups.running(now())) if role else (),  # read only at the bench
        "token": new_token(),
        "clock_wrong": wrong,
        "clock_carried": _carried(request) if wrong else [],
        "clock_asked": wrong is not None and wrong.code == ASKED and may(role, Right.RECORD),
    }
