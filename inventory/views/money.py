"""Money, enough of it to decide by: what stock is worth, what passed its date, what material a pair cost."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from inventory.queries import builds, shop, worth, worth_pairs
from inventory.queries.season.facts import decimal
from inventory.queries.worth import Till, Worth
from inventory.roles import Right
from inventory.views.frame import needs
from inventory.views.leave import as_file
from inventory.views.season import this_day

A_YEAR = timedelta(365)
COLUMNS = (
    _("Where"),
    _("Past its date"),
    _("Within a month"),
    _("Within three months"),
    _("Later, or no date"),
    _("All of it"),
    _("Currency"),
    _("Packages without a price"),
)


def _currency() -> str:
    card = shop.card()
    return card.currency if card else ""


@needs(Right.PRICES)
def money(request: HttpRequest) -> HttpResponse:
    """What stock is worth by place and date, and what passed its date and why; also as a file."""
    today, currency = this_day(), _currency()
    rows = worth.stock_worth(today)
    file = as_file(request, "stock-value", COLUMNS, lambda: _rows(rows, currency))
    if file:
        return file
    names = dict(zip(Till, COLUMNS[1:5], strict=True))
    passed = worth.passed(today, today - A_YEAR)
    context = {
        "rows": [(row, [(names[till], row.by_till[till]) for till in Till]) for row in rows],
        "sums": [(names[till], sum(row.by_till[till] for row in rows)) for till in Till],
        "total": sum(row.total for row in rows),
        "unpriced": sum(row.unpriced for row in rows),
        "tills": COLUMNS[1:5],
        "passed": passed,
        "lost": sum(each.worth or 0 for each in passed),
        "currency": currency,
        "workshops": list(builds.workshops()[:30]),
    }
    return render(request, "inventory/money/money.html", context)


def _rows(rows: tuple[Worth, ...], currency: str) -> Iterator[tuple[Any, ...]]:
    for row in rows:
        parts = [decimal(row.by_till[till], currency) for till in Till]
        yield (row.place or "–", *parts, decimal(row.total, currency), currency, row.unpriced)


@needs(Right.PRICES)
def workshop(request: HttpRequest, workshop: UUID) -> HttpResponse:
    """What the material of a workshop's pairs cost, pair by pair."""
    row = builds.workshop(workshop)
    if row is None:
        raise Http404
    pairs = worth_pairs.of_workshop(workshop)
    context = {
        "workshop": row,
        "pairs": pairs,
        "total": sum(pair.cents for pair in pairs),
        "estimated": any(not pair.built for pair in pairs),
        "currency": _currency(),
    }
    return render(request, "inventory/money/workshop.html", context)
