"""Tags to print: sheets, rolls, single pictures; printed ahead, and replaced when worn."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from inventory.actions import tags as actions
from inventory.actions.by import By, Done
from inventory.compute import codes
from inventory.compute.codes import Code
from inventory.errors import Refused
from inventory.formats import qr_sheet, qr_tag
from inventory.forms import tags as forms
from inventory.queries import in_no_zone, shop, things
from inventory.queries import tags as queries
from inventory.roles import Right, may
from inventory.views.frame import ask, needs, role_of, said

_DRAWN = {"svg": (qr_tag.svg, "image/svg+xml"), "png": (qr_tag.png, "image/png")}


@needs(Right.SEE)
def choose(request: HttpRequest) -> HttpResponse:
    """Choose size and paper for tags; the size follows from what the tags are for."""
    asked = request.GET.get("codes", "").replace(",", " ").split()
    groups = queries.by_use(_read(asked))
    use = request.GET.get("use") or next((use.value for use in groups), qr_tag.Use.PACKAGE.value)
    form = forms.Sheet(
        initial={"codes": "\n".join(map(_as_printed, asked)), "use": use, "paper": request.GET.get("paper")}
    )
    names = dict(forms.USES)
    context = {
        "form": form,
        "groups": [(names[use], use.value, len(of), ",".join(map(str, of))) for use, of in groups.items()],
        "untagged": _read(asked) if queries.blank(1) else [],
        "single": asked[0] if len(asked) == 1 and groups else "",
        "loose": in_no_zone.among(things.of_codes(asked)) if may(role_of(request), Right.RECORD) else (),
        "back": request.get_full_path(),
        **_also(request),
    }
    return render(request, "inventory/tags/choose.html", context)


@needs(Right.SEE)
def sheet(request: HttpRequest) -> HttpResponse:
    """The sheet as PDF."""
    form = forms.Sheet(request.GET)
    context = {"form": form, **_also(request)}
    if not form.is_valid():
        return render(request, "inventory/tags/choose.html", context, status=422)
    values = form.values()
    try:
        made = qr_sheet.pdf(queries.tags(values.pop("codes")), **values)
    except Refused as refused:
        return render(request, "inventory/tags/choose.html", {**context, "refused": refused}, status=409)
    return HttpResponse(
        made, content_type="application/pdf", headers={"Content-Disposition": "inline; filename=tags.pdf"}
    )


@needs(Right.SEE)
def single(request: HttpRequest, code: Code) -> HttpResponse:
    """One tag to look at, and as SVG or PNG to place in artwork or send to a printer."""
    found = queries.tags([code])
    if not found:
        raise Http404
    form = forms.Single({"use": request.GET.get("use") or queries.use_for(code).value})
    use = qr_tag.Use(form.cleaned_data["use"]) if form.is_valid() else queries.use_for(code)
    draw, kind = _DRAWN.get(request.GET.get("as", ""), (None, ""))
    if draw is None:
        context = {"code": code, "form": form, "use": use.value, "module": qr_tag.MODULE_MM[use]}
        return render(request, "inventory/tags/single.html", context)
    name = f"{code.shown}.{request.GET['as']}"
    keep = "attachment" if "keep" in request.GET else "inline"
    headers = {"Content-Disposition": f'{keep}; filename="{name}"'}
    return HttpResponse(draw(found[0], use=use), content_type=kind, headers=headers)


@needs(Right.RECORD)
def ahead(request: HttpRequest) -> HttpResponse:
    """Print tags that are on nothing yet."""

    def then(done: Done) -> HttpResponse:
        address = f"{reverse('tags-choose')}?codes={','.join(queries.tagged_by(done.token))}"
        return said(request, _("Drawn. Print them; each is tied when its thing is recorded."), address)

    form = forms.Ahead(request.POST or None)
    return ask(request, form, "inventory/tags/ahead.html", actions.print_ahead, then, blank=queries.blank())


@needs(Right.RECORD)
def replace(request: HttpRequest, code: Code) -> HttpResponse:
    """Give a thing a new tag; the old code keeps leading to it."""
    thing = things.by_code(code)

    def replace_it(by: By, *, code: Code | None, why: str) -> Done:
        return actions.replace(by, thing=thing.id, code=code, why=why)

    def then(done: Done) -> HttpResponse:
        new = queries.tagged_by(done.token)[0]
        if form.cleaned_data["code"]:
            return said(request, _("The new tag leads here too."), reverse("thing", args=[new]), undo=done)
        address = f"{reverse('tags-choose')}?codes={new}"
        return said(request, _("Print the new tag. The old code keeps leading there."), address, undo=done)

    form = forms.Replace(request.POST or None, initial={"code": request.GET.get("code", "")[:20]})
    return ask(request, form, "inventory/tags/replace.html", replace_it, then, thing=thing, code=code)


@needs(Right.RECORD)
def stick(request: HttpRequest) -> HttpResponse:
    """From a tag that is on nothing to the page that ties it to the thing scanned beside it."""
    code = codes.read(request.GET.get("on", "")[:300])
    things.by_code(code)
    return redirect(f"{reverse('tags-replace', args=[code])}?code={request.GET.get('new', '')[:20]}")


def _read(texts: list[str]) -> list[Code]:
    """The codes among these; what is none is said once the form is sent."""
    found = []
    for text in texts:
        try:
            found.append(codes.read(text))
        except Refused:
            continue
    return found


def _as_printed(text: str) -> str:
    """A code as tags have it; what is none stays as it was typed."""
    return next((code.shown for code in _read([text])), text)


def _also(request: HttpRequest) -> dict[str, object]:
    card = shop.card()
    role = role_of(request)
    return {
        "host": card.host if card else "",
        "may_own": may(role, Right.OWN),
        "may_record": may(role, Right.RECORD),
    }
