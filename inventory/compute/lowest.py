"""Lowest stock of what is used up steadily: how much has to be there when it is ordered again.

Knows use and lead time; no material, no order.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, pstdev

from inventory.compute.reasons import Basis, Given, How, Input, number
from inventory.errors import Refused, say

FEWEST_WEEKS = 8
SURE = 1.645  # 95 of 100, of a normal spread
DAYS_A_WEEK = 7
_SOURCE = (
    "safety stock with uncertain lead time: Snyder and Shen, chapter 4 (read second-hand); normal spread"
)


@dataclass(frozen=True, slots=True)
class Lowest:
    """The lowest stock in base units; None while too few weeks say how much is used."""

    amount: int | None
    a_week: float
    weeks: int
    how: How


def lowest_stock(*, weeks: Sequence[int], lead_days: Given[int], lead_spread_days: float) -> Lowest:
    """How much should be there at least?

    Formula: use a week x L + 1.645 x sqrt(L x s_use^2 + use^2 x s_lead^2); L: lead time in
        weeks; rounded up.
    Units: base units; calendar days of lead time and its spread.
    Shapes: what was used in each of the last weeks, newest first; at least 8 weeks, one of them with use.
    Refuses: lowest.weeks, lowest.lead
    Source: safety stock with uncertain lead time: Snyder and Shen, chapter 4 (read second-hand).
    """
    if any(type(each) is not int or each < 0 for each in weeks):
        raise Refused(
            "lowest.weeks",
            say("A week's use is below nothing, or no whole number."),
            say("Enter whole amounts from 0 on."),
        )
    number(lead_days.value, code="lowest.lead", name="The lead time", unit="days", at_least=0, at_most=3650)
    number(lead_spread_days, code="lowest.lead", name="Its spread", unit="days", at_least=0, at_most=3650)
    mean, spread = (fmean(weeks), pstdev(weeks)) if weeks else (0.0, 0.0)
    lead, wobble = lead_days.value / DAYS_A_WEEK, lead_spread_days / DAYS_A_WEEK
    safety = SURE * math.sqrt(lead * spread**2 + mean**2 * wobble**2)
    enough = len(weeks) >= FEWEST_WEEKS and mean > 0
    how = How(
        "What is used while it is on the way, and a reserve for more use and for orders that take longer.",
        _SOURCE,
        (
            Input("weeks looked at", len(weeks)),
            Input("used a week", round(mean, 1), "", Basis.LEARNED),
            Input("spread of a week", round(spread, 1), "", Basis.LEARNED),
            Input("lead time", lead_days.value, "days", lead_days.basis),
            Input("its spread", round(lead_spread_days, 1), "days", Basis.LEARNED),
        ),
    )
    return Lowest(math.ceil(mean * lead + safety) if enough else None, mean, len(weeks), how)
