"""Single tags, their addresses and their words, read back from pixels by zxing-cpp.

Outside numbers. ISO/IEC 18004: 29 modules a side in version 3, a clear zone of 4 modules, 35 alphanumeric
characters at 3-H (the last also at qrcode.com, "Information capacity"). CSS: 96 px are an inch of 25.4 mm.
"""

import io
import subprocess
from pathlib import Path

import pytest
from defusedxml import ElementTree
from PIL import Image, ImageChops

from inventory.errors import Refused
from inventory.formats.qr_sheet import Paper, pdf, roll, standard_sheet
from inventory.formats.qr_tag import MODULE_MM, Label, Use, address, missing_letters, png, runs, svg
from tests.formats.pixels import HOST, ink, read, rendered, said, some_labels

HAIR = " \u200f\u202e\x00\x07\n"  # blank, two marks of direction, three controls


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
    with Image.open(tmp_path / "tag.png") as file:
        shot = file.convert("L")
    assert [tag.text for tag in read(shot)] == [label.address]
    side = 37 * MODULE_MM[use] / 25.4 * 96
    assert ink(shot)[0] == pytest.approx(4 / 37 * side, abs=1)
    printed = Image.open(io.BytesIO(png(label, use=use))).convert("L")
    small = shot.resize((37, 37), Image.Resampling.BOX, box=(0, 0, side, side)).point(
        lambda grey: 255 * (grey > 127)
    )
    fine = printed.resize((37, 37), Image.Resampling.BOX, box=(0, 0, printed.height, printed.height))
    assert ImageChops.difference(small, fine.point(lambda grey: 255 * (grey > 127))).getbbox() is None
