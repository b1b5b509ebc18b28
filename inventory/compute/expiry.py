"""Until which day something may be used: by its label, its shelf life, its opening, a re-test.

Dates only; what warmth does to them is `ageing`. Knows no lot and no clock.
"""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from inventory.compute.reasons import How, Input, number
from inventory.compute.storage import FIRST_YEAR, LAST_YEAR
from inventory.errors import Refused, say

LONGEST_MONTHS = 600
LONGEST_DAYS = 9_999
DAYS_A_MONTH = 365.25 / 12
RULE = "the earlier of the label's date and opened on + life once opened; a re-test's date stands for both"
SOURCE = "common practice, no source; the label and the maker's sheet outrank it"

YEARS = range(1900, 2200)  # a day of another is a slip of the pen, and sums with it leave the calendar


class Ends(StrEnum):
    """What sets the last day."""

    LABEL = "the date on its label"
    SHELF_LIFE = "its making and its shelf life"
    OPENED = "its opening"
    RETEST = "its re-test"
    UNKNOWN = "nothing known"


@dataclass(frozen=True, slots=True)
class Usable:
    """The last day something may be used, None where nobody knows, and what sets it."""

    through: date | None
    by: Ends
    how: How

    def past(self, day: date) -> bool:
        """True on every day after the last one; a date that nobody knows is never passed."""
        return self.through is not None and self.through < day


def months_later(*, day: date, months: int) -> date:
    """The same day some months later, or the last day of that month where it has no such day.

    Units: dates, whole months.
    Refuses: expiry.day, expiry.months
    Source: calendar arithmetic as the standard library's `calendar.monthrange` has it.
    """
    _check_day(day)
    if not isinstance(months, int):
        raise Refused(
            "expiry.months",
            say("{months} is no whole number of months.", months=months),
            say("Enter whole months."),
        )
    number(months, code="expiry.months", name="The life", unit="months", at_least=0, at_most=LONGEST_MONTHS)
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def opened_through(*, opened_on: date, days: int) -> date:
    """The last day of what was opened on a day and lasts so many days from then.

    Units: dates, days.
    Refuses: expiry.day, expiry.days
    Source: common practice, no source.
    """
    _check_day(opened_on)
    number(days, code="expiry.days", name="The life once opened", unit="d", above=0, at_most=LONGEST_DAYS)
    return opened_on + timedelta(days=days)


def days_of_months(*, months: int) -> int:
    """Whole days that so many months last, rounded down.

    Formula: days = months x 365.25 / 12, rounded down.
    Units: months, days.
    Refuses: expiry.months
    Source: the mean Julian year of 365.25 days, from memory.
    """
    number(months, code="expiry.months", name="The life", unit="months", above=0, at_most=LONGEST_MONTHS)
    return int(months * DAYS_A_MONTH)


def usable(
    *,
    expires_on: date | None,
    opened_on: date | None = None,
    opened_life_days: int | None = None,
    extended_through: date | None = None,
    by_shelf_life: bool = False,
) -> Usable:
    """Until which day a package may be used.

    Formula: min(label or shelf life, opened on + life once opened); a re-test's date stands for both.
    Units: dates, days.
    Refuses: expiry.day, expiry.days
    Source: common practice, no source; the label and the maker's sheet outrank it.
    """
    label = Ends.SHELF_LIFE if by_shelf_life else Ends.LABEL
    opened = _opened_through(opened_on, opened_life_days)
    how = How(
        RULE,
        SOURCE,
        (
            Input("label's date", expires_on),
            Input("opened on", opened_on),
            Input("life once opened", opened_life_days, "d"),
            Input("extended by a re-test to", extended_through),
        ),
    )
    if extended_through is not None:
        return Usable(extended_through, Ends.RETEST, how)
    if opened is not None and (expires_on is None or opened < expires_on):
        return Usable(opened, Ends.OPENED, how)
    return Usable(expires_on, label if expires_on else Ends.UNKNOWN, how)


def last_day(
    *,
    expires_on: date | None,
    opened_on: date | None,
    opened_life_days: int | None,
    extended_through: date | None,
) -> date | None:
    """The same last day as `usable` has it, alone: for long lists.

    Formula: min(label or shelf life, opened on + life once opened); a re-test's date stands for both.
    Units: dates, days.
    Refuses: expiry.day, expiry.days
    Source: common practice, no source; the label and the maker's sheet outrank it.
    """
    if extended_through is not None:
        return extended_through
    opened = _opened_through(opened_on, opened_life_days)
    return min(filter(None, (expires_on, opened)), default=None)


def _opened_through(opened_on: date | None, days: int | None) -> date | None:
    return opened_through(opened_on=opened_on, days=days) if opened_on and days else None


def _check_day(day: date) -> None:
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise Refused(
            "expiry.day", say("{day} is not a possible day.", day=day), say("Read the label again.")
        )
