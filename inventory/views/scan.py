"""The scan line: any code or a guest's name, typed, scanned or photographed, to the thing's own page.

Pictures are read and forgotten; what leads to nothing is kept as text, with what was wrong.
"""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.actions import scans as actions
from inventory.compute import codes
from inventory.errors import Refused, say
from inventory.formats import labels
from inventory.formats.photo import read_codes
from inventory.formats.photo_guard import BYTES_MOST
from inventory.forms.fields import words
from inventory.queries import dossier, people, things
from inventory.queries import scans as queries
from inventory.queries.dossier.facts import Named
from inventory.roles import Right, may
from inventory.views import scanned
from inventory.views.frame import by, needs, new_token, now, role_of, said


@needs(Right.SEE)
def scan(request: HttpRequest) -> HttpResponse:
    """Go to the thing; where there is none, say what is wrong with what was scanned."""
    text = request.GET.get("code", "")[:300]
    return _lead(request, text)


@needs(Right.SEE)
def photo(request: HttpRequest) -> HttpResponse:
    """Read a photo and go to the thing in it; several codes offer a choice. The picture is not kept."""
    if request.method != "POST":
        return render(request, "inventory/scan/photo.html")
    try:
        found = read_codes(_picture(request))
        if not found:
            raise _nothing_read()
    except Refused as refused:
        return render(request, "inventory/scan/photo.html", {"refused": refused}, status=409)
    if len(found) == 1:
        return _lead(request, found[0])
    choices = queries.lead(found)
    if len(choices) == 1 and choices[0].thing:
        return redirect("thing", code=codes.read(choices[0].text))
    for choice in choices:
        if choice.refused:
            actions.keep_failed(by(request), id=new_token(), text=choice.text, refused=choice.refused)
    return render(request, "inventory/scan/photo.html", {"choices": choices})


@needs(Right.SEE)
@require_POST
def frame(request: HttpRequest) -> JsonResponse:
    """Read one frame of a live camera, sent as it is: where it leads, or what is wrong, or nothing yet."""
    try:
        found = read_codes(request.body)
    except Refused as refused:
        return JsonResponse({"wrong": words(refused.sentence), "do": words(refused.what_to_do)}, status=409)
    return JsonResponse({"codes": list(found)})


@needs(Right.SEE)
def failed(request: HttpRequest) -> HttpResponse:
    """The scans that led to nothing; an owner or the crew may throw the list away."""
    if request.method == "POST" and may(role_of(request), Right.RUN):
        actions.forget_failed(by(request))
        return said(request, _("The list is empty."), reverse("scan-failed"))
    context = {"rows": queries.failed(), "may_run": may(role_of(request), Right.RUN)}
    return render(request, "inventory/scan/failed.html", context)


@needs(Right.RECORD)
def many(request: HttpRequest) -> HttpResponse:
    """Many scans in a row: what is scanned is kept on the open page until it is in the books."""
    return render(request, "inventory/scan/many.html")


@needs(Right.RECORD)
@require_POST
def send(request: HttpRequest) -> JsonResponse:
    """One of many scans; the same one sent again is the same act."""
    return scanned.answer(request)


def _lead(request: HttpRequest, text: str) -> HttpResponse:
    try:
        code = codes.read(text)
        dossier.thing_of(code.text)
    except Refused as refused:
        guests = people.guests_named(text) if may(role_of(request), Right.PEOPLE) else []
        others = things.of_name(text)
        if not (guests or others):
            actions.keep_failed(by(request), id=new_token(), text=text, refused=refused)
        blank = refused.code == "tag.blank" and codes.read(text)
        label = _suppliers(text) and may(role_of(request), Right.RUN)
        context = {"refused": refused, "text": text[:300], "guests": guests, "blank": blank, "label": label}
        status = 200 if guests or others else 404
        return render(
            request, "inventory/scan/scan.html", context | {"others": _placed(others)}, status=status
        )
    return redirect("thing", code=code)


def _placed(found: list[Named]) -> list[tuple[Named, str]]:
    """Each with where it stands: several may be called alike."""
    where = things.places_in_words(each.id for each in found)
    return [(each, where.get(each.id, "")) for each in found]


def _suppliers(text: str) -> bool:
    """Whether a text is a supplier's label, which the page of a delivery reads."""
    try:
        labels.read(text, today=timezone.localdate(now()))
    except Refused:
        return False
    return True


def _picture(request: HttpRequest) -> bytes:
    """The picture that was sent, read no further than a picture may be heavy."""
    file = request.FILES.get("photo")
    if file is None:
        raise Refused(
            "scan.no_photo", say("No photo was sent."), say("Take one, or choose a picture of the tag.")
        )
    return bytes(file.read(BYTES_MOST + 1))


def _nothing_read() -> Refused:
    return Refused(
        "scan.nothing_read",
        say("No code can be read in the photo."),
        say("Take it closer, straight on and without glare, or type the eight characters beside the code."),
    )
