"""Season: the workshops in time, what to order by when and why, and what people decide by hand."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import season as actions
from inventory.actions.by import By, Done
from inventory.actions.materials import edit_material
from inventory.compute.planning.facts import Cost, Order, OrderLine
from inventory.compute.reasons import Level
from inventory.formats import plain as formats
from inventory.formats.calendar import Entry
from inventory.formats.calendar import write as write_calendar
from inventory.forms import season as forms
from inventory.queries import lowest as lowest_queries
from inventory.queries import orders as order_queries
from inventory.queries import season as queries
from inventory.queries.notes import worst_first
from inventory.queries.season import WhatIf
from inventory.queries.season import calendar as season_calendar
from inventory.queries.season import facts as data
from inventory.queries.season import notes as season_notes
from inventory.queries.season import plan as season_plan
from inventory.queries.season.plan import MaterialRow, SeasonList
from inventory.roles import Right, may
from inventory.templatetags.parts import say as words
from inventory.views import season_drawing as drawing
from inventory.views.card_page import history
from inventory.views.day import linked
from inventory.views.frame import ask, needs, now, role_of, said, write
from inventory.views.leave import as_file, plain


def this_day() -> date:
    """The day at the shop."""
    return timezone.localdate(now())


def found(season: UUID) -> Any:
    """The season, or no page."""
    row = queries.season(season)
    if row is None:
        raise Http404
    return row


@needs(Right.SEE)
def season(request: HttpRequest) -> HttpResponse:
    """The season that is on or comes next: its workshops and seats; the others below."""
    today = this_day()
    row = queries.current(today)
    rows = queries.workshops(row) if row else []
    role = role_of(request)
    may_prices = may(role, Right.PRICES)
    answer = season_plan.season_list(row, today) if row and rows and may_prices else None
    context = (_answer(answer) if answer else {}) | {
        "season": row,
        "others": [each for each in queries.seasons() if row is None or each.id != row.id],
        "workshops": rows,
        "line": drawing.season_line(rows, today),
        "history": queries.history(today),
        "fill": dict(forms.FILLS).get(
            "" if row is None or row.fill_percent is None else str(row.fill_percent)
        ),
        "today": today,
        "may_run": may(role, Right.RUN),
        "may_prices": may_prices,
    }
    return render(request, "inventory/season/season.html", context)


@needs(Right.RUN)
def make(request: HttpRequest) -> HttpResponse:
    """Make a season."""

    def then(done: Done) -> HttpResponse:
        return said(request, _("The season is made."), reverse("season-list", args=[done.thing]))

    form = forms.SeasonCard(request.POST or None)
    return ask(request, form, "inventory/season/make.html", actions.make_season, then)


@needs(Right.RUN)
def edit(request: HttpRequest, season: UUID) -> HttpResponse:
    """Change a season."""
    row = found(season)

    def change(by: By, **changes: object) -> Done:
        return actions.edit_season(by, season=season, changes=changes)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("season-list", args=[season]))

    form = forms.SeasonCard(request.POST or None, card=row)
    edits = history(form, {"season": season})
    return ask(request, form, "inventory/season/edit.html", change, then, season=row, edits=edits)


def asked_if(request: HttpRequest) -> WhatIf:
    """What the open seats are taken for, as the address says."""
    text = request.GET.get("if", "")
    return WhatIf(text) if text in tuple(WhatIf) else WhatIf.AS_SET


COLUMNS = (
    _("Supplier"),
    _("Order by"),
    _("Comes in"),
    _("Material"),
    _("Packs"),
    _("One pack"),
    _("Unit"),
    _("Price of one"),
    _("Cost"),
    _("Currency"),
    _("For"),
)


@needs(Right.PRICES)
def list(request: HttpRequest, season: UUID) -> HttpResponse:
    """What to order from whom by when; `?if=full` and `?if=booked` ask otherwise; also as a file."""
    row, today = found(season), this_day()
    answer = season_plan.season_list(row, today, asked_if(request))
    if request.GET.get("file") == "json":
        return JsonResponse(formats.plain(data.list_fact(answer, today)), json_dumps_params={"indent": 2})
    file = as_file(request, "order-list", COLUMNS, lambda: _rows(answer))
    if file:
        return file
    orders = [each for each in order_queries.orders(season) if each.waited_for]
    to_write = [_shown(answer, order) for order in answer.orders]
    context = _answer(answer) | {
        "season": row,
        "ways": _ways(answer),
        "what_if": answer.what_if.value,
        "line": drawing.season_line(answer.workshops, today),
        "orders": orders,
        "to_write": to_write,
        "all_of_it": sum(each.total for each in to_write),
        "today": today,
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/season/list.html", context)


@dataclass(frozen=True, slots=True)
class Shown:
    """One order to be written, as the page shows it."""

    order: Order
    supplier: UUID
    lines: tuple[tuple[OrderLine, MaterialRow], ...]
    total: int

    @property
    def asked(self) -> int:
        """What the order itself comes to: without the shop's own work."""
        return self.total - self.order.handling_cents


def _shown(answer: SeasonList, order: Order) -> Shown:
    rows = {each.card.key: each for each in answer.rows}
    ids = answer.supply.supplier_ids if answer.supply else {}
    return Shown(
        order,
        ids[order.supplier],
        tuple((line, rows[line.material]) for line in order.lines),
        order.goods_cents + order.freight_cents + order.handling_cents,
    )


