"""One cell: what it says, or why it says nothing for certain.

Outside: numbers written and read by the decimal library, dates written by datetime; digits in groups as in
the SI Brochure, 5.4.4 (a space between groups of three; dot or comma before decimals): from memory.
"""

from datetime import date, datetime, time
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils import get_column_letter

from inventory.formats.sheets_cells import (
    TEXT_MOST,
    Cell,
    DayOrder,
    Fault,
    Kind,
    Manner,
    day_of,
    letters,
    number_of,
    read_cell,
)


def faulty(raw: object, kind: Kind, manner: Manner = Manner()) -> str:  # noqa: B008
    with pytest.raises(Fault) as caught:
        read_cell(raw, kind, manner)
    return str(caught.value.sentence)


def outcome(raw: object, kind: Kind, manner: Manner) -> Cell | Fault:
    try:
        return read_cell(raw, kind, manner)
    except Fault as fault:
        return fault


@pytest.mark.parametrize(
    ("text", "mark", "number"),
    [
        ("12", None, "12"),
        ("-12", None, "-12"),
        ("−12", None, "-12"),
        ("12.5", None, "12.5"),
        ("12,5", None, "12.5"),
        (",5", None, "0.5"),
        ("0,500", None, "0.500"),
        ("0.500", None, "0.500"),
        ("1234,567", None, "1234.567"),
        ("1 234", None, "1234"),
        ("1\u202f234\u202f567,8", None, "1234567.8"),
        ("1'234.50", None, "1234.50"),
        ("1.234.567", None, "1234567"),
        ("1,234,567", None, "1234567"),
        ("1.234,5", None, "1234.5"),
        ("1,234.5", None, "1234.5"),
        ("1,234", ",", "1.234"),
        ("1,234", ".", "1234"),
        ("1.234", ".", "1.234"),
        ("1.234", ",", "1234"),
        ("1.234,567", ",", "1234.567"),
    ],
)
def test_number_of_when_it_can_mean_one_thing_reads_it(text: str, mark: str | None, number: str) -> None:
    """Comma or dot, groups or none, as far as they leave one reading."""
    assert number_of(text, mark) == Decimal(number)


@pytest.mark.parametrize(
    ("text", "mark"),
    [
        *[(text, None) for text in ("1,234", "1.234", "-999.000")],
        *[
            (text, None)
            for text in ("", "-", ".", "5.", "1.2.3", "1.23.456", "1 23", "12 34", "1.234.5", "1e3")
        ],
        *[
            (text, None)
            for text in ("12 kg", "12 %", "(5)", "--5", "+5", "0x1F", "٣", "1_000", "½", "inf", "nan")
        ],
        *[("1.5", ","), ("1,5", "."), ("1.234.567", "."), ("1,234.5", ","), ("1.234,5", ".")],
    ],
)
def test_number_of_when_it_can_mean_two_things_or_none_is_a_fault(text: str, mark: str | None) -> None:
    """Said, not guessed; beside it, 1.5 is a number."""
    assert number_of("1.5", None) == Decimal("1.5")
    with pytest.raises(Fault):
        number_of(text, mark)


@given(st.decimals(-(10**12), 10**12, places=3), st.sampled_from(".,"), st.booleans())
def test_number_of_gives_back_what_was_written(number: Decimal, mark: str, grouped: bool) -> None:
    """Outside: Python's own grouping of digits, with its marks exchanged."""
    text = format(number, ",.3f" if grouped else ".3f")
    if mark == ",":
        text = text.translate(str.maketrans(",.", ".,"))
    assert number_of(text, mark) == number


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2026-12-31", None, date(2026, 12, 31)),
        ("2026/1/2", DayOrder.DMY, date(2026, 1, 2)),
        ("31.12.2026", None, date(2026, 12, 31)),
        ("12/31/2026", None, date(2026, 12, 31)),
        ("5/5/2026", None, date(2026, 5, 5)),
        ("4/5/2026", DayOrder.DMY, date(2026, 5, 4)),
        ("4/5/2026", DayOrder.MDY, date(2026, 4, 5)),
        ("29-02-2028", None, date(2028, 2, 29)),
        ("4.5.26", DayOrder.DMY, date(2026, 5, 4)),
        ("26-05-04", DayOrder.YMD, date(2026, 5, 4)),
        ("31.12.26", DayOrder.DMY, date(2026, 12, 31)),
        ("10/10/10", None, date(2010, 10, 10)),
    ],
)
def test_day_of_when_it_can_be_one_day_reads_it(text: str, order: DayOrder | None, day: date) -> None:
    """By where the year stands, by the order given, or because only one day is possible."""
    assert day_of(text, order) == day


