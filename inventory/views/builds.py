"""Workshops, pairs, their spec, and the build card."""

from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.actions import build_steps as steps
from inventory.actions import builds as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.formats import qr_tag
from inventory.formats.qr_tag import Use
from inventory.forms import builds as forms
from inventory.queries import artwork, bench, build_card, build_steps, cycles, tags, things
from inventory.queries import builds as queries
from inventory.queries.build_card import Standing
from inventory.roles import Right, Role, may
from inventory.tables.builds import CONTACT_COLUMNS, PAIR_COLUMNS, SEAT_COLUMNS, pair_row, seat_row
from inventory.views.card_page import history
from inventory.views.frame import ask, needs, now, person_of, role_of, said
from inventory.views.leave import as_file
from inventory.views.ski_drawing import drawn

PAPERS = ("a4", "letter")


@needs(Right.RUN)
def plan(request: HttpRequest) -> HttpResponse:
    """Plan a workshop."""

    def then(done: Done) -> HttpResponse:
        return said(request, _("The workshop is planned."), reverse("builds-workshop", args=[done.thing]))

    form = forms.WorkshopCard(request.POST or None)
    return ask(request, form, "inventory/builds/plan.html", actions.plan_workshop, then)


def _workshop(id: UUID) -> Any:
    found = queries.workshop(id)
    if found is None:
        raise Http404
    return found


@needs(Right.RUN)
def change(request: HttpRequest, workshop: UUID) -> HttpResponse:
    """Change a workshop's card."""
    row = _workshop(workshop)

    def change_it(by: By, **changes: object) -> Done:
        return actions.change_workshop(by, workshop=workshop, changes=changes)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("builds-workshop", args=[workshop]))

    form = forms.WorkshopCard(request.POST or None, card=row)
    return ask(request, form, "inventory/builds/change.html", change_it, then, card=row)


@needs(Right.SEE)
def workshop(request: HttpRequest, workshop: UUID) -> HttpResponse:
    """The bench page of a workshop: its pairs, where each is, what it waits for; its seats."""
    row, role = _workshop(workshop), role_of(request)
    seats, pairs = queries.seats(workshop), list(queries.pairs(workshop))
    due = artwork.pressing(pairs, timezone.localdate(now()))
    standing, contacts = build_card.standing(pairs), may(role, Right.PEOPLE)
    file = as_file(
        request, "pairs", PAIR_COLUMNS, lambda: [pair_row(row) for row in standing], list_="pairs"
    ) or as_file(
        request,
        "seats",
        (*SEAT_COLUMNS, *CONTACT_COLUMNS) if contacts else SEAT_COLUMNS,
        lambda: [seat_row(seat, contacts=contacts) for seat in seats],
        list_="seats",
    )
    if file:
        return file
    booked = sum(seat.state == "booked" for seat in seats)
    form = forms.WorkshopCard(card=row)
    context = {
        "card": row,
        "pairs": [(each, due.get(each.pair.thing_id)) for each in standing],
        "seats": seats,
        "paired": {each.pair.guest_id for each in standing},
        "booked": booked,
        "waiting": sum(seat.state == "wait list" for seat in seats),
        "open": None if row.capacity is None else row.capacity - booked,
        "edits": history(form, {"workshop": workshop}),
        "may_run": may(role, Right.RUN),
        "may_people": contacts,
    }
    return render(request, "inventory/builds/workshop.html", context)


@needs(Right.RUN)
def book(request: HttpRequest) -> HttpResponse:
    """Book a pair; its page then leads on: to its widths, which its needs are computed from, and its tags."""

    def then(done: Done) -> HttpResponse:
        sentence = _("Booked. Enter its widths next: without them nobody can say what it needs.")
        address = reverse("builds-spec", args=[things.codes_of(done.things)[0]])
        return said(request, sentence, address, undo=done)

    asked = {name: request.GET.get(name, "") for name in ("seat", "workshop")}
    form = forms.BookPair(request.POST or None, today=timezone.localdate(now()), initial=asked)
    return ask(request, form, "inventory/builds/book.html", actions.book_pair, then)


def _pair(code: Code) -> Any:
    """The pair of a code, or of a ski's code."""
    thing = things.by_code(code).id
    found = queries.pair(thing) or queries.pair_of(thing)
    if found is None:
        raise Http404
    return found


@needs(Right.SEE)
def spec(request: HttpRequest, code: Code) -> HttpResponse:
    """A pair's spec: the ski drawn from its numbers, its radius, what it needs."""
    pair = _pair(code)
    form = forms.SpecCard(card=pair)
    context = {"code": code, "pair": pair, "form": form, "edits": history(form, {"pair": pair.thing_id})}
    context |= {"may_run": may(role_of(request), Right.RUN), **drawn(pair)}
    context["tags"] = ",".join(things.codes_of([pair.thing_id, *queries.skis_of(pair.thing_id)]))
    due = artwork.pressing([pair], timezone.localdate(now())).get(pair.thing_id)
    context["due"] = due
    return render(request, "inventory/builds/spec.html", context)


@needs(Right.RUN)
def design(request: HttpRequest, code: Code) -> HttpResponse:
    """Change a pair's spec."""
    pair = _pair(code)

    def specify(by: By, **values: object) -> Done:
        return actions.specify(by, pair=pair.thing_id, **values)  # type: ignore[arg-type]

    def then(done: Done) -> HttpResponse:
        return said(request, _("Kept."), reverse("builds-spec", args=[code]))

    form = forms.SpecCard(request.POST or None, card=pair)
    return ask(request, form, "inventory/builds/design.html", specify, then, code=code, pair=pair)


