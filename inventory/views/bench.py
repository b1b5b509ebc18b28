"""The bench: whose ski is at which step."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.queries import bench as queries
from inventory.queries import builds
from inventory.roles import Right
from inventory.views.frame import needs


@needs(Right.SEE)
def bench(request: HttpRequest) -> HttpResponse:
    """Every pair in work, and what each waits for."""
    return render(
        request,
        "inventory/bench/bench.html",
        {"pairs": queries.in_work(), "workshops": builds.with_seats()[:12]},
    )
