"""Tables out and in again: typed, harmless, equal.

Outside: files are read back by the standard library's csv and by openpyxl, and written by them for reading.
What spreadsheets take for a formula: OWASP, "CSV Injection". pandas is not installed: it is no oracle here.
"""

import csv
import io
import re
import zipfile
from datetime import date, datetime
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from inventory.formats.sheets import Column, DayOrder, Kind, Sheet, Table, read, write_csv, write_xlsx

COLUMNS = (
    Column("Lot", required=True),
    Column("Packs", Kind.WHOLE),
    Column("Price", Kind.NUMBER),
    Column("Expiry", Kind.DAY),
    Column("Opened at", Kind.MOMENT),
    Column("Held", Kind.YES_NO),
)
NAMES = tuple(column.name for column in COLUMNS)
ROW = ("2511-A", 4, Decimal("12.50"), date(2026, 12, 31), datetime(2026, 3, 1, 14, 30, 5), True)
RISKY = [
    "=1+1",
    "+1",
    "-a",
    "@x",
    "\t=1",
    "\n=1",
    "＝1+1",
    "＋1",
    "－1",
    "＠x",
    " =1",
    '=HYPERLINK("http://x")',
]


def book(*rows: tuple[object, ...]) -> bytes:
    """A workbook that openpyxl wrote."""
    made = Workbook()
    for row in rows:
        made.active.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def values(table: Table) -> list[tuple[object, ...]]:
    return [tuple(row.values[name] for name in table.columns) for row in table.rows]


def test_write_csv_when_read_by_csv_has_every_value_as_text() -> None:
    """Outside: the standard library reads it, from UTF-8 with its mark. Lines end as RFC 4180 says."""
    data = write_csv(Sheet("Stock", NAMES, [ROW, ("Žebřík, “2”", None, Decimal("-0.5"), None, None, False)]))
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.count(b"\r\n") == 3
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))
    assert rows == [
        list(NAMES),
        ["2511-A", "4", "12.50", "2026-12-31", "2026-03-01 14:30:05", "yes"],
        ["Žebřík, “2”", "", "-0.5", "", "", "no"],
    ]


def test_write_csv_when_decimals_have_a_comma_separates_by_semicolon() -> None:
    """As spreadsheets expect it where a comma stands before decimals."""
    data = write_csv(Sheet("Stock", NAMES, [ROW]), decimal_comma=True)
    (_, row) = csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), delimiter=";")
    assert row[2] == "12,50"
    assert values(read(data, COLUMNS, decimal_mark=",")) == [ROW]


def test_write_xlsx_when_read_by_openpyxl_has_typed_values() -> None:
    """Outside: openpyxl gives back numbers, dates and truth values as such, and the title."""
    data = write_xlsx(Sheet("Stock: all/now", NAMES, [ROW]))
    sheet = load_workbook(io.BytesIO(data)).active
    assert sheet.title == "Stock  all now"
    assert [cell.value for cell in sheet[1]] == list(NAMES)
    assert [cell.value for cell in sheet[2]] == [
        *("2511-A", 4, 12.5, datetime(2026, 12, 31), datetime(2026, 3, 1, 14, 30, 5), True)
    ]
    assert sheet["D2"].number_format == "yyyy-mm-dd"
    assert [cell.data_type for cell in sheet[2]] == ["s", "n", "n", "d", "d", "b"]


@pytest.mark.parametrize("text", RISKY)
def test_write_when_a_text_begins_like_a_formula_leaves_harmlessly(text: str) -> None:
    """An apostrophe before it in CSV; a text, never a formula, in XLSX. Both come back as they were."""
    sheet = Sheet("Stock", ("Lot", text), [(text, "x"), ("harmless", "x")])
    as_csv, as_xlsx = write_csv(sheet), write_xlsx(sheet)
    rows = list(csv.reader(io.StringIO(as_csv.decode("utf-8-sig"), newline="")))
    assert rows[0][1] == rows[1][0] == "'" + text
    assert rows[2][0] == "harmless"
    with zipfile.ZipFile(io.BytesIO(as_xlsx)) as file:
        assert b"<f>" not in b"".join(file.read(name) for name in file.namelist())
    cell = load_workbook(io.BytesIO(as_xlsx)).active["A2"]
    assert (cell.value, cell.data_type, cell.quotePrefix) == (text, "s", True)
    for data in (as_csv, as_xlsx):
        table = read(data, [Column("Lot")])
        assert [row.values["Lot"] for row in table.rows] == [text.strip(), "harmless"]
        assert table.ignored == (text.strip(),)


