"""Which failure rate a count allows: the exact interval of Clopper and Pearson.

Knows counts only: no ski, no lot, no season.
"""

import math
from dataclasses import dataclass
from itertools import count

from inventory.compute.chance import Stratum, refuse_impossible
from inventory.compute.reasons import Basis, How, Input, number
from inventory.errors import Refused, say

_TINY = 1e-300


@dataclass(frozen=True, slots=True)
class Rate:
    """A reported failure rate (a fraction) with the exact interval around it."""

    failed: int
    of: int
    low: float
    high: float
    confidence: float
    how: How


def rate(*, failed: int, of: int, confidence: float = 0.95) -> Rate:
    """Which reported failure rate is plausible when `failed` of `of` came back.

    Formula: low where P(X >= failed) = (1 - confidence) / 2, high where P(X <= failed) is that; X binomial.
    Units: counts in, fractions 0 to 1 out.
    Refuses: suspects.counts, suspects.confidence
    Source: Clopper and Pearson 1934 (from memory), checked against scipy.stats.binomtest.
    Caution: only what was reported is counted; skis nobody sent back may have failed too.
    """
    number(confidence, code="suspects.confidence", name="The confidence", at_least=0.5, at_most=0.9999)
    if of == 0:
        raise Refused(
            "suspects.counts",
            say("{failed} of 0 is no rate.", failed=failed),
            say("Enter how many were delivered."),
        )
    refuse_impossible(Stratum(of, of, failed, failed))
    each = (1 - confidence) / 2
    low = 0.0 if failed == 0 else _beta_quantile(each, failed, of - failed + 1)
    high = 1.0 if failed == of else _beta_quantile(1 - each, failed + 1, of - failed)
    how = How(
        rule="Clopper-Pearson: below the low rate so many, above the high rate so few, "
        "would be rarer than (1 - confidence) / 2.",
        source="Clopper and Pearson 1934 (from memory)",
        inputs=(
            Input("reported failed", failed),
            Input("delivered", of),
            Input("confidence", confidence, "", Basis.ASSUMED),
        ),
    )
    return Rate(failed, of, low, high, confidence, how)


def _beta_quantile(chance: float, a: int, b: int) -> float:
    """The x at which the regularised incomplete beta function is `chance`: Newton inside a bracket."""
    front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    low, high = 0.0, 1.0
    x = a / (a + b)
    while True:
        below, slope = _beta(front, a, b, x)
        if below > chance:
            high = x
        else:
            low = x
        step = x - (below - chance) / slope if slope > _TINY else low
        if not low < step < high:
            step = (low + high) / 2
        if abs(step - x) <= 1e-14 * step:
            return step
        x = step


def _beta(front: float, a: int, b: int, x: float) -> tuple[float, float]:
    """The regularised incomplete beta function at x, and its slope there."""
    log_x, log_y = math.log(x), math.log1p(-x)
    weight = math.exp(front + a * log_x + b * log_y)
    slope = weight / (x * (1 - x))
    if x < (a + 1) / (a + b + 2):
        return weight * _continued_fraction(a, b, x) / a, slope
    return 1 - weight * _continued_fraction(b, a, 1 - x) / b, slope


def _continued_fraction(a: int, b: int, x: float) -> float:
    """The continued fraction of the incomplete beta function, by Lentz's method."""
    c, d = 1.0, 1 / (1 - (a + b) * x / (a + 1))
    out = d
    for m in count(1):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d = 1 / (1 + even * d)
        c = 1 + even / c
        out *= d * c
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        d = 1 / (1 + odd * d)
        c = 1 + odd / c
        out *= d * c
        if abs(d * c - 1) < 1e-15:
            break
    return out
