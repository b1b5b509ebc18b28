"""The day sheet: what to know today, most urgent first."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.roles import Right
from inventory.views.frame import needs


@needs(Right.SEE)
def day(request: HttpRequest) -> HttpResponse:
    """The first page."""
    return render(request, "inventory/day.html")
