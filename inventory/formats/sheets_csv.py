"""CSV files to rows of cells, and rows to CSV files. Knows no column's meaning.

Texts that a spreadsheet would run as a formula leave with an apostrophe before them, and lose it when they
come back: so they are harmless there, and unchanged here.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from decimal import Decimal

from inventory.errors import Refused, say
from inventory.formats.sheets_cells import Cell, clean

BOM = b"\xef\xbb\xbf"
SEPARATORS = (",", ";", "\t")
# Beginnings that spreadsheets take for a formula, also in their wide forms. OWASP, "CSV Injection".
RISKY = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_SHIELD = "'"
_SAID = re.compile(r"sep=([,;\t|])\r?\n", re.IGNORECASE)  # a first line that some spreadsheets write
_HEAD_MOST = 20_000
ROWS_EVER = 1_048_576  # rows a spreadsheet can have, empty ones too


def write_rows(rows: Iterable[Sequence[Cell]], *, decimal_comma: bool = False) -> bytes:
    """Rows as CSV in UTF-8 with its mark; a decimal comma goes with semicolons."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=";" if decimal_comma else ",", lineterminator="\r\n")
    for row in rows:
        writer.writerow([written(value, decimal_comma=decimal_comma) for value in row])
    return BOM + out.getvalue().encode("utf-8")


def written(value: Cell | float, *, decimal_comma: bool = False) -> str:
    """One value as the text of a cell."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return shielded(clean(value))
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="seconds")
    if isinstance(value, date):
        return value.isoformat()
    text = format(Decimal(str(value)), "f")
    return text.replace(".", ",") if decimal_comma else text


def shielded(text: str) -> str:
    """A text that no spreadsheet runs."""
    return _SHIELD + text if _is_risky(text) or text.startswith(_SHIELD) else text


def unshielded(text: str) -> str:
    """What `shielded` was given."""
    rest = text[1:]
    return rest if text.startswith(_SHIELD) and (_is_risky(rest) or rest.startswith(_SHIELD)) else text


def separator_of(text: str, known: frozenset[str]) -> str:
    """What separates the cells: what the file says of itself, else what finds most of the headings."""
    said = _SAID.match(text)
    if said:
        return said[1]

    def found(separator: str) -> int:
        head = next(csv.reader(io.StringIO(text[:_HEAD_MOST], newline=""), delimiter=separator), [])
        return sum(fold(cell) in known for cell in head)

    return max(SEPARATORS, key=found)


def read_rows(text: str, separator: str) -> Iterator[tuple[int, list[object]]]:
    """Filled rows and their numbers as a spreadsheet counts them. Refuses: sheets.broken, sheets.long."""
    said = _SAID.match(text)
    lines = io.StringIO(text[said.end() :] if said else text, newline="")
    reader = csv.reader(lines, delimiter=separator, strict=True)
    try:
        for number, row in enumerate(reader, start=1):
            if number > ROWS_EVER:
                raise too_long(ROWS_EVER)
            if row:
                yield number, [unshielded(cell.strip()) for cell in row]
    except csv.Error as fault:
        raise Refused(
            "sheets.broken",
            say(
                "The sheet cannot be read near line {line}: a quotation mark is wrong, or a cell has no end.",
                line=reader.line_num,
            ),
            say("Open it in a spreadsheet, look at that line, and save it again as CSV (UTF-8)."),
        ) from fault


def decoded(data: bytes) -> str:
    """The text of a CSV file. Refuses: sheets.encoding."""
    try:
        text = data.decode("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError as fault:
        raise Refused(
            "sheets.encoding",
            say("The letters of the sheet cannot be read: byte {at} is not UTF-8.", at=fault.start + 1),
            say("Save it again as CSV (UTF-8), or as XLSX."),
        ) from fault
    if "\0" in text:
        raise Refused(
            "sheets.kind",
            say("The file is no sheet: it holds characters that no text has."),
            say("Save the sheet as XLSX or as CSV (UTF-8)."),
        )
    return text


def too_long(most: int) -> Refused:
    """What to raise for more rows than are read."""
    return Refused(
        "sheets.long",
        say("The sheet has more than {most} rows.", most=most),
        say("Split it over several files."),
    )


def fold(heading: object) -> str:
    """A heading for comparing: small letters, single spaces."""
    return " ".join(str(heading).casefold().split())


def _is_risky(text: str) -> bool:
    return text.lstrip(" ").startswith(RISKY)
