"""Sample labels, and documents turned into pixels by poppler's tools and read by zxing-cpp."""

import random
import subprocess
from pathlib import Path

import zxingcpp
from PIL import Image
from stdnum.iso7064 import mod_37_2

from inventory.formats.qr_tag import Label, address

HOST = "TAG.EXAMPLE"
LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


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
    pages = []
    for path in sorted(folder.glob(f"page{dpi}-*")):
        with Image.open(path) as page:
            pages.append(page.copy())
    return pages


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
