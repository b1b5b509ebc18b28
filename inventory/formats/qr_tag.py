"""One tag: an address and its readable code, as dark runs, as SVG, as PNG. Knows no thing and no database.

Whether a code was ever given out, and its check character, are the business of whoever makes the label.

Example: `svg(Label(address("TAG.EXAMPLE", "SA8KJ2MT"), "SA8K-J2MT", "resin, slow"), use=Use.PACKAGE)`.
"""

import html
import io
import math
import re
from dataclasses import dataclass
from enum import StrEnum

import font_source_sans_pro
import qrcode
from PIL import Image, ImageDraw, ImageFont
from qrcode.util import MODE_ALPHA_NUM, QRData
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from inventory.errors import Refused, say

# ISO/IEC 18004: version 3 has 29 modules a side, a clear zone of 4 on each side, and holds 35 alphanumeric
# characters at level H. "HTTPS://" + "/OBJ/" + 8 leaves 14 for the host.
VERSION, MODULES, QUIET, HOST_MOST = 3, 29, 4, 14
BLOCK = MODULES + 2 * QUIET

REGULAR, STRONG = "TagRegular", "TagStrong"
PADDING_MM = 1.5

_HOST = re.compile(r"[A-Z0-9](?:[A-Z0-9.-]*[A-Z0-9])?(?::[0-9]{1,5})?")
_CODE = re.compile(r"[0-9A-HJKMNP-TV-Z]{8}")
_PNG_DPI = 300
_LINE_MOST = 80
_FILES = {
    REGULAR: font_source_sans_pro.font_files_ttf["SourceSansPro"],
    STRONG: font_source_sans_pro.font_files_ttf["SourceSansProSemibold"],
}
for _name, _file in _FILES.items():
    pdfmetrics.registerFont(TTFont(_name, _file))
_LETTERS = frozenset(pdfmetrics.getFont(REGULAR).face.charToGlyph)


class Use(StrEnum):
    """What a tag is fixed to; decides how large a module is printed."""

    PACKAGE = "package"
    SKI = "ski, under its top sheet"
    BIN = "bin or mould"
    DOOR = "trailer door"


# Four printer dots a module at 200 dpi is 0.5 mm (Denso Wave's guide to the code area); larger where a tag
# wears, is read through resin or from further off: common practice, no source.
MODULE_MM: dict[Use, float] = {Use.PACKAGE: 0.5, Use.SKI: 0.75, Use.BIN: 1.0, Use.DOOR: 1.5}


@dataclass(frozen=True, slots=True)
class Label:
    """One tag: the address in the code, the code as people read it, and two lines of words."""

    address: str
    code_shown: str
    line_1: str = ""
    line_2: str = ""


@dataclass(frozen=True, slots=True)
class Run:
    """A dark stretch of one row of a code, in modules from the code's top left corner."""

    x: int
    y: int
    length: int


@dataclass(frozen=True, slots=True)
class Words:
    """One line to write beside a code: its height and baseline as parts of the code block's side."""

    text: str
    font: str
    size: float
    baseline: float


def address(host: str, code: str) -> str:
    """The address a tag carries: `HTTPS://HOST/OBJ/CODE`, upper case.

    Refuses: qr_sheet.host_too_long, qr_sheet.not_a_host, qr_sheet.not_a_code.
    """
    host, code = host.upper(), code.upper().replace("-", "")
    if not _HOST.fullmatch(host):
        raise Refused(
            "qr_sheet.not_a_host",
            say("“{host}” is not a host name.", host=_short(host)),
            say("Use letters, digits, dots and hyphens only, such as TAG.EXAMPLE."),
        )
    if len(host) > HOST_MOST:
        template = "The host {host} has {length} characters; a tag has room for {most}."
        raise Refused(
            "qr_sheet.host_too_long",
            say(template, host=_short(host), length=len(host), most=HOST_MOST),
            say("Choose a shorter host name for tags; it stays on every ski."),
        )
    if not _CODE.fullmatch(code):
        raise _not_a_code(code)
    return f"HTTPS://{host}/OBJ/{code}"


def runs(label: Label) -> tuple[Run, ...]:
    """The dark runs of a label's code, row by row.

    Refuses: qr_sheet.not_a_code when the code shown is not the one in the address; what `address` refuses.
    """
    code = label.code_shown.replace("-", "")
    if not _CODE.fullmatch(code) or label.code_shown != f"{code[:4]}-{code[4:]}":
        raise _not_a_code(label.code_shown)
    host = label.address.removeprefix("HTTPS://").split("/", 1)[0]
    if label.address != address(host, code):
        raise _not_a_code(label.address)
    symbol = qrcode.QRCode(version=VERSION, error_correction=qrcode.ERROR_CORRECT_H, border=0)
    symbol.add_data(QRData(label.address, MODE_ALPHA_NUM))
    symbol.make(fit=False)
    found = []
    for y, row in enumerate(symbol.modules):
        begin = 0
        for x in range(1, MODULES + 1):
            if x == MODULES or bool(row[x]) != bool(row[begin]):
                if row[begin]:
                    found.append(Run(begin, y, x - begin))
                begin = x
    return tuple(found)


