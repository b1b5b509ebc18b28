"""Everything known of one thing, and what can be done to it now."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Code, Kind
from inventory.compute.skis_back import FAILURES, REASONS
from inventory.compute.units import Base
from inventory.formats.plain import plain
from inventory.forms.thing import Moment
from inventory.queries import ages, builds, cups, finishing, recalls, skis_back, stock, things
from inventory.queries import dossier as queries
from inventory.queries.dossier.drawing import drawing
from inventory.queries.dossier.facts import FORMAT, VERSION, Dossier
from inventory.queries.dossier.tree import measured, tree
from inventory.roles import Right, Role, may
from inventory.views.frame import needs, now, role_of
from inventory.views.ski_drawing import drawn
from inventory.views.told import told

_SHARES = ("skis-back-forward", _("What shares it"), Right.SEE, "")
_BY_PIECES = (
    ("stock-count", _("Count"), Right.RECORD, ""),
    ("places-move", _("Move"), Right.RECORD, "codes"),
    ("stock-write-off", _("Write off"), Right.RUN, ""),
    ("stock-hold", _("Hold"), Right.RUN, ""),
    _SHARES,
)
# What can be done to a kind of thing: the page, its label, the right it needs, the field its code goes into.
_ABOUT = {
    Kind.PACKAGE: (
        ("stock-draw", _("Take out"), Right.RECORD, ""),
        ("stock-split", _("Split into a smaller one"), Right.RECORD, ""),
        ("cutting-cut", _("Cut it"), Right.RECORD, ""),
        ("cutting-glue", _("Glue up blanks"), Right.RECORD, "wood"),
        ("stock-count", _("Count"), Right.RECORD, ""),
        ("stock-weigh", _("Count by weight"), Right.RECORD, ""),
        ("places-move", _("Move"), Right.RECORD, "codes"),
        ("stock-hold", _("Hold"), Right.RUN, ""),
        _SHARES,
    ),
    Kind.CUT_BATCH: _BY_PIECES,
    Kind.OFFCUT: (
        ("cutting-cut", _("Cut it"), Right.RECORD, ""),
        ("places-move", _("Move"), Right.RECORD, "codes"),
        ("stock-write-off", _("Write off"), Right.RUN, ""),
        ("stock-hold", _("Hold"), Right.RUN, ""),
        _SHARES,
    ),
    Kind.CORE_BLANK: _BY_PIECES,
    Kind.LOT: (
        ("lots-card", _("Its label, and what became of it"), Right.SEE, ""),
        _SHARES,
        ("stock-hold", _("Hold"), Right.RUN, ""),
    ),
    Kind.RESIN_BATCH: (
        ("press-lay-up", _("Lay up with it"), Right.RECORD, "thing_1"),
        ("mixing-correct", _("Put it right"), Right.RECORD, ""),
        ("mixing-discard", _("Throw the rest away"), Right.RECORD, ""),
        ("stock-hold", _("Hold"), Right.RUN, ""),
        _SHARES,
    ),
    Kind.SKI: (
        ("laying-layers", _("Lay up"), Right.RECORD, ""),
        ("press-inspect", _("Inspect"), Right.RUN, "ski"),
        ("press-finish", _("Finish"), Right.RECORD, "skis"),
        ("builds-card", _("Build card"), Right.SEE, ""),
        ("stock-hold", _("Hold"), Right.RUN, ""),
    ),
    Kind.PAIR: (
        ("builds-card", _("Build card"), Right.SEE, ""),
        ("builds-spec", _("Spec"), Right.SEE, ""),
        ("artwork-path", _("Artwork"), Right.SEE, ""),
        ("press-hand-over", _("Hand over"), Right.RUN, "pair"),
        ("records-paper", _("Build record to print"), Right.RUN, ""),
    ),
    Kind.PRESS_CYCLE: (
        ("pressing-cycle", _("Its curve and verdict"), Right.SEE, ""),
        ("pressing-log", _("Add a log"), Right.RECORD, ""),
        ("press-judge", _("Judge"), Right.RUN, "cycle"),
        _SHARES,
    ),
    Kind.PRESS: (
        ("pressing-close", _("Close it"), Right.RECORD, "press"),
        ("press-cycle", _("Write down a cycle from paper"), Right.RECORD, "press"),
        ("equipment-card", _("Its card and inspections"), Right.SEE, ""),
        ("places-move", _("Move it"), Right.RECORD, "codes"),
    ),
    Kind.MOULD: (
        ("equipment-card", _("Its card and inspections"), Right.SEE, ""),
        ("places-move", _("Move it"), Right.RECORD, "codes"),
    ),
    Kind.EQUIPMENT: (
        ("equipment-card", _("Its card and inspections"), Right.SEE, ""),
        ("places-move", _("Move it"), Right.RECORD, "codes"),
    ),
}
# What is done to a ski before it was in a press, and after.
_SKI_BEFORE, _SKI_AFTER = frozenset({"laying-layers"}), frozenset({"press-inspect", "press-finish"})
_IN_THE_PRESS = frozenset({"pressed", "press closed"})
# What is done to it more rarely: folded away.
_RARELY = {
    Kind.PACKAGE: (
        ("stock-write-off", _("Write off"), Right.RUN, ""),
        ("care-age", _("How old it is"), Right.SEE, ""),
        ("care-warm", _("Warm out crystals"), Right.RECORD, ""),
        ("care-retest", _("Re-test"), Right.RUN, ""),
    ),
}
_PLACE = (
    ("places-inside", _("What is in it"), Right.SEE, ""),
    ("places-count", _("Count what is in it"), Right.RECORD, ""),
    ("care-read", _("Read the thermometer"), Right.RECORD, ""),
    ("places-move", _("Move it"), Right.RECORD, "codes"),
)


@needs(Right.SEE)
def thing(request: HttpRequest, code: Code) -> HttpResponse:
    """The thing's page, now or as of a moment."""
    form = _moment(request)
    as_of = form.as_of() if form.is_bound and form.is_valid() else None
    found = queries.dossier(queries.thing_of(code.text), as_of=as_of)
    backs = _backs(found)
    closed = found is not None and found.thing.kind is Kind.PACKAGE and found.born and not found.opened_at
    context = {
        "code": code,
        "dossier": found,
        "made_of": tree(found, forward=False) if found else (),
        "went_into": tree(found, forward=True) if found else (),
        "exposures": [(row, measured(row)) for row in found.exposures] if found else [],
        "drawing": drawing(found) if found else None,
        "events": told(found.events, found.thing.id) if found else [],
        **_ski(found),
        "backs": [(row.id, REASONS[row.failure], row.came_on, row.gone_on) for row in backs],
        "recall": recalls.warning(found.thing.id) if found and _is_now(found) else None,
        "form": form,
        "asked": request.GET.urlencode() if as_of else "",
        "acts": _acts(request, code, found, _ABOUT, backs) if found and not as_of else [],
        "rarely": _acts(request, code, found, _RARELY) if found and not as_of else [],
        "lot": things.lot_code(found.thing.id) if found and found.thing.kind is Kind.PACKAGE else "",
        "apart": _apart(found),
        "age": _age(found),
        "usable": _usable(found),
        "written_in": stock.written_in(found.thing.id) if found else "",
        "may_open": closed and not as_of and may(role_of(request), Right.RECORD),
        "may_own": not as_of and may(role_of(request), Right.OWN),
    }
    return render(request, "inventory/thing/thing.html", context, status=422 if form.errors else 200)


