"""One plan for one material: which method answers, and its draws. Knows no unit and no verdict."""

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from inventory.compute.choose.facts import KEEPS, Lot, Method, Need
from inventory.compute.choose.flow import Sharing, cover, fewest_moves, use_first
from inventory.compute.choose.mixes import assign
from inventory.errors import Sentence, say

_AGREE = say(
    "No need's days lie inside another's and every lot in reach of one need is in reach of all, "
    "so first expired, first out covers as much as can be covered."
)
_MIXES = say(
    "Each mix comes from one lot and the mixes differ in size, so the ways to fit them were searched."
)
_MIXES_FIT = say("Each mix comes from one lot, and first expired, first out covers every mix.")


@dataclass(frozen=True, slots=True)
class Plan:
    """What the needs draw. `turn` are the needs asked for, by the day they end, `order` the lots that may be
    used, by the day they pass, both as positions in the lists given; `drawn` goes by these two.
    """

    order: Sequence[int]
    turn: Sequence[int]
    drawn: Sequence[dict[int, int]]
    method: Method
    why: Sentence
    certain: bool = True

    def covered(self, needs: int) -> list[int]:
        """How much each of so many needs gets, in the order given."""
        got = [0] * needs
        for at, drawn in zip(self.turn, self.drawn, strict=True):
            got[at] = sum(drawn.values())
        return got


class _Case:
    """One question, sorted: lots by the day they pass, needs by the day they end. Positions, not keys."""

    def __init__(self, lots: Sequence[Lot], needs: Sequence[Need], horizon: date, *, undated: bool) -> None:
        default = KEEPS if undated else None
        usable = [
            (min(last, horizon), last, at)
            for at, lot in enumerate(lots)
            if lot.amount and not lot.held and (last := lot.last_day or default) is not None
        ]
        usable.sort()
        asked = [(need.last_day, need.load_day, at) for at, need in enumerate(needs) if need.amount]
        asked.sort()
        self.order = [at for _, _, at in usable]
        self.turn = [at for _, _, at in asked]
        self.lots = [lots[at] for at in self.order]
        self.needs = [needs[at] for at in self.turn]
        self.last = [last for _, last, _ in usable]
        self.rank = [rank.toordinal() for rank, _, _ in usable]
        self.start = [lot.available_from or date.min for lot in self.lots]
        self.opens = [open_places(need) for need in self.needs]
        self.trailers = frozenset[str]().union(*(need.trailers for need in self.needs))
        self.travels = any(lot.place in self.trailers for lot in self.lots)

    def fits_days(self, need: Need, lot: int) -> bool:
        return self.start[lot] <= need.load_day and self.last[lot] >= need.last_day

    def near(self, need: Need) -> frozenset[int]:
        return frozenset(at for at, lot in enumerate(self.lots) if lot.place in need.trailers)

    def preferred(self, need: Need, lots: Iterable[int]) -> Iterable[int]:
        """By the day they pass; among equals what is aboard, then what is in nobody's trailer."""
        if not self.travels:
            return lots
        return sorted(lots, key=lambda at: (self.rank[at], self._distance(need, self.lots[at].place)))

    def _distance(self, need: Need, place: str) -> int:
        if place in need.trailers:
            return 0
        return 2 if place in self.trailers else 1

    def reach(self) -> list[list[int]]:
        """For each need the lots that are in date, here in time and in reach, in the order to take them."""
        everything = range(len(self.lots))
        result = []
        for need, opens in zip(self.needs, self.opens, strict=True):
            fits = [
                at
                for at in everything
                if self.fits_days(need, at) and (opens is None or self.lots[at].place in opens)
            ]
            result.append(list(self.preferred(need, fits)))
        return result


def open_places(need: Need) -> AbstractSet[str] | None:
    """Which places can a need draw from?

    Formula: its reach and its own trailers; None for every place.
    Units: names of places.
    Refuses: nothing
    Source: common practice, no source
    """
    return None if need.reach is None else need.reach | need.trailers


def plan_for(
    lots: Sequence[Lot], needs: Sequence[Need], horizon: date, *, one_lot_each: bool, undated: bool = False
) -> Plan:
    """Which plan is best, and which method finds it?

    Formula: the sweep, unless one need's days lie inside another's or a lot is in reach of one need and not
        of another that its days would suit; then maximum flow. Mixes of one size are counted, others
        searched.
    Units: amounts in one base unit; days included on both ends.
    Shapes: the plan has one entry for each need asked for.
    Refuses: nothing
    Source: Glover, Naval Research Logistics Quarterly 14 (1967) 313 (abstract read)
    """
    case = _Case(lots, needs, horizon, undated=undated)
    sizes = {need.amount for need in case.needs}
    if one_lot_each and len(sizes) > 1:
        return _by_search(case)
    scale = sizes.pop() if one_lot_each and sizes else 1
    why = _windows_cross(case) or _places_bind(case)
    drawn = _by_flow(case, scale) if why else _by_sweep(case, scale)
    if scale != 1:
        drawn = [{pile: mixes * scale for pile, mixes in taken.items()} for taken in drawn]
    return Plan(case.order, case.turn, drawn, Method.FLOW if why else Method.SWEEP, why or _AGREE)


