"""Demand: how many pairs the booked and open seats come to, and what of a material that asks for.

Knows seats, days and amounts; no guest, no stock, no supplier.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from operator import mul

from inventory.compute.demand_facts import (
    Needed,
    Use,
    Workshop,
    WorkshopNeed,
    refuse_bad_cover,
    refuse_bad_use,
    refuse_bad_workshop,
)
from inventory.compute.reasons import Basis, Given, How, Input
from inventory.errors import Refused, say

__all__ = [
    "COVER",
    "Needed",
    "Pairs",
    "Use",
    "Workshop",
    "WorkshopNeed",
    "least_that_covers",
    "needed",
    "pairs",
]

COVER = 0.9
_ROUNDING = 1e-12
_SOURCE = (
    "sum of independent binomials, exactly convolved (from memory); checked against scipy.stats.poisson_binom"
)


@dataclass(frozen=True, slots=True)
class Pairs:
    """How many pairs the season may come to.

    `chances[n]` is the chance that n of the open seats fill. `through` is, workshop by workshop in the order
    of their load days, the number of pairs that covers the season so far at `cover`.
    """

    booked: int
    full: int
    mean: float
    deviation: float
    cover: float
    chances: tuple[float, ...]
    through: tuple[tuple[str, int], ...]
    how: How

    @property
    def planned(self) -> int:
        """The pairs that cover the whole season."""
        return self.through[-1][1]


def pairs(*, workshops: Sequence[Workshop], cover: float = COVER) -> Pairs:
    """How many pairs the season comes to, and how many to plan for.

    Formula: pairs = booked + sum over the workshops of Bin(open seats, chance to fill), convolved exactly;
        planned through workshop t = the smallest number whose chance to be enough so far is >= cover.
    Units: pairs; chances and cover as fractions.
    Shapes: workshops in any order; the answer is in the order of their load days.
    Refuses: planning.no_workshop, planning.unnamed, planning.repeated, planning.days, planning.seats,
        planning.chance, planning.cover
    Source: sum of independent binomials, from memory; checked against scipy.stats.poisson_binom.
        Independence is assumed: a bad season moves all seats together, so read it beside booked and full.
    """
    in_order = _in_order(workshops)
    refuse_bad_cover(cover)
    so_far = _through(tuple((row.open_seats, float(row.fill_chance.value)) for row in in_order))
    booked, through = 0, []
    for row, chances in zip(in_order, so_far, strict=True):
        booked += row.booked_pairs
        through.append((row.code, booked + least_that_covers(chances=chances, cover=cover)))
    mean = sum(row.open_seats * row.fill_chance.value for row in in_order)
    variance = sum(row.open_seats * row.fill_chance.value * (1 - row.fill_chance.value) for row in in_order)
    how = How(
        "Booked pairs and, of the open seats, the smallest number that is enough with the chance to cover; "
        "each seat fills for itself.",
        _SOURCE,
        (
            Input("booked pairs", booked),
            Input("open seats", sum(row.open_seats for row in in_order)),
            Input("open seats expected to fill", mean, "", _weakest(row.fill_chance for row in in_order)),
            Input("cover", cover, "", Basis.ASSUMED),
        ),
    )
    full = booked + sum(row.open_seats for row in in_order)
    return Pairs(booked, full, booked + mean, math.sqrt(variance), cover, so_far[-1], tuple(through), how)


def needed(*, workshops: Sequence[Workshop], use: Use, cover: float = COVER) -> Needed:
    """What the season needs of one material, workshop by workshop.

    Formula: through workshop t: (booked amounts + per_pair x (the smallest number of open seats' pairs with
        this material that is enough with the chance to cover) + spare) x (1 + reserve) / (1 - loss), rounded
        up once; a workshop's need is what it adds. Pairs with the material ~ sum of Bin(open, fill chance x
        share). Spare = spare_pairs x per_pair x the most workshops on the road at once so far. Full: every
        seat fills. Booked: none.
    Units: whole numbers of the material's base unit; chances, share, loss and cover as fractions; the reserve
        in per cent.
    Shapes: `use.booked` has one amount a workshop, in the order given; the answer is by load day.
    Refuses: planning.no_workshop, planning.unnamed, planning.repeated, planning.days, planning.seats,
        planning.chance, planning.cover, planning.booked, planning.per_pair, planning.share, planning.loss,
        planning.spare, planning.reserve
    Source: dividing by (1 - loss), not adding loss: arithmetic. One complete spare pair a workshop: common
        practice, no source. Convolution: from memory.
    """
    refuse_bad_use(use, len(workshops))
    refuse_bad_cover(cover)
    in_order = _in_order(workshops)
    booked_of = dict(zip((row.code for row in workshops), use.booked, strict=True))
    share = float(use.share.value)
    kept = (1 - Fraction(str(use.loss.value))) * Fraction(100, 100 + use.reserve_percent.value)
    filling = _through(tuple((row.open_seats, row.fill_chance.value * share) for row in in_order))
    filled = _through(tuple((row.open_seats, share) for row in in_order))
    rows, booked, spare = [], 0, 0
    before = [0, 0, 0]
    for place, row in enumerate(in_order):
        booked += booked_of[row.code]
        on_the_road = sum(1 for other in in_order[: place + 1] if other.last_on >= row.load_on)
        spare = max(spare, use.spare_pairs.value * use.per_pair.value * on_the_road)
        likely = use.per_pair.value * least_that_covers(chances=filling[place], cover=cover)
        full = use.per_pair.value * least_that_covers(chances=filled[place], cover=cover)
        through = [_taken(booked + more + spare, kept) for more in (likely, 0, full)]
        added = [now - then for now, then in zip(through, before, strict=True)]
        rows.append(WorkshopNeed(row.code, row.load_on, row.last_on, *added))
        before = through
    return Needed(use.material, use.base, tuple(rows), cover, _how(use, in_order, cover))


def least_that_covers(*, chances: Sequence[float], cover: float) -> int:
    """The smallest number that is enough with the chance asked.

    Formula: smallest n with chances[0] + ... + chances[n] >= cover (within 1e-12).
    Units: chances as fractions, adding up to 1.
    Shapes: chances[n] is the chance of n.
    Refuses: planning.cover, planning.chances
    Source: the level (too few) / (too few + too many) of a one-season purchase: Snyder and Shen, chapter 4
        (read second-hand), is such a cover.
    """
    refuse_bad_cover(cover)
    total = 0.0
    for count, chance in enumerate(chances):
        total += chance
        if total >= cover - _ROUNDING:
            return count
    raise Refused(
        "planning.chances",
        say("The chances add up to {total}, less than {cover}.", total=total, cover=cover),
        say("Enter chances that add up to 1."),
    )


@lru_cache(maxsize=128)
def _through(seats: tuple[tuple[int, float], ...]) -> tuple[tuple[float, ...], ...]:
    """After each workshop, the chance of each number of filled seats so far."""
    so_far: tuple[float, ...] = (1.0,)
    out = []
    for count, chance in seats:
        so_far = _added(so_far, _binomial(count, chance))
        out.append(so_far)
    return tuple(out)


def _binomial(count: int, chance: float) -> tuple[float, ...]:
    return tuple(math.comb(count, n) * chance**n * (1 - chance) ** (count - n) for n in range(count + 1))


def _added(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    """The chances of the sum of two independent counts."""
    backwards, size, width = other[::-1], len(one), len(other)
    out = []
    for total in range(size + width - 1):
        start, stop = max(0, total - width + 1), min(size, total + 1)
        out.append(sum(map(mul, one[start:stop], backwards[width - 1 - total + start :])))
    return tuple(out)


def _taken(amount: int, kept: Fraction) -> int:
    """What has to be taken so that the amount is left, rounded up, in whole numbers."""
    return -(-amount * kept.denominator // kept.numerator)


def _in_order(workshops: Sequence[Workshop]) -> list[Workshop]:
    if not workshops:
        raise Refused(
            "planning.no_workshop",
            say("There are 0 workshops to plan for."),
            say("Enter at least one workshop."),
        )
    seen: set[str] = set()
    for row in workshops:
        refuse_bad_workshop(row)
        if row.code in seen:
            raise Refused(
                "planning.repeated",
                say("Workshop {code} is there twice.", code=row.code),
                say("Enter it once."),
            )
        seen.add(row.code)
    return sorted(workshops, key=lambda row: (row.load_on, row.last_on, row.code))


def _weakest(givens: Iterable[Given[float]]) -> Basis:
    """The basis of a sum: assumed when anything in it is."""
    found = {given.basis for given in givens}
    return next(basis for basis in reversed(Basis) if basis in found)


def _how(use: Use, workshops: Sequence[Workshop], cover: float) -> How:
    return How(
        "Through each workshop: booked amounts, the pairs of open seats that cover, and spare pairs; the "
        "owner's reserve on top; over (1 - loss), rounded up once; a workshop's need is what it adds.",
        _SOURCE,
        (
            Input("for booked pairs", sum(use.booked), use.base),
            Input("for one pair", use.per_pair.value, use.base, use.per_pair.basis),
            Input("share of pairs", use.share.value, "", use.share.basis),
            Input("lost", use.loss.value, "", use.loss.basis),
            Input("spare pairs", use.spare_pairs.value, "", use.spare_pairs.basis),
            Input("the owner's reserve", use.reserve_percent.value, "%", use.reserve_percent.basis),
            Input("open seats", sum(row.open_seats for row in workshops)),
            Input("cover", cover, "", Basis.ASSUMED),
        ),
    )
