"""Recalls: hold a whole set, open one, tell its owners, print it, close it."""

from collections.abc import Callable
from functools import cache
from typing import Any
from uuid import UUID

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.timezone import localdate
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import recalls as actions
from inventory.actions.by import Done
from inventory.compute.codes import Code
from inventory.compute.skis_back import ASK_TODAY, FAILURES, RULE, STOP_USING
from inventory.formats.qr_page import page_code
from inventory.forms import recalls as forms
from inventory.queries import recalls as queries
from inventory.queries import shop
from inventory.queries.dossier import thing_of
from inventory.queries.dossier.names import named
from inventory.queries.skis_back.reach import SHOWN, reach, spread
from inventory.queries.skis_back.shelf import left
from inventory.roles import Right, may
from inventory.views.frame import ask, needs, now, role_of, said, write

PER_PAGE = 25


@needs(Right.SEE)
def recalls(request: HttpRequest) -> HttpResponse:
    """Every recall: open ones first."""
    rows = Paginator(queries.recalls(), PER_PAGE).get_page(request.GET.get("page"))
    role = role_of(request)
    context = {
        "page": rows,
        "asked": "",
        "may_own": may(role, Right.OWN),
        "may_tell": may(role, Right.PEOPLE),
    }
    return render(request, "inventory/recalls/recalls.html", context)


@needs(Right.RUN)
def hold(request: HttpRequest, code: Code) -> HttpResponse:
    """Hold a thing, what is left of it and the skis in work with it, in one act."""
    thing = thing_of(code.text)
    found = reach([thing])
    things = queries.to_hold(found)
    form = forms.Hold(request.POST or None)

    def action(by: Any, **values: Any) -> Done:
        return actions.hold_reach(by, thing=thing, **values)

    def then(done: Done) -> HttpResponse:
        return said(request, _("On hold, all of it."), reverse("skis-back-forward", args=[code]))

    context = {
        "thing": named([thing])[thing],
        "code": code,
        "count": len(things),
        "left": left(found.others, localdate(now())),
        "in_work": list(named(spread(found.skis).in_work).values()),
    }
    return ask(request, form, "inventory/recalls/hold.html", action, then, **context)


@needs(Right.OWN)
def open(request: HttpRequest) -> HttpResponse:
    """Open a recall: first what it would take in, hold and reach, which writes nothing; then one button.

    Nothing that was counted decides it.
    """
    posted = request.method == "POST"
    start = forms.Start(request.POST if posted else request.GET if "roots" in request.GET else None)
    template, context = "inventory/recalls/open.html", {"start": start, "rule": RULE, "ask_today": ASK_TODAY}
    if not start.is_valid():
        return render(request, template, context, status=422 if start.errors else 200)
    roots = start.cleaned_data["roots"]
    form = forms.Open(request.POST if posted else None, initial={"roots": start["roots"].value()})

    def then(done: Done) -> HttpResponse:
        return said(request, _("Open. What is here is on hold; tell the owners."), _page(done.things[-1]))

    context |= {"ahead": cache(lambda: queries.ahead(roots, localdate(now()))), "shown": SHOWN}
    return ask(request, form, template, actions.open_recall, then, **context)


_URGENT = {"to tell": 0, "cannot reach": 1, "told": 2}  # whom to tell stands above who was told


def _page(recall: UUID) -> str:
    return reverse("recalls-recall", args=[recall])


def _row(recall: UUID) -> Any:
    row = queries.recall(recall)
    if row is None:
        raise Http404
    return row


@needs(Right.PEOPLE)
def recall(request: HttpRequest, recall: UUID) -> HttpResponse:
    """One recall: how it stands, whom to tell, what is held where."""
    found = queries.standing(_row(recall))
    state = request.GET.get("state", "")
    pairs = [pair for pair in found.spread.out if state in ("", found.states[pair])]
    pairs.sort(key=lambda pair: _URGENT.get(found.states[pair], len(_URGENT)))
    page = Paginator(pairs, PER_PAGE).get_page(request.GET.get("page"))
    stock = left(found.reached.others, localdate(now()))
    held = queries.held([*(row.thing.id for row in stock), *found.spread.in_work])
    context = {
        "recall": found.recall,
        "found": found,
        "failure": FAILURES[found.recall.failure].name,
        "page": page,
        "rows": queries.to_tell(found, list(page.object_list)),
        "asked": f"state={state}" if state else "",
        "state": state,
        "left": [(row, row.thing.id in held) for row in stock],
        "in_work": [(row, row.id in held) for row in named(found.spread.in_work).values()],
        "rule": RULE,
        "ask_today": ASK_TODAY,
        "authority": forms.Authority(initial={"authority": found.recall.authority}),
        "may_own": may(role_of(request), Right.OWN),
    }
    return render(request, "inventory/recalls/recall.html", context)


