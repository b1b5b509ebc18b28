"""Exact chances from counts: how easily luck alone does this, and how that changes when many are compared.

Knows counts only: no ski, no lot, no season's name. `suspects` gives the counts their meaning.
"""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from operator import mul

from inventory.compute.reasons import How, Input, number
from inventory.errors import Refused, say


@dataclass(frozen=True, slots=True)
class Stratum:
    """One delivery season in four counts, all in the same unit (skis, or pairs)."""

    delivered: int
    exposed: int
    returned: int
    returned_exposed: int


@dataclass(frozen=True, slots=True)
class Luck:
    """The chance that luck alone does at least this, and the smallest it could be with these totals."""

    chance: float
    smallest: float
    how: How


def luck(*, strata: Sequence[Stratum]) -> Luck:
    """How likely luck alone would put at least so many of the returned among the exposed.

    Formula: within each season C(K, x) C(N - K, n - x) / C(N, n), N delivered, K exposed, n returned, x both;
        seasons convolved; chance = P(sum of x >= sum observed), smallest = P(sum of x = largest possible).
    Units: counts in, fractions 0 to 1 out.
    Shapes: one Stratum a delivery season, at least one.
    Refuses: suspects.counts, suspects.no_season
    Source: exact conditional test stratified by season (Fisher's exact test; Mantel and Haenszel's strata);
        from memory, checked against Fisher's tea tasting and scipy.stats.hypergeom.
    Caution: a small chance is no proof of a cause, and a large one is no all-clear.
    """
    if not strata:
        raise Refused(
            "suspects.no_season",
            say("There are 0 seasons to compare."),
            say("Enter the deliveries of at least one season."),
        )
    for stratum in strata:
        refuse_impossible(stratum)
    spreads = [spread(row.delivered, row.exposed, row.returned) for row in strata]
    observed = sum(row.returned_exposed for row in strata)
    how = How(
        rule="Within each delivery season every way of drawing the returned ones is equally likely; "
        "the seasons' counts add up; chance = share of the ways with at least as many exposed returned.",
        source="exact conditional test, stratified by delivery season (from memory)",
        inputs=tuple(
            Input(
                f"season {place}",
                f"{row.returned_exposed} of {row.exposed}; {row.returned} of {row.delivered}",
            )
            for place, row in enumerate(strata, 1)
        ),
    )
    return Luck(chance_at_least(observed, spreads), chance_of_most(spreads), how)


def refuse_impossible(row: Stratum) -> None:
    """Refuse counts that do not fit into each other.

    Formula: max(0, returned + exposed - delivered) <= both <= min(exposed, returned) <= delivered.
    Units: counts of skis, or of pairs.
    Refuses: suspects.counts
    Source: arithmetic.
    """
    counts = (row.delivered, row.exposed, row.returned, row.returned_exposed)
    whole = all(isinstance(count, int) and not isinstance(count, bool) for count in counts)
    lowest, most = max(0, row.returned + row.exposed - row.delivered), min(row.exposed, row.returned)
    if (
        not whole
        or not 0 <= row.exposed <= row.delivered
        or not 0 <= row.returned <= row.delivered
        or not lowest <= row.returned_exposed <= most
    ):
        raise Refused(
            "suspects.counts",
            say(
                "{both} of {exposed} exposed and {returned} returned cannot be, with {delivered} delivered.",
                both=row.returned_exposed,
                exposed=row.exposed,
                returned=row.returned,
                delivered=row.delivered,
            ),
            say("Enter whole counts of one unit that fit into each other."),
        )


Spread = tuple[int, list[float]]


