"""A scan at loading, for the script that asked: its values, what was done, what puts it right.

Knows no page; `scanned` does the scan.
"""

from typing import Any
from uuid import UUID

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.compute.codes import read
from inventory.errors import Refused, say
from inventory.forms.fields import words
from inventory.queries import aboard, load_now, loading, objections, things, trips
from inventory.queries.aboard import Scan
from inventory.queries.readiness.facts import Facts
from inventory.templatetags.parts import say as in_words
from inventory.views import unbroken
from inventory.views.cures import curable
from inventory.views.frame import now


def values(data: dict[str, Any], thing: UUID) -> dict[str, Any]:
    """As the action takes them."""
    return {"trip": data["trip"], "thing": thing, "to": _place(data), "sure": sorted(_sure(data))}


def _place(data: dict[str, Any]) -> UUID | None:
    return things.by_code(read(data["to"])).id if data["to"] else None


def _sure(data: dict[str, Any]) -> frozenset[str]:
    return frozenset(word for word in data["sure"].split(",") if word)


def told(request: HttpRequest, data: dict[str, Any], thing: UUID) -> dict[str, Any]:
    """What stands on the page after a scan that was done: where the thing is, what is left, the load."""
    row = trips.trip(data["trip"])
    if row is None:
        return {"said": ""}
    facts = aboard.facts_of(row, timezone.localdate(now()))
    return {"said": _lies(facts, thing, data["token"])} | _stands(request, row, facts)


def taken_back(request: HttpRequest, trip: UUID | None) -> dict[str, Any]:
    """The same after a scan was taken back."""
    row = trips.trip(trip) if trip else None
    stands = _stands(request, row, aboard.facts_of(row, timezone.localdate(now()))) if row else {}
    return {"said": _("Taken back.")} | stands


def _stands(request: HttpRequest, row: Any, facts: Facts) -> dict[str, Any]:
    """The list and the load as they are now, also by what other phones scanned."""
    walk = loading.walk(row)
    return {
        "aboard": [read(line.thing.code).text for line in walk.aboard],
        "left": walk.count,
        "masses": [unbroken.words(in_words(each)) for each in load_now.masses(facts, walk)],
        "helps": _helps(request, row.id, facts),
    }


def _helps(request: HttpRequest, trip: UUID, facts: Facts) -> str:
    """What would help, as the page has it: each with its button, for whoever may do it."""
    notes = list(curable(request, load_now.helps(facts), reverse("road-load", args=[trip])))
    return render_to_string("inventory/road/helps.html", {"helps": notes}, request)


def _lies(facts: Facts, thing: UUID, scan: UUID) -> str:
    """Where it lies; since when, where it was there before this scan; and what is to be known of it."""
    words = {"place": load_now.lies_in(facts, thing) or "–", "at": aboard.aboard_since(facts, thing, scan)}
    if not aboard.vehicles_of(facts).intersection(aboard.chain_of(facts, thing)):
        told = [say("On record as it was scanned; by now it lies in: {place}.", **words)]
    elif words["at"] is None:
        told = [say("Aboard: {place}.", **words)]
    else:
        told = [say("Aboard already since {at}: {place}.", **words)]
    return " ".join(map(in_words, told + load_now.to_know(facts, thing)))


def put_right(data: dict[str, Any]) -> dict[str, Any]:
    """One-tap ways to put a refused scan right."""
    try:
        row = trips.trip(data["trip"]) if data["trip"] else None
        thing = things.by_code(read(data["code"])).id
        place = _place(data)
    except Refused:
        return {}
    if row is None:
        return {}
    facts = aboard.facts_of(row, timezone.localdate(now()))
    found = objections.objection(facts, Scan(thing, data["code"], place, _sure(data)))
    fixes = found.fixes if found else ()
    return {
        "fixes": [
            {"label": words(fix.label), "code": _plain(fix.code), "to": _plain(fix.to), "sure": fix.sure}
            for fix in fixes
        ]
    }


def _plain(code: str) -> str:
    """A code as scanned."""
    return read(code).text if code else ""