def words(label: Label) -> tuple[Words, ...]:
    """What is written beside a code: the readable code, then the two lines, one font and size each."""
    return (
        Words(label.code_shown, STRONG, 0.24, 0.45),
        Words(printable(label.line_1), REGULAR, 0.145, 0.64),
        Words(printable(label.line_2), REGULAR, 0.145, 0.81),
    )


def svg(label: Label, *, use: Use) -> bytes:
    """One tag as SVG at its true size, its words beside it. Refuses what `runs` refuses."""
    module, (width, side) = MODULE_MM[use], _single_mm(use)
    left = side + PADDING_MM
    path = "".join(f"M{run.x + QUIET} {run.y + QUIET}h{run.length}v1h-{run.length}z" for run in runs(label))
    room = (width - left - PADDING_MM) * 0.85  # the font that draws it may be wider than the one measured
    lines = "".join(
        f'<text x="{left:g}" y="{side * line.baseline:g}" font-size="{size:g}" '
        f'font-weight="{600 if line.font == STRONG else 400}">{html.escape(text, quote=False)}</text>'
        for line in words(label)
        for text, size in [fit(line, side, room)]
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{side:g}mm" '
        f'viewBox="0 0 {width:g} {side:g}" font-family="sans-serif">'
        f"<title>{label.code_shown}</title>"
        f'<rect width="{width:g}" height="{side:g}" fill="#fff"/>'
        f'<path transform="scale({module:g})" d="{path}" fill="#000"/>{lines}</svg>'
    ).encode()


def png(label: Label, *, use: Use) -> bytes:
    """One tag as PNG: whole pixels a module, the resolution set so that it prints at its true size."""
    module, (width, side) = MODULE_MM[use], _single_mm(use)
    pixels = math.ceil(module / 25.4 * _PNG_DPI)
    per_mm = pixels / module
    image = Image.new("1", (round(width * per_mm), BLOCK * pixels), 1)
    pen = ImageDraw.Draw(image)
    for run in runs(label):
        left, top = (run.x + QUIET) * pixels, (run.y + QUIET) * pixels
        pen.rectangle((left, top, left + run.length * pixels - 1, top + pixels - 1), fill=0)
    left_mm = side + PADDING_MM
    for line in words(label):
        text, size = fit(line, side, width - left_mm - PADDING_MM)
        font = ImageFont.truetype(_FILES[line.font], size * per_mm, layout_engine=ImageFont.Layout.BASIC)
        pen.text((left_mm * per_mm, side * line.baseline * per_mm), text, font=font, fill=0, anchor="ls")
    out = io.BytesIO()
    image.save(out, "PNG", dpi=(per_mm * 25.4, per_mm * 25.4), optimize=True)
    return out.getvalue()


def fit(line: Words, side: float, room: float) -> tuple[str, float]:
    """A line's text and size so that it keeps within `room`, in one unit: two thirds as large, then cut."""
    text, size = line.text, line.size * side
    width = pdfmetrics.stringWidth(text, line.font, size)
    size *= max(2 / 3, min(1.0, room / width)) if width else 1.0
    while text and pdfmetrics.stringWidth(text, line.font, size) > room:
        text = text[:-2].rstrip() + "…" if len(text) > 1 else ""
    return text, size


def missing_letters(text: str) -> frozenset[str]:
    """The letters of a text that the font cannot print, so that a page can say so before the printer does."""
    return frozenset(letter for letter in text if letter.isprintable() and ord(letter) not in _LETTERS)


def printable(text: str) -> str:
    """One printable line: no controls, “?” for a letter the font lacks, cut with a dot-dot-dot."""
    text = " ".join(text[: 4 * _LINE_MOST].split())
    text = "".join(letter if ord(letter) in _LETTERS else "?" for letter in text if letter.isprintable())
    return text if len(text) <= _LINE_MOST else text[: _LINE_MOST - 1].rstrip() + "…"


def _single_mm(use: Use) -> tuple[float, float]:
    """Width and height of a tag that stands alone, in mm."""
    side = BLOCK * MODULE_MM[use]
    return side + 60 * MODULE_MM[use] + 30, side


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"


def _not_a_code(text: str) -> Refused:
    return Refused(
        "qr_sheet.not_a_code",
        say("“{text}” is not a tag's code.", text=_short(text)),
        say("A code has 8 characters, such as SA8K-J2MT; take it from the thing's own page."),
    )
