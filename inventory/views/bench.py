"""The bench: whose ski is at which step."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.queries import build_card, builds
from inventory.roles import Right
from inventory.tables.builds import PAIR_COLUMNS, pair_row
from inventory.views.frame import needs, now
from inventory.views.leave import as_file

SHOWN = 12


@needs(Right.SEE)
def bench(request: HttpRequest) -> HttpResponse:
    """Every pair in work, and what each waits for."""
    pairs = build_card.in_work()
    file = as_file(request, "bench", PAIR_COLUMNS, lambda: [pair_row(row) for row in pairs])
    return file or render(
        request,
        "inventory/bench/bench.html",
        {"pairs": pairs, "workshops": builds.nearest(timezone.localdate(now()), SHOWN)},
    )
