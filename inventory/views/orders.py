"""Orders: write them from the list or by hand, send them, see what came of them."""

from collections.abc import Iterator
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from inventory.actions import orders as actions
from inventory.actions.by import By, Done
from inventory.compute.planning.facts import Order as Planned
from inventory.compute.planning.facts import Price
from inventory.compute.units import Amount, Base, Spoken
from inventory.formats import table_pdf
from inventory.formats.qr_page import page_code
from inventory.formats.qr_sheet import Paper
from inventory.formats.table_pdf import TablePaper
from inventory.forms import orders as forms
from inventory.forms import reader
from inventory.forms.orders import Offered
from inventory.queries import materials, shop
from inventory.queries import orders as queries
from inventory.queries import season as seasons
from inventory.queries.orders import LineRow, OrderRow, Stage
from inventory.queries.season import plan as season_plan
from inventory.queries.season.facts import decimal, words
from inventory.roles import Right, may
from inventory.templatetags.parts import day
from inventory.views.frame import ask, needs, role_of, said
from inventory.views.frame import write as do
from inventory.views.leave import as_file, plain
from inventory.views.season import this_day

COLUMNS = (
    gettext_lazy("Material"),
    gettext_lazy("What they call it"),
    gettext_lazy("Packs"),
    gettext_lazy("One pack"),
    gettext_lazy("Unit"),
    gettext_lazy("Price of one"),
    gettext_lazy("Cost"),
    gettext_lazy("Currency"),
)


def _found(order: UUID) -> OrderRow:
    row = queries.order(order)
    if row is None:
        raise Http404
    return row


def _currency() -> str:
    card = shop.card()
    return card.currency if card else ""


