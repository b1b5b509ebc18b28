"""Tables out as CSV and XLSX, and tables in: typed by column, with every fault of every row told at once.

Knows no material, no supplier and no list; whoever asks says which columns there are. What can mean two
things is a fault, not a guess.

Example: `read(data, [Column("Lot"), Column("Expiry", Kind.DAY, day_order=DayOrder.DMY)])`.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from inventory.errors import Refused, Sentence, say
from inventory.formats import sheets_csv, sheets_xlsx
from inventory.formats.sheets_cells import Cell, DayOrder, Fault, Kind, Manner, letters, read_cell, shortened
from inventory.formats.sheets_csv import fold

__all__ = [
    "Cell",
    "Column",
    "DayOrder",
    "Kind",
    "Problem",
    "Row",
    "Sheet",
    "Table",
    "read",
    "write_csv",
    "write_xlsx",
]

BYTES_MOST = 20_000_000
ROWS_MOST, COLUMNS_MOST, PROBLEMS_MOST = 20_000, 60, 1_000

Line = tuple[int, list[object]]


@dataclass(frozen=True, slots=True)
class Column:
    """A column that is looked for, under its name or another one."""

    name: str
    kind: Kind = Kind.TEXT
    required: bool = False  # a row without it is a fault; a sheet without it is refused
    day_order: DayOrder | None = None
    also: tuple[str, ...] = ()

    @property
    def headings(self) -> frozenset[str]:
        """All headings that mean it, folded."""
        return frozenset(map(fold, (self.name, *self.also)))


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with one cell: its row and column as the spreadsheet shows them."""

    row: int
    column: str
    sentence: Sentence


@dataclass(frozen=True, slots=True)
class Row:
    """One row that has no fault: its number in the spreadsheet, and a value for each column found."""

    number: int
    values: Mapping[str, Cell]


