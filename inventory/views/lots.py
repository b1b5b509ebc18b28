"""One lot: its label, its packages, and what became of it to the last gram; and its card put right."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.actions import delivery as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.forms.delivery import LotCard
from inventory.queries import lots as queries
from inventory.queries import papers, things, trace
from inventory.queries.stock_list import rows_of
from inventory.roles import Right, may
from inventory.tables.stock import condition
from inventory.views.card_page import history
from inventory.views.frame import ask, needs, now, role_of, said


def _lot(code: Code) -> Any:
    found = queries.lot(things.by_code(code).id)
    if found is None:
        raise Http404
    return found


@needs(Right.SEE)
def card(request: HttpRequest, code: Code) -> HttpResponse:
    """The lot's page."""
    lot, today = _lot(code), timezone.localdate(now())
    form = LotCard(card=lot)
    packages = queries.packages_of(lot.thing_id)
    words = things.place_words()
    rows = [
        (row, words.get(row.place, "") if row.place else "", *condition(row, today))
        for row in rows_of(packages)
    ]
    context = {
        "code": code,
        "lot": lot,
        "form": form,
        "rows": rows,
        "empty": len(packages) - len(rows),
        "reckoned": queries.reckon_up(lot),
        "twins": things.codes_of(queries.one_with(lot.thing_id)),
        "held": bool(trace.stopped_by([lot.thing_id])),
        "papers": papers.of([lot.thing_id]),
        "edits": history(form, {"lot": lot.thing_id}),
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/lots/card.html", context)


@needs(Right.RUN)
def edit(request: HttpRequest, code: Code) -> HttpResponse:
    """Put a lot's card right."""
    lot = _lot(code)

    def change(by: By, **changes: object) -> Done:
        return actions.edit_lot(by, lot=lot.thing_id, changes=changes)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("lots-card", args=[code]))

    form = LotCard(request.POST or None, card=lot)
    return ask(request, form, "inventory/lots/edit.html", change, then, code=code, lot=lot)
