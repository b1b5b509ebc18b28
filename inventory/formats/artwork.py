"""What the header of a top sheet's picture says. Knows no pair and no outline.

Its pixels are never decoded: a sheet of 2 m at 300 dpi has 39 million of them.
"""

import io
from dataclasses import dataclass

from PIL import Image

from inventory.errors import Refused, say
from inventory.formats.photo_guard import JPEG, PNG, faults_refused, kind_of

BYTES_MOST = 150_000_000
MEDIA = {JPEG: "image/jpeg", PNG: "image/png"}
_MIRRORED = frozenset({2, 4, 5, 7})  # of EXIF's orientation, tag 274
_ORIENTATION = 274
_COLOURS = {
    "RGB": "RGB",
    "RGBA": "RGB",
    "P": "palette",
    "CMYK": "CMYK",
    "L": "grey",
    "LA": "grey",
    "1": "grey",
}


@dataclass(frozen=True, slots=True)
class Picture:
    """What a header says. `dpi` None: not how large it is meant to be."""

    media_type: str
    width_px: int
    height_px: int
    dpi: float | None
    mirrored: bool
    colours: str


def header(data: bytes) -> Picture:
    """What the header of a JPEG or PNG says.

    Refuses: artwork.empty, artwork.too_heavy, artwork.kind, photo.too_large, photo.broken, and what
    `photo_guard.kind_of` refuses
    """
    if not data:
        raise Refused("artwork.empty", say("The file is empty."), say("Choose it again."))
    if len(data) > BYTES_MOST:
        raise Refused(
            "artwork.too_heavy",
            say(
                "The file has {size} MB; {most} MB is the most.",
                size=len(data) // 1_000_000,
                most=BYTES_MOST // 1_000_000,
            ),
            say("Save it as JPEG at the ski's size and 300 dpi."),
        )
    kind = kind_of(data)
    if kind not in MEDIA:
        raise Refused(
            "artwork.kind",
            say("Top sheets are kept as JPEG or PNG, and this is {kind}.", kind=kind),
            say("Save it as one of the two, at the ski's size."),
        )
    with faults_refused(), Image.open(io.BytesIO(data), formats=(kind,)) as image:
        width, height = image.size
        return Picture(
            media_type=MEDIA[kind],
            width_px=width,
            height_px=height,
            dpi=_dpi(image),
            mirrored=_orientation(image) in _MIRRORED,
            colours=_COLOURS.get(image.mode, image.mode),
        )


def _dpi(image: Image.Image) -> float | None:
    """The resolution along the width; None where the file states none, or one that is not one."""
    stated = image.info.get("dpi")
    if not stated:
        return None
    value = float(stated[0])
    return round(value, 2) if 10 <= value <= 10_000 else None


def _orientation(image: Image.Image) -> int:
    """As the header has it. `getexif` of a PNG would decode all its pixels, so the raw block is read."""
    raw = image.info.get("exif")
    if not raw:
        return 1
    found = Image.Exif()
    found.load(raw)
    return int(found.get(_ORIENTATION, 1))
