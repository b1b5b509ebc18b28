"""Skis that come back: the list, logging one, and what is found, answered and done about it."""

from collections import Counter
from collections.abc import Callable
from datetime import date
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.core.paginator import Paginator
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _

from inventory.actions import skis_back as actions
from inventory.actions.by import Done
from inventory.compute import money
from inventory.compute import skis_back as words
from inventory.compute.codes import Code
from inventory.compute.reasons import Level
from inventory.compute.suspects import Suspect
from inventory.errors import Term, say
from inventory.formats.qr_page import page_code
from inventory.forms import skis_back as forms
from inventory.queries import papers, recalls, shop
from inventory.queries import skis_back as queries
from inventory.queries.dossier import thing_of
from inventory.queries.dossier.names import named
from inventory.queries.skis_back import reach as reaches
from inventory.queries.skis_back import shelf as shelves
from inventory.queries.skis_back.beside import beside as beside_of
from inventory.queries.skis_back.suspects import suspects as suspects_of
from inventory.roles import Right, may
from inventory.templatetags.sums import Sum
from inventory.views.frame import ask, needs, now, role_of, said

PER_PAGE = 25


@needs(Right.SEE)
def skis_back(request: HttpRequest) -> HttpResponse:
    """What came back and waits, and what it waits for."""
    find = forms.Find(request.GET)
    asked: dict[str, Any] = {"words": "", "failure": "", "gone": False}
    asked |= find.cleaned_data if find.is_valid() else {}
    gone = None if asked["gone"] else False
    rows = queries.backs(words=asked["words"], failure=asked["failure"], gone=gone)
    query = request.GET.copy()
    query.pop("page", None)
    context = {
        "find": find,
        "page": Paginator(rows, PER_PAGE).get_page(request.GET.get("page")),
        "asked": query.urlencode(),
        "reasons": words.REASONS,
        "narrowed": any(asked.values()),
    }
    return render(request, "inventory/skis_back/skis-back.html", context)


@needs(Right.RECORD)
def log(request: HttpRequest) -> HttpResponse:
    """Log a ski, or a pair, that came back."""
    form = _seen(request, forms.Log)
    return ask(request, form, "inventory/skis_back/log.html", actions.log_return, _logged(request))


@needs(Right.RECORD)
def unknown(request: HttpRequest) -> HttpResponse:
    """Log a ski that nobody knows."""
    form = _seen(request, forms.Unknown)
    return ask(request, form, "inventory/skis_back/unknown.html", actions.log_unknown, _logged(request))


def _seen(request: HttpRequest, form_class: type[forms.Seen]) -> forms.Seen:
    posted = request.method == "POST"
    return form_class(
        request.POST if posted else None,
        request.FILES if posted else None,
        initial={"skis": request.GET.get("skis", "")},
        today=_today(),
    )


def _today() -> date:
    return timezone.localdate(now())


def _logged(request: HttpRequest) -> Callable[[Done], HttpResponse]:
    def then(done: Done) -> HttpResponse:
        return said(request, _("Logged. It waits to be looked at."), _case(done.thing), undo=done)

    return then


def _case(back: UUID) -> str:
    return reverse("skis-back-case", args=[back])


@needs(Right.RECORD)
def find(request: HttpRequest) -> HttpResponse:
    """Find a ski whose tag cannot be read: by guest, workshop, artwork."""
    form = forms.FindOut(request.GET)
    asked = form.cleaned_data["words"] if form.is_valid() else ""
    found = queries.find_out(asked)
    context = {"form": form, "asked": asked, "found": found, "most": queries.MOST_FOUND}
    return render(request, "inventory/skis_back/find.html", context)


def _row(back: UUID) -> queries.Back:
    row = queries.back(back)
    if row is None:
        raise Http404
    return row


@needs(Right.SEE)
def case(request: HttpRequest, back: UUID) -> HttpResponse:
    """One return: what was seen, what is suspected, what was found, answered and done."""
    row = _row(back)
    role = role_of(request)
    context = {
        "row": row,
        "failure": words.FAILURES.get(row.failure),
        "reason": words.REASONS.get(row.failure),
        "zone": words.ZONES.get(row.zone),
        "part": words.PARTS.get(row.part),
        "cause": words.CAUSES.get(row.cause),
        "answer": words.ANSWERS.get(row.answer),
        "checks": [(words.CHECKS[key], words.FOUND[found], found) for key, found in row.checks.items()],
        "services": [words.SERVICES[key] for key in row.services],
        "cost": _cost(row) if may(role, Right.PRICES) else "",
        "papers": papers.of([ski.id for ski in row.skis]),
        "may_run": may(role, Right.RUN),
        "may_record": may(role, Right.RECORD),
        "drawn": _drawn(row),
    }
    return render(request, "inventory/skis_back/case.html", context)


