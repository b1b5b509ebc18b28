"""What to expect of a supplier: how long it takes, and how long what comes in lasts. Knows no order.

Lead times are days on which the supplier is open, weekends left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inventory.compute.reasons import Basis, Given, How, Input

ENOUGH = 3  # own orders before they count
NOBODY_SAID = 20  # four weeks: rather late than short
MOST_LOOKED_AT = 8
LEFT_WHEN_IN = 0.75  # of a shelf life, where nobody saw
_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Lead:
    """What to plan with, and what the shop's own orders took: how many, the middle one, the ends."""

    planned: Given[int]
    orders: int
    middle: int | None
    shortest: int | None
    longest: int | None
    how: How


def open_days(*, first: date, last: date) -> int:
    """How many days Monday to Friday come after the first day, up to and including the last.

    Formula: whole weeks x 5 + the weekdays of the rest.
    Units: days.
    Source: calendar arithmetic; checked against numpy.busday_count.
    """
    if last <= first:
        return 0
    weeks, rest = divmod((last - first).days, 7)
    return weeks * 5 + sum((first.weekday() + day) % 7 < 5 for day in range(1, rest + 1))


def lead_time(*, seen: Sequence[int], said: int | None) -> Lead:
    """Which lead time should be planned with?

    Formula: with 3 own orders or more, the larger of what the card says and the day by which 4 of 5 of the
        last 8 were here (nearest rank); with fewer, what the card says; when it says nothing, the larger of
        20 days and the longest seen.
    Units: open days.
    Shapes: `seen` newest first.
    Source: common practice, no source; nearest rank as in any textbook.
    """
    looked = sorted(seen[:MOST_LOOKED_AT])
    count = len(looked)
    slow = looked[-(-4 * count // 5) - 1] if looked else 0
    if said is None:
        days = max(NOBODY_SAID, slow if count >= ENOUGH else max(looked, default=0))
        planned = Given(days, Basis.ASSUMED, "nobody said how long it takes")
    elif count >= ENOUGH and slow > said:
        planned = Given(slow, Basis.LEARNED, f"own orders: {count}")
    else:
        planned = Given(said, Basis.DATA_SHEET, "the offer's card")
    how = How(
        "The card's days; with 3 own orders or more never fewer than 4 of 5 of them took; where nobody said, "
        "20 days.",
        _PRACTICE,
        (
            Input("said on the card", "–" if said is None else said, "days", Basis.DATA_SHEET),
            Input("own orders looked at", count),
            *(Input(name, days, "days", Basis.MEASURED) for name, days in _ends(looked)),
        ),
    )
    middle = looked[(count - 1) // 2] if looked else None
    return Lead(planned, count, middle, looked[0] if looked else None, looked[-1] if looked else None, how)


def _ends(looked: Sequence[int]) -> list[tuple[str, int]]:
    return [("shortest", looked[0]), ("longest", looked[-1])] if looked else []


def life_left(*, seen: Sequence[int], shelf_days: int | None) -> Given[int] | None:
    """How many days may what comes in be used, from the day it comes in? None: it has no date.

    Formula: with 3 own lots or more, the lower middle of the last 8; with fewer, 3/4 of the shelf life; with
        neither, the shortest seen.
    Units: days.
    Shapes: `seen` newest first: from delivery to last day.
    Source: common practice, no source.
    """
    looked = sorted(max(0, days) for days in seen[:MOST_LOOKED_AT])
    if len(looked) >= ENOUGH:
        return Given(looked[(len(looked) - 1) // 2], Basis.LEARNED, f"own lots: {len(looked)}")
    if shelf_days is not None:
        return Given(int(shelf_days * LEFT_WHEN_IN), Basis.ASSUMED, "three quarters of the shelf life")
    return Given(looked[0], Basis.LEARNED, f"own lots: {len(looked)}") if looked else None