def _answer(answer: SeasonList) -> dict[str, Any]:
    """What the answer's frame shows."""
    level, word = _word(answer)
    return {
        "answer": answer,
        "level": level,
        "level_name": level.name.lower(),
        "word": word,
        "notes": linked(worst_first(answer.notes)),
    }


def _word(answer: SeasonList) -> tuple[Level, str]:
    """The answer in a word, with its weight."""
    if answer.plan is None:
        return Level.UNKNOWN, _("Cannot say")
    if answer.against:
        return Level.STOP, _("Late or short")
    if not answer.orders:
        return Level.FINE, _("Nothing to order")
    return Level.LOOK, _("Order in time")


def _ways(answer: SeasonList) -> Sequence[tuple[str, Cost, int]]:
    """The list's own plan, and the two simple ones, each with what its orders cost beside goods."""
    if answer.plan is None:
        return []
    ways = (
        (_("This list"), answer.plan.cost),
        (_("For each workshop"), answer.plan.in_time),
        (_("All at once"), answer.plan.at_once),
    )
    return [(name, cost, cost.freight_cents + cost.handling_cents) for name, cost in ways]


def _rows(answer: SeasonList) -> Iterator[tuple[Any, ...]]:
    for order in answer.orders:
        for line in order.lines:
            row = answer.row(line.material)
            assert row is not None  # noqa: S101 - for the type checker
            size, unit = plain(row.amount(line.amount // line.packs))
            yield (
                order.supplier,
                order.order_by,
                order.receive_on,
                row.card.name,
                line.packs,
                size,
                unit,
                data.decimal(line.cents_a_pack, answer.currency),
                data.decimal(line.cents, answer.currency),
                answer.currency,
                ", ".join(line.covers),
            )


def material_row(season: Any, key: str, today: date, what_if: WhatIf) -> tuple[SeasonList, MaterialRow]:
    """One material of a season's list, or no page."""
    answer = season_plan.season_list(season, today, what_if)
    row = answer.row(key)
    if row is None:
        raise Http404
    return answer, row


@needs(Right.PRICES)
def material(request: HttpRequest, season: UUID, key: str) -> HttpResponse:
    """One material through the season: its picture, what is bought when and why, what else could be done."""
    row, today = found(season), this_day()
    answer, mine = material_row(row, key, today, asked_if(request))
    needs_ = mine.planned.needed.rows
    context = {
        "season": row,
        "answer": answer,
        "row": mine,
        "picture": drawing.stock_picture(mine, today),
        "still": season_notes.still(mine.plan, mine.lines, mine.sold, answer.ahead, mine.a_pair),
        "needs": [
            (need, *(mine.amount(each) for each in (need.planned, need.booked, need.full, open_)))
            for need, open_ in zip(needs_, mine.plan.net.uncovered, strict=True)
        ],
        "sold": [(sold, mine.amount(sold.offer.pack)) for sold in mine.sold],
        "coming": answer.supply.coming.get(mine.card.id, ()) if answer.supply else (),
        "stock": answer.supply.stock.get(mine.card.id, ()) if answer.supply else (),
        "made": [
            (each, mine.amount(each.left), answer.supply is not None and each.thing in answer.supply.held)
            for each in (answer.supply.made.get(mine.card.id, ()) if answer.supply else ())
        ],
        "paid": order_queries.price_history(mine.card.id),
        "today": today,
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/season/material.html", context)


@needs(Right.RUN)
def rule(request: HttpRequest, season: UUID, key: str) -> HttpResponse:
    """Decide by hand for one material."""
    row = found(season)
    answer, mine = material_row(row, key, this_day(), WhatIf.AS_SET)

    def decide(by: By, **values: Any) -> Done:
        return actions.rule(by, season=season, material=mine.card.id, **values)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept; the list follows it."), reverse("season-material", args=[season, key]))

    offers = [
        (sold.card.id, f"{sold.offer.supplier}, {data.words(mine.amount(sold.offer.pack))}")
        for sold in mine.sold
    ]
    ruling = mine.ruling
    initial = {"packs": ruling.packs, "offer": ruling.offer_id or "", "cover": ruling.cover} if ruling else {}
    form = forms.Rule(request.POST or None, offers=offers, initial=initial)
    return ask(request, form, "inventory/season/rule.html", decide, then, season=row, row=mine, answer=answer)


@needs(Right.PRICES)
def calendar(request: HttpRequest, season: UUID) -> HttpResponse:
    """The season's days as a calendar file: orders, dates that pass, trips, artwork; no guest's name."""
    row = found(season)
    entries = [
        Entry(f"{each.key}@{season.hex}", each.first, each.last, words(each.title))
        for each in season_calendar.dates(row, this_day())
    ]
    data = write_calendar(entries, name=row.name, at=now())
    headers = {"Content-Disposition": 'attachment; filename="season.ics"'}
    return HttpResponse(data, content_type="text/calendar; charset=utf-8", headers=headers)


@needs(Right.RUN)
def lowest(request: HttpRequest) -> HttpResponse:
    """What is used up steadily, and what its lowest stock should be."""
    return render(request, "inventory/season/lowest.html", {"rows": lowest_queries.steady(this_day())})


@needs(Right.RUN)
@require_POST
def accept(request: HttpRequest, key: str) -> HttpResponse:
    """Keep the lowest stock that was reckoned on a material's card."""
    row = next((each for each in lowest_queries.steady(this_day()) if each.key == key), None)
    if row is None or row.should is None:
        raise Http404
    write(request, edit_material, material=row.id, changes={"lowest_stock": row.should.value})
    return said(request, _("Kept on the material's card."), reverse("season-lowest"))