@dataclass(frozen=True, slots=True)
class Table:
    """A sheet that was read. Where there are problems, its good rows are no more than a preview."""

    columns: tuple[str, ...]  # of those looked for, in the order of the sheet
    ignored: tuple[str, ...]  # headings that nobody looked for
    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]
    cut: bool = False  # so many problems that the rest was not read


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table to write."""

    title: str
    columns: tuple[str, ...]
    rows: Sequence[Sequence[Cell]]


def write_csv(sheet: Sheet, *, decimal_comma: bool = False) -> bytes:
    """The table as CSV, UTF-8 with its mark; with semicolons where decimals have a comma."""
    return sheets_csv.write_rows(_lines(sheet), decimal_comma=decimal_comma)


def write_xlsx(sheet: Sheet) -> bytes:
    """The table as a workbook, numbers and dates typed."""
    return sheets_xlsx.write_rows(sheet.title, _lines(sheet))


def read(data: bytes, columns: Sequence[Column], *, decimal_mark: str | None = None) -> Table:
    """Read a CSV or XLSX file: headings first, then rows; empty rows are skipped.

    `decimal_mark` is "." or ","; a CSV file separated by commas has the dot.
    Refuses: sheets.empty, sheets.too_large, sheets.kind, sheets.old, sheets.macros, sheets.broken,
    sheets.encoding, sheets.columns, sheets.twice, sheets.wide, sheets.long.
    """
    _check_file(data)
    merged: tuple[sheets_xlsx.Merged, ...] = ()
    if sheets_xlsx.is_workbook(data):
        sheets_xlsx.check_workbook(data)
        merged = sheets_xlsx.merged_cells(data)
        lines = sheets_xlsx.read_rows(data, COLUMNS_MOST)
    else:
        text = sheets_csv.decoded(data)
        separator = sheets_csv.separator_of(text, frozenset().union(*(each.headings for each in columns)))
        lines = sheets_csv.read_rows(text, separator)
        decimal_mark = decimal_mark or ("." if separator == "," else None)
    return _table(_filled(lines), columns, decimal_mark, merged)


def _lines(sheet: Sheet) -> Iterator[Sequence[Cell]]:
    yield sheet.columns
    yield from sheet.rows


def _check_file(data: bytes) -> None:
    """Refuse by size and first bytes."""
    if not data.strip(b"\xef\xbb\xbf \t\r\n"):
        raise Refused("sheets.empty", say("The sheet is empty."), say("Choose the file with the rows."))
    if len(data) > BYTES_MOST:
        raise Refused(
            "sheets.too_large",
            say(
                "The file has {size} MB; {most} MB is the most.",
                size=f"{len(data) / 1e6:.1f}",
                most=BYTES_MOST // 1_000_000,
            ),
            say("Take out pictures and other sheets, or split the rows over several files."),
        )
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise Refused(
            "sheets.old",
            say("The workbook is of the old kind (XLS), or locked with a password."),
            say("Open it in a spreadsheet and save it as XLSX without a password."),
        )


def _filled(lines: Iterator[Line]) -> Iterator[Line]:
    """Rows that hold anything, without the empty cells at their end. Refuses: sheets.wide, sheets.long."""
    count = 0
    for number, cells in lines:
        while cells and _is_empty(cells[-1]):
            cells.pop()
        if not cells:
            continue
        count += 1
        if len(cells) > COLUMNS_MOST:
            raise Refused(
                "sheets.wide",
                say("Row {row} has more than {most} cells.", row=number, most=COLUMNS_MOST),
                say("Delete the columns that are not needed."),
            )
        if count > ROWS_MOST + 1:
            raise sheets_csv.too_long(ROWS_MOST)
        yield number, cells


@dataclass(frozen=True, slots=True)
class _Head:
    """The headings of a sheet, and which of them are looked for."""

    cells: Sequence[object]
    places: Mapping[int, Column]

    def name(self, at: int) -> str:
        """A column as the spreadsheet shows it: its heading, else its letters."""
        if at < len(self.cells) and not _is_empty(self.cells[at]):
            return shortened(str(self.cells[at]).strip())
        return letters(at)

    def stray(self, cells: Sequence[object]) -> Iterator[int]:
        """Places of cells that stand under no heading."""
        for at, cell in enumerate(cells):
            if not _is_empty(cell) and (at >= len(self.cells) or _is_empty(self.cells[at])):
                yield at


def _head(cells: Sequence[object], columns: Sequence[Column]) -> _Head:
    """Find the columns. Refuses: sheets.twice, sheets.columns."""
    places: dict[int, Column] = {}
    for at, cell in enumerate(cells):
        column = next((each for each in columns if fold(cell) in each.headings), None)
        if column in places.values():
            raise Refused(
                "sheets.twice",
                say(
                    "Two headings mean “{name}”: in columns {columns}.",
                    name=column.name if column else "",
                    columns=_both(places, column, at),
                ),
                say("Keep one of them, and rename or delete the other."),
            )
        if column:
            places[at] = column
    missing = [each.name for each in columns if each.required and each not in places.values()]
    if missing or not places:
        raise Refused(
            "sheets.columns",
            say(
                "The first row has no heading {names}.",
                names=", ".join(missing or [each.name for each in columns]),
            ),
            say("Put the headings into the first row; a template shows them."),
        )
    return _Head(cells, places)


def _table(
    lines: Iterator[Line],
    columns: Sequence[Column],
    decimal_mark: str | None,
    merged: Sequence[sheets_xlsx.Merged],
) -> Table:
    head = _head(next(lines, (1, []))[1], columns)
    problems = [
        Problem(
            each.row,
            head.name(each.column - 1),
            say("The cells {corners} are merged; unmerge them and fill each one.", corners=each.corners),
        )
        for each in merged[:PROBLEMS_MOST]
    ]
    rows: list[Row] = []
    for number, cells in lines:
        if len(problems) >= PROBLEMS_MOST:
            break
        values, faults = _row(cells, head, decimal_mark)
        problems.extend(Problem(number, head.name(at), sentence) for at, sentence in faults)
        if not faults:
            rows.append(Row(number, values))
    ignored = (at for at, cell in enumerate(head.cells) if at not in head.places and not _is_empty(cell))
    return Table(
        tuple(column.name for column in head.places.values()),
        tuple(head.name(at) for at in ignored),
        tuple(rows),
        tuple(problems),
        cut=len(problems) >= PROBLEMS_MOST,
    )


def _row(
    cells: Sequence[object], head: _Head, decimal_mark: str | None
) -> tuple[dict[str, Cell], list[tuple[int, Sentence]]]:
    """The values of one row, and what is wrong at which place."""
    values: dict[str, Cell] = {}
    faults = [(at, say("The cell stands under no heading.")) for at in head.stray(cells)]
    for at, column in head.places.items():
        try:
            raw = cells[at] if at < len(cells) else None
            if isinstance(raw, Fault):
                raise raw
            values[column.name] = read_cell(raw, column.kind, Manner(decimal_mark, column.day_order))
        except Fault as fault:
            faults.append((at, fault.sentence))
        else:
            if column.required and values[column.name] is None:
                faults.append((at, say("The cell is empty, and has to be filled.")))
    return values, sorted(faults, key=lambda fault: fault[0])


def _both(places: Mapping[int, Column], column: Column | None, at: int) -> str:
    return " and ".join(letters(each) for each in (*(p for p, c in places.items() if c is column), at))


def _is_empty(cell: object) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())
