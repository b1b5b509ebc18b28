"""How much of a material is used for what ends up in the pairs, by whole trips whose packages were counted.

One trip teaches nothing by itself, and what several teach moves the factor only part of the way. A person
accepts it. Knows no package and no trip's name.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.compute.needs import Factor
from inventory.compute.reasons import Basis, How, Input
from inventory.errors import Refused, say

FEWEST_TRIPS = 2
HALF_WAY_PAIRS = 10  # so many pairs move the factor half the way
_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class TripUse:
    """One trip: what its lay-up puts into the pairs, and what is gone from the counted packages."""

    net: int
    used: int
    pairs: int

    @property
    def ratio(self) -> float:
        """What is used over what is in the pairs."""
        return self.used / self.net


@dataclass(frozen=True, slots=True)
class Offered:
    """A factor to accept, or None while it is from fewer than two trips; with how far the trips lie apart."""

    factor: Factor | None
    trips: int
    pairs: int
    lowest: float
    highest: float
    raw: float
    how: How


def possible(net: int, used: int) -> bool:
    """Whether so much can have been used for so much: at least 0.3, at most 5 times."""
    return net > 0 and net * 3 <= used * 10 <= net * 50


def offer(*, trips: Sequence[TripUse], usual: float) -> Offered:
    """Which factor do these trips suggest?

    Formula: raw = all used / all net; weight = pairs / (pairs + 10); expected = usual + weight x (raw -
        usual). Lowest and highest are those of the trips, never past the expected. Used is what is gone from
        the counted packages: taken out, differences at the count, written off.
    Units: a ratio; net and used of a trip in the same base unit
    Shapes: at least one trip; fewer than two give no factor yet
    Refuses: needs.trips
    Source: common practice, no source (two trips, half the way at ten pairs)
    """
    if not trips or not all(possible(trip.net, trip.used) and trip.pairs > 0 for trip in trips):
        raise Refused(
            "needs.trips",
            say("A trip used what cannot have been used for its pairs, or there are 0 trips."),
            say("Leave that trip out, or put its record right."),
        )
    pairs = sum(trip.pairs for trip in trips)
    raw = Fraction(sum(trip.used for trip in trips), sum(trip.net for trip in trips))
    weight = Fraction(pairs, pairs + HALF_WAY_PAIRS)
    expected = float(Fraction(usual) + weight * (raw - Fraction(usual)))
    ratios = [trip.ratio for trip in trips]
    inputs = (
        Input("trips", len(trips)),
        Input("pairs", pairs),
        Input("all used over all net", round(float(raw), 4)),
        Input("usual factor", usual, "", Basis.ASSUMED),
        Input("weight", round(float(weight), 4)),
    )
    how = How("usual + pairs / (pairs + 10) x (all used / all net - usual)", _PRACTICE, inputs)
    factor = None
    if len(trips) >= FEWEST_TRIPS:
        source = f"learned from {pairs} pairs on {len(trips)} trips"
        factor = Factor(min(*ratios, expected), expected, max(*ratios, expected), Basis.LEARNED, source)
    return Offered(factor, len(trips), pairs, min(ratios), max(ratios), float(raw), how)
