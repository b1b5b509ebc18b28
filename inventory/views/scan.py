"""The scan line: any code or a guest's name, from every page, to the thing's own page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.compute import codes
from inventory.errors import Refused
from inventory.queries import dossier, people
from inventory.roles import Right, may
from inventory.views.frame import needs, role_of


@needs(Right.SEE)
def scan(request: HttpRequest) -> HttpResponse:
    """Go to the thing; where there is none, say what is wrong with what was scanned."""
    text = request.GET.get("code", "")[:300]
    try:
        code = codes.read(text)
        dossier.thing_of(code.text)
    except Refused as refused:
        guests = people.guests_named(text) if may(role_of(request), Right.PEOPLE) else []
        context = {"refused": refused, "text": text, "guests": guests}
        return render(request, "inventory/scan/scan.html", context, status=200 if guests else 404)
    return redirect("thing", code=code)
