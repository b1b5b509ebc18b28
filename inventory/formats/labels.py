"""What a supplier's label says: article, lot, dates, serial, amount. From a scan, or from what people typed.

Says only what the label says: an identifier that is not read here is kept aside, a contradiction is refused.
Knows no material, no lot of the shop's own and no clock.

Example: `read("]C1010952123454321310ABC\\x1d17251231", today=date(2026, 1, 1)).lot` is "ABC".
"""

import calendar
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields
from datetime import date

from inventory.errors import Refused, Sentence, say
from inventory.formats.labels_ai import Element, has_check_digit, is_digits, wrong_character, wrong_length
from inventory.formats.labels_split import has_separator, split

TEXT_MOST, COUNT_MOST = 20, 8  # GS1 Barcode Syntax Dictionary: X..20 of (10) and (21), N..8 of (30) and (37)
DECIMALS_MOST = "5"  # 3100 to 3105

# The 82 characters of a value: GS1 General Specifications, figure 7.11-1.
_CSET_82 = re.compile(r"[!-\"%-?A-Z_a-z]+")
_DATED_TAIL = re.compile(r".+(1[1-35-7])([0-9]{6})")


@dataclass(frozen=True, slots=True)
class LabelDay:
    """A date of a label. Where the label says only the month, the last day of it."""

    on: date
    day_printed: bool = True

    @property
    def earliest(self) -> date:
        """The first day it can mean."""
        return self.on if self.day_printed else self.on.replace(day=1)

    def __str__(self) -> str:
        return self.on.isoformat() if self.day_printed else self.on.isoformat()[:7]


@dataclass(frozen=True, slots=True)
class SupplierLabel:
    """What one code, or all codes of a label together, say. `None` is: the label does not say."""

    gtin: str | None = None  # (01) the article itself, 14 digits
    gtin_inside: str | None = None  # (02) the article inside a larger pack
    lot: str | None = None  # (10)
    made: LabelDay | None = None  # (11)
    best_before: LabelDay | None = None  # (15)
    expiry: LabelDay | None = None  # (17)
    serial: str | None = None  # (21)
    pieces: int | None = None  # (30)
    packs_inside: int | None = None  # (37)
    weight_mg: int | None = None  # (310n)
    length_mm: int | None = None  # (311n), whole mm, never more than printed
    volume_ul: int | None = None  # (315n)
    aside: tuple[Element, ...] = ()  # what is not read here, as it stands on the label
    doubts: tuple[Sentence, ...] = ()  # what a person should compare with the print


Said = tuple[str, object]
Reader = Callable[[Element, date], Said]


def read(text: str, *, today: date) -> SupplierLabel:
    """Read one code. `today` decides the century of years of two digits.

    Refuses: what `split` refuses; labels.character, labels.length, labels.check_digit, labels.date,
    labels.dates, labels.pair, labels.twice.
    """
    elements = split(text)
    said: list[Said] = []
    aside: list[Element] = []
    measures: dict[str, str] = {}
    for element in elements:
        reader = _reader(element.ai)
        if reader is None:
            aside.append(element)
            continue
        if reader is _measure and measures.setdefault(element.ai[:3], element.ai) != element.ai:
            raise _twice(f"({measures[element.ai[:3]]})", f"({element.ai})")
        said.append(reader(element, today))
    return _label(said, aside, _doubts(text, elements))


def together(labels: Iterable[SupplierLabel]) -> SupplierLabel:
    """What several codes of one label say together.

    Refuses: labels.twice, labels.pair, labels.dates.
    """
    labels = tuple(labels)
    names = [field.name for field in fields(SupplierLabel) if field.default is None]
    said = [(name, getattr(label, name)) for label in labels for name in names]
    return _label(
        [(name, value) for name, value in said if value is not None],
        [element for label in labels for element in label.aside],
        tuple(doubt for label in labels for doubt in label.doubts),
    )


def _label(said: list[Said], aside: list[Element], doubts: tuple[Sentence, ...]) -> SupplierLabel:
    """All that is said as one label, when it does not contradict itself."""
    values: dict[str, object] = {}
    for name, value in said:
        if values.setdefault(name, value) != value:
            raise _twice(values[name], value)
    if "gtin" in values and "gtin_inside" in values:
        raise Refused(
            "labels.pair",
            say("The label names an article (01) and the article inside it (02) at once."),
            say("Scan the code on the package itself, not the one on its carton."),
        )
    label = SupplierLabel(**values, aside=tuple(dict.fromkeys(aside)), doubts=doubts)  # type: ignore[arg-type]
    _check_days(label)
    return label


