"""READ the build record of a pair: what it is made of in plain words, and what its owner must know.

Nobody's name is in it. Who may read it is asked by `opens`.
"""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.contrib.auth.hashers import check_password

from inventory.compute import owner_code
from inventory.compute.codes import Code, Kind
from inventory.errors import Sentence, say
from inventory.models import OwnerCode, Pair, Tag
from inventory.queries import dossier as dossiers
from inventory.queries import recalls
from inventory.queries.dossier.facts import Dossier
from inventory.queries.shop import card

# What each purpose is in a ski, in plain words.
_PLAIN = {
    "blank": say("wooden core"),
    "base": say("running base"),
    "edge": say("steel edges"),
    "glass": say("fibre layers"),
    "resin": say("resin that binds the layers"),
    "hardener": say("hardener of that resin"),
    "sidewall": say("sidewalls"),
    "rubber": say("rubber foil that damps"),
    "top": say("top sheet"),
    "glue": say("glue"),
}
_ORDER = list(_PLAIN)


@dataclass(frozen=True, slots=True)
class Part:
    """One material of the pair: what it is for, its name, and the makers' lot numbers as printed."""

    plain: Sentence | None
    material: str
    numbers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Record:
    """A pair's build record. `stopped`: it must not be used; `has_code`: a secret was issued."""

    pair: UUID
    code: str
    length_mm: int
    widths_mm: tuple[float, ...]
    built_on: datetime | None
    handed_over_at: datetime | None
    parts: tuple[Part, ...]
    pressed: tuple[datetime, ...]
    passed: bool
    inspected: bool
    stopped: bool
    shop: str
    reach: str
    has_code: bool
    recalled: bool
    may_hurt: bool


def pair_of(code: Code) -> UUID | None:
    """The pair of a code on a ski or a pair; None for any other."""
    tag = Tag.objects.filter(code=code.text, thing__kind__in=[Kind.SKI, Kind.PAIR]).first()
    if tag is None or tag.thing_id is None:
        return None
    own = Pair.objects.filter(thing_id=tag.thing_id) | Pair.objects.filter(skis__thing_id=tag.thing_id)
    return own.values_list("thing_id", flat=True).first()


def opens(pair: UUID, typed: str) -> bool:
    """True when what was typed is the pair's second secret. Takes as long whether it is or not."""
    row = OwnerCode.objects.filter(pair_id=pair).first()
    return check_password(owner_code.read(typed), row.hashed if row else "!")


def record(pair: UUID) -> Record | None:
    """The record of a pair; None when there is none."""
    row = Pair.objects.filter(thing_id=pair).first()
    found = dossiers.dossier(pair)
    if row is None or found is None or not found.born:
        return None
    shop, recall = card(), recalls.warning(pair)
    widths = (row.tip_mm, row.waist_mm, row.tail_mm)
    verdicts = [exposure.facts.get("passed") for exposure in found.exposures if exposure.step == "judged"]
    laid_up = [link.at for link in found.made_of if link.step == "laid up"]
    return Record(
        pair=pair,
        code=found.codes[0] if found.codes else "",
        length_mm=row.length_mm,
        widths_mm=tuple(width for width in widths if width is not None),
        built_on=min(laid_up, default=None),
        handed_over_at=found.handed_over_at,
        parts=_parts(found),
        pressed=tuple(dict.fromkeys(e.at for e in found.exposures if e.step == "pressed")),
        passed=bool(verdicts) and verdicts[-1] is True,
        inspected=_inspected(found),
        stopped=bool(found.holds) or any(_held(part.id) for part in found.parts),
        shop=shop.name if shop else "",
        reach=shop.reach if shop else "",
        has_code=OwnerCode.objects.filter(pair_id=pair).exists(),
        recalled=recall is not None,
        may_hurt=bool(recall and recall.may_hurt),
    )


def _held(thing: UUID) -> bool:
    part = dossiers.dossier(thing, most_events=1)
    return bool(part and part.holds)


def _inspected(found: Dossier) -> bool:
    """True when the newest inspection of each ski was passed."""
    last = []
    for part in found.parts:
        ski = dossiers.dossier(part.id)
        events = [
            event for event in (ski.events if ski else ()) if event.step == "inspected" and event.counts
        ]
        last.append(bool(events) and events[0].facts.get("passed") is True)
    return bool(last) and all(last)


def _parts(found: Dossier) -> tuple[Part, ...]:
    """Every material once, in the order a ski is built, with the printed numbers of its lots."""
    numbers: dict[tuple[str, str], dict[str, None]] = {}
    for link in found.made_of:
        if link.of.kind is Kind.LOT and link.label:
            kept = numbers.setdefault((link.label.purpose, link.label.material), {})
            if link.label.number:
                kept[link.label.number] = None
    rank = {purpose: index for index, purpose in enumerate(_ORDER)}
    return tuple(
        Part(_PLAIN.get(purpose), material, tuple(printed))
        for (purpose, material), printed in sorted(
            numbers.items(), key=lambda item: (rank.get(item[0][0], 99), item[0][1])
        )
    )
