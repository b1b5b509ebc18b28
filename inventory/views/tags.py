"""Tags to print."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.errors import Refused
from inventory.formats import qr_sheet
from inventory.forms import tags as forms
from inventory.queries import tags as queries
from inventory.roles import Right
from inventory.views.frame import needs


@needs(Right.SEE)
def choose(request: HttpRequest) -> HttpResponse:
    """Choose size and paper for tags."""
    form = forms.Sheet(initial={"codes": request.GET.get("codes", "").replace(",", "\n")})
    return render(request, "inventory/tags/choose.html", {"form": form})


@needs(Right.SEE)
def sheet(request: HttpRequest) -> HttpResponse:
    """The sheet as PDF."""
    form = forms.Sheet(request.GET)
    if not form.is_valid():
        return render(request, "inventory/tags/choose.html", {"form": form}, status=422)
    values = form.values()
    paper = values["paper"]
    grid = qr_sheet.standard_sheet(paper, values["use"]) if paper else qr_sheet.roll(values["use"])
    try:
        made = qr_sheet.pdf(
            queries.tags(values["codes"]), sheet=grid, use=values["use"], start=values["start"]
        )
    except Refused as refused:
        return render(request, "inventory/tags/choose.html", {"form": form, "refused": refused}, status=409)
    return HttpResponse(
        made, content_type="application/pdf", headers={"Content-Disposition": "inline; filename=tags.pdf"}
    )
