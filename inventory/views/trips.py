"""Trips: which there are, and whether one can leave."""

import hashlib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.actions import loading
from inventory.actions import trips as actions
from inventory.actions.by import By, Done
from inventory.compute.reasons import Level
from inventory.errors import Sentence, say
from inventory.formats.calendar import Entry
from inventory.formats.calendar import write as write_calendar
from inventory.formats.qr_page import page_code
from inventory.forms import loading as list_forms
from inventory.forms import trips as forms
from inventory.forms.loggers import span_since
from inventory.queries import ahead, builds, readiness, road, trip_numbers, usage
from inventory.queries import loading as walks
from inventory.queries import trips as queries
from inventory.queries.notes import Answer, Note, counted
from inventory.queries.readiness.facts import Supposing
from inventory.queries.readiness.reader import read
from inventory.queries.trip_differed import differed
from inventory.roles import Right, may
from inventory.templatetags.parts import say as say_
from inventory.templatetags.sums import Sum
from inventory.views import trip_papers
from inventory.views.cures import curable
from inventory.views.day import linked
from inventory.views.frame import ask, needs, now, role_of, said

PAPERS = ("a4", "letter")
WORDS = {
    Level.FINE: gettext_lazy("Ready"),
    Level.LOOK: gettext_lazy("Ready"),
    Level.UNKNOWN: gettext_lazy("Cannot say"),
    Level.STOP: gettext_lazy("Not ready"),
}