def _cost(row: queries.Back) -> str:
    card = shop.card()
    currency = card.currency if card else ""
    return "" if row.cost is None else f"{money.show(minor=row.cost, currency=currency)} {currency}"


def _drawn(row: queries.Back) -> list[tuple[int, object, bool]]:
    """The stretches of the drawing, tip first, and which of them is meant."""
    if not row.zone:
        return []
    return [(144 * place, name, key == row.zone) for place, (key, name) in enumerate(words.ZONES.items())]


def _step(
    request: HttpRequest,
    back: UUID,
    form: Form,
    template: str,
    action: Callable[..., Done],
    sentence: str,
    **more: Any,
) -> HttpResponse:
    """One step of a return: its form, then back to the return."""
    row = _row(back)

    def act(by: Any, **values: Any) -> Done:
        return action(by, back=back, **values)

    def then(done: Done) -> HttpResponse:
        return said(request, sentence, _case(back), undo=done)

    return ask(request, form, template, act, then, row=row, **more)


@needs(Right.RECORD)
def tie(request: HttpRequest, back: UUID) -> HttpResponse:
    """Say which ski an unknown one is."""
    form = forms.Tie(request.POST or None, initial={"ski": request.GET.get("ski", "")})
    return _step(
        request, back, form, "inventory/skis_back/tie.html", actions.tie_unknown, _("Tied. It is known now.")
    )


@needs(Right.RECORD)
def look(request: HttpRequest, back: UUID) -> HttpResponse:
    """Look it over, step by step."""
    row = _row(back)
    before = {f"check_{key}": found for key, found in row.checks.items()}
    form = forms.Look(
        request.POST or None,
        initial=before | {"cause": row.cause or "unknown", "suspected": row.suspected},
    )
    return _step(
        request, back, form, "inventory/skis_back/look.html", actions.inspect_return, _("Looked over.")
    )


@needs(Right.RUN)
def answer(request: HttpRequest, back: UUID) -> HttpResponse:
    """Say what the shop does about it."""
    row = _row(back)
    form = forms.Answer(request.POST or None, initial={"answer": row.answer, "reason": row.reason})
    return _step(
        request, back, form, "inventory/skis_back/answer.html", actions.answer_return, _("Answered.")
    )


@needs(Right.RECORD)
def repair(request: HttpRequest, back: UUID) -> HttpResponse:
    """Record a repair and what went into it."""
    row = _row(back)
    form = forms.Repair(request.POST or None, initial={"ski": row.skis[0].code})
    return _step(
        request, back, form, "inventory/skis_back/repair.html", actions.repair_return, _("Repair recorded.")
    )


@needs(Right.RECORD)
def service(request: HttpRequest, back: UUID) -> HttpResponse:
    """Record what was serviced."""
    form = forms.Service(request.POST or None)
    return _step(request, back, form, "inventory/skis_back/service.html", actions.service, _("Recorded."))


@needs(Right.RUN)
def send(request: HttpRequest, back: UUID) -> HttpResponse:
    """Give the skis back to their owner."""
    form = forms.SendBack(request.POST if request.method == "POST" else None)
    return _step(
        request, back, form, "inventory/skis_back/send.html", actions.send_back, _("Back with their owner.")
    )


@needs(Right.SEE)
def beside(request: HttpRequest, code: Code) -> HttpResponse:
    """One ski beside the others of its workshop and cups."""
    found = beside_of(thing_of(code.text))
    if found is None:
        raise Http404
    context = {"found": found, "code": code, "may_own": may(role_of(request), Right.OWN)}
    return render(request, "inventory/skis_back/beside.html", context)


@needs(Right.SEE)
def suspects(request: HttpRequest) -> HttpResponse:
    """What skis with one failure share more often than the others."""
    counted = Counter(row.failure for row in queries.backs() if row.failure in words.FAILURES)
    failure = request.GET.get("failure", "") or next((key for key, _ in counted.most_common(1)), "")
    context = {
        "failure": failure,
        "failures": [(key, words.FAILURES[key].name, count) for key, count in counted.most_common()],
        "name": words.FAILURES[failure].name if failure in words.FAILURES else None,
        "found": suspects_of(failure) if failure in counted else None,
    }
    return render(request, "inventory/skis_back/suspects.html", context)


