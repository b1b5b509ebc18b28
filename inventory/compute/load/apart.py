"""A scale against the list: how much more it shows, and how far the two may be apart for nothing.

Knows no trailer and no thing.
"""

import math
from dataclasses import dataclass

from inventory.compute.load.facts import Estimate, Near
from inventory.compute.reasons import Basis, Given, How, Input

COVERAGE = 2.0
"""Twice the standard uncertainty: about 95 in 100 of what is due to doubt alone lies within."""


@dataclass(frozen=True, slots=True)
class Apart:
    """How much more the scale shows than the list, below 0 when it is less, and what doubt alone may do."""

    more_kg: float
    allowed_kg: float
    how: How

    @property
    def differs(self) -> bool:
        """True when doubt alone does not account for it."""
        return abs(self.more_kg) > self.allowed_kg


def apart(*, listed: Estimate, scale: Given[Near]) -> Apart:
    """How much more does the scale show than the list, and is that more than their doubts together?

    Formula: more = scale - list; a give or take is the half-width of what is equally likely, u = give or
        take / sqrt(3); sources each by itself: u(more) = sqrt(u(list)^2 + u(scale)^2); allowed = 2 u(more).
        The basis of the scale is that of its give or take: what it shows is read.
    Units: kg.
    Refuses: nothing
    Source: JCGM 100:2008 (GUM), 4.3.7 half-widths, 5.1.2 independent sources, 6.2.1 and 6.3.3 coverage factor
        2 (from memory)
    Caution: What is missing from the list is not in its doubt: it makes the scale show more. Errors that go
        together, such as every container forgotten, add up and show as a difference: they are to be found.
    """
    shown, doubt = scale.value.value, scale.value.give_or_take
    u = math.hypot(listed.apart_kg, doubt) / math.sqrt(3.0)
    inputs = (
        Input("by the list", round(listed.kg, 1), "kg", Basis.ASSUMED),
        Input("give or take, list", round(listed.apart_kg, 1), "kg", Basis.ASSUMED),
        Input("on the scale", round(shown, 1), "kg"),
        Input("give or take, scale", round(doubt, 1), "kg", scale.basis),
    )
    how = How(
        "scale - list, against 2 x sqrt((give or take, list)^2 + (give or take, scale)^2) / sqrt(3)",
        "JCGM 100:2008 (GUM), 4.3.7, 5.1.2, 6.3.3 (from memory)",
        inputs,
    )
    return Apart(shown - listed.kg, COVERAGE * u, how)
