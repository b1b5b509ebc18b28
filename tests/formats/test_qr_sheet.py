"""Sheets of tags, read back from rendered pixels by general tools: poppler's pdftoppm and zxing-cpp.

Outside numbers. ISO/IEC 18004: 29 modules a side in version 3, a clear zone of 4 modules, finder pattern
1:1:3:1:1. Paper: ISO 216 A4 is 210 x 297 mm; US Letter is 8.5 x 11 in (ANSI/ASME Y14.1). An inch is 25.4 mm.
Check characters of the sample codes: python-stdnum, ISO/IEC 7064 MOD 37-2.
"""

import itertools
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from inventory.errors import Refused
from inventory.formats.qr_sheet import MOST_LABELS, PAPER_MM, Paper, Sheet, pdf, roll, standard_sheet
from inventory.formats.qr_tag import Label, Use
from tests.formats.pixels import ink, read, rendered, said, some_labels


@pytest.mark.parametrize("dpi", [150, 300])
@pytest.mark.parametrize("use", Use)
@pytest.mark.parametrize("paper", Paper)
def test_pdf_when_rendered_gives_every_tag_back(paper: Paper, use: Use, dpi: int, tmp_path: Path) -> None:
    """A full sheet of different tags reads back whole, each as version 3 at level H."""
    sheet = standard_sheet(paper, use)
    labels = some_labels(sheet.positions)
    (page,) = rendered(pdf(labels, sheet=sheet, use=use), tmp_path, dpi)
    found = read(page)
    assert sorted(tag.text for tag in found) == sorted(label.address for label in labels)
    assert {(tag.extra["Version"], tag.ec_level) for tag in found} == {("3", "H")}


