"""What a season's warranty terms suggest for a return. A person decides, and says why. Knows no table."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from inventory.compute.expiry import months_later
from inventory.compute.reasons import Basis, How, Input
from inventory.errors import Sentence, say

SOURCE = "the shop's own terms; what the law adds, they do not say"


class Suggests(StrEnum):
    """What the terms come to."""

    COVERED = "covered"
    NOT_COVERED = "not covered"
    CANNOT_SAY = "cannot say"


@dataclass(frozen=True, slots=True)
class Terms:
    """A season's terms as its card says them."""

    name: str
    months: int
    not_for: Collection[str]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What the terms suggest, why, and until which day they run (None: no terms, or no hand-over)."""

    suggests: Suggests
    sentence: Sentence
    until: date | None
    how: How


def suggest(*, terms: Terms | None, handed_over_on: date | None, came_on: date, cause: str) -> Suggestion:
    """What the terms of the season suggest for one return.

    Formula: covered when came_on <= hand-over + months and the cause is not left out; a cause that is empty
        or "unknown" leaves it open; no terms for the day of the hand-over, or no hand-over: cannot say.
    Units: calendar days, whole months.
    Source: the shop's own terms.
    Caution: it suggests. Consumer law may give the owner more than the terms do.
    """
    if terms is None or handed_over_on is None:
        sentence = say("No warranty terms cover the day on which it was handed over.")
        return Suggestion(Suggests.CANNOT_SAY, sentence, None, How("", SOURCE))
    until = months_later(day=handed_over_on, months=terms.months)
    how = How(
        "came back by the day of the hand-over and the months of the terms; cause not left out by the terms",
        SOURCE,
        (
            Input("handed over", handed_over_on.isoformat()),
            Input("months", terms.months, "", Basis.DATA_SHEET),
            Input("came back", came_on.isoformat()),
            Input("cause", cause or "not said"),
        ),
    )
    found, sentence = _judge(terms, until, came_on, cause)
    return Suggestion(found, sentence, until, how)


def _judge(terms: Terms, until: date, came_on: date, cause: str) -> tuple[Suggests, Sentence]:
    if came_on > until:
        sentence = say("The terms {name} ran to {until}; it came back later.", name=terms.name, until=until)
        return Suggests.NOT_COVERED, sentence
    if cause in terms.not_for:
        sentence = say("The terms {name} leave out this cause: {cause}.", name=terms.name, cause=cause)
        return Suggests.NOT_COVERED, sentence
    if cause in ("", "unknown"):
        sentence = say(
            "The terms {name} run to {until}; without a cause they cannot say more.",
            name=terms.name,
            until=until,
        )
        return Suggests.CANNOT_SAY, sentence
    sentence = say("The terms {name} run to {until}, and cover this cause.", name=terms.name, until=until)
    return Suggests.COVERED, sentence
