"""READ a recall that is only tried: a lot at random, both ways timed, and every gram of it reckoned up.

Chance and the stopwatch come in from the face. Nothing is written and nobody is told.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.errors import Refused, Sentence, say
from inventory.models import Lot, MockRecall, Pair, Thing
from inventory.queries import lots, trace
from inventory.queries.dossier.names import labels, named
from inventory.queries.ledger import chunks
from inventory.queries.recalls import held, to_hold
from inventory.queries.skis_back.reach import reach, spread

# Published limits that auditors ask for; neither binds a maker of skis.
LIMITS: tuple[tuple[Sentence, int], ...] = (
    (say("BRCGS Food, issue 9, clause 3.9: traceability test within 4 hours (second hand)"), 4 * 3600),
    (say("21 CFR 1.1455(c): records within 24 hours of a request, for listed foods"), 24 * 3600),
)
TERMS = say(
    "Traceability as ISO 9000:2015, 3.6.13 and ISO 22005:2007, clause 3 use the word (from memory): to be "
    "able to follow the history, use and place of a thing, backwards and forwards."
)


@dataclass(frozen=True, slots=True)
class Tried:
    """One tried recall as its sheet shows it; `result` as it was kept."""

    id: UUID
    lot: Any
    label: Any
    tried_at: Any
    result: dict[str, Any]


def choices() -> list[UUID]:
    """Lots that any package of was received, oldest first: what a try may be about."""
    rows = Lot.objects.filter(packages__thing__state__isnull=False).distinct()
    return list(rows.order_by("thing_id").values_list("thing_id", flat=True))


def try_out(*, lot: UUID, stopwatch: Callable[[], int]) -> dict[str, Any]:
    """What a recall of this lot would find, and how long each way took, in microseconds.

    Forwards: every ski, pair and owner with any of it, and what is left where. Backwards: from one of those
    skis to everything it is made of; the lot must be there. Reckoned up: received against all that became of
    it, in base units.
    Refuses: recall.no_lot
    """
    row = lots.lot(lot)
    if row is None:
        raise Refused("recall.no_lot", say("There is no such lot."), say("Receive stock, and try again."))
    begun = stopwatch()
    found = reach([lot])
    where = spread(found.skis)
    owners = _reachable(where.out)
    forward = stopwatch()
    ski = found.skis[len(found.skis) // 2] if found.skis else None
    back = trace.back([ski]).things if ski else ()
    backward = stopwatch()
    reckoned = lots.reckon_up(row)
    done = stopwatch()
    stopped = to_hold(found)
    return {
        "base": row.material.base,
        "forward_us": forward - begun,
        "back_us": backward - forward,
        "reckoned_us": done - backward,
        "skis": len(found.skis),
        "pairs_out": len(where.out),
        "owners_reachable": owners,
        "in_work": len(where.in_work),
        "packages": len(_packages(found.others)),
        "to_hold": len(stopped),
        "held_before": len(held(stopped)),
        "back_from": str(ski) if ski else "",
        "back_things": len(back),
        "back_finds_the_lot": lot in back if ski else None,
        "received": reckoned.received.value,
        "became": {figure.share.became.value: figure.share.amount for figure in reckoned.figures},
    }


def _reachable(pairs: Sequence[UUID]) -> int:
    """How many of these pairs have an owner with a contact on the card."""
    return sum(
        Pair.objects.filter(thing_id__in=part).exclude(guest__contact="").exclude(guest=None).count()
        for part in chunks(pairs)
    )


def _packages(things: Sequence[UUID]) -> list[UUID]:
    return [
        id
        for part in chunks(things)
        for id in Thing.objects.filter(id__in=part, kind=Kind.PACKAGE).values_list("id", flat=True)
    ]


def tried() -> list[Tried]:
    """Every recall that was tried, the newest first."""
    return _tried(list(MockRecall.objects.order_by("-tried_at", "-id")))


def one(id: UUID) -> Tried | None:
    """One that was tried."""
    return next(iter(_tried(list(MockRecall.objects.filter(id=id)))), None)


def _tried(rows: list[MockRecall]) -> list[Tried]:
    names, printed = named(row.lot_id for row in rows), labels(row.lot_id for row in rows)
    return [
        Tried(row.id, names[row.lot_id], printed.get(row.lot_id), row.tried_at, row.result) for row in rows
    ]
