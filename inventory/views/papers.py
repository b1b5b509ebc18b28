"""Papers kept with things and cards: attach one, look at one, take one away."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import papers as actions
from inventory.errors import Refused
from inventory.forms import papers as forms
from inventory.queries import papers as queries
from inventory.roles import Right
from inventory.views.frame import needs, said, write

_SUFFIX = {"application/pdf": "pdf", "image/jpeg": "jpg", "text/csv": "csv"}


@needs(Right.RUN)
def attach(request: HttpRequest, about: UUID) -> HttpResponse:
    """Attach a paper or photo; then back to where one came from."""
    form = forms.Attach(request.POST or None, request.FILES or None)
    context: dict[str, object] = {"form": form, "back": _back(request)}
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            file = form.kept()  # outside the transaction: pictures are decoded here
            write(request, actions.attach, about=about, file=file)
            return said(request, _("Attached."), _back(request))
        except Refused as refused:
            context["refused"], status = refused, 409
    elif form.is_bound:
        status = 422
    return render(request, "inventory/papers/attach.html", context, status=status)


def _back(request: HttpRequest) -> str:
    """Where one came from, on this machine; else the list of stock."""
    address = request.POST.get("back") or request.GET.get("back", "")
    here = url_has_allowed_host_and_scheme(address, allowed_hosts=None)
    return address if here and address.startswith("/") else "/stock/"


@needs(Right.SEE)
def show(request: HttpRequest, paper: UUID) -> HttpResponse:
    """The paper itself, as a file to save: never within a page."""
    row = queries.paper(paper)
    if row is None:
        raise Http404
    data = queries.content(row)
    if data is None:
        return render(request, "inventory/papers/show.html", {"paper": row}, status=404)
    name = f"{row.what.replace(' ', '-')}.{_SUFFIX.get(row.media_type, 'bin')}"
    headers = {
        "Content-Disposition": f'attachment; filename="{name}"',
        "Content-Security-Policy": "sandbox",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(data, content_type=row.media_type, headers=headers)


@needs(Right.RUN)
@require_POST
def withdraw(request: HttpRequest, paper: UUID) -> HttpResponse:
    """Take a paper away from its page."""
    write(request, actions.withdraw, paper=paper)
    return said(request, _("Taken away."), _back(request))
