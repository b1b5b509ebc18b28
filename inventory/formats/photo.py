"""Codes out of a photo, and photos and papers made fit to keep. Knows no thing, no tag and no database.

What a stranger sent is never given out again as it came: pictures are decoded and encoded anew, which drops
place, time, camera and everything else that a file can carry beside its pixels.

Example: `read_codes(body)` gives `("HTTPS://TAG.EXAMPLE/OBJ/SA8KJ2MT",)`.
"""

import io
import math
from collections.abc import Iterator
from dataclasses import dataclass

import zxingcpp
from PIL import Image, ImageFilter, ImageOps

from inventory.formats.paper_guard import check_pdf, is_pdf
from inventory.formats.photo_guard import check, decoded, size_of

# The first look is at a picture of moderate size: a page full of false finder patterns takes 4 s at 12 Mpx.
FIRST_LEAST_PX, FIRST_MOST_PX = 1_600, 2_048
FULL_MOST_PIXELS = 16_000_000
KEPT_MOST_PX = 4_096
PAPER_PX = 2_400  # A4 at 200 dpi: small print stays readable
_QUALITY = 85
_QR = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)


@dataclass(frozen=True, slots=True)
class Paper:
    """A certificate or delivery paper as it is kept. To give out for download only, never within a page."""

    content_type: str
    suffix: str
    data: bytes


def read_codes(data: bytes) -> tuple[str, ...]:
    """The texts of all QR codes in a photo; none where none is found.

    A code in the GS1 mode comes with its prefix and separators, as a hand scanner sends it.
    Refuses: what `photo_guard.check` refuses.
    """
    kind = check(data)
    first = decoded(data, kind, mode="L", longest_px=FIRST_MOST_PX, draft_px=FIRST_LEAST_PX)
    found = _codes(first)
    if found:
        return found
    width, height = size_of(data, kind)
    share = min(1.0, math.sqrt(FULL_MOST_PIXELS / (width * height)))
    if max(width, height) > max(first.size):
        found = _codes(decoded(data, kind, mode="L", longest_px=int(max(width, height) * share)))
    return found or next(filter(None, map(_codes, _mended(first))), ())


def clean_picture(data: bytes, largest_px: int) -> bytes:
    """A picture as a new JPEG, upright, no side longer than `largest_px` (at most 4,096), nothing else in it.

    Colours are kept as numbers; a colour profile goes with the rest.
    Refuses: what `photo_guard.check` refuses.
    """
    kind = check(data)
    image = decoded(data, kind, mode="RGB", longest_px=min(largest_px, KEPT_MOST_PX))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=_QUALITY, optimize=True)
    return out.getvalue()


def clean_paper(data: bytes) -> Paper:
    """A certificate or delivery paper fit to keep: a PDF as it is, if it is nothing but one; else a new JPEG.

    Refuses: what `paper_guard.check_pdf` refuses, what `photo_guard.check` refuses.
    """
    if is_pdf(data):
        check_pdf(data)
        return Paper("application/pdf", ".pdf", data)
    return Paper("image/jpeg", ".jpg", clean_picture(data, PAPER_PX))


def _codes(image: Image.Image) -> tuple[str, ...]:
    """Distinct texts, in the order in which they were found."""
    found = zxingcpp.read_barcodes(image, formats=_QR)
    return tuple(dict.fromkeys(text for text in map(_text, found) if text))


def _text(code: zxingcpp.Barcode) -> str:
    if code.content_type == zxingcpp.ContentType.GS1:
        return str(code.symbology_identifier) + bytes(code.bytes).decode("utf-8", errors="replace")
    return str(code.text)


def _mended(image: Image.Image) -> Iterator[Image.Image]:
    """The same picture against blur, against noise and scratches, and against faint print."""
    twice = image.resize((2 * image.width, 2 * image.height), Image.Resampling.BICUBIC)
    yield ImageOps.autocontrast(twice).filter(ImageFilter.UnsharpMask(5, 300))
    yield image.filter(ImageFilter.MedianFilter(3))
    yield ImageOps.autocontrast(image.filter(ImageFilter.GaussianBlur(1.2)))
