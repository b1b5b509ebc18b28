"""The end of a workshop: closed, and opened again for a correction."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import closing as actions
from inventory.actions.by import By, Done
from inventory.forms import closing as forms
from inventory.queries import builds
from inventory.roles import Right
from inventory.views.frame import ask, needs, said


@needs(Right.RUN)
def close(request: HttpRequest, workshop: UUID) -> HttpResponse:
    """Close a workshop."""

    def close_it(by: By, **values: object) -> Done:
        return actions.close_workshop(by, workshop=workshop)

    return _ask(
        request, workshop, forms.Close(request.POST or None), "inventory/closing/close.html", close_it
    )


@needs(Right.RUN)
def reopen(request: HttpRequest, workshop: UUID) -> HttpResponse:
    """Open a closed workshop again, with a reason."""

    def reopen_it(by: By, *, why: str) -> Done:
        return actions.reopen_workshop(by, workshop=workshop, why=why)

    form = forms.Reopen(request.POST or None)
    return _ask(request, workshop, form, "inventory/closing/reopen.html", reopen_it)


def _ask(request: HttpRequest, workshop: UUID, form: object, template: str, action: object) -> HttpResponse:
    row = builds.workshop(workshop)
    if row is None:
        raise Http404

    def then(done: Done) -> HttpResponse:
        return said(request, _("On record."), reverse("builds-workshop", args=[workshop]))

    return ask(request, form, template, action, then, card=row)  # type: ignore[arg-type]
