"""What every result of this room is made of: given values, how a number was computed, reasons, verdicts.

Knows no topic. A page unfolds a `How`; it never computes anything again.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum, StrEnum
from typing import Generic, TypeVar

from inventory.errors import Refused, Sentence, say

T = TypeVar("T")


class Basis(StrEnum):
    """Where a value comes from."""

    MEASURED = "measured"
    DATA_SHEET = "data sheet"
    LEARNED = "learned"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class Given(Generic[T]):
    """A value and where it comes from: `Given(30.0, Basis.DATA_SHEET, "sheet of 3 May 2025")`."""

    value: T
    basis: Basis = Basis.ASSUMED
    source: str = ""


@dataclass(frozen=True, slots=True)
class Input:
    """One line of an unfolded sum: name, value, unit as shown, basis."""

    name: str
    value: object
    unit: str = ""
    basis: Basis = Basis.MEASURED


@dataclass(frozen=True, slots=True)
class How:
    """How a number was got: the rule in words or a formula, where the rule is from, what went in."""

    rule: str
    source: str
    inputs: tuple[Input, ...] = ()


class Level(IntEnum):
    """How much a reason weighs; a verdict is as heavy as its heaviest reason."""

    FINE = 0
    LOOK = 1
    UNKNOWN = 2
    STOP = 3


@dataclass(frozen=True, slots=True)
class Reason:
    """One fact behind an answer: a stable code, a whole sentence, its weight, and how it was got."""

    code: str
    sentence: Sentence
    level: Level
    how: How | None = None
    facts: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Verdict:
    """An answer with its reasons, worst first."""

    reasons: tuple[Reason, ...] = ()

    @property
    def level(self) -> Level:
        """The heaviest reason's weight; FINE when there is none."""
        return max((reason.level for reason in self.reasons), default=Level.FINE)

    @property
    def ok(self) -> bool:
        """True when nothing stops and nothing is unknown."""
        return self.level <= Level.LOOK


def verdict(*reasons: Reason) -> Verdict:
    """A verdict of these reasons, worst first, otherwise in the order given."""
    return Verdict(tuple(sorted(reasons, key=lambda reason: -reason.level)))


def number(
    value: float,
    *,
    code: str,
    name: str,
    unit: str = "",
    at_least: float | None = None,
    above: float | None = None,
    at_most: float | None = None,
) -> float:
    """Return `value` when it is a finite number within bounds; otherwise refuse with `code`.

    Refuses: the caller's code, with the name, the value and its unit in the sentence.
    """
    values = {"name": name, "value": value, "unit": unit}
    ask = say("Enter {name} again, with its unit.", name=name)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        shown = f"{value} {unit}".strip()
        raise Refused(code, say("{name} is {shown}, which is not a number.", name=name, shown=shown), ask)
    low = at_least if at_least is not None else above
    if (at_least is not None and value < at_least) or (above is not None and value <= above):
        template = "{name} is {value} {unit}, below what is possible ({bound} {unit})."
        bare = "{name} is {value}, below what is possible ({bound})."
        raise Refused(code, say(template if unit else bare, bound=low, **values), ask)
    if at_most is not None and value > at_most:
        template = "{name} is {value} {unit}, above what is possible ({bound} {unit})."
        bare = "{name} is {value}, above what is possible ({bound})."
        raise Refused(code, say(template if unit else bare, bound=at_most, **values), ask)
    return value
