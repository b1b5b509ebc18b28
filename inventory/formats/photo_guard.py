"""Pictures from strangers, looked at before they are decoded: kind, weight, pixels, whole or not.

A few kilobytes can unpack to gigabytes, and a file can be two kinds at once. So a kind is told by its first
bytes, the size is read before any pixel, and nothing but three kinds is ever tried. Knows no code.
"""

import io
import struct
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import cast

from PIL import Image

from inventory.errors import Refused, Sentence, say

BYTES_MOST = 12_000_000
SIDE_LEAST_PX = 20
# A WebP of 2 KB and 49 Mpx takes 750 MB to decode, and a progressive JPEG keeps all its coefficients: only a
# plain JPEG can be decoded smaller than it is.
PIXELS_MOST, PLAIN_JPEG_PIXELS_MOST = 16_000_000, 64_000_000
SCANS_MOST = 100  # of a progressive JPEG; each is decoded over all its pixels

JPEG, PNG, WEBP = "JPEG", "PNG", "WEBP"
_JPEG_END = b"\xff\xd9"
_JPEG_SCAN = b"\xff\xda"
_PNG_HEAD = b"\x89PNG\r\n\x1a\n"
_PHONE_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1", b"avif", b"avis")
_OTHER_FILES = (b"%pdf-", b"<html", b"<!doctype", b"<script", b"<svg", b"<?php", b"pk\x03\x04")
_LOOK = 1_100  # bytes in which a second file's beginning is looked for: readers of PDF accept 1,024 before it

# Turns and mirrors of EXIF's orientation (tag 274) that bring a picture upright.
_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_ORIENTATION = 274
_FAULTS = (
    *(OSError, ValueError, SyntaxError, EOFError, KeyError, IndexError, TypeError, AttributeError),
    *(OverflowError, ZeroDivisionError, MemoryError, NotImplementedError, struct.error, zlib.error, Warning),
)
_PHOTO = say("Take a photo as JPEG, or save the picture as JPEG or PNG, and send that.")


def check(data: bytes) -> str:
    """The kind of a picture that may be decoded: JPEG, PNG or WEBP.

    Refuses: photo.empty, photo.too_heavy, photo.heic, photo.pdf, photo.drawing, photo.kind, photo.two_files,
    photo.too_small, photo.too_large, photo.moving, photo.broken.
    """
    if not data:
        raise Refused("photo.empty", say("The file is empty."), say("Take the photo again."))
    if len(data) > BYTES_MOST:
        raise Refused(
            "photo.too_heavy",
            say(
                "The file has {size} MB; {most} MB is the most.",
                size=f"{len(data) / 1e6:.1f}",
                most=BYTES_MOST // 1_000_000,
            ),
            say("Take the photo with fewer megapixels, or crop it to what matters."),
        )
    kind = kind_of(data)
    with faults_refused(), _opened(data, kind) as image:
        _check_size(data, image, kind)
        if kind != JPEG and getattr(image, "n_frames", 1) > 1:  # a phone's JPEG may carry a second still
            raise Refused(
                "photo.moving",
                say("The picture moves: it has {count} frames.", count=getattr(image, "n_frames", 1)),
                say("Send one still photo."),
            )
    if kind == PNG:
        _check_png(data)
    return kind


def kind_of(data: bytes) -> str:
    """JPEG, PNG or WEBP by the bytes at both ends; nothing is opened.

    Refuses: photo.heic, photo.pdf, photo.drawing, photo.kind, photo.two_files.
    """
    kind = _kind(data)
    if any(mark in part for part in (data[:_LOOK].lower(), _tail(data, kind)) for mark in _OTHER_FILES):
        raise Refused(
            "photo.two_files",
            say("The file is a picture and something else at once."),
            say("Take a photo or a screen shot of the picture, and send that."),
        )
    return kind


def decoded(
    data: bytes, kind: str, *, mode: str, longest_px: int, draft_px: int | None = None
) -> Image.Image:
    """A checked picture upright, on white, no side longer than `longest_px`, and nothing but its pixels.

    A JPEG is decoded as small as possible, its longer side no shorter than `draft_px`.
    """
    with faults_refused(), _opened(data, kind) as image:
        upright = _orientation(image)
        if kind == JPEG:
            share = min(1.0, (draft_px or longest_px) / max(image.size))
            image.draft(mode, (int(image.width * share), int(image.height * share)))
        flat = _flat(image, mode)
        if max(flat.size) > longest_px:
            flat.thumbnail((longest_px, longest_px), Image.Resampling.BILINEAR)
        turned = flat.transpose(_UPRIGHT[upright]) if upright in _UPRIGHT else flat
        turned.info.clear()  # else a comment goes along when the picture is saved
        return turned