@needs(Right.SEE)
def chance(request: HttpRequest) -> HttpResponse:
    """What skis with one failure share that could well be chance; `?unjudged=1`: that no count can judge."""
    failure, unjudged = request.GET.get("failure", ""), "unjudged" in request.GET
    found = suspects_of(failure) if failure in words.FAILURES else None
    rows = () if found is None else found.untold if unjudged else found.weak
    page = Paginator(rows, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "failure": failure,
        "name": words.FAILURES[failure].name if failure in words.FAILURES else None,
        "unjudged": unjudged,
        "page": page,
        "asked": urlencode({"failure": failure} | ({"unjudged": "1"} if unjudged else {})),
        "sums": [_sum(row.suspect) for row in page],
        "caution": found and found.found.caution,
    }
    return render(request, "inventory/skis_back/chance.html", context)


def _sum(suspect: Suspect) -> Sum:
    factor = suspect.factor
    label = say("{kind} {code}", kind=Term(factor.kind), code=factor.code)
    return Sum(label, Level.UNKNOWN, suspect.how, slugify(f"{factor.kind} {factor.code}"))


@needs(Right.SEE)
def shares(request: HttpRequest) -> HttpResponse:
    """What several skis or pairs share."""
    form = forms.Shares(request.GET if "things" in request.GET else None)
    chosen = form.cleaned_data["things"] if form.is_bound and form.is_valid() else []
    groups = [forms.both_skis([thing]) for thing in chosen]
    context = {
        "form": form,
        "chosen": list(named(chosen).values()),
        "rows": reaches.shared(groups) if len(groups) > 1 else [],
    }
    return render(request, "inventory/skis_back/shares.html", context, status=422 if form.errors else 200)


@needs(Right.SEE)
def forward(request: HttpRequest, code: Code) -> HttpResponse:
    """Everything that one thing reaches: pairs and owners, skis in work, stock left and where."""
    thing = thing_of(code.text)
    found = reaches.reach([thing])
    spread = reaches.spread(found.skis, found.pairs)
    page = Paginator(spread.out, PER_PAGE).get_page(request.GET.get("page"))
    role = role_of(request)
    batches, count = reaches.made(found, thing)
    context = {
        "code": code,
        "thing": named([thing])[thing],
        "spread": spread,
        "page": page,
        "owners": reaches.owners(list(page.object_list), spread),
        "in_work": list(named(spread.in_work[: reaches.SHOWN]).values()),
        "left": shelves.left(found.others, _today()),
        "batches": batches,
        "more_batches": count - len(batches),
        "siblings": reaches.siblings(thing) if "siblings" in request.GET else None,
        "recalls": recalls.of([thing]),
        "asked": "siblings=1" if "siblings" in request.GET else "",
        "may_tell": may(role, Right.PEOPLE),
        "may_run": may(role, Right.RUN),
        "may_own": may(role, Right.OWN),
    }
    return render(request, "inventory/skis_back/forward.html", context)


@needs(Right.SEE)
def shelf(request: HttpRequest, code: Code) -> HttpResponse:
    """What shares one thing and is here, by place, on paper; and whose the rest is, for who may know."""
    thing = thing_of(code.text)
    found = reaches.reach([thing])
    spread = reaches.spread(found.skis, found.pairs)
    here = [*spread.in_work, *spread.strays, *sorted(spread.back)]
    stock = [row.thing.id for row in shelves.left(found.others, _today())]
    rows = shelves.shelf([*stock, *here], _today())
    size = request.GET.get("paper", "a4")
    page = reverse("skis-back-forward", args=[code])
    context = {
        "thing": named([thing])[thing],
        "rows": rows,
        "held": recalls.held(row.thing.id for row in rows),
        "owners": reaches.owners(list(spread.out), spread),
        "may_tell": may(role_of(request), Right.PEOPLE),
        "page_code": page_code(request.build_absolute_uri(page)),
        "paper": size if size in ("a4", "letter") else "a4",
        "printed_at": now(),
        "back": page,
    }
    return render(request, "inventory/skis_back/shelf.html", context)
