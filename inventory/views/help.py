"""The help pages: words, flows, decisions, refusals and rules. Open to all; knows no row and no person."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language, to_locale

from inventory.queries import help as queries
from inventory.queries import tour as walk
from inventory.roles import Right
from inventory.views.frame import needs, now
from inventory.views.samples import samples


def help(request: HttpRequest) -> HttpResponse:
    """The list of pages."""
    return _listed(request)


def page(request: HttpRequest, page: str) -> HttpResponse:
    """One page; where there is none, the list of pages and a sentence."""
    found = queries.page(page, root=reverse("help"), language=_language())
    if found is None:
        return _listed(request, missing=page[:80], status=404)
    return render(request, "inventory/help/page.html", {"page": found})


def refusals(request: HttpRequest) -> HttpResponse:
    """What is refused: a list of rooms, or with `?code=` the room of that refusal."""
    groups = queries.refusals(root=reverse("help"), language=_language())
    one = next((each for each in groups if request.GET.get("code", "") in each.codes), None)
    return render(request, "inventory/help/refusals.html", {"groups": groups, "one": one})


def rules(request: HttpRequest) -> HttpResponse:
    """The rules that numbers are computed by, with their sources: a list of rooms, or one with `?room=`."""
    rooms, asked = queries.rules(), request.GET.get("room", "")
    one = next((room for room in rooms if room.name == asked), None)
    listed = [
        (whole, [room for room in rooms if room.name.startswith(f"{whole.name}.")])
        for whole in rooms
        if "." not in whole.name
    ]
    return render(request, "inventory/help/rules.html", {"rooms": listed, "room": one})


@needs(Right.SEE)
def parts(request: HttpRequest) -> HttpResponse:
    """Every part that pages are made of, with made-up values."""
    return render(request, "inventory/help/parts.html", samples())


@needs(Right.SEE)
def tour(request: HttpRequest) -> HttpResponse:
    """Three moments to walk through, with what this shop's own books hold of them."""
    return render(request, "inventory/help/tour.html", {"tour": walk.stops(timezone.localdate(now()))})


def _language() -> str:
    """The reader's language, as its folder is called: pt_BR."""
    return to_locale(get_language() or "en")


def _listed(request: HttpRequest, missing: str = "", status: int = 200) -> HttpResponse:
    language = _language()
    context = {
        "pages": queries.pages(language=language),
        "decisions": queries.pages("decisions", language=language),
        "missing": missing,
    }
    return render(request, "inventory/help/help.html", context, status=status)
