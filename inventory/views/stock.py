"""Stock: receive, find, open, draw, split, count, hold, write off."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST
from django_tables2 import RequestConfig

from inventory.actions import delivery
from inventory.actions import stock as actions
from inventory.actions.by import By, Done
from inventory.actions.count import count_by_weight
from inventory.compute.codes import Code, Kind
from inventory.compute.units import Amount, Base
from inventory.forms import labels, reader
from inventory.forms import stock as forms
from inventory.forms.cards import exact
from inventory.forms.count import Weigh
from inventory.forms.delivery import MOST_ROWS, Delivery, expected
from inventory.forms.fields import as_on_tags
from inventory.forms.packages import told
from inventory.forms.sentences import moment
from inventory.forms.stock_list import Find
from inventory.queries import orders, things
from inventory.queries.delivery import same_before
from inventory.queries.ledger import kinds, states
from inventory.queries.stock import package, usable
from inventory.queries.stock_list import Listing, any_package
from inventory.roles import Right, may
from inventory.tables.stock import COLUMNS, PackageTable, sheet_row
from inventory.views.frame import ask, needs, now, role_of, said, write
from inventory.views.leave import as_file, plain


@needs(Right.SEE)
def stock(request: HttpRequest) -> HttpResponse:
    """What is where: every package there is."""
    find = Find(request.GET)
    today = timezone.localdate(now())
    listing = Listing(find.wanted(), today=today)

    def rows() -> Iterator[tuple[Any, ...]]:
        return (sheet_row(row, find.places, today, plain(row.left)) for row in listing.all())

    table = PackageTable(listing, places=find.places, empty_text=_("Nothing in stock fits that."))
    RequestConfig(request, paginate={"per_page": 25}).configure(table)
    file = as_file(request, "stock", COLUMNS, rows)
    return file or render(
        request,
        "inventory/stock/stock.html",
        {
            "table": table,
            "find": find,
            "any": any_package(),
            "may_run": may(role_of(request), Right.RUN),
        },
    )


@needs(Right.RUN)
def receive(request: HttpRequest) -> HttpResponse:
    """Receive a delivery, a row a lot; then print the tags. `more` asks for one more row."""

    def then(done: Done) -> HttpResponse:
        address = f"{reverse('tags-choose')}?codes={','.join(things.codes_of(_packages(done.things)))}"
        _tell(request, form, done)
        return said(request, _received(done), address, undo=done)

    asked = request.POST or request.GET
    rows = asked.get("rows", "")
    count = min(int(rows), MOST_ROWS) if rows.isdecimal() else 1
    if "read" in request.POST:
        return _read_labels(request, count)
    if "order" in request.GET and request.method != "POST":
        initial, count = _expected(request.GET["order"])
        form = Delivery(initial=initial, rows=count)
    elif asked.keys() & {"more", "apart"} or request.method != "POST":
        form = Delivery(initial=asked.dict(), rows=count + ("more" in asked))
    else:
        form = Delivery(request.POST, request.FILES, rows=count)
    materials = [key for key, _name in form.fields["material"].choices if key]  # type: ignore[attr-defined]
    return ask(
        request, form, "inventory/stock/receive.html", delivery.receive_delivery, then, any=bool(materials)
    )


def _tell(request: HttpRequest, form: Delivery, done: Done) -> None:
    """Read back what came and where it was put, and say what is past its day."""
    data, words = form.cleaned_data, things.place_words()
    for row in data["lots"]:
        lies = Counter(place for place in delivery.places_of(row, data["place"]) if place)
        sentences = told(form.material(row), row.packages)
        sentences += [
            _("%(count)s in %(place)s.") % {"count": count, "place": words.get(place, "")}
            for place, count in lies.items()
        ]
        messages.success(request, " ".join(sentences))
    for warning in (_past(done), _twice(done)):
        if warning:
            messages.warning(request, warning)


def _past(done: Done) -> str:
    """Which of the packages that came are past their last day as they come; empty when none is."""
    today = timezone.localdate(now())
    found = [id for id, use in usable(_packages(done.things)).items() if use.through and use.through < today]
    if not found:
        return ""
    return _("Past the last day already: %(codes)s. Set it apart, or send it back.") % {
        "codes": ", ".join(as_on_tags(code) for code in things.codes_of(found))
    }


def _twice(done: Done) -> str:
    """That the very same came a little while ago; empty when it did not."""
    before = same_before(done.token)
    if before is None:
        return ""
    return _("The same came in already at %(moment)s. If it came once only, take this one back.") % {
        "moment": moment(before)
    }


def _received(done: Done) -> str:
    """What is said after a delivery: of an order that nobody marked as sent, that it counts as sent."""
    unsent = orders.came_unsent(done.token)
    if not unsent:
        return _("Received. Print the tags and put them on.")
    return _(
        "Received. Print the tags and put them on. The order to %(supplier)s was not marked as sent and now "
        "counts as sent: whoever sent it enters on its page when that was."
    ) % {"supplier": ", ".join(unsent)}


def _expected(order: str) -> tuple[dict[str, str], int]:
    """What is still to come of an order, as the page's fields; no page for an order that is not there."""
    try:
        row = orders.order(UUID(order))
    except ValueError:
        row = None
    if row is None:
        raise Http404
    return expected(row)