def spread(delivered: int, exposed: int, returned: int) -> Spread:
    """The lowest possible count of exposed among the returned, and the chance of it and of each count above.

    Formula: C(K, x) C(N - K, n - x) / C(N, n), by the ratio of neighbours outward from the likeliest count:
        from the lowest count the first term underflows to 0.
    Units: counts in; chances as fractions.
    Shapes: the chances run from the lowest count to min(exposed, returned).
    Source: hypergeometric distribution (from memory); checked against scipy.stats.hypergeom.
    """
    others = delivered - exposed
    low, high = max(0, returned - others), min(exposed, returned)
    mode = min(max((returned + 1) * (exposed + 1) // (delivered + 2), low), high)
    down = [1.0]
    for x in range(mode, low, -1):
        down.append(down[-1] * (x * (others - returned + x)) / ((exposed - x + 1) * (returned - x + 1)))
    down.reverse()
    for x in range(mode, high):
        down.append(down[-1] * ((exposed - x) * (returned - x)) / ((x + 1) * (others - returned + x + 1)))
    total = sum(down)
    return low, [weight / total for weight in down]


def chance_of_most(spreads: Sequence[Spread]) -> float:
    """The chance of the largest count these totals allow: nothing observed can be less likely under luck.

    Formula: the product of the seasons' last chances.
    Units: fractions.
    Shapes: one spread a season.
    Source: Tarone 1990 uses it (from memory).
    """
    return math.prod(chances[-1] for _, chances in spreads)


def chance_at_least(count: int, spreads: Sequence[Spread]) -> float:
    """The chance that the seasons' counts add up to so many or more.

    Formula: P(sum over the spreads >= count), keeping only the sums that still decide it; all terms are
        positive.
    Units: a count in; a fraction out.
    Shapes: one spread a season.
    Source: convolution; checked against whole-number arithmetic, within 1e-9.
    """
    need = count - sum(low for low, _ in spreads)
    if need <= 0:
        return 1.0
    rows = sorted((chances for _, chances in spreads if len(chances) > 1), key=len)
    to_come = sum(len(chances) - 1 for chances in rows)
    first, state, reached = 0, [1.0], 0.0  # state[i] = chance that the sum so far is first + i
    for chances in rows:
        to_come -= len(chances) - 1
        reached += _crossing(first, state, chances, need)
        last = min(first + len(state) + len(chances) - 2, need - 1)
        lowest = max(first, need - to_come)
        state = _added(first, state, chances, lowest, last)
        first = lowest
    return min(reached, 1.0)


def _crossing(first: int, state: Sequence[float], chances: Sequence[float], need: int) -> float:
    """The chance that a sum below `need` comes to `need` or more with this season's count."""
    tails = list(chances)
    for place in range(len(tails) - 2, -1, -1):
        tails[place] += tails[place + 1]
    start = max(0, need - len(chances) + 1 - first)
    return sum(here * tails[need - first - place] for place, here in enumerate(state[start:], start))


def _added(first: int, state: list[float], chances: list[float], low: int, high: int) -> list[float]:
    """The chances of the sums low to high when one more season's count is added."""
    backwards = chances[::-1]
    size, width = len(state), len(chances)
    out = []
    for total in range(low - first, high - first + 1):
        start, stop = max(0, total - width + 1), min(size, total + 1)
        out.append(sum(map(mul, state[start:stop], backwards[width - 1 - total + start :])))
    return out


def holm(*, chances: Sequence[float]) -> list[float]:
    """Chances adjusted for having looked at all of them, in the order given.

    Formula: by rising p: the largest of (count - rank) p so far, at most 1.
    Units: fractions 0 to 1.
    Shapes: any number; the answer has as many.
    Refuses: suspects.probability
    Source: Holm 1979 (from memory); checked against a worked example in the tests.
    """
    for value in chances:
        number(value, code="suspects.probability", name="The chance", at_least=0, at_most=1)
    out, largest = [0.0] * len(chances), 0.0
    for rank, place in enumerate(sorted(range(len(chances)), key=chances.__getitem__)):
        largest = max(largest, min(1.0, (len(chances) - rank) * chances[place]))
        out[place] = largest
    return out


def could_reach(smallest: Collection[float], bar: float) -> int:
    """The smallest number m such that at most m lines could ever come to bar / m.

    Formula: smallest m with at most m of the smallest possible chances at or under bar / m.
    Units: fractions in; a count out.
    Shapes: one smallest chance a line.
    Source: Tarone 1990 (from memory).
    """
    rising = sorted(smallest)
    count = 1
    while sum(1 for least in rising if least * count <= bar) > count:
        count += 1
    return count
