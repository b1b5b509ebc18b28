"""Tags in print, read back from rendered pixels by general tools: poppler's pdftoppm and zxing-cpp.

Outside numbers. ISO/IEC 18004: 29 modules a side in version 3, a clear zone of 4 modules, finder pattern
1:1:3:1:1, 35 alphanumeric characters at 3-H (the last also at qrcode.com, "Information capacity").
Paper: ISO 216 A4 is 210 x 297 mm; US Letter is 8.5 x 11 in (ANSI/ASME Y14.1). An inch is 25.4 mm.
Check characters of the sample codes: python-stdnum, ISO/IEC 7064 MOD 37-2.
"""

import io
import itertools
import os
import random
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import zxingcpp
from defusedxml import ElementTree
from PIL import Image, ImageChops
from stdnum.iso7064 import mod_37_2

from inventory.errors import Refused
from inventory.formats.qr_sheet import MOST_LABELS, PAPER_MM, Paper, Sheet, pdf, roll, standard_sheet
from inventory.formats.qr_tag import MODULE_MM, Label, Use, address, missing_letters, png, runs, svg

HOST = "TAG.EXAMPLE"
LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
HAIR = " \u200f\u202e\x00\x07\n"  # blank, two marks of direction, three controls


def some_labels(count: int, kind: str = "P") -> list[Label]:
    """So many labels with different codes, each with a true check character."""
    draw = random.Random(count)
    made: dict[str, Label] = {}
    while len(made) < count:
        body = kind + "A" + "".join(draw.choices(LETTERS, k=5))
        code = body + mod_37_2.calc_check_digit(body)
        if code[-1] in LETTERS:
            shown = f"{code[:4]}-{code[4:]}"
            made[code] = Label(address(HOST, code), shown, "Resin, slow", f"lot 25{len(made):02}, 4 kg")
    return list(made.values())


def rendered(document: bytes, folder: Path, dpi: int) -> list[Image.Image]:
    """The pages as pixels, by pdftoppm."""
    (folder / "tags.pdf").write_bytes(document)
    subprocess.run(
        ["pdftoppm", "-gray", "-r", str(dpi), folder / "tags.pdf", folder / f"page{dpi}"],
        check=True,
        timeout=120,
    )
    return [Image.open(path) for path in sorted(folder.glob(f"page{dpi}-*"))]


def said(tool: str, document: bytes, folder: Path, *options: str) -> str:
    """What one of poppler's tools says about a document."""
    (folder / "tags.pdf").write_bytes(document)
    done = subprocess.run(
        [tool, *options, folder / "tags.pdf"] + (["-"] if tool == "pdftotext" else []),
        check=True,
        capture_output=True,
        timeout=60,
    )
    return done.stdout.decode()


def read(image: Image.Image) -> list[zxingcpp.Barcode]:
    return zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)


def ink(image: Image.Image) -> tuple[int, int, int, int]:
    """The box of everything darker than half grey."""
    box = image.convert("L").point(lambda grey: 255 if grey < 128 else 0).getbbox()
    assert box is not None
    return box


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
    module = MODULE_MM[Use.SKI] / 25.4 * 300
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
    assert str(start) in str(refusal.value.sentence)


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


def test_address_when_the_host_fills_the_code_is_taken_and_one_more_is_refused(tmp_path: Path) -> None:
    """35 characters fit version 3 at level H, so a host of 14; the fifteenth is refused."""
    fourteen = "ABCDEFGHIJ.KLM"
    label = Label(address(fourteen.lower(), "sa8kj2mt"), "SA8K-J2MT")
    assert label.address == "HTTPS://ABCDEFGHIJ.KLM/OBJ/SA8KJ2MT"
    assert len(label.address) == 35
    (page,) = rendered(pdf([label], sheet=roll(Use.PACKAGE), use=Use.PACKAGE), tmp_path, 300)
    assert [tag.text for tag in read(page)] == [label.address]
    with pytest.raises(Refused) as refusal:
        address(fourteen + "N", "SA8KJ2MT")
    assert refusal.value.code == "qr_sheet.host_too_long"
    assert "15 characters" in str(refusal.value.sentence)


@pytest.mark.parametrize(
    "host", ["", "a b", "tag_1.example", "TAG.EXAMPLE/X", "ÆØÅ.NO", "-A.NO", "A" * 10_000 + "?"]
)
def test_address_when_the_host_is_none_is_refused(host: str) -> None:
    """Anything an address cannot hold is refused in a short sentence; a host with a port is one."""
    assert address("10.0.0.7:8000", "SA8KJ2MT") == "HTTPS://10.0.0.7:8000/OBJ/SA8KJ2MT"
    with pytest.raises(Refused) as refusal:
        address(host, "SA8KJ2MT")
    assert refusal.value.code == "qr_sheet.not_a_host"
    assert len(str(refusal.value.sentence)) < 100


@pytest.mark.parametrize(
    "code", ["", "SA8KJ2M", "SA8KJ2MTX", "SA8KJ2MU", "SA8K J2M", "<b>SA8K</b>", "Ŝ" * 10_000]
)
def test_address_when_the_code_is_not_one_is_refused(code: str) -> None:
    """Wrong length, a letter that tags never use, markup: refused; lower case and the hyphen are no fault."""
    assert address(HOST, "sa8k-j2mt") == "HTTPS://TAG.EXAMPLE/OBJ/SA8KJ2MT"
    with pytest.raises(Refused) as refusal:
        address(HOST, code)
    assert refusal.value.code == "qr_sheet.not_a_code"
    assert len(str(refusal.value.sentence)) < 100


