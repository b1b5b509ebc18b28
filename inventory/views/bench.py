"""The bench: whose ski is at which step."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.queries import build_card, builds
from inventory.roles import Right
from inventory.views.frame import needs


@needs(Right.SEE)
def bench(request: HttpRequest) -> HttpResponse:
    """Every pair in work, and what each waits for."""
    return render(
        request,
        "inventory/bench/bench.html",
        {"pairs": build_card.in_work(), "workshops": builds.with_seats()[:12]},
    )