@pytest.mark.parametrize(
    ("use", "size_mm"), [(Use.PACKAGE, 0.5), (Use.SKI, 0.75), (Use.BIN, 1.0), (Use.DOOR, 1.5)]
)
def test_pdf_when_measured_has_the_module_and_clear_zone_of_its_use(
    use: Use, size_mm: float, tmp_path: Path
) -> None:
    """Module size to within one pixel over the whole code; nothing printed within four modules of it."""
    dpi = 300
    sheet = standard_sheet(Paper.A4, use)
    (page,) = rendered(pdf(some_labels(sheet.positions), sheet=sheet, use=use), tmp_path, dpi)
    module = size_mm / 25.4 * dpi
    tag = min(read(page), key=lambda tag: (tag.position.top_left.y // 20, tag.position.top_left.x))
    left, top = tag.position.top_left.x, tag.position.top_left.y
    around = page.crop(
        (int(left - 4 * module), int(top - 4 * module), int(left + 33 * module), int(top + 33 * module))
    )
    x0, y0, x1, y1 = ink(around)
    assert x1 - x0 == pytest.approx(29 * module, abs=1)
    assert y1 - y0 == pytest.approx(29 * module, abs=1)
    code = (int(left - 4 * module) + x0, int(top - 4 * module) + y0)
    wide = page.crop(
        (
            round(code[0] - 4 * module),
            round(code[1] - 4 * module),
            round(code[0] + 33 * module),
            round(code[1] + 33 * module),
        )
    )
    wide.paste(
        255, (round(4 * module) - 1, round(4 * module) - 1, round(33 * module) + 1, round(33 * module) + 1)
    )
    assert wide.point(lambda grey: 255 if grey < 250 else 0).getbbox() is None
    middle = [
        page.getpixel((code[0] + x, round(code[1] + 3.5 * module))) < 128 for x in range(round(7 * module))
    ]
    edges = [0, *(x for x in range(1, len(middle)) if middle[x] != middle[x - 1]), len(middle)]
    widths = [(b - a) / module for a, b in itertools.pairwise(edges)]
    assert widths == pytest.approx([1, 1, 3, 1, 1], abs=1.5 / module)


def test_pdf_when_one_corner_is_masked_still_reads(tmp_path: Path) -> None:
    """Level H recovers a covered corner; with half of the code covered nothing is read."""
    sheet, label = roll(Use.SKI), some_labels(1)[0]
    (page,) = rendered(pdf([label], sheet=sheet, use=Use.SKI), tmp_path, 300)
    module = 0.75 / 25.4 * 300
    x0, _, _, y1 = ink(page)
    for modules, texts in ((7, [label.address]), (20, [])):
        masked = page.copy()
        right, bottom = round(x0 + 29 * module), y1
        masked.paste(0, (round(right - modules * module), round(bottom - modules * module), right, bottom))
        assert [tag.text for tag in read(masked)] == texts


def test_pdf_when_the_same_labels_come_again_is_the_same_bytes() -> None:
    """Two builds in two processes, with other hash seeds, are equal; another label makes other bytes."""
    program = (
        "import hashlib, sys\n"
        "from inventory.formats.qr_sheet import *\n"
        "from inventory.formats.qr_tag import *\n"
        "labels = [Label(address('TAG.EXAMPLE', 'SA8KJ2MT'), 'SA8K-J2MT', sys.argv[1])] * 3\n"
        "whole = pdf(labels, sheet=standard_sheet(Paper.LETTER, Use.BIN), use=Use.BIN)\n"
        "whole += svg(labels[0], use=Use.BIN) + png(labels[0], use=Use.BIN)\n"
        "print(hashlib.sha256(whole).hexdigest())\n"
    )

    def build(seed: str, line: str) -> str:
        env = {**os.environ, "PYTHONHASHSEED": seed}
        done = subprocess.run(
            [sys.executable, "-c", program, line], env=env, check=True, capture_output=True, timeout=60
        )
        return done.stdout.decode()

    assert build("1", "Řeřicha") == build("2", "Řeřicha")
    assert build("1", "Řeřicha") != build("1", "Reřicha")


def test_pdf_when_many_are_made_at_once_each_is_as_if_alone() -> None:
    """Several server threads printing together do not mix their fonts or pages."""
    sheet = standard_sheet(Paper.A4, Use.PACKAGE)
    orders = [
        [Label(label.address, label.code_shown, word * 5) for label in some_labels(6)]
        for word in ("ab", "Žř", "Ω≥", "ж9")
    ]
    alone = [pdf(order, sheet=sheet, use=Use.PACKAGE) for order in orders]
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(lambda order: pdf(order, sheet=sheet, use=Use.PACKAGE), orders * 3))
    assert together == alone * 3


def test_pdf_is_vectors_with_its_own_font_inside(tmp_path: Path) -> None:
    """No picture in the file; every font embedded."""
    document = pdf(some_labels(5), sheet=standard_sheet(Paper.A4, Use.SKI), use=Use.SKI)
    assert len(said("pdfimages", document, tmp_path, "-list").splitlines()) == 2  # the table's head only
    fonts = said("pdffonts", document, tmp_path).splitlines()[2:]
    assert len(fonts) == 2
    assert all("TrueType" in font and " yes yes " in font for font in fonts)


@pytest.mark.parametrize(("paper", "points"), [(Paper.A4, "595.276 x 841.89"), (Paper.LETTER, "612 x 792")])
def test_pdf_pages_have_the_size_of_the_paper(paper: Paper, points: str, tmp_path: Path) -> None:
    """A4 and US Letter in points of 1/72 inch."""
    document = pdf(some_labels(1), sheet=standard_sheet(paper, Use.BIN), use=Use.BIN)
    assert points in said("pdfinfo", document, tmp_path)


def test_pdf_when_a_sheet_is_half_used_begins_at_the_first_free_place(tmp_path: Path) -> None:
    """From the last place but one: two labels on the first page, the third first on the next."""
    sheet, use = standard_sheet(Paper.A4, Use.BIN), Use.BIN
    labels = some_labels(3)
    pages = rendered(pdf(labels, sheet=sheet, use=use, start=sheet.positions - 1), tmp_path, 150)
    assert [{tag.text for tag in read(page)} for page in pages] == [
        {labels[0].address, labels[1].address},
        {labels[2].address},
    ]
    for page, position in ((pages[0], sheet.positions - 2), (pages[1], 0)):
        left, top = (length / 25.4 * 150 for length in sheet.corner(position))
        assert ink(page)[0] == pytest.approx(left + 4 * 1.0 / 25.4 * 150, abs=2)
        assert top < ink(page)[1] < top + sheet.label_height / 25.4 * 150


@pytest.mark.parametrize("start", [0, -1, 13, 10**9])
def test_pdf_when_the_first_place_is_not_on_the_sheet_is_refused(start: int) -> None:
    """A sheet of twelve has places 1 to 12."""
    sheet = standard_sheet(Paper.A4, Use.BIN)
    assert pdf(some_labels(1), sheet=sheet, use=Use.BIN, start=12)
    with pytest.raises(Refused) as refusal:
        pdf(some_labels(1), sheet=sheet, use=Use.BIN, start=start)
    assert refusal.value.code == "qr_sheet.bad_start"
    assert str(start).replace("-", "−") in str(refusal.value.sentence)


def test_pdf_on_a_roll_gives_one_label_a_page(tmp_path: Path) -> None:
    """Each page is one label and reads as that label."""
    labels = some_labels(3)
    pages = rendered(pdf(labels, sheet=roll(Use.PACKAGE), use=Use.PACKAGE), tmp_path, 300)
    assert [[tag.text for tag in read(page)] for page in pages] == [[label.address] for label in labels]


def test_pdf_when_labels_are_too_many_is_refused() -> None:
    """The largest number prints; one more does not, and none at all does not."""
    label, sheet = some_labels(1)[0], standard_sheet(Paper.A4, Use.PACKAGE)
    with pytest.raises(Refused) as refusal:
        pdf([label] * (MOST_LABELS + 1), sheet=sheet, use=Use.PACKAGE)
    assert refusal.value.code == "qr_sheet.too_many"
    with pytest.raises(Refused) as refusal:
        pdf([], sheet=sheet, use=Use.PACKAGE)
    assert refusal.value.code == "qr_sheet.no_labels"
    assert pdf([label], sheet=sheet, use=Use.PACKAGE)


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"columns": 4}, "qr_sheet.bad_sheet"),
        ({"columns": 0}, "qr_sheet.bad_sheet"),
        ({"rows": -1}, "qr_sheet.bad_sheet"),
        ({"left": 40.0}, "qr_sheet.bad_sheet"),
        ({"top": float("nan")}, "qr_sheet.bad_sheet"),
        ({"gap_down": -5.0}, "qr_sheet.bad_sheet"),
        ({"paper_width": float("inf")}, "qr_sheet.bad_sheet"),
        ({"label_height": 18.0}, "qr_sheet.label_too_small"),
        ({"label_width": 38.0}, "qr_sheet.label_too_small"),
    ],
)
def test_pdf_when_the_sheet_cannot_be_is_refused(changed: dict[str, float], code: str) -> None:
    """The shop's own grid prints; the same grid with one number wrong does not."""
    fits = {"paper_width": 200.0, "paper_height": 120.0, "columns": 3, "rows": 4, "left": 10.0, "top": 10.0}
    fits |= {"label_width": 60.0, "label_height": 25.0}
    assert pdf(some_labels(1), sheet=Sheet(**fits), use=Use.PACKAGE)
    with pytest.raises(Refused) as refusal:
        pdf(some_labels(1), sheet=Sheet(**(fits | changed)), use=Use.PACKAGE)
    assert refusal.value.code == code


@pytest.mark.parametrize("use", Use)
@pytest.mark.parametrize("paper", Paper)
def test_standard_sheet_keeps_off_the_edge_of_the_paper(paper: Paper, use: Use) -> None:
    """At least 6 mm all round, within which many desk printers cannot print (from memory)."""
    sheet = standard_sheet(paper, use)
    width, height = PAPER_MM[paper]
    assert (sheet.paper_width, sheet.paper_height) == (width, height)
    left, top = sheet.corner(sheet.positions - 1)
    assert (
        min(sheet.left, sheet.top, width - left - sheet.label_width, height - top - sheet.label_height) >= 6
    )
