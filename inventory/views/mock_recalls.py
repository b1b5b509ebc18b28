"""Tried recalls: try one now, and the sheet of each that was tried."""

import secrets
from decimal import ROUND_UP, Decimal
from time import perf_counter_ns
from typing import Any
from uuid import UUID

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.actions import recalls as actions
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say
from inventory.queries import recalls_mock as queries
from inventory.roles import Right
from inventory.views.frame import needs, now, said, write

PER_PAGE = 25


def stopwatch() -> int:
    """Microseconds since some moment."""
    return perf_counter_ns() // 1000


@needs(Right.RUN)
def mock_recalls(request: HttpRequest) -> HttpResponse:
    """What was tried; trying is a button: the lot is drawn by lot."""
    if request.method == "POST":
        lots = queries.choices()
        if not lots:
            raise Refused("recall.no_lot", say("There is no lot to try."), say("Receive stock first."))
        lot = secrets.choice(lots)
        result = queries.try_out(lot=lot, stopwatch=stopwatch)
        done = write(request, actions.keep_mock_recall, lot=lot, tried_at=now(), result=result)
        to = reverse("mock-recalls-sheet", args=[done.things[-1]])
        return said(request, _("Tried. Nothing was held and nobody was told."), to)
    page = Paginator(queries.tried(), PER_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "asked": "", "limits": queries.LIMITS}
    return render(request, "inventory/mock_recalls/mock-recalls.html", context)


@needs(Right.RUN)
def sheet(request: HttpRequest, mock: UUID) -> HttpResponse:
    """The sheet of one tried recall, as whoever audits the shop would want it."""
    row = queries.one(mock)
    if row is None:
        raise Http404
    base = Base(row.result["base"])
    seconds = sum(row.result[key] for key in ("forward_us", "back_us", "reckoned_us")) / 1e6
    context: dict[str, Any] = {
        "row": row,
        "received": Amount(row.result["received"], base),
        "became": [(name, Amount(value, base)) for name, value in row.result["became"].items()],
        "adds_up": not row.result["became"].get("unexplained"),
        "times": [
            (name, _seconds(row.result[key]))
            for name, key in _TIMES
            if key != "back_us"
            or row.result["back_finds_the_lot"] is not None  # no ski: no way back was gone
        ],
        "limits": [(name, limit // 3600, seconds <= limit) for name, limit in queries.LIMITS],
        "terms": queries.TERMS,
        "printed_at": now(),
        "back": reverse("mock-recalls"),
        "paper": "letter" if request.GET.get("paper") == "letter" else "a4",
    }
    return render(request, "inventory/mock_recalls/sheet.html", context)


_TIMES = (
    (gettext_lazy("forwards: to skis, owners and stock"), "forward_us"),
    (gettext_lazy("backwards: from a ski to its lots"), "back_us"),
    (gettext_lazy("every gram reckoned up"), "reckoned_us"),
)


def _seconds(microseconds: int) -> Decimal:
    """To the thousandth, upwards: what took time is never told as none."""
    return (Decimal(microseconds) / 1_000_000).quantize(Decimal("0.001"), rounding=ROUND_UP)
