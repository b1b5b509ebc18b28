"""Codes out of photos, and pictures made fit to keep.

Outside: the codes are drawn by the library qrcode and by zxing-cpp's own writer, the damage is numpy's.
How a camera was held: Pillow's `ImageOps.exif_transpose`.
"""

import io
from collections.abc import Callable
from datetime import date

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageChops, ImageOps, TiffImagePlugin
from PIL.PngImagePlugin import PngInfo

from inventory.formats import labels
from inventory.formats.photo import KEPT_MOST_PX, clean_paper, clean_picture, read_codes
from tests.formats.snaps import TEXT, blurred, code, faint, noisy, on_page, saved, scratched

ORIENTATION, GPS = 274, 0x8825


def plain(image: Image.Image) -> list[str]:
    """What zxing-cpp reads from a picture as it is."""
    return [each.text for each in zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)]


def held(image: Image.Image, orientation: int) -> bytes:
    """A JPEG that says how the camera was held."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    return saved(image, "JPEG", exif=exif, quality=95)


def arrow() -> Image.Image:
    """A picture that differs from all its turns and mirrors."""
    picture = Image.new("RGB", (96, 64), "white")
    picture.paste((200, 0, 0), (0, 0, 48, 16))
    picture.paste((0, 0, 200), (0, 0, 16, 48))
    return picture


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("mode", ["L", "RGB", "P", "1", "CMYK"])
def test_read_codes_when_a_photo_is_clear_gives_its_code(kind: str, mode: str) -> None:
    """Three kinds of file, several kinds of colour; a picture without a code gives nothing."""
    if (mode == "CMYK" and kind != "JPEG") or (mode in "P1" and kind != "PNG"):
        mode = "RGB"
    assert read_codes(saved(code().convert(mode), kind)) == (TEXT,)
    assert read_codes(saved(Image.new("RGB", (200, 100), "grey"), kind)) == ()


def test_read_codes_when_a_photo_shows_several_gives_each_once() -> None:
    """Two tags side by side, one of them twice."""
    page = on_page([code("ONE"), code("TWO"), code("ONE")], (900, 500))
    assert sorted(read_codes(saved(page))) == ["ONE", "TWO"]


@pytest.mark.parametrize("turn", [17, 45, 90, 180, 263])
def test_read_codes_when_the_tag_lies_askew_reads_it(turn: int) -> None:
    """Any angle, and light on dark."""
    askew = on_page([code()], (500, 500), 255).rotate(turn, fillcolor=255)
    assert read_codes(saved(askew)) == (TEXT,)
    assert read_codes(saved(ImageOps.invert(askew))) == (TEXT,)


@pytest.mark.parametrize("see_through", ["RGBA", "LA"])
def test_read_codes_when_the_ground_is_see_through_reads_as_on_white(see_through: str) -> None:
    """Dark modules on nothing: black where the pixels say black, whatever the empty ones say."""
    drawn = Image.new("L", code().size, 0).convert(see_through)
    drawn.putalpha(ImageOps.invert(code()))
    assert plain(drawn.convert("L")) == []
    assert read_codes(saved(drawn, "PNG")) == (TEXT,)


@pytest.mark.parametrize(
    "damaged",
    [
        lambda: blurred(code(module_px=4), 2.4),
        lambda: noisy(code(module_px=4), 75, 0),
        lambda: scratched(code(module_px=8), 0.3, 1),
        lambda: faint(code(module_px=6), 12, 2),
    ],
    ids=["blurred", "noisy", "scratched", "faint"],
)
def test_read_codes_when_a_plain_read_misses_tries_again(
    damaged: Callable[[], Image.Image],
) -> None:
    """Outside: zxing-cpp alone finds nothing in each of these; each needs another of the further looks."""
    assert plain(damaged()) == []
    assert read_codes(saved(damaged(), "PNG")) == (TEXT,)


def test_read_codes_when_a_tag_is_tiny_in_a_large_photo_looks_at_full_size() -> None:
    """Two pixels a module, askew in 12 Mpx: gone at half size, there at full size."""
    tiny = code(module_px=2).rotate(17, Image.Resampling.BICUBIC, expand=True, fillcolor=255)
    photo = saved(on_page([tiny], (4032, 3024)), quality=95)
    with Image.open(io.BytesIO(photo)) as half:
        half.draft("L", (1600, 1200))
        assert half.size == (2016, 1512)
        assert plain(half) == []
    assert read_codes(photo) == (TEXT,)


def test_read_codes_when_a_photo_has_48_million_pixels_reads_it() -> None:
    """A plain JPEG is decoded smaller than it is."""
    photo = saved(on_page([code(module_px=16)], (8000, 6000)))
    assert read_codes(photo) == (TEXT,)


def test_read_codes_when_a_supplier_marks_gs1_gives_what_a_hand_scanner_sends() -> None:
    """Outside: zxing-cpp writes the code in GS1 mode. Prefix and separator come with it: a label is read."""
    symbol = zxingcpp.create_barcode(
        "(01)09520123456788(10)AB\\(1\\)C(17)261200", zxingcpp.BarcodeFormat.QRCode, gs1=True
    )
    (text,) = read_codes(saved(Image.fromarray(symbol.to_image(scale=4)), "PNG"))
    assert text == "]Q3010952012345678810AB(1)C\x1d17261200"
    label = labels.read(text, today=date(2026, 1, 1))
    assert (label.lot, str(label.expiry)) == ("AB(1)C", "2026-12")


@pytest.mark.parametrize("orientation", range(1, 9))
def test_clean_picture_when_the_camera_was_held_otherwise_turns_it_upright(orientation: int) -> None:
    """Outside: Pillow's own transposition; the turned picture says nothing of it any more."""
    source = held(arrow(), orientation)
    with Image.open(io.BytesIO(source)) as read, Image.open(io.BytesIO(clean_picture(source, 96))) as clean:
        upright = ImageOps.exif_transpose(read)
        assert clean.size == upright.size
        assert max(high for _, high in ImageChops.difference(clean, upright).getextrema()) < 40
        assert dict(clean.getexif()) == {}
    assert read_codes(held(code(), orientation)) == (TEXT,)


