"""The printed build record of a pair, with a second secret made for it."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from inventory.compute.codes import Code
from inventory.queries import records as queries
from inventory.roles import Right
from inventory.views.frame import needs, now
from inventory.views.secrets import issue

PAPERS = ("a4", "letter")


@needs(Right.RUN)
def paper(request: HttpRequest, code: Code) -> HttpResponse:
    """Ask first, since what was printed before stops opening anything; then the paper itself, once."""
    pair = queries.pair_of(code)
    found = queries.record(pair) if pair else None
    if found is None:
        raise Http404
    context: dict[str, object] = {"record": found, "code": code}
    if request.method != "POST":
        return render(request, "inventory/records/paper.html", context)
    size = request.POST.get("paper", "")
    context |= {
        "secret": issue(request, found.pair),
        "paper": size if size in PAPERS else PAPERS[0],
        "printed_at": now(),
        "back": reverse("thing", args=[code]),
    }
    return render(request, "inventory/records/sheet.html", context)