@pytest.mark.parametrize(
    ("in_address", "shown"),
    [
        ("SA8KJ2MT", "SA8KJ2MT"),
        ("SA8KJ2MT", "SA8K-J2MZ"),
        ("SA8KJ2MT", "sa8k-j2mt"),
        ("sa8kj2mt", "SA8K-J2MT"),
        ("SA8KJ2MT?x=1", "SA8K-J2MT"),
    ],
)
def test_runs_when_code_and_address_differ_is_refused(in_address: str, shown: str) -> None:
    """What people read and what the code holds are the same code, written the one way."""
    assert runs(Label("HTTPS://TAG.EXAMPLE/OBJ/SA8KJ2MT", "SA8K-J2MT"))
    with pytest.raises(Refused) as refusal:
        runs(Label(f"HTTPS://TAG.EXAMPLE/OBJ/{in_address}", shown))
    assert refusal.value.code == "qr_sheet.not_a_code"


def test_pdf_when_a_name_has_markup_prints_it_as_it_is(tmp_path: Path) -> None:
    """Angle brackets, ampersands and brackets are letters like others."""
    label = some_labels(1)[0]
    line = "<b>Glue</b> & (sons) \\ <script>"
    document = pdf([Label(label.address, label.code_shown, line)], sheet=roll(Use.DOOR), use=Use.DOOR)
    assert line in said("pdftotext", document, tmp_path)
    drawn = ElementTree.fromstring(svg(Label(label.address, label.code_shown, line), use=Use.DOOR))
    assert line in ["".join(text.itertext()) for text in drawn.iter("{http://www.w3.org/2000/svg}text")]


@pytest.mark.parametrize("line", ["שרף אפוקסי", "راتنج", HAIR * 50, "M" * 10_000, "🎿" * 10_000, ""])
def test_pdf_when_a_line_is_strange_still_gives_its_tag_back(line: str, tmp_path: Path) -> None:
    """Right-to-left text, controls, endless lines and none: the tag reads, all ink keeps to the label."""
    known = some_labels(1)[0]
    label = Label(known.address, known.code_shown, line, line)
    sheet = standard_sheet(Paper.A4, Use.PACKAGE)
    (page,) = rendered(pdf([label], sheet=sheet, use=Use.PACKAGE), tmp_path, 300)
    assert [tag.text for tag in read(page)] == [label.address]
    assert ink(page)[2] <= (sheet.left + sheet.label_width) / 25.4 * 300
    assert label.code_shown in said("pdftotext", (tmp_path / "tags.pdf").read_bytes(), tmp_path)
    assert [tag.text for tag in read(Image.open(io.BytesIO(png(label, use=Use.PACKAGE))))] == [label.address]
    assert len(svg(label, use=Use.PACKAGE)) < 6_000


def test_missing_letters_names_what_would_print_as_a_question_mark(tmp_path: Path) -> None:
    """Letters of many Latin, Greek and Cyrillic languages print; Hebrew does not, and is named."""
    assert missing_letters("Žebřík łódź Ωmega Жук ≥ 4 µm") == frozenset()
    assert missing_letters("glue אב") == {"א", "ב"}
    known = some_labels(1)[0]
    document = pdf([Label(known.address, known.code_shown, "glue אב")], sheet=roll(Use.BIN), use=Use.BIN)
    assert "glue ??" in said("pdftotext", document, tmp_path)


@pytest.mark.parametrize("use", Use)
def test_png_reads_back_and_prints_at_its_size(use: Use) -> None:
    """Whole pixels a module; pixels and the stated resolution together give the module in mm."""
    label = some_labels(1)[0]
    image = Image.open(io.BytesIO(png(label, use=use)))
    (tag,) = read(image)
    assert tag.text == label.address
    code = image.convert("L").crop((0, 0, image.height, image.height))
    x0, y0, x1, y1 = ink(code)
    assert (x1 - x0) % 29 == (y1 - y0) % 29 == 0
    pixels = (x1 - x0) // 29
    assert (x0, y0) == (4 * pixels, 4 * pixels)
    assert pixels / image.info["dpi"][0] * 25.4 == pytest.approx(MODULE_MM[use], rel=1e-3)


def test_svg_when_a_browser_draws_it_reads_back_and_equals_the_png(tmp_path: Path) -> None:
    """Chromium's pixels are those of the PNG, module by module, at the size of 96 px an inch."""
    label, use = some_labels(1)[0], Use.DOOR
    (tmp_path / "tag.svg").write_bytes(svg(label, use=use))
    subprocess.run(
        [
            *(
                "chromium",
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--no-first-run",
                "--hide-scrollbars",
            ),
            f"--user-data-dir={tmp_path / 'profile'}",
            "--window-size=900,400",
            "--force-device-scale-factor=1",
            f"--screenshot={tmp_path / 'tag.png'}",
            (tmp_path / "tag.svg").as_uri(),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    shot = Image.open(tmp_path / "tag.png").convert("L")
    assert [tag.text for tag in read(shot)] == [label.address]
    side = 37 * MODULE_MM[use] / 25.4 * 96
    assert ink(shot)[0] == pytest.approx(4 / 37 * side, abs=1)
    printed = Image.open(io.BytesIO(png(label, use=use))).convert("L")
    small = shot.resize((37, 37), Image.Resampling.BOX, box=(0, 0, side, side)).point(
        lambda grey: 255 * (grey > 127)
    )
    fine = printed.resize((37, 37), Image.Resampling.BOX, box=(0, 0, printed.height, printed.height))
    assert ImageChops.difference(small, fine.point(lambda grey: 255 * (grey > 127))).getbbox() is None
