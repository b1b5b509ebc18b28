"""What is cut from sheets and sticks by a plan or without, and what is glued up to blanks."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.actions import cutting as actions
from inventory.actions.by import By, Done
from inventory.compute.codes import Code
from inventory.compute.cutting.jobs import Job
from inventory.formats.qr_page import page_code
from inventory.forms import cutting as forms
from inventory.queries import builds, cutting_plan, things
from inventory.queries import cutting as queries
from inventory.queries import offcuts as offcut_list
from inventory.queries.cutting_plan import Asked, Sheet
from inventory.roles import Right, may
from inventory.tables.cutting import OFFCUT_COLUMNS, offcut_row
from inventory.views.day import linked
from inventory.views.frame import ask, needs, new_token, now, role_of, said
from inventory.views.leave import as_file

PAPERS = ("a4", "letter")


@needs(Right.RECORD)
def cut(request: HttpRequest, code: Code) -> HttpResponse:
    """Pieces and offcuts out of a package or an offcut; then their tags."""
    thing = things.by_code(code)
    source = queries.source(thing.id)

    def cut_it(by: By, **typed: Any) -> Done:
        return actions.cut(by, source=thing.id, **typed)

    def then(done: Done) -> HttpResponse:
        codes = things.codes_of(done.things)
        shown = ", ".join(Code(each).shown for each in codes)
        sentence = _("Cut: %(codes)s. Print the tags and put them on.") % {"codes": shown}
        return said(request, sentence, f"{reverse('tags-choose')}?codes={','.join(codes)}", undo=done)

    form = forms.Cut(request.POST or None)
    return ask(request, form, "inventory/cutting/cut.html", cut_it, then, thing=thing, source=source)


@needs(Right.RECORD)
def glue(request: HttpRequest) -> HttpResponse:
    """Glue up blanks; then their tag."""

    def then(done: Done) -> HttpResponse:
        codes = things.codes_of(done.things)
        address = f"{reverse('tags-choose')}?codes={','.join(codes)}"
        return said(request, _("Glued up. Print the tag and put it on."), address, undo=done)

    form = forms.GlueUp(request.POST or None, initial={"wood_1": request.GET.get("wood", "")})
    return ask(request, form, "inventory/cutting/glue.html", actions.glue_up, then)


@needs(Right.SEE)
def offcuts(request: HttpRequest) -> HttpResponse:
    """What is left of pieces and still of use: by material and place; also as a file."""
    listed = offcut_list.offcuts()
    find = forms.Find(request.GET, listed=listed)
    wanted = find.wanted()
    rows = offcut_list.offcuts(**wanted) if wanted else listed
    file = as_file(request, "offcuts", OFFCUT_COLUMNS, lambda: map(offcut_row, rows))
    context = {"find": find, "rows": rows, "any": bool(listed), "narrowed": bool(wanted)}
    return file or render(request, "inventory/cutting/offcuts.html", context)


@needs(Right.SEE)
def plan(request: HttpRequest, workshop: UUID) -> HttpResponse:
    """A workshop's cutting plan: on the phone with what one tap records, on paper with boxes."""
    row = builds.workshop(workshop)
    if row is None:
        raise Http404
    form = forms.Ask(request.GET if "ask" in request.GET else None)
    asked = form.asked() if form.is_bound and form.is_valid() else Asked()
    sheets = cutting_plan.plan(workshop, asked, today=timezone.localdate(now()))
    where = things.places_in_words(thing for sheet in sheets for thing in sheet.things.values())
    paper = request.GET.get("paper", "")
    context: dict[str, Any] = {
        "card": row,
        "form": form,
        "asked": asked,
        "sheets": [(sheet, _jobs(sheet, where), linked(sheet.notes)) for sheet in sheets],
        "may_record": may(role_of(request), Right.RECORD),
        "query": request.GET.urlencode(),
        "cut": ",".join(cutting_plan.cut_for(workshop)),
    }
    if paper in PAPERS:
        back = reverse("cutting-plan", args=[workshop])
        code = page_code(request.build_absolute_uri(back))
        context |= {"paper": paper, "printed_at": now(), "back": back, "page_code": code}
        return render(request, "inventory/cutting/paper.html", context)
    status = 422 if form.errors else 200
    return render(request, "inventory/cutting/plan.html", context, status=status)


def _jobs(sheet: Sheet, places: dict[UUID, str]) -> list[dict[str, Any]]:
    """Each job as the page shows it and as its one tap sends it."""
    jobs = sheet.jobs.jobs if sheet.jobs else ()
    return [
        {
            "job": job,
            "token": new_token(),
            "place": places.get(sheet.things[job.code], "") if job.code else "",
            "pieces": "\n".join(" x ".join(map(str, (row.count, *_numbers(row.size)))) for row in job.pieces),
            "offcuts": "\n".join(" x ".join(map(str, _numbers(size))) for size in job.offcuts),
            "cuts": _in_words(job),
        }
        for job in jobs
    ]


def _numbers(size: Any) -> list[int]:
    return [size.length_mm] if size.width_mm is None else [size.length_mm, size.width_mm]


def _in_words(job: Job) -> str:
    """The pieces in cutting order: `1900 + 1900 + 1750`; many equal ones as `12 × 1900`."""
    runs: list[list[int]] = []
    for mm in job.each_mm:
        if runs and runs[-1][0] == mm:
            runs[-1][1] += 1
        else:
            runs.append([mm, 1])
    return " + ".join(f"{count}\u00a0×\u00a0{mm}" if count > 1 else str(mm) for mm, count in runs)
