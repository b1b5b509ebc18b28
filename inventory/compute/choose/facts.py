"""What goes into a choice of lots and what comes out: plain values. Computes nothing but its own checks.

Draws and needs met are named tuples because a season has thousands of them, and these are quicker to make.
"""

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple

from inventory.compute.reasons import How, Verdict
from inventory.compute.units import Base
from inventory.errors import Refused, Sentence, say

KEEPS = date.max
"""The last day of something that does not pass a date, such as steel edges. Unknown is None, never this."""

_ENTER = say("Enter it again.")


class Method(StrEnum):
    """What answered."""

    SWEEP = "first expired, first out"
    FLOW = "maximum flow"
    SEARCH = "search"


class Why(StrEnum):
    """Why a lot does not cover a need that stayed short."""

    HELD = "on hold"
    UNDATED = "its last usable day is unknown"
    PASSED = "passes its date before the last use"
    LATE = "not here by the load day"
    ELSEWHERE = "in a place out of reach"
    USED_UP = "needed elsewhere"
    TOO_LITTLE = "too little left for a mix from one lot"


@dataclass(frozen=True, slots=True)
class Lot:
    """So much of one lot in one place, or one package of it: what can be drawn from.

    `amount` is a whole number of the material's base unit. `last_day` is the last day it may be used, that
    day included: the earliest of label, opened life and effective age, less the shop's margin. `KEEPS` when
    it has none, None when nobody knows. `available_from` is the day it is here; None when it is here now.
    Refuses: choose.amount, choose.date, choose.lot_dates
    """

    key: str
    amount: int
    last_day: date | None
    place: str = ""
    available_from: date | None = None
    held: bool = False

    def __post_init__(self) -> None:
        check_amount(self.amount, self.key)
        for day in (self.last_day, self.available_from):
            if day is not None:
                check_day(day, self.key)
        if self.available_from and self.last_day and self.available_from > self.last_day:
            template = "{lot} is here from {start} but passes its date before, on {end}."
            sentence = say(template, lot=self.key, start=self.available_from, end=self.last_day)
            raise Refused("choose.lot_dates", sentence, say("Check both days on the order and on the label."))


@dataclass(frozen=True, slots=True)
class Need:
    """So much needed by one trip, workshop, pair or mix.

    It is loaded on `load_day` and used up to and including `last_day`. What lies in one of its `trailers` is
    aboard; everything else in `reach` is to be loaded. `reach` None: every place can be reached.
    Refuses: choose.amount, choose.date, choose.need_dates
    """

    key: str
    amount: int
    load_day: date
    last_day: date
    trailers: AbstractSet[str] = frozenset()
    reach: AbstractSet[str] | None = None

    def __post_init__(self) -> None:
        check_amount(self.amount, self.key)
        check_day(self.load_day, self.key)
        check_day(self.last_day, self.key)
        if self.load_day > self.last_day:
            template = "{need} is loaded on {start}, after its last use on {end}."
            sentence = say(template, need=self.key, start=self.load_day, end=self.last_day)
            raise Refused("choose.need_dates", sentence, say("Put the days of the trip in order."))


def check_amount(amount: object, key: str) -> None:
    """Is this an amount: a whole number of base units, zero or more?

    Formula: amount >= 0
    Units: one base unit.
    Refuses: choose.amount
    Source: common practice, no source
    """
    if type(amount) is not int or amount < 0:
        sentence = say(
            "The amount of {key} is {amount}, not a whole number from zero up.", key=key, amount=amount
        )
        raise Refused("choose.amount", sentence, _ENTER)


def check_day(day: object, key: str) -> None:
    """Is this a day of the calendar? A moment with an hour cannot be compared with one.

    Formula: a date without an hour
    Units: days.
    Refuses: choose.date
    Source: common practice, no source
    """
    if not isinstance(day, date) or isinstance(day, datetime):
        raise Refused("choose.date", say("{day} of {key} is not a day.", day=day, key=key), _ENTER)


class Draw(NamedTuple):
    """Take so much of this lot for this need; `aboard` when it lies in one of the need's trailers already."""

    need: str
    lot: str
    amount: int
    aboard: bool


class PassedOver(NamedTuple):
    """A lot that does not help a short need, and why."""

    lot: str
    why: Why


class Met(NamedTuple):
    """How one need is met: needed = aboard + to_load + short.

    `short_at_best` is what stays short even if every lot without a date turned out to be good.
    """

    need: str
    needed: int
    aboard: int
    to_load: int
    short: int
    short_at_best: int
    passed_over: tuple[PassedOver, ...] = ()


class Rest(NamedTuple):
    """What stays of a lot; `expires` when its last day comes before the horizon."""

    lot: str
    amount: int
    last_day: date | None
    expires: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """Who gets what. Amounts are whole numbers of `base`.

    `draws` go by the day the needs end, then by the day the lots pass; `met` in the order the needs came in.
    `moved` is the amount drawn from outside the needs' own trailers. `certain` is False only when a search
    for mixes ended before every way was tried and more might be covered.
    """

    base: Base
    draws: tuple[Draw, ...]
    met: tuple[Met, ...]
    rests: tuple[Rest, ...]
    moved: int
    method: Method
    why: Sentence
    certain: bool
    verdict: Verdict
    how: How

    @property
    def short(self) -> int:
        """What is short in all."""
        return sum(met.short for met in self.met)

    @property
    def expiring(self) -> tuple[Rest, ...]:
        """What passes its date unused before the horizon."""
        return tuple(rest for rest in self.rests if rest.expires)
