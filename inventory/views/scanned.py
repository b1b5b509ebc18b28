"""What a page of many scans sends, a scan at a time: looked up, done, answered for the script that asked.

The scan's own token makes it one act however often it is sent. Knows no page.
"""

from dataclasses import replace
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.http import HttpRequest, JsonResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import books, places, road, scans, stock
from inventory.actions.by import By, Done
from inventory.compute.codes import read
from inventory.compute.units import Amount, Base
from inventory.errors import Refused
from inventory.forms.fields import words
from inventory.forms.scans import Scanned
from inventory.queries import in_no_zone, things
from inventory.queries import road as roads
from inventory.queries.dossier.facts import Named
from inventory.views import loading_scan, unbroken
from inventory.views.frame import by

_WAITED = timedelta(minutes=1)  # longer, or out of turn: on record when it was made, not when it came


def answer(request: HttpRequest) -> JsonResponse:
    """Do one scan and say what was done; a refusal says what is wrong, and is final."""
    form = Scanned(request.POST)
    if not form.is_valid():
        return JsonResponse({"wrong": _("That was no scan."), "do": ""}, status=422)
    data = form.cleaned_data
    try:
        who = _when(by(request), data)
    except Refused as clock:  # the scan itself is fine: its phone keeps it and sends it again
        return JsonResponse({"wrong": words(clock.sentence), "do": words(clock.what_to_do)}, status=503)
    try:
        return JsonResponse(_do(request, who, data))
    except Refused as refused:
        if refused.code.startswith(("code.", "tag.")):
            scans.keep_failed(who, id=data["token"], text=data["code"], refused=refused)
        said: dict[str, Any] = {
            "wrong": unbroken.words(words(refused.sentence)),
            "do": unbroken.words(words(refused.what_to_do)),
            "code": refused.code,
        }
        if data["do"] == "load" and refused.code != "loading.closed":
            said |= loading_scan.put_right(data)
        return JsonResponse(said, status=409)


def _when(who: By, data: dict[str, Any]) -> By:
    waited = timedelta(seconds=data["ago"] or 0)
    made = who.now - waited
    loads = data["do"] == "load" and waited and data["trip"] is not None
    if waited > _WAITED or data["again"] or (loads and roads.left_since(data["trip"], made)):
        return replace(who, at=made)  # what was aboard when it left was aboard, however late it is sent
    return who


def _do(request: HttpRequest, who: By, data: dict[str, Any]) -> dict[str, Any]:
    if data["do"] == "undo":
        _written(books.undo, replace(who, at=None), token=data["act"], reason="taken back")
        return loading_scan.taken_back(request, data["trip"])
    thing = things.by_code(read(data["code"]))
    done = {"thing": thing.name or thing.kind.value, "code": thing.code, "url": _page(thing)}
    if data["do"] == "move":
        to = things.by_code(read(data["to"]))
        _written(places.move, who, things=[thing.id], to=to.id)
        said = [_("Moved to %(place)s.") % {"place": to.name or to.code}]
        if by_now := things.lies_elsewhere(thing.id, to.id):  # a scan that waited, of what was moved since
            said.append(_("Moved again since, it lies in: %(place)s.") % {"place": by_now})
        said += [words(each.sentence) for each in in_no_zone.among([thing.id])]
        return done | {"said": " ".join(said)}
    if data["do"] == "load":
        _written(road.load, who, **loading_scan.values(data, thing.id))
        return done | loading_scan.told(request, data, thing.id)
    if data["do"] == "count":
        _written(stock.count, who, thing=thing.id, amount=Amount(1, Base.PIECE))
        return done | {"said": _("Counted: one piece.")}
    if data["do"] == "open":
        _written(stock.open_package, who, package=thing.id)
        return done | {"said": _("Opened.")}
    return done | {"said": ""}


def _written(action: Any, who: By, **values: Any) -> Done:
    with transaction.atomic(durable=True):
        done: Done = action(who, **values)
        return done


def _page(thing: Named) -> str:
    return reverse("thing", args=[read(thing.code)]) if thing.code else ""
