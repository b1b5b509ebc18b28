"""What one cell of a sheet says: text, number, day, moment, yes or no. What can mean two things is a fault.

Knows no file and no column; a cell comes as a spreadsheet keeps it, or as the text of a CSV file.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from enum import StrEnum

from inventory.errors import Sentence, say

TEXT_MOST = 2_000
DIGITS_MOST = 15  # what spreadsheets keep of a number

Cell = str | int | Decimal | date | datetime | bool | None


class Kind(StrEnum):
    """What the cells of a column say."""

    TEXT = "text"
    WHOLE = "whole number"
    NUMBER = "number"
    DAY = "date"
    MOMENT = "date and time"
    YES_NO = "yes or no"


class DayOrder(StrEnum):
    """In which order a date is written."""

    YMD = "year, month, day"
    DMY = "day, month, year"
    MDY = "month, day, year"


@dataclass(frozen=True, slots=True)
class Manner:
    """How the numbers and dates of a column are written, as far as that is known."""

    decimal_mark: str | None = None
    day_order: DayOrder | None = None


class Fault(Exception):
    """Why a cell cannot be taken, as a whole sentence. It is collected, not shown as an error."""

    def __init__(self, sentence: Sentence) -> None:
        super().__init__(sentence)
        self.sentence = sentence


# Sign, whole part in groups or not, the mark between groups, decimal mark, decimals.
_NUMBER = re.compile(r"(-?)([0-9]*|[0-9]{1,3}(?:([ '.,])[0-9]{3})(?:\3[0-9]{3})*)(?:([.,])([0-9]+))?")
_FIRST_GROUP = re.compile(r"[1-9][0-9]{0,2}")
_ODD_SPACES = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " ", "’": "'", "−": "-"})
_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})")
_YEAR_LAST = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4})")
_SHORT_YEAR = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{2})")
_TIME = re.compile(r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2})(?:[.,]0{1,6})?)?")
_YES, _NO = {"yes", "y", "true", "1", "x"}, {"no", "n", "false", "0"}


def read_cell(raw: object, kind: Kind, manner: Manner) -> Cell:
    """The value of a cell; `None` for an empty one. Raises Fault."""
    if isinstance(raw, str):
        raw = raw.strip()
    if raw is None or raw == "":
        return None
    return _READERS[kind](raw, manner)


def number_of(text: str, decimal_mark: str | None) -> Decimal:
    """A typed number. Raises Fault where a comma or dot can stand before decimals or between groups."""
    match = _NUMBER.fullmatch(text.translate(_ODD_SPACES))
    if not match or not (match[2] or match[5]):
        raise _no_number(text)
    sign, whole, group, mark, decimals = match.groups()
    if group and group in (mark, decimal_mark):
        raise _no_number(text)
    two_ways = mark and not group and len(decimals) == 3 and _FIRST_GROUP.fullmatch(whole)
    if two_ways and decimal_mark is None:
        raise Fault(
            say(
                "“{text}” can be {joined} or {whole}.{decimals}; say which mark stands before decimals.",
                text=text,
                joined=whole + decimals,
                whole=whole,
                decimals=decimals,
            )
        )
    if mark and decimal_mark not in (None, mark):
        if not two_ways:
            raise _no_number(text)
        return Decimal(sign + whole + decimals)
    digits = re.sub("[^0-9]", "", whole)
    return Decimal(f"{sign}{digits or 0}.{decimals or 0}") if mark else Decimal(sign + digits)


def day_of(text: str, order: DayOrder | None) -> date:
    """A typed date. Raises Fault for one that is none, or can be two."""
    for pattern in (_YEAR_FIRST, _YEAR_LAST, _SHORT_YEAR):
        match = pattern.fullmatch(text)
        if match:
            parts = (int(match[1]), int(match[3]), int(match[4]))
            century = 2000 if pattern is _SHORT_YEAR else 0
            found = {_in_order(parts, each, century) for each in _orders(pattern, order)}
            return _only(text, {day for day in found if day})
    raise Fault(say("“{text}” is no date; write it as 2026-12-31.", text=shortened(text)))


def _orders(pattern: re.Pattern[str], order: DayOrder | None) -> tuple[DayOrder, ...]:
    """The orders a date can be read in: by where its year stands, and by the order given."""
    if pattern is _YEAR_FIRST:
        return (DayOrder.YMD,)
    if order is not None and (pattern is _SHORT_YEAR or order is not DayOrder.YMD):
        return (order,)
    return tuple(DayOrder) if pattern is _SHORT_YEAR else (DayOrder.DMY, DayOrder.MDY)


def _only(text: str, found: set[date]) -> date:
    """The one day that a text can be."""
    if not found:
        raise Fault(say("“{text}” is no day of the calendar.", text=text))
    if len(found) > 1:
        days = ", or ".join(day.isoformat() for day in sorted(found))
        raise Fault(
            say("“{text}” can be {days}; say in which order the dates are written.", text=text, days=days)
        )
    return found.pop()


def _in_order(parts: tuple[int, int, int], order: DayOrder, century: int) -> date | None:
    first, second, third = parts
    year, month, day = {
        DayOrder.YMD: (first, second, third),
        DayOrder.DMY: (third, second, first),
        DayOrder.MDY: (third, first, second),
    }[order]
    try:
        return date(century + year, month, day)
    except ValueError:
        return None


def _read_text(raw: object, _manner: Manner) -> Cell:
    if isinstance(raw, bool | date | time):
        raise Fault(
            say(
                "The spreadsheet made {value} of this text; format the column as text and type it again.",
                value=raw,
            )
        )
    text = raw if isinstance(raw, str) else format(_read_number(raw, Manner()), "f")
    if len(text) > TEXT_MOST:
        raise Fault(
            say("The text has {length} characters; {most} is the most.", length=len(text), most=TEXT_MOST)
        )
    return text


def _read_number(raw: object, manner: Manner) -> Decimal:
    if isinstance(raw, str):
        found = number_of(raw, manner.decimal_mark)
    elif isinstance(raw, int | float) and not isinstance(raw, bool):
        found = Decimal(format(raw, f".{DIGITS_MOST}g")) if isinstance(raw, float) else Decimal(raw)
    else:
        raise Fault(say("“{value}” is no number.", value=raw))
    if abs(found) >= Decimal(10) ** DIGITS_MOST or found.adjusted() < -DIGITS_MOST:
        raise Fault(
            say("“{value}” has more than {most} digits.", value=shortened(str(raw)), most=DIGITS_MOST)
        )
    return found


def _read_whole(raw: object, manner: Manner) -> Cell:
    found = _read_number(raw, manner)
    if found != found.to_integral_value():
        raise Fault(say("“{value}” is no whole number.", value=shortened(str(raw))))
    return int(found)


def _read_day(raw: object, manner: Manner) -> Cell:
    found = _moment_of(raw, manner)
    if found.time() != time(0):
        raise Fault(say("“{value}” has a time of day; only the date belongs here.", value=found))
    return found.date()


def _read_moment(raw: object, manner: Manner) -> Cell:
    return _moment_of(raw, manner)


def _moment_of(raw: object, manner: Manner) -> datetime:
    """A date with its time of day, midnight where none is given."""
    if isinstance(raw, datetime):
        return raw
    if isinstance(raw, date):
        return datetime.combine(raw, time(0))
    if not isinstance(raw, str):
        raise Fault(say("“{value}” is no date; write it as 2026-12-31.", value=raw))
    day, _, clock = raw.replace("T", " ").partition(" ")
    return datetime.combine(day_of(day, manner.day_order), time_of(clock.strip()) if clock else time(0))


def time_of(text: str) -> time:
    """A typed time of day, 24 hours. Raises Fault."""
    match = _TIME.fullmatch(text)
    hour, minute, second = (int(part or 0) for part in match.groups()) if match else (25, 0, 0)
    try:
        return time(hour, minute, second)
    except ValueError:
        raise Fault(say("“{text}” is no time of day; write it as 14:30.", text=shortened(text))) from None


def _read_yes_no(raw: object, _manner: Manner) -> Cell:
    word = str(raw).casefold()
    if word in _YES or word in _NO:
        return word in _YES
    raise Fault(say("“{value}” is neither yes nor no.", value=shortened(str(raw))))


_READERS: dict[Kind, Callable[[object, Manner], Cell]] = {
    Kind.TEXT: _read_text,
    Kind.WHOLE: _read_whole,
    Kind.NUMBER: _read_number,
    Kind.DAY: _read_day,
    Kind.MOMENT: _read_moment,
    Kind.YES_NO: _read_yes_no,
}


def _no_number(text: str) -> Fault:
    return Fault(say("“{text}” is no number; write only digits and one decimal mark.", text=shortened(text)))


def clean(text: str) -> str:
    """A text without what no sheet can hold; every line ends alike."""
    return _UNPRINTABLE.sub("\ufffd", text.replace("\r\n", "\n").replace("\r", "\n"))


def letters(at: int) -> str:
    """A column's letters, counted from 0: A, B ... Z, AA."""
    text = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def shortened(text: str) -> str:
    """Fit for a sentence."""
    return text if len(text) <= 40 else text[:39] + "…"