@pytest.mark.parametrize(
    ("text", "order"),
    [
        *[(text, None) for text in ("4/5/2026", "04.05.2026", "4/5/26", "31.12.26", "01-02-03")],
        *[("4/5/2026", DayOrder.YMD), ("12/31/2026", DayOrder.DMY), ("31/12/2026", DayOrder.MDY)],
        *[(text, None) for text in ("2026-13-01", "2026-02-30", "29.02.2026", "0000-01-01", "31/31/2026")],
        *[
            (text, None)
            for text in ("2026-12", "20261231", "31.12/2026", "31 Dec 2026", "today", "", "44926")
        ],
    ],
)
def test_day_of_when_it_can_be_two_days_or_none_is_a_fault(text: str, order: DayOrder | None) -> None:
    """Beside it, a date with its year first is one day."""
    assert day_of("2026-05-04", order) == date(2026, 5, 4)
    with pytest.raises(Fault):
        day_of(text, order)


@given(st.dates(date(1900, 1, 1), date(2099, 12, 31)), st.sampled_from("-/."))
def test_day_of_agrees_with_strptime(day: date, mark: str) -> None:
    """Outside: datetime's `strftime` writes, in three orders."""
    for order, form in ((DayOrder.YMD, "%Y-%m-%d"), (DayOrder.DMY, "%d-%m-%Y"), (DayOrder.MDY, "%m-%d-%Y")):
        assert day_of(day.strftime(form).replace("-", mark), order) == day


@pytest.mark.parametrize(
    ("raw", "kind", "value"),
    [
        ("  a b ", Kind.TEXT, "a b"),
        (2511, Kind.TEXT, "2511"),
        (2511.0, Kind.TEXT, "2511"),
        (9520123456788, Kind.TEXT, "9520123456788"),
        ("x" * TEXT_MOST, Kind.TEXT, "x" * TEXT_MOST),
        ("   ", Kind.TEXT, None),
        (None, Kind.DAY, None),
        ("5", Kind.WHOLE, 5),
        (5.0, Kind.WHOLE, 5),
        (0.1 + 0.2, Kind.NUMBER, Decimal("0.3")),
        (datetime(2026, 1, 2), Kind.DAY, date(2026, 1, 2)),
        (date(2026, 1, 2), Kind.MOMENT, datetime(2026, 1, 2)),
        ("2026-01-02T03:04", Kind.MOMENT, datetime(2026, 1, 2, 3, 4)),
        ("2.1.2026 3:04:05", Kind.MOMENT, datetime(2026, 1, 2, 3, 4, 5)),
        ("Yes", Kind.YES_NO, True),
        (False, Kind.YES_NO, False),
        (0, Kind.YES_NO, False),
    ],
)
def test_read_cell_when_it_fits_its_column_gives_its_value(raw: object, kind: Kind, value: Cell) -> None:
    """As spreadsheets keep cells, and as text."""
    found = read_cell(raw, kind, Manner(day_order=DayOrder.DMY))
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(
    ("raw", "kind"),
    [
        ("x" * (TEXT_MOST + 1), Kind.TEXT),
        (datetime(2026, 1, 2), Kind.TEXT),
        (True, Kind.TEXT),
        (time(3, 4), Kind.TEXT),
        (10**15, Kind.TEXT),
        (5.5, Kind.WHOLE),
        ("5,5", Kind.WHOLE),
        (True, Kind.NUMBER),
        (float("inf"), Kind.NUMBER),
        (10**15, Kind.NUMBER),
        (datetime(2026, 1, 2, 3), Kind.DAY),
        ("2026-01-02 03:00", Kind.DAY),
        (46000, Kind.DAY),
        ("2026-01-02 24:00", Kind.MOMENT),
        ("2026-01-02T03:04Z", Kind.MOMENT),
        (2, Kind.YES_NO),
        ("perhaps", Kind.YES_NO),
    ],
)
def test_read_cell_when_it_does_not_fit_is_a_fault(raw: object, kind: Kind) -> None:
    """With a whole sentence."""
    assert faulty(raw, kind).endswith(".")


@given(
    st.none()
    | st.text(max_size=30)
    | st.text("0123456789.,-/: '", max_size=14)
    | st.integers()
    | st.booleans()
    | st.floats(allow_nan=False)
    | st.dates()
    | st.datetimes()
    | st.times()
    | st.timedeltas(),
    st.sampled_from(Kind),
    st.builds(Manner, st.sampled_from([None, ".", ","]), st.sampled_from([None, *DayOrder])),
)
def test_read_cell_when_it_is_garbage_is_a_fault_and_nothing_else(
    raw: object, kind: Kind, manner: Manner
) -> None:
    """Never another error; what is read is of its kind."""
    kinds = {Kind.TEXT: str, Kind.WHOLE: int, Kind.NUMBER: Decimal, Kind.DAY: date, Kind.MOMENT: datetime}
    found = outcome(raw, kind, manner)
    assert isinstance(found, Fault | None) or type(found) is kinds.get(kind, bool)


def test_letters_are_those_of_spreadsheets() -> None:
    """Outside: openpyxl."""
    assert [letters(at) for at in range(800)] == [get_column_letter(at + 1) for at in range(800)]


@given(st.from_regex(r"-?(0|[1-9][0-9]{0,9})(\.[0-9]{1,6})?", fullmatch=True))
def test_number_of_when_the_dot_is_known_agrees_with_the_decimal_library(text: str) -> None:
    """Outside: Python's decimal."""
    assert number_of(text, ".") == Decimal(text)
