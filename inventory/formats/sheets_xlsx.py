"""XLSX files to rows of cells, and rows to XLSX files. Knows no column's meaning.

A workbook is a zip of XML: what it unpacks to is added up before anything is unpacked, and rows are counted
here, since a file may lie about their number.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from openpyxl import Workbook, load_workbook
from openpyxl.cell import Cell as BookCell
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.read_only import EMPTY_CELL
from openpyxl.styles import Font

from inventory.errors import Refused, say
from inventory.formats.sheets_cells import DIGITS_MOST, Cell, Fault, clean
from inventory.formats.sheets_csv import RISKY, ROWS_EVER

UNPACKED_MOST, PARTS_MOST = 20_000_000, 2_000
ROW_BYTES_MOST = 1_000_000
TITLE_MOST, TEXT_MOST = 31, 32_767
FIRST_DAY = date(1900, 3, 1)  # spreadsheets count a day that never was just before it

_MACROS = re.compile(r"vbaproject|macrosheets|activex", re.IGNORECASE)
_ROW = re.compile(rb"<(?:\w+:)?row\b")
_FAR_ROW = re.compile(rb"<(?:\w+:)?row\s[^>]*?\br=[\"'](?:[0-9]{8,}|[2-9][0-9]{6})")
_MERGED = re.compile(rb"<(?:\w+:)?mergeCell\s[^>]*?ref=[\"']([A-Z]{1,3})([0-9]{1,7}):([A-Z]{1,3}[0-9]{1,7})")
_FAULTS = (
    *(zipfile.BadZipFile, zlib.error, OSError, EOFError, RuntimeError, SyntaxError, ValueError, KeyError),
    *(TypeError, AttributeError, IndexError, OverflowError, RecursionError),
)
_SAVE = say("Open it in a spreadsheet and save it again as XLSX without macros, or as CSV (UTF-8).")


@dataclass(frozen=True, slots=True)
class Merged:
    """Cells that are merged into one: where it begins, and its corners as a spreadsheet writes them."""

    row: int
    column: int
    corners: str


def is_workbook(data: bytes) -> bool:
    """Whether a file is a zip, as XLSX is."""
    return data.startswith(b"PK\x03\x04")


def check_workbook(data: bytes) -> None:
    """Refuse what is no plain workbook, or unpacks to too much.

    Refuses: sheets.broken, sheets.too_large, sheets.macros, sheets.kind.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as file:
            parts = file.infolist()
    except _FAULTS as fault:
        raise _broken() from fault
    unpacked = sum(part.file_size for part in parts)
    if unpacked > UNPACKED_MOST or len(parts) > PARTS_MOST:
        raise Refused(
            "sheets.too_large",
            say(
                "The sheet unpacks to {size} MB in {parts} parts; {most} MB is the most.",
                size=f"{unpacked / 1e6:.1f}",
                parts=len(parts),
                most=UNPACKED_MOST // 1_000_000,
            ),
            say("Take out pictures and other sheets, or split the rows over several files."),
        )
    if any(_MACROS.search(part.filename) for part in parts):
        raise Refused("sheets.macros", say("The workbook holds macros."), _SAVE)
    if "xl/workbook.xml" not in {part.filename for part in parts}:
        raise Refused("sheets.kind", say("The file is no XLSX workbook."), _SAVE)


def read_rows(data: bytes, columns_most: int) -> Iterator[tuple[int, list[object]]]:
    """Filled rows of the first sheet that is shown, and their numbers; a formula or error comes as a Fault.

    Refuses: sheets.broken, sheets.too_large.
    """
    try:
        book = load_workbook(io.BytesIO(data), read_only=True, keep_links=False)
        sheet = next(sheet for sheet in book.worksheets if sheet.sheet_state == "visible")
        sheet.reset_dimensions()  # what the file says of its size need not be so
        for number, row in enumerate(sheet.iter_rows(max_col=columns_most + 1), start=1):
            if number > ROWS_EVER:
                raise _broken()
            if not all(cell is EMPTY_CELL for cell in row):
                yield number, [_raw(cell) for cell in row]
    except (*_FAULTS, StopIteration) as fault:
        raise _broken() from fault