def all_said(kind: str) -> bytes:
    """A picture with a place, a comment, a name and a profile beside its pixels."""
    exif = Image.Exif()
    exif[0x010F], exif[0x8298], exif[0x9286] = "SECRET camera", "SECRET person", b"SECRET note"
    place = exif.get_ifd(GPS)
    place[1], place[2] = "N", tuple(TiffImagePlugin.IFDRational(part) for part in (60, 12, 7))
    more = {"xmp": b"<x:xmpmeta>SECRET place</x:xmpmeta>", "icc_profile": b"SECRET profile" + b"\0" * 200}
    if kind == "PNG":
        note = PngInfo()
        note.add_text("Comment", "SECRET note")
        note.add_itxt("XML:com.adobe.xmp", "SECRET place")
        return saved(arrow(), kind, exif=exif, pnginfo=note, icc_profile=more["icc_profile"])
    if kind == "JPEG":
        more["comment"] = b"SECRET note"
    return saved(arrow(), kind, exif=exif, **more)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_clean_picture_when_the_file_says_more_keeps_only_pixels(kind: str) -> None:
    """Place, camera, names, comments and profiles are gone; what is left is only what pixels need."""
    source = all_said(kind)
    assert b"SECRET" in source
    clean = clean_picture(source, 96)
    assert b"SECRET" not in clean
    assert b"Exif" not in clean
    marks = []
    at = 2
    while clean[at + 1] != 0xDA:  # JPEG (ITU-T T.81, table B.1): a mark and the length of what follows
        marks.append(clean[at + 1])
        at += 2 + int.from_bytes(clean[at + 2 : at + 4], "big")
    assert set(marks) <= {0xE0, 0xDB, 0xC0, 0xC4}
    assert clean.startswith(b"\xff\xd8")
    assert clean.endswith(b"\xff\xd9")


@pytest.mark.parametrize(
    ("size", "largest", "expected"),
    [
        ((400, 300), 200, (200, 150)),
        ((300, 400), 200, (150, 200)),
        ((400, 300), 4_000, (400, 300)),
        ((9_000, 30), 100_000, (KEPT_MOST_PX, 14)),
        ((4_000, 3_000), 1_000, (1_000, 750)),
    ],
)
def test_clean_picture_when_it_is_large_makes_it_smaller_never_larger(
    size: tuple[int, int], largest: int, expected: tuple[int, int]
) -> None:
    """The longer side is as asked, at most; the shape stays to a pixel."""
    with Image.open(io.BytesIO(clean_picture(saved(Image.new("RGB", size, "teal")), largest))) as clean:
        assert clean.format == "JPEG"
        assert clean.size == pytest.approx(expected, abs=1)


def test_clean_picture_when_cleaned_again_stays_a_picture_of_its_size() -> None:
    """A second round changes nothing but a little of the grain."""
    once = clean_picture(saved(arrow(), "PNG"), 96)
    twice = clean_picture(once, 96)
    with Image.open(io.BytesIO(once)) as first, Image.open(io.BytesIO(twice)) as second:
        assert first.size == second.size == (96, 64)
        assert max(high for _, high in ImageChops.difference(first, second).getextrema()) < 30


def test_clean_paper_when_it_is_a_photo_is_a_new_jpeg() -> None:
    """A photographed certificate is kept as a picture without what stood beside its pixels."""
    paper = clean_paper(all_said("JPEG"))
    assert (paper.content_type, paper.suffix) == ("image/jpeg", ".jpg")
    assert b"SECRET" not in paper.data


@settings(max_examples=25)
@given(
    text=st.text(st.characters(min_codepoint=33, max_codepoint=0x24F), min_size=1, max_size=60),
    kind=st.sampled_from(["JPEG", "PNG", "WEBP"]),
    turn=st.sampled_from([0, 90, 180, 270]),
)
def test_read_codes_gives_back_any_text(text: str, kind: str, turn: int) -> None:
    """Round trip through pixels; outside: qrcode writes, in UTF-8."""
    image = code(text, module_px=4).rotate(turn, expand=True)
    assert read_codes(saved(image, kind)) == (text,)