def _reader(ai: str) -> Reader | None:
    """What reads an identifier; none for one that is kept aside."""
    if len(ai) == 4 and ai[:3] in _MEASURES and ai[3] <= DECIMALS_MOST:
        return _measure
    return _READERS.get(ai)


def _article(name: str) -> Reader:
    def reader(element: Element, _today: date) -> Said:
        if not has_check_digit(_digits(element)):
            raise Refused(
                "labels.check_digit",
                say("The article number {value} fails its check digit.", value=element.value),
                say("Scan the code again; one digit is wrong, or two are swapped."),
            )
        return name, element.value

    return reader


def _text(name: str) -> Reader:
    def reader(element: Element, _today: date) -> Said:
        if not _CSET_82.fullmatch(element.value):
            raise wrong_character(element)
        if len(element.value) > TEXT_MOST:
            raise wrong_length(element, f"1 to {TEXT_MOST}")
        return name, element.value

    return reader


def _count(name: str) -> Reader:
    def reader(element: Element, _today: date) -> Said:
        if len(_digits(element)) > COUNT_MOST:
            raise wrong_length(element, f"1 to {COUNT_MOST}")
        return name, int(element.value)

    return reader


def _day(name: str) -> Reader:
    def reader(element: Element, today: date) -> Said:
        found = _as_day(_digits(element), today)
        if found is None:
            raise Refused(
                "labels.date",
                say("({ai}) says {value}, which is no day.", ai=element.ai, value=element.value),
                say("Type the date that the label says."),
            )
        return name, found

    return reader


def _measure(element: Element, _today: date) -> Said:
    """Six digits; the last figure of the identifier says how many of them are decimals."""
    name, units = _MEASURES[element.ai[:3]]
    return name, int(_digits(element)) * units // 10 ** int(element.ai[3])


_MEASURES = {"310": ("weight_mg", 10**6), "311": ("length_mm", 10**3), "315": ("volume_ul", 10**6)}
_READERS: dict[str, Reader] = {
    "01": _article("gtin"),
    "02": _article("gtin_inside"),
    "10": _text("lot"),
    "11": _day("made"),
    "15": _day("best_before"),
    "17": _day("expiry"),
    "21": _text("serial"),
    "30": _count("pieces"),
    "37": _count("packs_inside"),
}


def _digits(element: Element) -> str:
    if not is_digits(element.value):
        raise wrong_character(element)
    return element.value


def _as_day(digits: str, today: date) -> LabelDay | None:
    """YYMMDD as a day. GS1 General Specifications 7.12 for the century, 3.4 for day 00."""
    year, month, day = int(digits[:2]), int(digits[2:4]), int(digits[4:])
    ahead = year - today.year % 100
    year += today.year // 100 * 100 + (-100 if ahead >= 51 else 100 if ahead <= -50 else 0)
    try:
        if day == 0:
            return LabelDay(date(year, month, calendar.monthrange(year, month)[1]), day_printed=False)
        return LabelDay(date(year, month, day))
    except ValueError:  # the calendar raises it too, for a month that is none
        return None


def _check_days(label: SupplierLabel) -> None:
    """Refuse days that contradict each other; a day that is not printed gets the benefit of the doubt."""
    known = [
        (name, day)
        for name, day in (
            ("made", label.made),
            ("best before", label.best_before),
            ("expiry", label.expiry),
        )
        if day is not None
    ]
    for place, (name, day) in enumerate(known):
        for later_name, later in known[place + 1 :]:
            if day.earliest > later.on:
                raise Refused(
                    "labels.dates",
                    say(
                        "The label says {name} {day} and {later_name} {later}: the wrong way round.",
                        name=name,
                        day=day,
                        later_name=later_name,
                        later=later,
                    ),
                    say("Look at the print. If it says the same, ask the supplier before using the lot."),
                )


def _doubts(text: str, elements: tuple[Element, ...]) -> tuple[Sentence, ...]:
    """A last lot or serial that ends like a date, in a scan that shows no separator."""
    last = elements[-1]
    tail = _DATED_TAIL.fullmatch(last.value) if last.ai in ("10", "21") else None
    if tail is None or has_separator(text) or _as_day(tail[2], date(2000, 1, 1)) is None:
        return ()
    return (
        say(
            "“{value}” ends like a date ({ai}): does the scanner leave out separators? Look at the print.",
            value=last.value,
            ai=tail[1],
        ),
    )


def _twice(first: object, second: object) -> Refused:
    return Refused(
        "labels.twice",
        say("The label says two different things: {first} and {second}.", first=first, second=second),
        say("Look at the print, and type what it says."),
    )
