"""Equipment: all of it, one piece's card, and its inspections. It records; it certifies nothing."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django_tables2 import RequestConfig

from inventory.actions import equipment as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.forms import equipment as forms
from inventory.queries import equipment as queries
from inventory.queries import papers, things
from inventory.roles import Right, may
from inventory.tables.equipment import COLUMNS, EquipmentTable, due_words, sort
from inventory.views.card_page import history
from inventory.views.frame import ask, needs, now, role_of, said
from inventory.views.leave import as_file


@needs(Right.SEE)
def equipment(request: HttpRequest) -> HttpResponse:
    """What travels and comes back, where it is, and what is due."""
    words, today, places = request.GET.get("q", "")[:100], timezone.localdate(now()), things.place_words()
    found = queries.listed(words)

    def rows() -> list[tuple[Any, ...]]:
        return [
            (
                row.code,
                row.name,
                sort(row.sort),
                row.size,
                places.get(row.place, "") if row.place else "",
                row.due.what if row.due else "",
                row.due.by if row.due else None,
                _("on hold") if row.held else due_words(row.due, today)[1],
            )
            for row in found
        ]

    file = as_file(request, "equipment", COLUMNS, rows)
    if file is not None:
        return file
    table = EquipmentTable(found, places=places, today=today, empty_text=_("Nothing has that in its name."))
    RequestConfig(request, paginate={"per_page": 50}).configure(table)
    context = {
        "table": table,
        "any": bool(found or words),
        "q": words,
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/equipment/equipment.html", context)


@needs(Right.RUN)
def make(request: HttpRequest) -> HttpResponse:
    """Put a piece of equipment into use; then print its tag."""

    def then(done: Done) -> HttpResponse:
        address = f"{reverse('tags-choose')}?codes={','.join(things.codes_of(done.things))}"
        return said(request, _("In use. Print its tag."), address, undo=done)

    form = forms.EquipmentCard(request.POST or None)
    return ask(request, form, "inventory/equipment/make.html", actions.make_equipment, then)


def _card(code: Code) -> Any:
    found = queries.equipment(things.by_code(code).id)
    if found is None:
        raise Http404
    return found


@needs(Right.SEE)
def card(request: HttpRequest, code: Code) -> HttpResponse:
    """One piece's card, its inspections, and how the card came to say that."""
    row, today = _card(code), timezone.localdate(now())
    form = forms.EquipmentCard(card=row)
    dues = [(due, *due_words(due, today)) for due in queries.inspections(row.thing_id)]
    context = {
        "code": code,
        "card": row,
        "form": form,
        "dues": dues,
        "papers": papers.of([row.thing_id]),
        "edits": history(form, {"equipment": row.thing_id}),
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/equipment/card.html", context)


@needs(Right.RUN)
def edit(request: HttpRequest, code: Code) -> HttpResponse:
    """Change a piece's card."""
    row = _card(code)

    def change(by: By, **changes: object) -> Done:
        return actions.edit_equipment(by, equipment=row.thing_id, changes=changes)

    form = forms.EquipmentCard(request.POST or None, card=row)
    return ask(
        request, form, "inventory/equipment/edit.html", change, _back(request, code), code=code, card=row
    )


@needs(Right.RUN)
def plan(request: HttpRequest, code: Code) -> HttpResponse:
    """Say that a piece must be inspected."""
    row = _card(code)

    def plan_it(by: By, **values: Any) -> Done:
        return actions.plan_inspection(by, equipment=row.thing_id, **values)

    form = forms.InspectionCard(request.POST or None)
    return ask(
        request, form, "inventory/equipment/plan.html", plan_it, _back(request, code), code=code, card=row
    )


@needs(Right.RUN)
def replan(request: HttpRequest, code: Code, inspection: UUID) -> HttpResponse:
    """Change an inspection, or ask for it no longer."""
    row, planned = _card(code), _inspection(code, inspection)

    def change(by: By, **changes: object) -> Done:
        return actions.edit_inspection(by, inspection=inspection, changes=changes)

    form = forms.InspectionCard(request.POST or None, card=planned)
    edits = history(form, {"inspection": inspection})
    then = _back(request, code)
    return ask(
        request, form, "inventory/equipment/replan.html", change, then, code=code, card=row, edits=edits
    )


@needs(Right.RUN)
def inspect(request: HttpRequest, code: Code, inspection: UUID) -> HttpResponse:
    """Record what an inspection found."""
    planned = _inspection(code, inspection)

    def inspect_it(by: By, **values: Any) -> Done:
        return actions.inspect_equipment(by, inspection=inspection, **values)

    form = forms.Inspected(request.POST or None)
    then = _back(request, code)
    return ask(
        request, form, "inventory/equipment/inspect.html", inspect_it, then, code=code, planned=planned
    )


def _inspection(code: Code, id: UUID) -> Any:
    found = queries.inspection(id)
    if found is None or found.equipment_id != things.by_code(code).id:
        raise Http404
    return found


def _back(request: HttpRequest, code: Code) -> Any:
    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("equipment-card", args=[code]))

    return then
