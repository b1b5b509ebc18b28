"""READ what a season's pairs need of each material: booked ones by their own shape, others as usual.

A pair whose spec or lay-up card is missing is taken for a usual one, and the answer says how many those are.
"""

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef

from inventory.compute.needs import Factor
from inventory.compute.reasons import Basis, Given
from inventory.models import Line, Pair, Seat
from inventory.queries import factors, layups, taken
from inventory.queries.pair_needs import NOTHING, Exact, expected_of

LAST_PAIRS = 40  # that say what a usual pair needs where the season has none
A_PAIR = 2


@dataclass(frozen=True, slots=True)
class Demand:
    """What the workshops of a season need, by material's key.

    `booked`: by workshop, of the pairs booked there and not laid up yet, seats without a pair as usual ones.
    `usual`: of one pair. `seats`: booked seats and pairs that count, by workshop. `unsaid`: how many of them
    were taken for usual. `refused`: pairs whose spec or card cannot be reckoned.
    """

    booked: Mapping[UUID, Exact]
    usual: Mapping[str, Given[Fraction]]
    seats: Mapping[UUID, int]
    unsaid: int = 0
    refused: int = 0
    from_use: frozenset[str] = field(default_factory=frozenset)


def demand(workshops: Sequence[UUID], keys: Mapping[UUID, str]) -> Demand:
    """What these workshops need. `keys`: every material's key by its id. A flat number of statements."""
    laid_up = Line.objects.filter(
        thing__ski__pair_id=OuterRef("thing_id"), event__step="laid up", event__skipped__isnull=True
    )
    whole = Pair.objects.filter(thing__state__isnull=False).select_related("layup")
    rows = list(whole.filter(workshop_id__in=workshops).exclude(Exists(laid_up)).order_by("thing_id"))
    built = set(
        whole.filter(Exists(laid_up), workshop_id__in=workshops).values_list("workshop_id", "guest_id")
    )
    last = list(whole.filter(layup__isnull=False, waist_mm__isnull=False).order_by("-thing_id")[:LAST_PAIRS])
    known = layups.known(_layers([*rows, *last]))
    accepted = factors.accepted()

    def learned(row: Pair) -> Mapping[str, Factor]:
        return accepted.get(row.layup_id, NOTHING) if row.layup_id else NOTHING

    needs = [(row, expected_of(row, known, learned(row))) for row in rows]
    usual, from_use = _usual(
        [need for _, need in needs if need]
        or [need for row in last if (need := expected_of(row, known, learned(row)))],
        keys,
    )
    seats = list(
        Seat.objects.filter(workshop_id__in=workshops, state="booked").values_list("workshop_id", "guest_id")
    )
    return _added(workshops, needs, seats, built, usual, from_use)


def _layers(rows: Iterable[Pair]) -> list[Mapping[str, Any]]:
    return [layer for row in rows if row.layup for layer in row.layup.layers]


def _usual(
    found: Sequence[Exact], keys: Mapping[UUID, str]
) -> tuple[dict[str, Given[Fraction]], frozenset[str]]:
    """What a usual pair needs: the mean of those reckoned; of other materials, what the last skis took."""
    sums: dict[str, Fraction] = {}
    for need in found:
        for key, amount in need.items():
            sums[key] = sums.get(key, Fraction(0)) + amount
    source = f"mean of {len(found)} pairs"
    usual = {key: Given(total / len(found), Basis.LEARNED, source) for key, total in sums.items()}
    took, skis = taken.usual()
    more = {
        keys[id]: Given(a_ski * A_PAIR, Basis.LEARNED, f"the last {skis} skis")
        for id, a_ski in took.items()
        if id in keys and keys[id] not in usual
    }
    return usual | more, frozenset(more)


def _added(
    workshops: Sequence[UUID],
    needs: Sequence[tuple[Pair, Exact | None]],
    seats: Sequence[tuple[UUID, UUID]],
    built: AbstractSet[tuple[UUID | None, UUID | None]],
    usual: Mapping[str, Given[Fraction]],
    from_use: frozenset[str],
) -> Demand:
    sums: dict[UUID, dict[str, Fraction]] = {workshop: {} for workshop in workshops}
    counts = dict.fromkeys(workshops, 0)
    plain = {key: given.value for key, given in usual.items()}
    unsaid = refused = 0

    def add(workshop: UUID, need: Exact) -> None:
        counts[workshop] += 1
        for key, amount in need.items():
            sums[workshop][key] = sums[workshop].get(key, Fraction(0)) + amount

    for row, need in needs:
        assert row.workshop_id is not None  # noqa: S101 - for the type checker
        if need is None:
            unsaid += 1
            refused += row.layup_id is not None and row.waist_mm is not None
        of_use = {key: plain[key] for key in from_use}
        add(row.workshop_id, plain if need is None else {**of_use, **need})
    with_pair = {(row.workshop_id, row.guest_id) for row, _ in needs} | built
    for workshop, guest in seats:
        if (workshop, guest) not in with_pair:
            unsaid += 1
            add(workshop, plain)
    return Demand(sums, usual, counts, unsaid, refused, from_use)
