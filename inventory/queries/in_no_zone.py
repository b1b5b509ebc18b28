"""READ what lies in a trailer that has zones, and in none of them: what its load then can and cannot say.

Follows the load of a trip (`readiness.masses`): such a thing has a mass and no place along or across.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.errors import Sentence, say
from inventory.models import State
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named
from inventory.queries.notes import counted

MOST = 200  # that are put right at once


@dataclass(frozen=True, slots=True)
class Loose:
    """Things in one trailer and in no zone of it. `sent`: their codes, as a page takes them."""

    sentence: Sentence
    why: Sentence
    sent: str
    codes: tuple[str, ...]
    zones: tuple[Named, ...]


def in_trailer(trailer: UUID) -> list[Loose]:
    """All that lies so in one trailer; nothing when it has no zones."""
    return _found(trailer=trailer)


def among(things: Iterable[UUID]) -> list[Loose]:
    """Those of these things that lie so, trailer by trailer."""
    return _found(things=[*things][:MOST])


def _found(*, things: Sequence[UUID] | None = None, trailer: UUID | None = None) -> list[Loose]:
    standing = State.objects.filter(thing__kind=Kind.ZONE, place__kind=Kind.TRAILER)
    if trailer is not None:
        standing = standing.filter(place_id=trailer)
    zones: dict[UUID, list[UUID]] = {}
    for zone, at in standing.values_list("thing_id", "place_id"):
        zones.setdefault(at, []).append(zone)
    lying = State.objects.filter(place_id__in=zones).exclude(thing__kind=Kind.ZONE)
    lying = lying.exclude(thing__balance__amount=0)  # used up
    if things is not None:
        lying = lying.filter(thing_id__in=things)
    loose: dict[UUID, list[UUID]] = {}
    for thing, at in lying.order_by("thing_id").values_list("thing_id", "place_id")[:MOST]:
        loose.setdefault(at, []).append(thing)
    known = named(each for at in loose for each in (at, *loose[at], *zones[at]))
    return [
        _one(known[at], [known[each] for each in loose[at]], [known[each] for each in zones[at]])
        for at in sorted(loose, key=lambda at: known[at].name)
    ]


def _one(trailer: Named, things: Sequence[Named], zones: Sequence[Named]) -> Loose:
    first = things[0].name or things[0].kind.value
    words = {"thing": first, "trailer": trailer.name, "count": len(things)}
    codes = tuple(each.code for each in things if each.code)
    return Loose(
        sentence=counted(
            len(things),
            say("{thing} is in {trailer}, in no zone.", **words),
            say("{count} things are in {trailer}, in no zone.", **words),
        ),
        why=say(
            "What is in no zone counts in the mass of {trailer}, and of car and trailer together. Nose "
            "weight, axle, wheels of one side and the car cannot be said until its zone is known.",
            **words,
        ),
        sent=" ".join(codes),
        codes=codes[:12],
        zones=tuple(sorted((each for each in zones if each.code), key=lambda each: each.name.casefold())),
    )