def _read_labels(request: HttpRequest, rows: int) -> HttpResponse:
    """The page again, with what the scanned labels say."""
    given = {key: str(value) for key, value in request.POST.items()}
    filled = labels.fill(given, rows=rows, most=MOST_ROWS, today=timezone.localdate(now()))
    form = Delivery(initial=filled.values, rows=filled.rows)
    context = {"form": form, "any": True, "read": filled.said, "refused": filled.refused}
    status = 409 if filled.refused else 200
    return render(request, "inventory/stock/receive.html", context, status=status)


def _packages(born: Iterable[UUID]) -> list[UUID]:
    """What a tag is stuck on; a lot's code stands on no tag of its own."""
    kinds_of = kinds(born)
    return [thing for thing in born if kinds_of[thing][0] is Kind.PACKAGE]


@needs(Right.RECORD)
def draw(request: HttpRequest, code: Code) -> HttpResponse:
    """Take an amount out."""
    form = partial(forms.Draw, today=timezone.localdate(now()))
    return _about(request, code, form, actions.draw, "inventory/stock/draw.html", _("Taken out."))


@needs(Right.RECORD)
def split(request: HttpRequest, code: Code) -> HttpResponse:
    """Pour part into a smaller container."""
    thing = things.by_code(code)
    form = forms.Split(request.POST or None, thing=thing.id)

    def then(done: Done) -> HttpResponse:
        (new,) = things.codes_of(done.things)
        values = {"code": Code(new).shown, "old": thing.code}
        if form.cleaned_data["into"]:
            sentence = _("Filled: %(code)s, out of %(old)s.") % values
            return said(request, sentence, reverse("thing", args=[code]), undo=done)
        sentence = _("Filled: %(code)s, out of %(old)s. Print its tag and put it on.") % values
        return said(request, sentence, f"{reverse('tags-choose')}?codes={new}", undo=done)

    return ask(request, form, "inventory/stock/split.html", actions.split_package, then, thing=thing)


@needs(Right.RECORD)
def count(request: HttpRequest, code: Code) -> HttpResponse:
    """Say how much is there; then hear what the books said until now."""
    thing = things.by_code(code)
    before = _left(thing.id)

    def then(done: Done) -> HttpResponse:
        values = {"left": _left(thing.id), "before": before}
        same = values["left"] == before
        sentence = (
            _("Counted: %(left)s, as the books said.")
            if same
            else _("Counted: %(left)s. The books said %(before)s.")
        )
        return said(request, sentence % values, reverse("thing", args=[code]), undo=done)

    form = forms.Count(request.POST or None, thing=thing.id)
    return ask(request, form, "inventory/stock/count.html", actions.count, then, thing=thing)


def _left(thing: UUID) -> str:
    """What the books hold of a thing, in words."""
    base = kinds([thing])[thing][1]
    state = states([thing]).get(thing)
    return str(reader.shown(Amount(state.amount, Base(base)))) if base and state else ""


@needs(Right.RECORD)
def weigh(request: HttpRequest, code: Code) -> HttpResponse:
    """Count by weight."""
    thing = things.by_code(code)
    row = package(thing.id)

    def then(done: Done) -> HttpResponse:
        left = states([thing.id])[thing.id].amount
        words = str(reader.shown(Amount(left, Base(row.lot.material.base)))) if row else ""
        return said(
            request, _("There is %(left)s.") % {"left": words}, reverse("thing", args=[code]), undo=done
        )

    initial = {"tare": exact(Amount(row.tare_mg, Base.MG))} if row and row.tare_mg else {}
    form = Weigh(request.POST or None, thing=thing.id, initial=initial)
    return ask(request, form, "inventory/stock/weigh.html", count_by_weight, then, thing=thing)


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
    form_class: Callable[..., forms.OfThing],
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
    return ask(request, form, template, action, then, thing=thing, left=_left(thing.id))