@needs(Right.SEE)
def data(request: HttpRequest, code: Code) -> HttpResponse:
    """The same as data; the page of help on traces names the fields."""
    form = _moment(request)
    if form.is_bound and not form.is_valid():
        return JsonResponse({"wrong": form.errors.get_json_data()}, status=422)
    found = queries.dossier_of(code.text, as_of=form.as_of() if form.is_bound else None)
    told = plain(found)
    if not may(role_of(request), Right.PRICES):
        for event in told["events"]:
            event["facts"].pop("cost", None)  # what the answer to a return costs the shop
    return JsonResponse({"format": FORMAT, "version": VERSION} | told)


def _moment(request: HttpRequest) -> Moment:
    """The moment that is asked for; not bound when none is."""
    return Moment(request.GET if "at" in request.GET else None, now=now(), initial={"at": now()})


def _ski(found: Dossier | None) -> dict[str, object]:
    """The ski of a pair or of one of its two, drawn from above and by its layers; not for a moment past."""
    if found is None or found.as_of or found.thing.kind not in (Kind.SKI, Kind.PAIR):
        return {}
    pair = builds.pair(found.whole.id if found.whole else found.thing.id)
    shown = drawn(pair) if pair else {}
    built = (
        [ski for ski in finishing.skis_of(pair) if found.thing.id in (ski.id, pair.thing_id)] if pair else []
    )
    found_of_it = {"pair": pair, "built": built, "replaced": finishing.replaced(found.thing.id)}
    return {name: shown.get(name) for name in ("ski", "radius")} | found_of_it