@needs(Right.PEOPLE)
def tell(request: HttpRequest, recall: UUID, code: Code) -> HttpResponse:
    """Say how far telling one owner has come."""
    found = queries.standing(_row(recall))
    pair = queries.pair_of_code(thing_of(code.text))
    if pair not in found.states:
        raise Http404
    (row,) = queries.to_tell(found, [pair])
    form = forms.Tell(
        request.POST or None,
        initial={"state": row.state, "means": row.means, "passed_on": row.passed_on},
    )

    def action(by: Any, **values: Any) -> Done:
        return actions.tell_owner(by, recall=recall, pair=pair, **values)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Noted."), _page(recall))

    context = {"row": row, "recall": found.recall, "letter": _letter(found.recall)}
    return ask(request, form, "inventory/recalls/tell.html", action, then, **context)


def _letter(row: Any) -> dict[str, object]:
    """What letters and text messages say beside the owner's own lines."""
    card = shop.card()
    return {
        "shop": card.name if card else "",
        "reach": card.reach if card else "",
        "failure": FAILURES[row.failure].name,
        "may_hurt": row.may_hurt,
        "stop_using": STOP_USING,
    }


@needs(Right.PEOPLE)
def letters(request: HttpRequest, recall: UUID) -> HttpResponse:
    """A letter and a text message for every owner who is still to be told, to print or send."""
    found = queries.standing(_row(recall))
    pairs = [pair for pair in found.spread.out if found.states[pair] == "to tell"]
    return _paper(request, found, pairs, "inventory/recalls/letters.html", letter=_letter(found.recall))


@needs(Right.PEOPLE)
def paper(request: HttpRequest, recall: UUID) -> HttpResponse:
    """The recall's list on paper: every owner, with a box to tick."""
    found = queries.standing(_row(recall))
    stock = left(found.reached.others, localdate(now()))
    template = "inventory/recalls/paper.html"
    return _paper(request, found, list(found.spread.out), template, left=stock)


def _paper(
    request: HttpRequest, found: queries.Standing, pairs: list[UUID], template: str, **more: object
) -> HttpResponse:
    size = request.GET.get("paper", "a4")
    context = {
        "recall": found.recall,
        "page_code": page_code(request.build_absolute_uri(_page(found.recall.id))),
        "found": found,
        "failure": FAILURES[found.recall.failure].name,
        "rows": queries.to_tell(found, pairs),
        "rule": RULE,
        "paper": size if size in ("a4", "letter") else "a4",
        "printed_at": now(),
        "back": _page(found.recall.id),
        **more,
    }
    return render(request, template, context)


def _one_tap(
    request: HttpRequest, recall: UUID, action: Callable[..., Done], sentence: str, **values: Any
) -> HttpResponse:
    write(request, action, recall=recall, **values)
    return said(request, sentence, _page(recall))


@needs(Right.OWN)
@require_POST
def authority(request: HttpRequest, recall: UUID) -> HttpResponse:
    """Note whether an authority must be told."""
    form = forms.Authority(request.POST)
    if not form.is_valid():
        return said(request, _("Choose one of the list."), _page(recall))
    return _one_tap(request, recall, actions.note_authority, _("Noted."), **form.values())


@needs(Right.OWN)
@require_POST
def add(request: HttpRequest, recall: UUID) -> HttpResponse:
    """Take in what the trace found since."""
    return _one_tap(request, recall, actions.add_found, _("Taken in, and held where it is here."))


@needs(Right.OWN)
def close(request: HttpRequest, recall: UUID) -> HttpResponse:
    """Close it with what was learned."""
    row = _row(recall)
    form = forms.Close(request.POST or None)

    def action(by: Any, **values: Any) -> Done:
        return actions.close_recall(by, recall=recall, **values)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Closed. Holds stay until each is lifted."), _page(recall))

    return ask(request, form, "inventory/recalls/close.html", action, then, recall=row)