def _standing(code: Code) -> Standing:
    pair = _pair(code)
    (found,) = build_card.standing([pair])
    return found


@needs(Right.SEE)
def card(request: HttpRequest, code: Code) -> HttpResponse:
    """The build card: on the phone with what can be recorded, on paper with boxes; A4 or Letter."""
    found = _standing(code)
    paper, role = request.GET.get("paper", ""), role_of(request)
    pages = _pages(found, code, role)
    context: dict[str, object] = {
        "code": code,
        "standing": found,
        "pair": found.pair,
        "rows": [(row, pages.get(row.job.key, "")) for row in found.rows],
        "next": pages.get(found.waits.key, "") if found.waits and not found.failed else "",
        "decide": _decide(found, code, role),
        **drawn(found.pair),
    }
    if paper in PAPERS:
        context |= {"paper": paper, "printed_at": now(), "back": reverse("builds-card", args=[code])}
        return render(request, "inventory/builds/paper.html", context)
    return render(request, "inventory/builds/card.html", context)


def _pages(found: Standing, code: Code, role: Role | None) -> dict[str, str]:
    """Where each step is recorded, by its key, filled in as far as the card knows; only what the role may."""
    back = reverse("builds-card", args=[code])

    def page(name: str, **fields: str) -> str:
        return f"{reverse(name)}?{urlencode({**fields, 'next': back})}"

    def first_without(key: str) -> str:
        open_ = (ski.code for ski in found.skis if key not in ski.done or not ski.done[key].passed)
        return next(open_, found.skis[0].code)

    pages = {
        job.key: reverse("builds-step", args=[code, job.key])
        for job in found.jobs
        if not job.event and may(role, Right.RECORD)
    }
    if not found.skis:
        return pages
    both = "\n".join(ski.code for ski in found.skis)
    if may(role, Right.RECORD):
        pages["mix"] = page("press-mix", skis=both)
        pages["lay-up"] = _of_ski("laying-layers", first_without("lay-up"), back)
        pages["press"] = page("pressing-close", skis=both)
    newest = bench.newest_cycle(ski.id for ski in found.skis)
    if may(role, Right.RUN):
        if newest:
            pages["judge"] = page("press-judge", cycle=newest)
        pages["inspect"] = _of_ski("finishing-inspect", first_without("inspect"), back)
        pages["hand-over"] = page("press-hand-over", pair=found.code)
    measure = {"measure": _of_ski("finishing-measure", first_without("measure"), back)}
    return pages | _at_the_press(newest, pages, back) | {key: measure[key] for key in measure if key in pages}


def _decide(found: Standing, code: Code, role: Role | None) -> dict[str, str]:
    """What a person can do about a verdict that failed: press again, inspect again or reject; by its name."""
    if found.failed is None:
        return {}
    if found.rejected:
        out = found.rejected[0].code
        return {"replace": reverse("finishing-replace", args=[out])} if may(role, Right.RUN) else {}
    back, skis = reverse("builds-card", args=[code]), found.without(found.failed.key)
    pages = {}
    if found.failed.key == "judge" and may(role, Right.RECORD):
        fields = {"skis": "\n".join(ski.code for ski in skis), "next": back}
        pages["again"] = f"{reverse('pressing-close')}?{urlencode(fields)}"
    if may(role, Right.RUN):
        pages["inspect"] = _of_ski("finishing-inspect", skis[0].code, back)
    return pages


def _of_ski(name: str, ski: str, back: str) -> str:
    return f"{reverse(name, args=[ski])}?{urlencode({'next': back})}"


def _at_the_press(cycle: str, pages: dict[str, str], back: str) -> dict[str, str]:
    """While the press is closed its own page records that it cooled and was opened; then its log judges."""
    row = cycles.one(things.by_code(Code(cycle)).id) if cycle else None
    if row is None or not row.live:
        return {}
    step = "pressing-open" if row.opened_at is None else "pressing-cycle"
    address = f"{reverse(step, args=[cycle])}?{urlencode({'next': back})}"
    keys = ("cool", "open") if row.opened_at is None else ("judge",) if cycles.has_log(row.id) else ()
    return {key: address for key in keys if key in pages}


@needs(Right.SEE)
def tag(request: HttpRequest, code: Code) -> HttpResponse:
    """A tag as a picture: for the build card, and to put into artwork."""
    labels = tags.tags([code])
    if not labels:
        raise Http404
    drawn = qr_tag.svg(labels[0], use=Use.SKI)
    headers = {"Content-Security-Policy": "sandbox; default-src 'none'; style-src 'unsafe-inline'"}
    return HttpResponse(drawn, content_type="image/svg+xml", headers=headers)


@needs(Right.RECORD)
def step(request: HttpRequest, code: Code, step: str) -> HttpResponse:
    """Record a step of the build card; then back to the card."""
    job = next((job for job in build_steps.jobs() if job.key == step), None)
    if job is None or job.event:
        raise Http404
    found = _standing(code)
    me = person_of(request)

    def then(done: Done) -> HttpResponse:
        return said(request, _("Recorded."), reverse("builds-card", args=[code]), undo=done)

    form = forms.RecordStep(
        request.POST or None, job=job, pair=found.pair, skis=found.skis, me=me.id if me else None
    )
    return ask(
        request,
        form,
        "inventory/builds/step.html",
        steps.record_step,
        then,
        code=code,
        job=job,
        pair=found.pair,
    )
