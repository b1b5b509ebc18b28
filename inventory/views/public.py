"""What a stranger's phone opens from the tag on a ski: what it is, its care, how to reach the shop."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.compute import codes
from inventory.errors import Refused
from inventory.queries import public as queries
from inventory.roles import Right, may
from inventory.views.frame import role_of


def tag(request: HttpRequest, obj: str, code: str) -> HttpResponse:
    """The stranger's page; someone of the crew goes on to the thing itself."""
    try:
        read = codes.read(code)
    except Refused:
        return render(request, "inventory/public/tag.html", {"found": None}, status=404)
    if may(role_of(request), Right.SEE):
        return redirect("thing", code=read)
    found = queries.ski(read)
    return render(request, "inventory/public/tag.html", {"found": found}, status=200 if found else 404)