def merged_cells(data: bytes) -> tuple[Merged, ...]:
    """The merged cells of the first sheet that is shown, after a look at its rows.

    Refuses: sheets.broken, sheets.too_large.
    """
    xml = _first_sheet(data)
    if _FAR_ROW.search(xml):
        raise _broken()
    if max(len(row) for row in _ROW.split(xml)) > ROW_BYTES_MOST:
        raise Refused(
            "sheets.too_large",
            say("One row of the sheet holds more than {most} MB.", most=ROW_BYTES_MOST // 1_000_000),
            say("Delete the columns behind the last one that is needed."),
        )
    return tuple(
        Merged(int(match[2]), _column_number(match[1].decode()), match.expand(rb"\1\2:\3").decode())
        for match in _MERGED.finditer(xml)
    )


def write_rows(title: str, rows: Iterable[Sequence[Cell]]) -> bytes:
    """Rows as a workbook of one sheet, the first row as headings.

    A text longer than the 32,767 characters of a cell is cut with a dot-dot-dot.
    """
    book = Workbook(write_only=True)
    sheet = book.create_sheet(re.sub(r"[\[\]:*?/\\']", " ", clean(title)).strip()[:TITLE_MOST] or "Sheet")
    sheet.freeze_panes = "A2"
    for number, row in enumerate(rows):
        sheet.append([_cell(sheet, value, heading=number == 0) for value in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _cell(sheet: object, value: Cell | float, *, heading: bool) -> BookCell | None:
    """One cell, typed; a text stays a text whatever it begins with."""
    if value is None:
        return None
    value = _as_text_where_digits_would_go(value)
    cell = WriteOnlyCell(sheet, value=value)
    if isinstance(value, str):
        cell.data_type = "s"  # else a text that begins like a formula is one
        cell.quotePrefix = value.lstrip(" ").startswith(RISKY)
    elif isinstance(value, datetime):
        cell.number_format = "yyyy-mm-dd hh:mm:ss"
    elif isinstance(value, date):
        cell.number_format = "yyyy-mm-dd"
    if heading:
        cell.font = Font(bold=True)
    return cell


def _as_text_where_digits_would_go(value: Cell | float) -> Cell | float:
    """The value, as text where a spreadsheet would lose digits or days of it."""
    if isinstance(value, str):
        text = clean(value)
        return text if len(text) <= TEXT_MOST else text[: TEXT_MOST - 1] + "…"
    if isinstance(value, datetime):
        value = value.replace(microsecond=0)
        return value if value.date() >= FIRST_DAY else value.isoformat(sep=" ")
    if isinstance(value, date):
        return value if value >= FIRST_DAY else value.isoformat()
    if isinstance(value, int | Decimal) and len(Decimal(value).as_tuple().digits) > DIGITS_MOST:
        return format(Decimal(value), "f")
    return value


def _raw(cell: object) -> object:
    """What a cell holds, as it is kept."""
    if cell is EMPTY_CELL:
        return None
    kind, value = getattr(cell, "data_type", "n"), getattr(cell, "value", None)
    if kind == "f":
        return Fault(say("The cell holds a formula; copy it and paste it back as a value."))
    if kind == "e":
        return Fault(say("The cell holds an error, {value}.", value=value))
    return value


def _first_sheet(data: bytes) -> bytes:
    """The XML of the first sheet that is shown."""
    try:
        book = load_workbook(io.BytesIO(data), read_only=True, keep_links=False)
        sheet = next(sheet for sheet in book.worksheets if sheet.sheet_state == "visible")
        with zipfile.ZipFile(io.BytesIO(data)) as file:
            return file.read(sheet._worksheet_path)
    except (*_FAULTS, StopIteration) as fault:
        raise _broken() from fault


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def _broken() -> Refused:
    return Refused("sheets.broken", say("The workbook is damaged, or has no sheet that is shown."), _SAVE)
