"""Stock: receive, find, open, draw, split, count, hold, write off."""

from collections.abc import Callable
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST
from django_tables2 import RequestConfig

from inventory.actions import stock as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.forms import stock as forms
from inventory.queries import stock as queries
from inventory.queries import things
from inventory.roles import Right
from inventory.tables.stock import PackageTable
from inventory.views.frame import ask, needs, said, write


@needs(Right.SEE)
def stock(request: HttpRequest) -> HttpResponse:
    """What is where: every package there is."""
    words = request.GET.get("q", "")[:100]
    table = PackageTable(queries.listed(words), places=things.place_words())
    RequestConfig(request, paginate={"per_page": 25}).configure(table)
    return render(request, "inventory/stock/stock.html", {"table": table, "q": words})


@needs(Right.RUN)
def receive(request: HttpRequest) -> HttpResponse:
    """Receive packages of one lot; then print their tags."""

    def then(done: Done) -> HttpResponse:
        address = f"{reverse('tags-choose')}?codes={','.join(things.codes_of(done.things))}"
        return said(request, _("Received. Print the tags and put them on."), address, undo=done)

    form = forms.ReceiveLot(request.POST or None)
    return ask(request, form, "inventory/stock/receive.html", actions.receive_lot, then)


@needs(Right.RECORD)
def draw(request: HttpRequest, code: Code) -> HttpResponse:
    """Take an amount out."""
    return _about(request, code, forms.Draw, actions.draw, "inventory/stock/draw.html", _("Taken out."))


@needs(Right.RECORD)
def split(request: HttpRequest, code: Code) -> HttpResponse:
    """Pour part into a smaller container."""
    return _about(
        request, code, forms.Split, actions.split_package, "inventory/stock/split.html", _("Filled.")
    )


@needs(Right.RECORD)
def count(request: HttpRequest, code: Code) -> HttpResponse:
    """Say how much is there."""
    return _about(request, code, forms.Count, actions.count, "inventory/stock/count.html", _("Counted."))


@needs(Right.RUN)
def hold(request: HttpRequest, code: Code) -> HttpResponse:
    """Put on hold. It is not taken back by a tap; an owner lifts it."""
    sentence = _("On hold. Nobody can use it until an owner lifts that.")
    return _about(request, code, forms.Hold, actions.hold, "inventory/stock/hold.html", sentence, undo=False)


@needs(Right.RUN)
def write_off(request: HttpRequest, code: Code) -> HttpResponse:
    """Write off what was spilt or spoilt."""
    return _about(
        request, code, forms.WriteOff, actions.write_off, "inventory/stock/write-off.html", _("Written off.")
    )


@needs(Right.OWN)
def lift(request: HttpRequest, code: Code, hold: UUID) -> HttpResponse:
    """Lift one hold."""

    def lift_it(by: By, *, reason: str) -> Done:
        return actions.lift_hold(by, hold=hold, reason=reason)

    def then(done: Done) -> HttpResponse:
        return said(request, _("The hold is lifted."), reverse("thing", args=[code]))

    form = forms.LiftHold(request.POST or None)
    return ask(request, form, "inventory/stock/lift.html", lift_it, then, thing=things.by_code(code))


@needs(Right.RECORD)
@require_POST
def open(request: HttpRequest, code: Code) -> HttpResponse:
    """Open a package."""
    done = write(request, actions.open_package, package=things.by_code(code).id)
    return said(request, _("Open from now on."), reverse("thing", args=[code]), undo=done)


def _about(
    request: HttpRequest,
    code: Code,
    form_class: type[forms.OfThing],
    action: Callable[..., Done],
    template: str,
    sentence: str,
    *,
    undo: bool = True,
) -> HttpResponse:
    """A form about the thing of a code; then back to the thing."""
    thing = things.by_code(code)

    def then(done: Done) -> HttpResponse:
        return said(request, sentence, reverse("thing", args=[code]), undo=done if undo else None)

    form = form_class(request.POST or None, thing=thing.id)
    return ask(request, form, template, action, then, thing=thing)
