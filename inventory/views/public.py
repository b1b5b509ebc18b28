"""What a phone opens from the tag on a ski: for a stranger what it is; with its second secret its record."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache

from inventory.compute import codes
from inventory.compute.codes import Code
from inventory.errors import Refused
from inventory.forms.records import Secret
from inventory.queries import public as queries
from inventory.queries import records
from inventory.roles import Right, may
from inventory.views import secrets
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
    context = {"found": found, "code": read}
    return render(request, "inventory/public/tag.html", context, status=200 if found else 404)


@never_cache
def record(request: HttpRequest, code: Code) -> HttpResponse:
    """The build record of a pair, for whoever types its second secret."""
    pair, form, status = _asked(request, code)
    if status == 200 and form.is_bound:
        told = {"record": records.record(pair), "code": code}
        return render(request, "inventory/public/record.html", told)
    context = {"form": form, "code": code, "status": status}
    return render(request, "inventory/public/record.html", context, status=status)


@never_cache
def pass_on(request: HttpRequest, code: Code) -> HttpResponse:
    """Pass the pair on: the secret typed stops working, and a new one is shown once."""
    pair, form, status = _asked(request, code)
    context: dict[str, object] = {"form": form, "code": code, "status": status}
    if status == 200 and form.is_bound:
        context["secret"] = secrets.issue(request, pair)
    return render(request, "inventory/public/pass-on.html", context, status=status)


def _asked(request: HttpRequest, code: Code) -> tuple[UUID, Secret, int]:
    """The pair, the form, and how what was typed was answered: 200, 403 wrong, 422 nothing, 429 too often."""
    pair = records.pair_of(code)
    if pair is None:
        raise Http404
    form = Secret(request.POST if request.method == "POST" else None)
    if secrets.shut(request, pair):
        return pair, form, 429
    if not form.is_bound:
        return pair, form, 200
    if not form.is_valid():
        return pair, form, 422
    return pair, form, 200 if secrets.opens(request, pair, form.cleaned_data["secret"]) else 403