def test_write_when_a_number_is_negative_leaves_it_a_number() -> None:
    """A typed number is no formula, and can be added up."""
    sheet = Sheet("Stock", ("Packs",), [(-5,), (Decimal("-0.25"),)])
    assert b"-5\r\n-0.25" in write_csv(sheet)
    assert [cell.value for cell in load_workbook(io.BytesIO(write_xlsx(sheet))).active["A"]][1:] == [
        -5,
        -0.25,
    ]


def test_write_when_a_sheet_would_lose_digits_or_days_writes_text() -> None:
    """A spreadsheet keeps 15 digits, and no days before March 1900 that it counts rightly."""
    early, late = datetime(1900, 2, 28, 12), datetime(1900, 3, 1, 12)
    rows = [(10**15, early.date(), early), (10**15 - 1, late.date(), late)]
    sheet = Sheet("S", ("A", "B", "C"), rows)
    lost, kept = load_workbook(io.BytesIO(write_xlsx(sheet))).active.iter_rows(min_row=2, values_only=True)
    assert lost == ("1000000000000000", "1900-02-28", "1900-02-28 12:00:00")
    assert kept == (10**15 - 1, datetime(1900, 3, 1), late)


def test_write_when_a_text_holds_what_no_sheet_can_marks_the_place() -> None:
    """Controls and broken letters become a mark, both ways; lines end alike; an endless text is cut."""
    text = "a\0b\ud800c\r\nd\re\x0bf"
    for data in (write_csv(Sheet("\0", ("A",), [(text,)])), write_xlsx(Sheet("[]*", ("A",), [(text,)]))):
        assert values(read(data, [Column("A")])) == [("a�b�c\nd\ne�f",)]
    cell = load_workbook(io.BytesIO(write_xlsx(Sheet("S", ("A",), [("x" * 40_000,)])))).active["A2"].value
    assert cell == "x" * 32_766 + "…"


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("said", [False, True])
def test_read_when_csv_comes_in_many_dresses_finds_the_same(
    separator: str, encoding: str, said: bool
) -> None:
    """Outside: the standard library writes it. The separator is found, or said in a first line."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=separator)
    writer.writerows(
        [("expiry ", "LOT", "Note, free"), ("2026-12-31", "a;b,c\td", "x"), (), ("", "e\nf", "")]
    )
    text = (f"sep={separator}\r\n" if said else "") + out.getvalue()
    table = read(text.encode(encoding), COLUMNS)
    assert table.columns == ("Expiry", "Lot")
    assert table.ignored == ("Note, free",)
    assert values(table) == [(date(2026, 12, 31), "a;b,c\td"), (None, "e\nf")]
    assert [row.number for row in table.rows] == [2, 4]


def test_read_when_a_workbook_comes_from_elsewhere_takes_its_types() -> None:
    """Outside: openpyxl writes it. Numbers as lot numbers, other headings, empty rows, a second sheet."""
    made = Workbook()
    made.active.append(("Batch", "packs", "Price", "expiry"))
    made.active.append((2511, 4.0, 0.1, date(2026, 12, 31)))
    made.active.append((None, "", "  "))
    made.active.append(("2511-B", "12", "1,5", "31.12.2026"))
    made.create_sheet("other").append(("Lot",))
    out = io.BytesIO()
    made.save(out)
    table = read(out.getvalue(), [Column("Lot", also=("Batch",)), *COLUMNS[1:4]])
    assert values(table) == [
        ("2511", 4, Decimal("0.1"), date(2026, 12, 31)),
        ("2511-B", 12, Decimal("1.5"), date(2026, 12, 31)),
    ]
    assert [row.number for row in table.rows] == [2, 4]
    assert table.problems == ()


def test_read_when_cells_are_wrong_tells_all_of_them_at_once() -> None:
    """Each with row, column and sentence; rows without a fault are there beside them."""
    sheet = (
        *(("Lot", "Packs", "Price", "Expiry", "Opened at", "Held"), ("A", 1, 1, "2026-01-01", None, "no")),
        *(("", "1.5", "1,234", "04/05/2026", "2026-01-01 25:00", "maybe"), ("B", "1", "1", None, None, None)),
        ("C", "x", "1.2.3", "31.02.2026", "soon", "yes", "stray"),
    )
    table = read(book(*sheet), COLUMNS)
    assert [row.number for row in table.rows] == [2, 4]
    assert [(problem.row, problem.column) for problem in table.problems] == [
        *[(3, name) for name in NAMES],
        *[(5, name) for name in ("Packs", "Price", "Expiry", "Opened at", "G")],
    ]
    assert str(table.problems[0].sentence) == "The cell is empty, and has to be filled."
    assert "1234 or 1.234" in str(table.problems[2].sentence)
    assert "2026-04-05, or 2026-05-04" in str(table.problems[3].sentence)
    assert not table.cut


def test_read_when_there_are_formulas_errors_or_merged_cells_tells_where() -> None:
    """Outside: openpyxl writes them. Values in their place are no fault."""
    made = Workbook()
    sheet = made.active
    for row in (("Lot", "Packs"), ("A", "=1+1"), ("B", "#DIV/0!"), ("C", 3), ("D", 4)):
        sheet.append(row)
    sheet.merge_cells("A4:A5")
    out = io.BytesIO()
    made.save(out)
    table = read(out.getvalue(), COLUMNS)
    told = {(problem.row, problem.column): str(problem.sentence) for problem in table.problems}
    assert set(told) == {(2, "Packs"), (3, "Packs"), (4, "Lot"), (5, "Lot")}
    assert "formula" in told[2, "Packs"]
    assert "#DIV/0!" in told[3, "Packs"]
    assert "A4:A5" in told[4, "Lot"]
    assert read(book(("Lot", "Packs"), ("A", 2)), COLUMNS).problems == ()


def test_read_when_a_spreadsheet_made_dates_of_lot_numbers_says_so() -> None:
    """A lot typed as 3-4 becomes a date in many spreadsheets; as text it stays."""
    table = read(book(("Lot",), (datetime(2026, 4, 3),), ("3-4",)), COLUMNS)
    assert "format the column as text" in str(table.problems[0].sentence)
    assert values(table) == [("3-4",)]


@pytest.mark.parametrize(
    ("order", "expected"),
    [(DayOrder.DMY, date(2026, 5, 4)), (DayOrder.MDY, date(2026, 4, 5)), (None, None)],
)
def test_read_when_the_order_of_a_column_is_given_reads_its_dates(
    order: DayOrder | None, expected: date | None
) -> None:
    """04/05/2026 is one of two days, unless the order is said; 13/05/2026 can be only one."""
    table = read(
        b"Day\r\n04/05/2026\r\n13/05/2026\r\n05/05/2026\r\n", [Column("Day", Kind.DAY, day_order=order)]
    )
    found = [row.values["Day"] for row in table.rows]
    assert (expected in found) == (expected is not None)
    assert len(table.problems) == (0 if order is DayOrder.DMY else 1)
    assert date(2026, 5, 5) in found


def test_read_when_a_csv_has_commas_between_cells_knows_its_decimal_mark() -> None:
    """There, 1.234 is a little more than one; with semicolons it can be over a thousand."""
    columns = [Column("Density", Kind.NUMBER), Column("Lot")]
    assert values(read(b"Density,Lot\n1.234,A\n", columns)) == [(Decimal("1.234"), "A")]
    assert read(b"Density;Lot\n1.234;A\n", columns).rows == ()
    for mark, number in ((".", "1.234"), (",", "1234")):
        table = read(b"Density;Lot\n1.234;A\n", columns, decimal_mark=mark)
        assert values(table) == [(Decimal(number), "A")]


letters = st.characters(codec="utf-8", exclude_categories=["Cc"]) | st.sampled_from("=+-@'\"\t\n,;")
texts = (st.text(letters, max_size=12) | st.sampled_from(["'=", "_x000D_", "#N/A", "''"])).map(str.strip)
rows = st.tuples(
    texts.filter(bool),
    st.none() | st.integers(-(10**15) + 1, 10**15 - 1),
    st.none() | st.decimals(-(10**9), 10**9, places=4),
    st.none() | st.dates(date(1800, 1, 1)),
    st.none() | st.datetimes(datetime(1800, 1, 1)).map(lambda moment: moment.replace(microsecond=0)),
    st.none() | st.booleans(),
)


@settings(max_examples=60)
@given(st.lists(rows, max_size=5), st.booleans())
def test_write_then_read_gives_equal_rows(made: list[tuple[object, ...]], comma: bool) -> None:
    """Round trip of every kind of cell, through both files; nothing of it is a formula on the way."""
    sheet = Sheet("S", NAMES, made)
    expected = [tuple(value if value != "" else None for value in row) for row in made]
    for data, mark in (
        (write_csv(sheet, decimal_comma=comma), "," if comma else "."),
        (write_xlsx(sheet), None),
    ):
        table = read(data, COLUMNS, decimal_mark=mark)
        assert table.problems == ()
        assert values(table) == expected
    text = write_csv(sheet).decode("utf-8-sig")
    for cell in (cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row):
        assert not re.match(r"\s*[=+@＝＋－＠]|\s*-[^0-9]|[\t\r\n]", cell)