@needs(Right.PRICES)
def orders(request: HttpRequest) -> HttpResponse:
    """Every order: those that are waited for, then the others."""
    rows = queries.orders()
    today = this_day()
    context = {
        "today": today,
        "ahead": [(row, row.late(today)) for row in rows if row.waited_for],
        "behind": [row for row in reversed(rows) if not row.waited_for],
        "currency": _currency(),
        "suppliers": list(materials.all_suppliers()),
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/orders/orders.html", context)


@needs(Right.RUN)
def write(request: HttpRequest, supplier: UUID) -> HttpResponse:
    """Write an order to a supplier; `?season=` fills in what that season's list asks for next."""
    card = materials.supplier(supplier)
    if card is None:
        raise Http404
    season, planned = _asked(request, supplier)
    offered = _offered(supplier, planned)

    def keep(by: By, **values: Any) -> Done:
        order_by = planned.order_by if planned else None
        return actions.write_order(
            by,
            supplier=supplier,
            season=season.id if season else None,
            order_by=order_by,
            freight=_freight(card, values["lines"]),
            **values,
        )

    def then(done: Done) -> HttpResponse:
        return said(request, _("The order is written. Send it, and say so."), _page(done.thing))

    form = forms.Write(request.POST or None, offered=offered)
    context = {"supplier": card, "season": season, "planned": planned, "currency": _currency()}
    context["today"] = this_day()
    return ask(request, form, "inventory/orders/write.html", keep, then, **context)


def _asked(request: HttpRequest, supplier: UUID) -> tuple[Any, Planned | None]:
    """The season of the address, and what its list asks this supplier for next."""
    try:
        season = seasons.season(UUID(request.GET.get("season", "")))
    except ValueError:
        season = None
    if season is None:
        return None, None
    answer = season_plan.season_list(season, this_day())
    ids = answer.supply.supplier_ids if answer.supply else {}
    return season, next((row for row in answer.orders if ids[row.supplier] == supplier), None)


def _offered(supplier: UUID, planned: Planned | None) -> list[Offered]:
    """Everything the supplier sells, what the list asks for first."""
    asked = (
        {(line.material, line.amount // line.packs): line.packs for line in planned.lines} if planned else {}
    )
    found = []
    for offer in materials.offers(supplier=supplier):
        if offer.ended:
            continue
        material = offer.material
        packs = asked.pop((material.key, offer.pack), 0)
        pack_words = words(Amount(offer.pack, Base(material.base)))
        found.append(
            Offered(
                offer.id,
                material.id,
                material.name,
                offer.pack,
                pack_words,
                offer.prices,
                offer.least_packs,
                offer.lead_days,
                offer.article,
                packs,
            )
        )
    return sorted(found, key=lambda row: not row.asked)


def _freight(card: Any, lines: Any) -> int | None:
    """What its card says, nothing from where it is free; None when it is not known."""
    goods = sum((line.price or 0) * line.packs for line in lines)
    free = card.freight_free_from is not None and goods >= card.freight_free_from
    return 0 if free else card.freight


def _page(order: UUID) -> str:
    return reverse("orders-order", args=[order])


@needs(Right.PRICES)
def order(request: HttpRequest, order: UUID) -> HttpResponse:
    """One order, line by line, and what came of it; also as a file."""
    row = _found(order)
    currency = _currency()
    file = as_file(request, "order", COLUMNS, lambda: _rows(row, currency))
    if file:
        return file
    context = {
        "row": row,
        "writing": row.stage is Stage.WRITING,
        "late": row.late(this_day()),
        "today": this_day(),
        "currency": currency,
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/orders/order.html", context)


def _rows(row: OrderRow, currency: str) -> Iterator[tuple[Any, ...]]:
    for line in row.lines:
        size, unit = plain(Amount(line.line.pack, Base(line.line.material.base)))
        yield (
            line.line.material.name,
            line.line.article,
            line.line.packs,
            size,
            unit,
            None if line.line.price is None else decimal(line.line.price, currency),
            None if line.cents is None else decimal(line.cents, currency),
            currency,
        )


@needs(Right.PRICES)
def sheet(request: HttpRequest, order: UUID) -> HttpResponse:
    """The order on paper, and as text for a message."""
    row = _found(order)
    paper = request.GET.get("paper", "a4")
    context = {
        "row": row,
        "currency": _currency(),
        "text": _text(row),
        "today": this_day(),
        "paper": paper if paper in ("a4", "letter") else "a4",
        "back": _page(order),
        "named": any(line.line.article for line in row.lines),
        "page_code": page_code(request.build_absolute_uri(_page(order))),
    }
    return render(request, "inventory/orders/sheet.html", context)


def _text(row: OrderRow) -> str:
    """What can be pasted into a message: no prices, as the supplier knows them best."""
    card = shop.card()
    lines = [
        _("%(packs)s x %(pack)s %(material)s%(article)s")
        % {
            "packs": line.line.packs,
            "pack": words(Amount(line.line.pack, Base(line.line.material.base))),
            "material": line.line.material.name,
            "article": f" ({line.line.article})" if line.line.article else "",
        }
        for line in row.lines
    ]
    opening = _("We order:")
    closing = _("Please say by which day it comes, and with which dates on the labels.")
    return "\n".join([opening, "", *lines, "", closing, card.name if card else ""])


@needs(Right.PRICES)
def paper(request: HttpRequest, order: UUID) -> HttpResponse:
    """The order as PDF, on A4 or on US Letter."""
    row, currency = _found(order), _currency()
    size = Paper.LETTER if request.GET.get("paper") == "letter" else Paper.A4
    sent, by = row.order.sent_on, row.order.order_by
    days = [_("Sent on %(day)s") % {"day": day(sent)}] if sent else []
    if by and not sent:
        days.append(render_to_string("inventory/parts/send-by.html", {"by": by, "today": this_day()}))
    card, named = shop.card(), any(line.line.article for line in row.lines)
    asks = [_("From %(shop)s") % {"shop": card.name}, card.reach] if card else []
    columns = [_("Material"), _("What they call it"), _("Packs"), _("In all"), _("Price of one"), _("Cost")]
    made = table_pdf.pdf(
        TablePaper(
            _("Order to %(supplier)s") % {"supplier": row.order.supplier.name},
            [row.order.supplier.reach, *asks, *days],
            _without_names(columns, named),
            [_without_names(_paper_row(line, currency), named) for line in row.lines],
            [
                (_("Goods"), _money(row.goods, currency)),
                (_("Freight"), _money(row.order.freight, currency)),
                (_("All of it"), _money(row.total, currency)),
            ],
            numbers=4,
        ),
        size=size,
    )
    headers = {"Content-Disposition": 'attachment; filename="order.pdf"'}
    return HttpResponse(made, content_type="application/pdf", headers=headers)


def _without_names(cells: list[str], named: bool) -> list[str]:
    """The column of the supplier's own names only where there is one."""
    return cells if named else cells[:1] + cells[2:]


def _paper_row(line: LineRow, currency: str) -> list[str]:
    return [
        line.line.material.name,
        line.line.article,
        str(line.line.packs),
        reader.told(Spoken(line.ordered, ordered=True)),
        _money(line.line.price, currency),
        _money(line.cents, currency),
    ]


def _money(minor: int | None, currency: str) -> str:
    return _("not known") if minor is None else str(Price(minor, currency))


@needs(Right.RUN)
def send(request: HttpRequest, order: UUID) -> HttpResponse:
    """Say that an order was sent."""
    row = _found(order)

    def keep(by: By, **values: Any) -> Done:
        return actions.send_order(by, order=order, **values)

    def then(done: Done) -> HttpResponse:
        return said(request, _("It is sent."), _page(order))

    form = forms.Send(request.POST or None, initial={} if row.unsaid else {"sent_on": this_day()})
    return ask(request, form, "inventory/orders/send.html", keep, then, row=row)


@needs(Right.RUN)
def edit(request: HttpRequest, order: UUID) -> HttpResponse:
    """Change what is known of an order."""
    row = _found(order)

    def change(by: By, **changes: object) -> Done:
        return actions.edit_order(by, order=order, changes=changes)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), _page(order))

    form = forms.OrderCard(request.POST or None, card=row.order)
    return ask(request, form, "inventory/orders/edit.html", change, then, row=row)


@needs(Right.RUN)
def line(request: HttpRequest, line: UUID) -> HttpResponse:
    """Change a line of an order that is being written."""
    row = queries.line(line)
    if row is None:
        raise Http404

    def change(by: By, **changes: object) -> Done:
        return actions.edit_line(by, line=line, changes=changes)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), _page(row.order_id))

    form = forms.LineCard(request.POST or None, card=row)
    return ask(request, form, "inventory/orders/line.html", change, then, line=row)


@needs(Right.RUN)
def add(request: HttpRequest, order: UUID) -> HttpResponse:
    """Add a line to an order that is being written."""
    row = _found(order)

    def add_it(by: By, **values: Any) -> Done:
        return actions.add_line(by, order=order, **values)

    def then(done: Done) -> HttpResponse:
        return said(request, _("It is in the order."), _page(order))

    form = forms.Add(request.POST or None, offered=_offered(row.order.supplier_id, None))
    return ask(request, form, "inventory/orders/add.html", add_it, then, row=row)


@needs(Right.RUN)
@require_POST
def end(request: HttpRequest, line: UUID) -> HttpResponse:
    """Wait for the rest of a line no more."""
    row = queries.line(line)
    if row is None:
        raise Http404
    do(request, actions.edit_line, line=line, changes={"ended": True})
    return said(request, _("Nothing more of it is waited for."), _page(row.order_id))


@needs(Right.RUN)
@require_POST
def give_up(request: HttpRequest, order: UUID) -> HttpResponse:
    """Give an order up."""
    _found(order)
    do(request, actions.give_up_order, order=order)
    return said(request, _("The order is given up."), _page(order))
