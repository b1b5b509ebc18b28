"""READ what a season's pairs need of each material: booked ones by their own shape, others as usual.

Cups go by the mixes of each pair, gloves by the hands and days of each workshop, as before a trip. Of a pair
only the skis count that are still to be laid up. A pair whose spec or lay-up card is missing is
taken for a usual one, and the answer says how many those are.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet, Sum

from inventory.compute.reasons import Basis, Given
from inventory.models import Line, Material, Package, Pair, Seat, Ski, Workshop
from inventory.queries import bench, factors, layups, taken
from inventory.queries.pair_needs import (
    A_PAIR,
    CUPS,
    GLOVES,
    GLOVES_A_DAY,
    NOTHING,
    Exact,
    by_count,
    cups,
    expected_of,
    of_skis,
)

LAST_PAIRS = 40  # that say what a usual pair needs where the season has none


@dataclass(frozen=True, slots=True)
class Demand:
    """What the workshops of a season need, by material's key.

    `booked`: by workshop, of the pairs booked there and not laid up yet, seats without a pair as usual ones.
    `usual`: of one pair. `seats`: booked seats and pairs that count, by workshop. `unsaid`: how many of them
    were taken for usual. `refused`: pairs whose spec or card cannot be reckoned. `again`: skis of pairs of
    workshops that are over, each in the place of one that was laid up; they are `booked` on the first one.
    `by_hands`: what is needed by hands, not by pairs: of it `usual` is a seat's, and a spare pair needs none.
    """

    booked: Mapping[UUID, Exact]
    usual: Mapping[str, Given[Fraction]]
    seats: Mapping[UUID, int]
    unsaid: int = 0
    refused: int = 0
    again: int = 0
    from_use: frozenset[str] = field(default_factory=frozenset)
    by_hands: frozenset[str] = field(default_factory=frozenset)


def demand(
    workshops: Sequence[UUID], materials: Mapping[UUID, Material], over: Sequence[UUID] = ()
) -> Demand:
    """What these workshops need. `materials`: every one by its id. A flat number of statements.

    `workshops`: the first one first. `over`: earlier ones, a ski of which may have to be made again.
    """
    waits = bench.to_lay_up([*workshops, *over])
    skis = {pair: sum(map(bool, why.values())) for pair, why in waits.items()}
    whole = Pair.objects.filter(thing__state__isnull=False).select_related("layup")
    own = list(whole.filter(workshop_id__in=workshops).order_by("thing_id"))
    rows = [row for row in own if skis.get(row.thing_id, A_PAIR)]
    built = {(row.workshop_id, row.guest_id) for row in own if not skis.get(row.thing_id, A_PAIR)}
    again = _again(whole.filter(workshop_id__in=over), waits)
    last = list(whole.filter(layup__isnull=False, waist_mm__isnull=False).order_by("-thing_id")[:LAST_PAIRS])
    known = layups.known(_layers([*rows, *again, *last]))
    accepted = factors.accepted()
    by_key = {row.key: row for row in materials.values()}
    counted = _counted(materials.values(), known)
    cup = counted[CUPS]

    def reckoned(row: Pair) -> Exact | None:
        found = expected_of(row, known, accepted.get(row.layup_id, NOTHING) if row.layup_id else NOTHING)
        return found if found is None or cup is None else {**found, cup.key: Fraction(cups(found, by_key))}

    needs = [_Pair(row, skis.get(row.thing_id, A_PAIR), reckoned(row)) for row in rows]
    usual, from_use = _usual(
        [each.need for each in needs if each.need] or [need for row in last if (need := reckoned(row))],
        {id: row.key for id, row in materials.items()},
    )
    seats = list(
        Seat.objects.filter(workshop_id__in=workshops, state="booked").values_list("workshop_id", "guest_id")
    )
    made_again = [_Pair(row, skis[row.thing_id], reckoned(row)) for row in again]
    found = _added(workshops, needs, made_again, seats, built, usual, from_use)
    gloves = counted[GLOVES]
    return found if gloves is None or not usual else _with_hands(found, gloves.key, workshops, seats)


def _counted(rows: Iterable[Material], named: Collection[str]) -> dict[str, Material | None]:
    """The cups and the gloves to take along, as the books keep them; None where a lay-up names them."""
    there = Package.objects.filter(lot__material__purpose__in=(CUPS, GLOVES)).values("lot__material_id")
    left = dict(there.values_list("lot__material_id").annotate(left=Sum("thing__balance__amount")))
    by_name = sorted(rows, key=lambda row: row.name)
    return {purpose: by_count(purpose, by_name, named, left) for purpose in (CUPS, GLOVES)}


def _with_hands(
    found: Demand, key: str, workshops: Sequence[UUID], seats: Sequence[tuple[UUID, UUID]]
) -> Demand:
    """The same with gloves: of who is booked and works there, each day; of an open seat on the longest."""
    booked, days = dict(found.booked), {}
    for row in Workshop.objects.filter(id__in=workshops):
        days[row.id] = (row.ends_on - row.starts_on).days + 1
        people = sum(workshop == row.id for workshop, _ in seats) + (row.hands or 0)
        amount = Fraction(GLOVES_A_DAY * days[row.id] * people)
        booked[row.id] = {**booked[row.id], key: amount}
    a_seat = Fraction(GLOVES_A_DAY * max(days.values(), default=0))
    usual = {**found.usual, key: Given(a_seat, Basis.ASSUMED, "four changes a day")}
    return replace(found, booked=booked, usual=usual, by_hands=frozenset({key}))


@dataclass(frozen=True, slots=True)
class _Pair:
    """A pair, how many of its skis are still to be laid up, and what a whole one needs; None: not known."""

    row: Pair
    skis: int
    need: Exact | None


def _again(rows: QuerySet[Pair], waits: Mapping[UUID, Mapping[UUID, str]]) -> list[Pair]:
    """Those not handed over that were begun, and have a ski still to be laid up."""
    over = Line.objects.filter(
        thing_id=OuterRef("thing_id"), event__step="handed over", event__skipped__isnull=True
    )
    out = Ski.objects.filter(was_of_id=OuterRef("thing_id"))
    found: list[Pair] = []
    for row in rows.filter(~Exists(over)).annotate(one_out=Exists(out)).order_by("thing_id"):
        why = waits.get(row.thing_id, {}).values()
        if any(why) and (row.one_out or set(why) != {bench.NOT_YET}):
            found.append(row)
    return found


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
    needs: Sequence[_Pair],
    again: Sequence[_Pair],
    seats: Sequence[tuple[UUID, UUID]],
    built: AbstractSet[tuple[UUID | None, UUID | None]],
    usual: Mapping[str, Given[Fraction]],
    from_use: frozenset[str],
) -> Demand:
    sums: dict[UUID, dict[str, Fraction]] = {workshop: {} for workshop in workshops}
    counts = dict.fromkeys(workshops, 0)
    plain = {key: given.value for key, given in usual.items()}
    of_use = {key: plain[key] for key in from_use}
    unsaid = refused = 0

    def add(workshop: UUID, need: Exact) -> None:
        for key, amount in need.items():
            sums[workshop][key] = sums[workshop].get(key, Fraction(0)) + amount

    for each in (*needs, *again):
        whole = plain if each.need is None else {**of_use, **each.need}
        at = each.row.workshop_id
        add(at if at in sums else workshops[0], of_skis(whole, each.skis))
    for each in needs:
        assert each.row.workshop_id is not None  # noqa: S101 - for the type checker
        counts[each.row.workshop_id] += 1
        if each.need is None:
            unsaid += 1
            refused += each.row.layup_id is not None and each.row.waist_mm is not None
    with_pair = {(each.row.workshop_id, each.row.guest_id) for each in needs} | built
    for workshop, guest in seats:
        if (workshop, guest) not in with_pair:
            unsaid += 1
            counts[workshop] += 1
            add(workshop, plain)
    skis_again = sum(each.skis for each in again)
    return Demand(sums, usual, counts, unsaid, refused, skis_again, from_use)