@needs(Right.SEE)
def trips(request: HttpRequest) -> HttpResponse:
    """Every trip; those to come before those that were. Of the next one, whether it can leave."""
    today = _today()
    rows = queries.listed()
    row = queries.next_trip(today)
    asked = row if row and road.standing(row.id).departed_at is None else None
    answer = readiness.answer(asked, today) if asked else None
    context = {
        "asked": asked,
        "answer": answer,
        "word": answer and WORDS[answer.level],
        "sentence": answer and _sentence(asked, answer),
        "ahead": [row for row in reversed(rows) if row.back_on >= today],
        "behind": [row for row in rows if row.back_on < today],
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/trips/trips.html", context)


@needs(Right.SEE)
def calendar(request: HttpRequest) -> HttpResponse:
    """What to do by when for the trips ahead, as a file for a calendar."""
    moment = now()
    events = [
        Entry(f"{day.trip}.{_short(day.key)}@tip-to-tail", day.on, day.on, say_(day.sentence), say_(day.why))
        for day in ahead.days(timezone.localdate(moment))
    ]
    return HttpResponse(
        write_calendar(events, name=_("Trips"), at=moment),
        content_type="text/calendar; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="trips.ics"'},
    )


def _short(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()[:16]


@needs(Right.RUN)
def plan(request: HttpRequest) -> HttpResponse:
    """Plan a trip; `?workshop=` names the one it goes to."""

    def then(done: Done) -> HttpResponse:
        return said(request, _("The trip is planned."), reverse("trips-trip", args=[done.thing]))

    form = forms.TripCard(request.POST or None, today=_today(), initial=_offered(request))
    return ask(request, form, "inventory/trips/plan.html", actions.plan_trip, then)


def _offered(request: HttpRequest) -> dict[str, Any]:
    """A first guess from the workshop that was tapped: leave the day before, be back the day after."""
    try:
        found = builds.workshop(UUID(request.GET.get("workshop", "")))
    except ValueError:
        found = None
    if found is None:
        return {}
    return {
        "name": found.name,
        "leaves_on": found.starts_on - timedelta(days=1),
        "back_on": found.ends_on + timedelta(days=1),
        "workshops": [str(found.id)],
    }


@needs(Right.SEE)
def trip(request: HttpRequest, trip: UUID) -> HttpResponse:
    """One trip: can it leave, why not, what puts that right; with `?guests=1` and so on: what if."""
    row = _found(trip)
    today = _today()
    form, supposing = _supposed(request, row)
    standing, before = road.standing(trip), usage.last_time(row)
    over = row.back_on < today or standing.home_at is not None
    facts = read(row, today, supposing)
    answer = readiness.judged(facts)
    checked = _on_the_sums_page(request, trip)
    found = curable(request, linked(answer.reasons), request.get_full_path())
    notes = [replace(note, how=None) for note in _placed(found, checked)]
    against = [note for note in notes if note.level is not Level.FINE]
    context = {
        "trip": row,
        "over": over,
        "answer": answer,
        "shown": against or notes,
        "fine": len(notes) - len(against) if against else 0,
        "checked": checked,
        "word": WORDS[answer.level],
        "sentence": _sentence(row, answer),
        "card": forms.TripCard(card=queries.card(row)).facts(),
        "form": form,
        "supposing": supposing.anything,
        "standing": standing,
        "span": span_since(standing.departed_at, now()),
        "last_time": before,
        **_as_it_was(before),
        "trailers": road.trailers(row) if standing.departed_at else (),
        "rooms": () if over else trip_papers.timetable(facts),
        "sheets": () if over else trip_papers.load_sheet(facts)["sheets"],
        "may_run": may(role_of(request), Right.RUN),
    }
    return render(request, "inventory/trips/trip.html", context)


@needs(Right.SEE)
def checked(request: HttpRequest, trip: UUID) -> HttpResponse:
    """What was checked and is fine, and how each number of the answer was got; `?guests=1` as on the trip."""
    row = _found(trip)
    _, supposing = _supposed(request, row)
    answer = readiness.answer(row, _today(), supposing)
    notes = tuple(_placed(curable(request, linked(answer.reasons), request.get_full_path())))
    context = {
        "trip": row,
        "back": reverse("trips-trip", args=[trip]) + _search(request),
        "supposing": supposing.anything,
        "sentence": _sentence(row, answer),
        "fine": [replace(note, how=None) for note in _said_once(notes) if note.level is Level.FINE],
        "sums": [Sum(note.sentence, note.level, note.how, note.how_url[1:]) for note in notes if note.how],
    }
    return render(request, "inventory/trips/checked.html", context)


def _said_once(notes: Iterable[Note]) -> Iterator[Note]:
    """The same second sentence only behind the first that has it."""
    told: set[str] = set()
    for note in notes:
        known = str(note.why) in told
        told.add(str(note.why))
        yield replace(note, why=None) if known else note


def _supposed(request: HttpRequest, row: Any) -> tuple[forms.WhatIf, Supposing]:
    form = forms.WhatIf(request.GET or None, trip=row)
    return form, form.supposing() if form.is_valid() else Supposing()


def _search(request: HttpRequest) -> str:
    return f"?{request.GET.urlencode()}" if request.GET else ""


def _on_the_sums_page(request: HttpRequest, trip: UUID) -> str:
    return reverse("trips-checked", args=[trip]) + _search(request)


def _placed(notes: Iterable[Note], page: str = "") -> Iterator[Note]:
    """Each that has a sum with the place on that page where it stands: by what it says, not by its rank."""
    count = Counter[str]()
    for note in notes:
        place = slugify("-".join((note.code, *note.about)).replace(".", "-"))
        count[place] += 1
        yield replace(note, how_url=f"{page}#{place}-{count[place]}" if note.how else "")


def _sentence(row: Any, answer: Answer) -> Sentence:
    values = {"date": row.leaves_on, "count": answer.against}
    if answer.level <= Level.LOOK:
        return say("Nothing was found against leaving on {date}, by what was entered.", **values)
    return counted(
        answer.against,
        say("1 reason stands against leaving on {date}.", **values),
        say("{count} reasons stand against leaving on {date}.", **values),
    )


@needs(Right.RUN)
def edit(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Change a trip."""
    row = _found(trip)

    def change(by: By, **changes: Any) -> Done:
        return actions.change_trip(by, trip=trip, changes=changes)

    def then(done: Done) -> HttpResponse:
        return said(request, _("The trip is changed."), reverse("trips-trip", args=[trip]))

    form = forms.TripCard(request.POST or None, today=_today(), card=queries.card(row))
    return ask(request, form, "inventory/trips/edit.html", change, then, trip=row)


@needs(Right.RUN)
def copy(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Plan the next trip as this one."""
    row = _found(trip)

    def then(done: Done) -> HttpResponse:
        return said(request, _("The trip is planned."), reverse("trips-trip", args=[done.thing]))

    form = forms.CopyTrip(request.POST or None, trip=row, today=_today(), initial={"name": row.name})
    kept = usage.record(trip)
    context = {"trip": row, "kept": kept, **_as_it_was(kept)}
    return ask(request, form, "inventory/trips/copy.html", actions.copy_trip, then, **context)


def _as_it_was(kept: Any) -> dict[str, Any]:
    """The numbers of a recorded trip, and in sentences what differed from its plan."""
    numbers = trip_numbers.shown(kept.numbers) if kept else None
    return {"numbers": numbers, "differed": differed(numbers) if numbers else []}


@needs(Right.SEE)
def list(request: HttpRequest, trip: UUID) -> HttpResponse:
    """The loading list: what is still to be fetched, place by place, and what is aboard; also on paper."""
    row = _found(trip)
    context = {"trip": row, "walk": walks.walk(row), "may_run": may(role_of(request), Right.RUN)}
    if request.GET.get("paper") in PAPERS:
        return _on_paper(request, "inventory/trips/list-paper.html", "trips-list", context)
    return render(request, "inventory/trips/list.html", context)


@needs(Right.RUN)
def put_on(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Put things on the loading list."""
    row = _found(trip)
    initial = {"things": request.GET.get("codes", "").replace(",", "\n")}
    form = list_forms.PutOn(request.POST or None, trip=row, initial=initial)
    then = _listed(request, row, form, say("On the loading list: {things}."))
    return ask(request, form, "inventory/trips/put-on.html", loading.put_on_list, then, trip=row)


@needs(Right.RUN)
def set_aside(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Set so much of a package aside; it is on the loading list then."""
    row = _found(trip)
    initial = {"package": request.GET.get("codes", "")}
    form = list_forms.SetAside(request.POST or None, trip=row, initial=initial)
    then = _listed(request, row, form, say("Set aside, and on the loading list: {things}."))
    return ask(request, form, "inventory/trips/set-aside.html", loading.set_aside, then, trip=row)


@needs(Right.RUN)
def take_off(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Take things off the loading list."""
    row = _found(trip)
    initial = {"things": request.GET.get("codes", "").replace(",", "\n")}
    form = list_forms.TakeOff(request.POST or None, trip=row, initial=initial)
    then = _back(request, trip, _("Taken off the list."))
    return ask(request, form, "inventory/trips/take-off.html", loading.take_off_list, then, trip=row)


@needs(Right.SEE)
def timetable(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Who is at which press from when to when; on a screen or on paper."""
    row = _found(trip)
    context = {"trip": row, "rooms": trip_papers.timetable(read(row, _today()))}
    if request.GET.get("paper") in PAPERS:
        return _on_paper(request, "inventory/trips/timetable-paper.html", "trips-timetable", context)
    return render(request, "inventory/trips/timetable.html", context)


@needs(Right.SEE)
def load_sheet(request: HttpRequest, trip: UUID) -> HttpResponse:
    """Masses zone by zone and against the plates; on paper for the glove box, with the goods' totals."""
    row = _found(trip)
    facts = read(row, _today())
    context = {"trip": row, **trip_papers.load_sheet(facts)}
    if request.GET.get("paper") in PAPERS:
        goods = trip_papers.goods_paper(facts) | {"cautions": context["cautions"]}
        return _on_paper(request, "inventory/trips/load-paper.html", "trips-load-sheet", goods | context)
    return render(request, "inventory/trips/load-sheet.html", context)


@needs(Right.SEE)
def goods(request: HttpRequest, trip: UUID) -> HttpResponse:
    """The dangerous goods aboard with their totals and cautions; on a screen or on paper."""
    row = _found(trip)
    context = {"trip": row, **trip_papers.goods_paper(read(row, _today()))}
    if request.GET.get("paper") in PAPERS:
        return _on_paper(request, "inventory/trips/goods-paper.html", "trips-goods", context)
    return render(request, "inventory/trips/goods.html", context)


def _on_paper(request: HttpRequest, template: str, name: str, context: dict[str, Any]) -> HttpResponse:
    """A page as a paper with a code that leads back to it."""
    back = reverse(name, args=[context["trip"].id])
    code = page_code(request.build_absolute_uri(back))
    more = {"paper": request.GET["paper"], "printed_at": now(), "back": back, "page_code": code}
    return render(request, template, context | more)


def _listed(request: HttpRequest, row: Any, form: Any, sentence: Sentence) -> Callable[[Done], HttpResponse]:
    """The same, with what is on the list now in the sentence."""

    def then(done: Done) -> HttpResponse:
        data = form.cleaned_data
        things = walks.told_of(row, data.get("things") or [data["package"]])
        return _back(request, row.id, replace(sentence, values={"things": things}))(done)

    return then


def _back(request: HttpRequest, trip: UUID, sentence: object) -> Callable[[Done], HttpResponse]:
    """Back to the list, unless the form says where it stands."""

    def then(done: Done) -> HttpResponse:
        return said(request, sentence, reverse("trips-list", args=[trip]))

    return then


def _today() -> date:
    return timezone.localdate(now())


def _found(id: UUID) -> Any:
    row = queries.trip(id)
    if row is None:
        raise Http404
    return row