def size_of(data: bytes, kind: str) -> tuple[int, int]:
    """Width and height of a checked picture as they are in the file."""
    with faults_refused(), _opened(data, kind) as image:
        return image.size


@contextmanager
def faults_refused() -> Iterator[None]:
    """Turn what decoders raise at a broken file into a refusal."""
    try:
        yield
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as fault:
        raise _too_large(say("The picture has far too many pixels.")) from fault
    except _FAULTS as fault:
        raise broken() from fault


def broken() -> Refused:
    """What to raise for a picture that is cut short or damaged."""
    return Refused(
        "photo.broken",
        say("The picture is damaged, or was cut short on the way."),
        say("Send it again; if it stays so, take the photo again."),
    )


def _kind(data: bytes) -> str:
    """The kind by its first bytes; for others, what to do instead."""
    if data.startswith(b"\xff\xd8\xff"):
        return JPEG
    if data.startswith(_PNG_HEAD):
        return PNG
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return WEBP
    if data[4:8] == b"ftyp" and data[8:12] in _PHONE_BRANDS:
        raise Refused(
            "photo.heic",
            say("The photo is in a format (HEIC or AVIF) that is not read here."),
            say("Set the phone's camera to save JPEG (“most compatible”), and take the photo again."),
        )
    start = data[:_LOOK].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if b"%pdf-" in start:
        raise Refused(
            "photo.pdf",
            say("The file is a PDF, not a photo."),
            say("Photograph the page; a certificate can be attached as PDF where papers are."),
        )
    if start.startswith((b"<svg", b"<?xml")) or b"<svg" in start:
        raise Refused("photo.drawing", say("The file is a drawing (SVG), not a photo."), _PHOTO)
    raise Refused("photo.kind", say("The file is no JPEG, PNG or WebP picture."), _PHOTO)


def _tail(data: bytes, kind: str) -> bytes:
    """The first bytes behind the picture, in small letters. A phone may add a film there; that is dropped."""
    if kind == JPEG:
        end = data.rfind(_JPEG_END) + len(_JPEG_END)
    elif kind == PNG:
        end = data.rfind(b"IEND") + 8
    else:
        end = 8 + int.from_bytes(data[4:8], "little")
    return data[end : end + _LOOK].lower()


@contextmanager
def _opened(data: bytes, kind: str) -> Iterator[Image.Image]:
    with Image.open(io.BytesIO(data), formats=(kind,)) as image:
        yield image


def _check_size(data: bytes, image: Image.Image, kind: str) -> None:
    width, height = image.size
    if min(width, height) < SIDE_LEAST_PX:
        raise Refused(
            "photo.too_small",
            say(
                "The picture is {width} by {height} pixels; each side needs {least}.",
                width=width,
                height=height,
                least=SIDE_LEAST_PX,
            ),
            say("Take the photo again, closer."),
        )
    plain = kind == JPEG and "progressive" not in image.info
    most = PLAIN_JPEG_PIXELS_MOST if plain else PIXELS_MOST
    if width * height > most:
        template = (
            "The picture is {width} by {height} pixels; {most} million pixels are the most for this kind."
        )
        raise _too_large(say(template, width=width, height=height, most=most // 1_000_000))
    if kind == JPEG and data.count(_JPEG_SCAN) > SCANS_MOST:
        raise broken()


def _too_large(sentence: Sentence) -> Refused:
    return Refused(
        "photo.too_large",
        sentence,
        say("Take the photo with fewer megapixels, or send a smaller copy as JPEG."),
    )


def _check_png(data: bytes) -> None:
    """Refuse a PNG whose parts do not reach its end mark: it can decode to a picture that is partly empty."""
    at, name = len(_PNG_HEAD), b""
    while name != b"IEND":
        if at + 12 > len(data):
            raise broken()
        length, name = struct.unpack(">I4s", data[at : at + 8])
        at += 12 + length
    if at > len(data):
        raise broken()


def _orientation(image: Image.Image) -> int:
    """How the camera was held; upright where that cannot be read."""
    try:
        return cast(int, image.getexif().get(_ORIENTATION, 1))
    except _FAULTS:
        return 1


def _flat(image: Image.Image, mode: str) -> Image.Image:
    """The pixels in one mode, what is transparent on white."""
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        solid = image if image.mode in ("RGBA", "LA") else image.convert("RGBA")
        flat = Image.new(mode, image.size, "white")
        flat.paste(solid.convert(mode), mask=solid.getchannel("A"))
        return flat
    return image.convert(mode)