def _age(found: Dossier | None) -> object:
    """How old a package is now; of a moment that has passed the page does not say."""
    if found is None or found.thing.kind is not Kind.PACKAGE or found.as_of:
        return None
    return ages.age_of(found.thing.id, now())


def _usable(found: Dossier | None) -> object:
    """Until which day a package may be used, and by what; of a moment that has passed the label speaks."""
    if found is None or found.thing.kind is not Kind.PACKAGE or found.as_of:
        return None
    return stock.usable([found.thing.id]).get(found.thing.id)


def _suits(found: Dossier, name: str) -> bool:
    """False for what is done to some only: what has no length is not cut, a pressed ski not laid up."""
    if name == "cutting-glue":
        return found.label is not None and found.label.purpose == "wood"
    if name == "cutting-cut":
        return found.left is not None and found.left.base in (Base.MM, Base.MM2) and found.left.value > 0
    if name in _SKI_BEFORE | _SKI_AFTER:
        return (name in _SKI_AFTER) == any(
            event.counts and event.step in _IN_THE_PRESS for event in found.events
        )
    return name != "press-lay-up" or not _apart(found)


def _apart(found: Dossier | None) -> bool:
    """True for a cup that was set apart: no ski takes it."""
    return found is not None and found.thing.kind is Kind.RESIN_BATCH and bool(cups.apart([found.thing.id]))


_Acts = Mapping[Kind, tuple[tuple[str, object, Right, str], ...]]


# What a hold refuses: not offered while the thing, or anything it is made of, is stopped.
_USES = frozenset(
    {
        "stock-draw",
        "stock-split",
        "cutting-cut",
        "cutting-glue",
        "press-lay-up",
        "press-finish",
        "press-cycle",
        "pressing-close",
        "press-hand-over",
    }
)


def _is_now(found: Dossier) -> bool:
    """True for a ski or pair as it is now; of a moment that has passed no return and no recall is told."""
    return not found.as_of and found.thing.kind in (Kind.SKI, Kind.PAIR)


def _backs(found: Dossier | None) -> list[Any]:
    """The returns of a ski or pair."""
    if found is None or not _is_now(found):
        return []
    skis = [part.id for part in found.parts] or [found.thing.id]
    return list({row.id: row for ski in skis for row in skis_back.back_of(ski)}.values())


def _acts_out(code: Code, role: Role | None, here: Any) -> list[tuple[str, object]]:
    """What can be done to a ski or pair that was handed over; `here`: its return, while it is back."""
    acts: list[tuple[str, object]] = []
    if here:
        acts.append((reverse("skis-back-case", args=[here.id]), _("Go on with its return")))
        if here.failure in FAILURES:
            address = f"{reverse('skis-back-suspects')}?failure={here.failure}"
            acts.append((address, _("Suspects of this failure")))
    elif may(role, Right.RECORD):
        acts.append((f"{reverse('skis-back-log')}?skis={code}", _("It came back")))
    return [*acts, (reverse("builds-card", args=[code]), _("Build card"))]


def _acts(
    request: HttpRequest, code: Code, found: Dossier, about: _Acts, backs: Sequence[Any] = ()
) -> list[tuple[str, object]]:
    """Addresses and labels of what this person can do to the thing now."""
    stray = found.thing.kind is Kind.SKI and found.whole is None
    if not found.born or stray:
        return []
    role = role_of(request)
    if found.handed_over_at:
        here = next((row for row in backs if not row.gone_on), None)
        return _acts_out(code, role, here) if about is _ABOUT else []
    acts: list[tuple[str, object]] = []
    kind = found.thing.kind
    places = _PLACE if kind.rank and about is _ABOUT else ()
    for name, label, right, field in about.get(kind, places):
        if may(role, right) and not (found.holds and name in _USES) and _suits(found, name):
            address = f"{reverse(name)}?{field}={code}" if field else reverse(name, args=[code])
            acts.append((address, label))
    return acts
