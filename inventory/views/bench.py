"""The bench: whose ski is at which step."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.queries import build_card, builds, cups, cycles, laying
from inventory.queries.build_card import Standing
from inventory.roles import Right
from inventory.tables.builds import PAIR_COLUMNS, pair_row
from inventory.views.frame import needs, now
from inventory.views.leave import as_file

SHOWN = 12


@needs(Right.SEE)
def bench(request: HttpRequest) -> HttpResponse:
    """Every pair in work, and what each waits for."""
    context = _board()
    pairs: list[Standing] = context["pairs"]
    file = as_file(request, "bench", PAIR_COLUMNS, lambda: [pair_row(row) for row in pairs])
    return file or render(
        request,
        "inventory/bench/bench.html",
        context | {"workshops": builds.nearest(timezone.localdate(now()), SHOWN)},
    )


@needs(Right.SEE)
def board(request: HttpRequest) -> HttpResponse:
    """What changes on the bench: cups, presses, pairs. A page's script asks for it every few seconds."""
    return render(request, "inventory/bench/board.html", _board())


def _board() -> dict[str, Any]:
    """Who is at which step, what runs, and until when."""
    at, pairs = now(), build_card.in_work()
    presses = []
    for row in cycles.closed(at):
        told = cycles.judged(row, at)
        presses.append((row, told, cycles.moment_of(row, told.ready_at_s)))
    partly = laying.partly([ski.id for row in pairs for ski in row.skis])
    return {"pairs": pairs, "presses": presses, "partly": list(partly.items()), "cups": cups.running(at)}
