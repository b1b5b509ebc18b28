"""Places: the map of them, one with all in it, make and change them, put things in them."""

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.actions import places as actions
from inventory.actions.by import By, Done
from inventory.actions.count import count_place
from inventory.compute.codes import Code, Kind
from inventory.forms import places as forms
from inventory.forms.count import CountPlace
from inventory.queries import ages, in_no_zone, things
from inventory.queries import places as queries
from inventory.queries.dossier.facts import Named
from inventory.queries.stock_list import Row
from inventory.roles import Right, may
from inventory.tables.stock import condition
from inventory.views.card_page import history
from inventory.views.frame import ask, led_back, needs, now, role_of, said

PER_PAGE = 50  # packages to count: more weigh too much for a phone on a weak line


@needs(Right.SEE)
def places(request: HttpRequest) -> HttpResponse:
    """Every place under the one it stands in, and what lies in it."""
    context = {"places": queries.tree(), "may_run": may(role_of(request), Right.RUN)}
    return render(request, "inventory/places/places.html", context)


# What is usually put into use next, in a place of this kind.
_NEXT = {Kind.YARD: Kind.STORE, Kind.STORE: Kind.ZONE, Kind.TRAILER: Kind.ZONE, Kind.ZONE: Kind.BIN}


@needs(Right.SEE)
def inside(request: HttpRequest, code: Code) -> HttpResponse:
    """One place: what lies in it, to the bin, and what its card says."""
    place = things.by_code(code)
    card = _there(queries.card(place.id))
    form = forms.PlaceCard(card=card)
    today = timezone.localdate(now())
    contents = queries.contents(place.id)
    found = [(content, [(row, *condition(row, today)) for row in content.packages]) for content in contents]
    called = _called(contents, place)
    context = {
        "code": code,
        "place": place,
        "words": things.place_words().get(place.id, ""),
        "contents": found,
        "stops": [
            (row.place.code, called[row.place.id]) for row in contents[1:] if row.packages or row.others
        ],
        "bare": not any(packages or content.others for content, packages in found),
        "form": form,
        "edits": history(form, dict.fromkeys(("place", "zone", "trailer", "tow car"), place.id)),
        "readings": ages.readings_of([place.id])[-5:],
        "next_kind": _NEXT.get(place.kind, ""),
        "loose": in_no_zone.in_trailer(place.id) if place.kind is Kind.TRAILER else (),
        "back": reverse("places-inside", args=[code]),
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/places/inside.html", context)


def _there(found: Any) -> Any:
    if found is None:
        raise Http404
    return found


@needs(Right.RUN)
def edit(request: HttpRequest, code: Code) -> HttpResponse:
    """Change a place's card."""
    place = things.by_code(code)
    card = _there(queries.card(place.id))

    def change(by: By, **changes: object) -> Done:
        return actions.edit_place(by, place=place.id, changes=changes)

    def then(done: Done) -> HttpResponse:
        if "name" in form.changed_data:
            _say_namesakes(request, place.id)
        return said(request, _("Kept."), reverse("places-inside", args=[code]))

    form = forms.PlaceCard(request.POST or None, card=card)
    return ask(request, form, "inventory/places/edit.html", change, then, code=code, place=place)


@needs(Right.RECORD)
def put_away(request: HttpRequest) -> HttpResponse:
    """Put away what came and lies nowhere yet."""
    waiting = queries.not_put_away()
    choices = [(str(thing.id), f"{thing.code} {thing.name}") for thing in waiting]

    def then(done: Done) -> HttpResponse:
        return _moved(request, form, _("Put away to %(where)s."), reverse("places-put-away"), done)

    form = forms.PutAway(request.POST or None, choices=choices)
    return ask(request, form, "inventory/places/put-away.html", actions.move, then, waiting=waiting)


@needs(Right.RUN)
def make(request: HttpRequest) -> HttpResponse:
    """Put a place into use; its page then leads on: to its tag, and to the places in it."""

    initial = {name: request.GET[name] for name in ("code", "kind", "inside") if request.GET.get(name)}
    form = forms.MakePlace(request.POST or None, initial=initial)

    def then(done: Done) -> HttpResponse:
        (tag,) = things.codes_of(done.things)
        address = reverse("places-inside", args=[tag])
        _say_namesakes(request, done.thing)
        if form.cleaned_data["code"]:
            return said(request, _("The place is there."), address, undo=done)
        return said(
            request, _("The place is there. Go on with what is in it, or print its tag."), address, undo=done
        )

    return ask(request, form, "inventory/places/make.html", actions.make_place, then)


def _say_namesakes(request: HttpRequest, place: UUID) -> None:
    """Say, of a place that was just given its name, which others are called so elsewhere."""
    card = queries.card(place)
    others = queries.namesakes(card.kind, card.name, but=place)
    if others:
        told = ", ".join(f"{each.code} ({each.where})" if each.where else each.code for each in others[:4])
        sentence = _("Called so elsewhere too: %(others)s. Where a name is asked for, scan the tag instead.")
        messages.info(request, sentence % {"others": told})


@needs(Right.RECORD)
def count(request: HttpRequest, code: Code) -> HttpResponse:
    """Count a bin or a shelf: what the books say, and what is there; a large one part by part.

    What is sent is what its page had, whatever came or went since. A part is named by its first package, so
    that those that are found empty move none of the others to a part that was counted.
    """
    place = things.by_code(code)
    contents = queries.contents(place.id)
    part = _part([row for content in contents for row in content.packages], request)

    def then(done: Done) -> HttpResponse:
        if not part["after"]:
            return said(request, _("Counted."), reverse("places-inside", args=[code]), undo=done)
        address = f"{request.path}?{_query(request, part['after'])}"
        return said(request, _("Counted. These are the next ones."), address, undo=done, stay=True)

    form = CountPlace(request.POST or None, place=place.id, rows=part["rows"])
    called = _called(contents, place)
    context = part | {
        "stops": _stops(contents, form, called),
        "alone": [(row.place.code, called[row.place.id]) for row in contents[1:] if row.packages],
    }
    template = "inventory/places/count.html"
    return ask(request, form, template, count_place, then, place=place, code=code, **context)


def _stops(
    contents: Sequence[queries.Content], form: CountPlace, called: Mapping[UUID, str]
) -> list[tuple[str, Sequence[Any]]]:
    """The rows of a count by the place in which each lies, so that one goes from bin to bin."""
    asked = {row.thing: fields for row, fields in form.rows()}
    stops = [
        (called[row.place.id], [(each, asked[each.thing]) for each in row.packages if each.thing in asked])
        for row in contents
    ]
    return [(name, rows) for name, rows in stops if rows]


def _called(contents: Sequence[queries.Content], place: Named) -> dict[UUID, str]:
    """Each place as it is called from this one: two trailers may have a zone 1."""
    words = things.place_words()
    outer = f"{words.get(place.id, place.name)}, "
    return {
        content.place.id: words.get(content.place.id, content.place.name).removeprefix(outer)
        for content in contents
    }


def _part(rows: list[Row], request: HttpRequest) -> dict[str, Any]:
    """The packages of one page, which of how many they are, and the first of the page before and after."""
    names = [str(row.thing) for row in rows]
    asked = CountPlace.asked(request.POST, rows)
    first = str(asked[0].thing) if asked else request.GET.get("from", "")
    start = names.index(first) if first in names else 0
    end = names.index(str(asked[-1].thing)) + 1 if asked else start + PER_PAGE
    return {
        "rows": asked or rows[start:end],
        "first": start + 1,
        "last": min(end, len(rows)),
        "packages": len(rows),
        "before": names[max(0, start - PER_PAGE)] if start else "",
        "after": names[end] if end < len(rows) else "",
    }


def _query(request: HttpRequest, first: str) -> str:
    query = request.GET.copy()
    query["from"] = first
    return query.urlencode()


@needs(Right.RECORD)
def move(request: HttpRequest) -> HttpResponse:
    """Put things somewhere."""

    def then(done: Done) -> HttpResponse:
        return _moved(request, form, _("Moved to %(where)s."), reverse("places-move"), done)

    initial = {"things": request.GET.get("codes", "").replace(",", "\n"), "to": request.GET.get("to", "")}
    form = forms.Move(request.POST or None, initial=initial)
    loose = in_no_zone.among(things.of_codes(request.GET.get("loose", "").split(",")))
    back = led_back(request, reverse("places-move"))
    return ask(request, form, "inventory/places/move.html", actions.move, then, loose=loose, back=back)


def _moved(request: HttpRequest, form: Any, template: str, to: str, done: Done) -> HttpResponse:
    """Say where things went; what went into a trailer and into none of its zones is shown with them next."""
    data = form.values()
    sentence = template % {"where": things.place_words().get(data["to"], "")}
    if not in_no_zone.among(data["things"]):
        return said(request, sentence, to, undo=done)
    codes = ",".join(things.codes_of(data["things"][: in_no_zone.MOST]))
    address = f"{reverse('places-move')}?{urlencode({'loose': codes, 'next': led_back(request, to)})}"
    return said(request, sentence, address, undo=done, stay=True)
