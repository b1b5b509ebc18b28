"""Sheets that must not be read, or not whole: each with a sentence of what to do, beside one that passes.

Outside: workbooks written by openpyxl, taken apart by zipfile; names of parts: ECMA-376, Office Open XML.
"""

import io
import re
import zipfile
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from inventory.errors import Refused
from inventory.formats.sheets import (
    BYTES_MOST,
    COLUMNS_MOST,
    PROBLEMS_MOST,
    ROWS_MOST,
    Column,
    Kind,
    Table,
    read,
)

COLUMNS = (Column("Lot", required=True), Column("Packs", Kind.WHOLE))
SHEET = "xl/worksheets/sheet1.xml"
PARTS = (SHEET, "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml", "xl/sharedStrings.xml")
Change = Callable[[str, bytes], bytes]


def book(*rows: tuple[object, ...]) -> bytes:
    made = Workbook()
    for row in rows or (("Lot", "Packs"), ("A", 1)):
        made.active.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def rebuilt(data: bytes, change: Change, more: dict[str, bytes] | None = None) -> bytes:
    """A workbook with its parts changed, and others added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
        for name, content in (more or {}).items():
            new.writestr(name, content)
    return out.getvalue()


def same(_name: str, content: bytes) -> bytes:
    return content


def with_rows(xml: str) -> bytes:
    """A workbook with these rows as XML behind its headings and its first row."""
    return rebuilt(book(), lambda name, part: part.replace(b"</sheetData>", xml.encode() + b"</sheetData>"))


def refused(name: str, data: bytes) -> str:
    with pytest.raises(Refused) as caught:
        read(data, COLUMNS)
    assert caught.value.code == name
    return str(caught.value)


def lots(table: Table) -> list[object]:
    return [row.values["Lot"] for row in table.rows]


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("sheets.empty", b""),
        ("sheets.empty", b"\xef\xbb\xbf\r\n \t\n"),
        ("sheets.old", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 512),
        ("sheets.kind", b"Lot,Packs\nA\0,1\n"),
        ("sheets.kind", rebuilt(book(), same).replace(b"xl/workbook.xml", b"xl/workbook.xmm")),
        ("sheets.broken", b"PK\x03\x04 and no more"),
        ("sheets.broken", book()[:-300]),
        ("sheets.broken", b'Lot,Packs\n"A,1\n'),
        ("sheets.broken", b'Lot,Packs\n"A"x,1\n'),
        ("sheets.encoding", "Lot,Packs\nÅ,1\n".encode("latin-1")),
        ("sheets.encoding", b"\xff\xfeL\0o\0t\0\xd8"),
        ("sheets.columns", b"Batch,Packs\nA,1\n"),
        ("sheets.columns", book(("Packs",), (1,))),
        ("sheets.twice", b"Lot,Packs,lot \nA,1,B\n"),
        ("sheets.twice", book(("Lot", "LOT"), ("A", "B"))),
        ("sheets.macros", rebuilt(book(), same, {"xl/vbaProject.bin": b"x"})),
        ("sheets.macros", rebuilt(book(), same, {"xl/macrosheets/sheet1.xml": b"x"})),
    ],
)
def test_read_when_the_file_is_no_plain_sheet_says_what_to_do(name: str, data: bytes) -> None:
    """Empty, old, locked, damaged, in other letters, without its headings, with macros; plain ones pass."""
    assert re.search(r"\. (Choose|Open|Save|Put|Keep) .*\.", refused(name, data))
    for right in (book(), b"Lot,Packs\nA,1\n", b'Lot,Packs\n"A",1\n', "Lot,Packs\nA,1\n".encode("utf-16")):
        assert lots(read(right, COLUMNS)) == ["A"]
    assert lots(read(rebuilt(book(), same, {"xl/media/image.bin": b"x"}), COLUMNS)) == ["A"]


def test_read_when_the_file_is_over_20_mb_is_refused() -> None:
    """20 MB to the byte pass; the sentence says the size."""
    most = b"Lot,Packs\nA,1\n" + (b" " * 60 + b"\n") * (BYTES_MOST // 61 - 1)
    most += b" " * (BYTES_MOST - len(most))
    assert len(most) == BYTES_MOST
    assert lots(read(most, COLUMNS)) == ["A"]
    assert "20.0 MB" in refused("sheets.too_large", most + b" ")
    refused("sheets.long", most.replace(b" ", b"\n"))


def test_read_when_a_workbook_unpacks_to_more_than_20_mb_is_refused() -> None:
    """A few kilobytes that claim 40 MB are not unpacked; what they claim is added up over all parts."""
    bomb = rebuilt(book(), same, {f"xl/media/{number}.bin": bytes(10_000_000) for number in range(4)})
    assert len(bomb) < 100_000
    assert "40.0 MB" in refused("sheets.too_large", bomb)
    assert lots(read(rebuilt(book(), same, {"xl/media/1.bin": bytes(19_000_000)}), COLUMNS)) == ["A"]
    many = {f"xl/media/{number}.bin": b"" for number in range(2_000)}
    assert "parts" in refused("sheets.too_large", rebuilt(book(), same, many))


def test_read_when_a_part_is_larger_than_it_claims_is_refused() -> None:
    """The claim is held to: no more than it is unpacked, and the rest is damage."""
    liar = rebuilt(book(), lambda name, part: part + b" " * 30_000_000 if name == SHEET else part)
    with zipfile.ZipFile(io.BytesIO(liar)) as file:
        true = file.getinfo(SHEET).file_size
    refused("sheets.broken", liar.replace(true.to_bytes(4, "little"), (1_000).to_bytes(4, "little")))


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_read_when_there_is_a_row_or_a_column_too_many_is_refused(kind: str) -> None:
    """20,000 rows and 60 columns pass, empty ones not counted; one more is refused."""

    def made(rows: int, columns: int) -> bytes:
        head = ("Lot", *(f"more {number}" for number in range(columns - 1)))
        if kind == "xlsx":
            cell = '<c t="inlineStr"><is><t>A</t></is></c>'
            body = "".join(f'<row r="{2 * row}">{cell}</row>' for row in range(1, rows + 1)).encode()
            return rebuilt(
                book(head), lambda name, part: part.replace(b"</sheetData>", body + b"</sheetData>")
            )
        return ",".join(head).encode() + b"\n" + b"A\n\n" * rows

    assert len(read(made(ROWS_MOST, 2), COLUMNS[:1]).rows) == ROWS_MOST
    assert len(read(made(1, COLUMNS_MOST), COLUMNS[:1]).ignored) == COLUMNS_MOST - 1
    refused("sheets.long", made(ROWS_MOST + 1, 2))
    assert "Row 1" in refused("sheets.wide", made(1, COLUMNS_MOST + 1))


def test_read_when_everything_is_wrong_stops_telling() -> None:
    """A thousand problems are told, and that there are more."""
    table = read(b"Lot,Packs\n" + b"A,x\n" * (PROBLEMS_MOST + 500) + b"B,1\n", COLUMNS)
    assert len(table.problems) == PROBLEMS_MOST
    assert table.cut
    whole = read(b"Lot,Packs\n" + b"A,x\n" * (PROBLEMS_MOST - 1) + b"B,1\n", COLUMNS)
    assert (len(whole.problems), whole.cut, lots(whole)) == (PROBLEMS_MOST - 1, False, ["B"])


def test_read_when_a_workbook_lies_about_its_size_reads_what_is_there() -> None:
    """A dimension that is too small hides no row; rows far below are found, rows that are none refused."""
    small = rebuilt(
        book(("Lot",), ("A",), ("B",)),
        lambda name, part: re.sub(rb'<dimension ref="[^"]*"', b'<dimension ref="A1:A2"', part),
    )
    assert lots(read(small, COLUMNS[:1])) == ["A", "B"]
    cell = '<c r="A{0}" t="inlineStr"><is><t>Z</t></is></c>'
    far = read(with_rows(f'<row r="90000">{cell.format(90_000)}</row>'), COLUMNS)
    assert [(row.number, row.values["Lot"]) for row in far.rows] == [(2, "A"), (90_000, "Z")]
    refused("sheets.broken", with_rows(f'<row r="99999999">{cell.format(99_999_999)}</row>'))
    assert lots(read(with_rows(f'<row r="1">{cell.format(1)}</row>' * 5_000), COLUMNS)) == ["A"]


def test_read_when_cells_lie_far_to_the_right_does_not_unfold_them() -> None:
    """Ten thousand rows, each with a cell in the last column there is; one row of a megabyte is refused."""
    rows = "".join(f'<row r="{row}"><c r="XFD{row}"><v>1</v></c></row>' for row in range(3, 10_003))
    assert lots(read(with_rows(rows), COLUMNS)) == ["A"]
    wide = "".join(f'<c r="XFD3"><v>{number}</v></c>' for number in range(60_000))
    refused("sheets.too_large", with_rows(f'<row r="3">{wide}</row>'))


@pytest.mark.parametrize(
    "change",
    [
        lambda name, part: part.replace(b"<worksheet", b'<!DOCTYPE x [<!ENTITY a "b">]><worksheet', 1),
        lambda name, part: part.replace(b"</worksheet>", b""),
        lambda name, part: part.replace(b'state="visible"', b'state="hidden"'),
        lambda name, part: b"" if name == SHEET else part,
        lambda name, part: part.replace(b'<c r="B2"', b'<c r="A3" t="s"><v>77</v></c><c r="B2"'),
        lambda name, part: part.replace(b"<v>1</v>", b"<v>" + b"9" * 5_000 + b"</v>"),
    ],
    ids=["entities", "no end", "hidden", "empty", "text", "digits"],
)
def test_read_when_the_xml_is_damaged_is_refused_or_told(change: Change) -> None:
    """Entities, a missing end, no sheet shown, numbers of texts that are not there: never another error."""
    assert lots(read(rebuilt(book(), same), COLUMNS)) == ["A"]
    found = outcome(rebuilt(book(), change))
    assert found.code == "sheets.broken" if isinstance(found, Refused) else lots(found) == []


def outcome(data: bytes) -> Table | Refused:
    try:
        return read(data, COLUMNS)
    except Refused as refusal:
        return refusal


@settings(max_examples=60)
@given(
    st.binary(max_size=120)
    | st.text(max_size=80).map(lambda text: ("Lot,Packs\n" + text).encode("utf-8", "replace"))
    | st.text("Lot,Packs;\t\n\"'=+-@0123", max_size=80).map(str.encode)
    | st.binary(max_size=80).map(b"PK\x03\x04".__add__)
)
def test_read_when_it_is_garbage_refuses_and_nothing_else(data: bytes) -> None:
    """Never another error, and always a sentence."""
    found = outcome(data)
    told = [str(found)] if isinstance(found, Refused) else [str(each.sentence) for each in found.problems]
    assert all(told)


@pytest.mark.filterwarnings("ignore::UserWarning")  # what openpyxl says of a damaged workbook
@settings(max_examples=80)
@given(
    part=st.sampled_from(PARTS),
    changes=st.lists(
        st.tuples(st.integers(0, 10**6), st.sampled_from(b'<>/"=0A19z \0\xff')), min_size=1, max_size=4
    ),
    cut=st.none() | st.integers(0, 10**6),
)
def test_read_when_a_part_is_changed_refuses_and_nothing_else(
    part: str, changes: list[tuple[int, int]], cut: int | None
) -> None:
    """Other letters here and there within the XML, with and without its end."""

    def change(name: str, content: bytes) -> bytes:
        if name != part:
            return content
        damaged = bytearray(content)
        for at, letter in changes:
            damaged[at % len(damaged)] = letter
        return bytes(damaged[: cut % len(damaged)] if cut is not None else damaged)

    found = outcome(rebuilt(book(("Lot", "Packs"), ("A", 1), ("B", 2.5)), change))
    assert not isinstance(found, Refused) or found.code.startswith("sheets.")