def _windows_cross(case: _Case) -> Sentence | None:
    for inner, outer in pairwise(case.needs):
        if outer.load_day < inner.load_day:
            return say(
                "{outer} is loaded before {inner} and used after it, so first expired, first out may fall "
                "short; all ways of sharing were weighed.",
                outer=outer.key,
                inner=inner.key,
            )
    return None


def _places_bind(case: _Case) -> Sentence | None:
    """Is there a lot whose days suit two needs of which only one can reach it?"""
    if len({None if opens is None else frozenset(opens) for opens in case.opens}) < 2:
        return None
    for at, lot in enumerate(case.lots):
        near = far = None
        for need, opens in zip(case.needs, case.opens, strict=True):
            if not case.fits_days(need, at):
                continue
            if opens is None or lot.place in opens:
                near = near or need
            else:
                far = far or need
        if near and far:
            return say(
                "Lot {lot} is in reach of {near} but not of {far}, so first expired, first out may fall "
                "short; all ways of sharing were weighed.",
                lot=lot.key,
                near=near.key,
                far=far.key,
            )
    return None


def _sharing(case: _Case, scale: int, reach: Sequence[Sequence[int]]) -> Sharing:
    piles = [lot.amount // scale for lot in case.lots]
    return Sharing(piles=piles, wants=[need.amount // scale for need in case.needs], reach=reach)


def _by_flow(case: _Case, scale: int) -> list[dict[int, int]]:
    sharing = _sharing(case, scale, case.reach())
    cover(sharing)
    use_first(sharing, case.rank)
    if case.travels:
        fewest_moves(sharing, case.rank, [case.near(need) for need in case.needs])
    return [dict(sorted(taken.items())) for taken in sharing.drawn]


def _by_sweep(case: _Case, scale: int) -> list[dict[int, int]]:
    """Needs by the day they end; each takes, of what is in date and here, what passes first."""
    left = [lot.amount // scale for lot in case.lots]
    if not case.travels:
        return _sweep(case, scale, left)
    sharing = _sharing(case, scale, case.reach())
    for want, need in enumerate(case.needs):
        for pile, amount in _take(case, want, need.amount // scale, left, sharing.reach[want]).items():
            sharing.draw(want, pile, amount)
    fewest_moves(sharing, case.rank, [case.near(need) for need in case.needs])
    return [dict(sorted(taken.items())) for taken in sharing.drawn]


def _sweep(case: _Case, scale: int, left: list[int]) -> list[dict[int, int]]:
    """Lots and needs are in order of their days, so what has passed for one need has passed for all later."""
    drawn = []
    first, end = 0, len(left)
    for want, need in enumerate(case.needs):
        while first < end and (not left[first] or case.last[first] < need.last_day):
            first += 1
        drawn.append(_take(case, want, need.amount // scale, left, range(first, end)))
    return drawn


def _take(case: _Case, want: int, short: int, left: list[int], piles: Iterable[int]) -> dict[int, int]:
    """Take from these lots in turn what is here by the load day; `left` is drawn down."""
    load_day, opens = case.needs[want].load_day, case.opens[want]
    start = case.start
    taken = {}
    for pile in piles:
        here = left[pile]
        if here and start[pile] <= load_day and (opens is None or case.lots[pile].place in opens):
            taken[pile] = amount = here if here < short else short
            left[pile] = here - amount
            short -= amount
            if not short:
                break
    return taken


def _by_search(case: _Case) -> Plan:
    sizes = [need.amount for need in case.needs]
    reach = case.reach()
    found = assign(piles=[lot.amount for lot in case.lots], sizes=sizes, reach=reach)
    drawn = [{} if pile is None else {pile: size} for pile, size in zip(found.pile, sizes, strict=True)]
    if found.first_fit and None not in found.pile:
        return Plan(case.order, case.turn, drawn, Method.SWEEP, _MIXES_FIT)
    covered = sum(sum(each.values()) for each in drawn)
    certain = found.certain or covered == _most(case, reach)
    return Plan(case.order, case.turn, drawn, Method.SEARCH, _MIXES, certain)


def _most(case: _Case, reach: Sequence[Sequence[int]]) -> int:
    """What could be covered if a mix might come from several lots: no way of whole mixes covers more."""
    sharing = _sharing(case, 1, reach)
    wanted = sum(sharing.short)
    cover(sharing)
    return wanted - sum(sharing.short)
