"""The bench: whose ski is at which step."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.queries import build_card, builds, cups, cycles, laying
from inventory.queries.build_card import Standing
from inventory.roles import Right, may
from inventory.tables.builds import PAIR_COLUMNS, pair_row
from inventory.views.frame import needs, now, role_of
from inventory.views.leave import as_file

SHOWN = 12


@dataclass(frozen=True, slots=True)
class Group:
    """The pairs of one workshop, or of none. `ahead`: it has not come, none is begun; a page folds them."""

    workshop: Any
    pairs: tuple[Standing, ...]
    ahead: bool


@needs(Right.SEE)
def bench(request: HttpRequest) -> HttpResponse:
    """Every pair in work, and what each waits for."""
    context = _board(request)
    pairs: list[Standing] = context["pairs"]
    file = as_file(request, "bench", PAIR_COLUMNS, lambda: [pair_row(row) for row in pairs])
    return file or render(
        request,
        "inventory/bench/bench.html",
        context,
    )


@needs(Right.SEE)
def board(request: HttpRequest) -> HttpResponse:
    """What changes on the bench: cups, presses, pairs. A page's script asks for it every few seconds."""
    return render(request, "inventory/bench/board.html", _board(request))


def _board(request: HttpRequest) -> dict[str, Any]:
    """Who is at which step, what runs, and until when."""
    at, pairs = now(), build_card.in_work()
    presses = []
    for row in cycles.closed(at):
        told = cycles.judged(row, at)
        presses.append((row, told, cycles.moment_of(row, told.ready_at_s)))
    partly = laying.partly([ski.id for row in pairs for ski in row.skis])
    groups = [_group(rows, partly, at) for _, rows in groupby(pairs, key=lambda row: row.pair.workshop_id)]
    workshops = builds.nearest(timezone.localdate(at), SHOWN)
    return {
        "workshops": workshops,
        "may_book": bool(workshops) and may(role_of(request), Right.RUN),
        "pairs": pairs,
        "groups": groups,
        "presses": presses,
        "partly": list(partly.items()),
        "cups": cups.running(at),
    }


def _group(rows: Iterable[Standing], partly: Mapping[UUID, int], at: datetime) -> Group:
    found = tuple(rows)
    workshop = found[0].pair.workshop
    due = workshop is None or workshop.starts_on <= timezone.localdate(at)
    begun = any(row.begun or any(ski.id in partly for ski in row.skis) for row in found)
    return Group(workshop, found, ahead=not due and not begun)
