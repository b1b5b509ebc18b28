"""Sheets in: templates, a dry run that shows each row's fate, and taking all rows or none."""

from dataclasses import replace
from datetime import datetime, time
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import sheets as actions
from inventory.errors import Refused
from inventory.formats import sheets as formats
from inventory.formats.sheets import DayOrder, Table
from inventory.forms import sheets as forms
from inventory.forms.cards import Day
from inventory.queries import ledger, sheets_out
from inventory.queries.sheets_in import Does, Dry, What
from inventory.queries.sheets_kinds import COLUMNS, dry_run
from inventory.roles import Right
from inventory.views.frame import by, needs, now, said
from inventory.views.leave import as_file

SHOWN = 400  # fates on a page: the wrong ones first


def _read(what: What, data: bytes, order: DayOrder | None, mark: str | None) -> Table:
    columns = [replace(column, day_order=order) for column in COLUMNS[what]]
    return formats.read(data, columns, decimal_mark=mark)


@needs(Right.RUN)
def sheets(request: HttpRequest) -> HttpResponse:
    """Choose a sheet and see what each of its rows would do; nothing is written."""
    form = forms.TakeIn(request.POST or None, request.FILES or None)
    context: dict[str, Any] = {
        "form": form,
        "kinds": [(key.value, forms.WORDS[key], key in sheets_out.OUT) for key in What],
    }
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            context |= _dry(*form.asked()) | {"on": form.cleaned_data["on"]}
        except Refused as refused:
            context["refused"], status = refused, 409
    elif form.is_bound:
        status = 422
    return render(request, "inventory/sheets/sheets.html", context, status=status)


def _dry(what: What, data: bytes, order: DayOrder | None, mark: str | None) -> dict[str, Any]:
    dry = dry_run(what, _read(what, data, order, mark))
    digest = actions.keep(data, now=now())
    fates = sorted(dry.fates, key=lambda fate: (fate.does is not Does.WRONG, fate.row))
    return {
        "dry": dry,
        "counts": [(does, dry.count(does)) for does in Does if dry.count(does)],
        "fates": fates[:SHOWN],
        "more": max(0, len(fates) - SHOWN),
        "digest": digest,
        "what": what.value,
        "days": order.value if order else "",
        "mark": mark or "",
        "before": ledger.act_known(actions.token_of(digest, what)),
    }


@needs(Right.RUN)
@require_POST
def take(request: HttpRequest) -> HttpResponse:
    """Take the sheet of a dry run: every row, or nothing."""
    asked = request.POST
    if asked.get("what") not in set(What):
        raise Http404
    what, digest = What(asked["what"]), asked.get("digest", "")
    order = DayOrder(asked["days"]) if asked.get("days") in set(DayOrder) else None
    token = actions.token_of(digest, what)
    if ledger.act_known(token):
        return said(request, _("This file was taken before; nothing changed."), reverse("sheets"))
    data = actions.kept(digest)
    dry: Dry = dry_run(what, _read(what, data, order, asked.get("mark") or None))
    with transaction.atomic(durable=True):
        actions.take_sheet(replace(by(request), token=token, at=_moment(asked.get("on", ""))), jobs=dry.jobs)
    actions.let_go(digest)
    return said(
        request,
        _("Taken: %(new)s new, %(changes)s changed.")
        % {"new": dry.count(Does.NEW), "changes": dry.count(Does.CHANGES)},
        reverse("sheets"),
    )


def _moment(text: str) -> datetime | None:
    """Noon of the day an old book is of; None for what happens now."""
    try:
        day = Day(required=False).clean(text)
    except ValidationError:
        day = None
    return day and timezone.make_aware(datetime.combine(day, time(12)))


@needs(Right.RUN)
def template(request: HttpRequest, kind: str) -> HttpResponse:
    """A sheet with nothing but the headings; `?file=csv` or `xlsx`."""
    if kind not in set(What):
        raise Http404
    sheet = formats.Sheet(kind, tuple(column.name for column in COLUMNS[What(kind)]), [])
    if request.GET.get("file") == "csv":
        made, media, suffix = formats.write_csv(sheet), "text/csv; charset=utf-8", "csv"
    else:
        made, suffix = formats.write_xlsx(sheet), "xlsx"
        media = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    headers = {"Content-Disposition": f'attachment; filename="{kind}.{suffix}"'}
    return HttpResponse(made, content_type=media, headers=headers)


@needs(Right.PRICES)
def out(request: HttpRequest, kind: str) -> HttpResponse:
    """Materials, offers or orders as the sheet they may come in by."""
    if kind not in set(sheets_out.OUT):
        raise Http404
    what = What(kind)
    names = [column.name for column in COLUMNS[what]]
    file = as_file(request, kind, names, lambda: sheets_out.rows(what))
    if file is None:
        raise Http404
    return file
