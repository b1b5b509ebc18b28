"""Artwork: the path with its dates, and a file held against the ski by its header alone."""

import io
import struct
import zlib
from datetime import date, timedelta
from uuid import UUID

import pytest
from PIL import Image

from inventory.actions import artwork, builds, erasing
from inventory.compute.artwork import Header, Stage, fits, path
from inventory.compute.reasons import Level
from inventory.formats import artwork as format
from inventory.models import Artwork
from inventory.queries import artwork as queries
from inventory.queries import builds as read
from inventory.queries import erased, papers
from tests.make import Shop, day, refused

FIRST = date(2027, 2, 5)
TODAY = date(2027, 1, 1)


def picture(width: int, height: int, *, kind: str = "JPEG", orientation: int = 1, dpi: int = 0) -> bytes:
    """A small real file of this size."""
    image, out, more = Image.new("RGB", (width, height), "white"), io.BytesIO(), {}
    if orientation > 1:
        exif = Image.Exif()
        exif[274] = orientation
        more["exif"] = exif
    if dpi:
        more["dpi"] = (dpi, dpi)
    image.save(out, kind, **more)
    return out.getvalue()


def png_head(width: int, height: int) -> bytes:
    """A PNG whose header states this size and whose pixels are missing: only a header can be read of it."""
    part = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunk = struct.pack(">I", 13) + part + struct.pack(">I", zlib.crc32(part))
    empty = b"IDAT" + zlib.compress(b"")
    idat = struct.pack(">I", len(empty) - 4) + empty + struct.pack(">I", zlib.crc32(empty))
    end = struct.pack(">I", 0) + b"IEND" + struct.pack(">I", zlib.crc32(b"IEND"))
    return b"\x89PNG\r\n\x1a\n" + chunk + idat + end


def booked(shop: Shop) -> UUID:
    at = shop.do(builds.plan_workshop, name="Kvitskard", starts_on=FIRST, ends_on=FIRST).thing
    pair, *_ = shop.pair(workshop=at)
    return pair


def test_path_when_the_printer_takes_18_days_counts_back_from_the_first_day() -> None:
    """Three days to check, 18 to print, five to agree, three to make the proof; counted on a calendar."""
    found = path(first_day=FIRST, printer_days=18, done={}, today=TODAY)
    assert [(due.stage, due.by) for due in found.stages] == [
        (Stage.CAME, date(2027, 1, 7)),
        (Stage.PROOF, date(2027, 1, 10)),
        (Stage.AGREED, date(2027, 1, 15)),
        (Stage.PRINTER, date(2027, 1, 15)),
        (Stage.HERE, date(2027, 2, 2)),
        (Stage.CHECKED, date(2027, 2, 4)),
    ]


@pytest.mark.parametrize(
    ("today", "done", "level"),
    [
        (date(2026, 12, 30), {}, Level.FINE),
        (date(2026, 12, 31), {}, Level.LOOK),
        (date(2027, 1, 7), {}, Level.LOOK),
        (date(2027, 1, 8), {}, Level.STOP),
        (date(2027, 1, 8), {Stage.CAME: date(2027, 1, 7)}, Level.FINE),
        (date(2027, 1, 9), {Stage.CAME: date(2027, 1, 8)}, Level.LOOK),
    ],
)
def test_path_when_a_stage_is_near_or_past_its_day_says_so(
    today: date, done: dict[Stage, date], level: Level
) -> None:
    """A week ahead it is looked at; a day past it stops; done late is said."""
    assert path(first_day=FIRST, printer_days=18, done=done, today=today).stages[0].level is level


def test_path_when_the_lead_time_is_not_known_cannot_say() -> None:
    """Nothing is assumed for it; the day it has to be here is known all the same."""
    found = path(first_day=FIRST, printer_days=None, done={}, today=TODAY)
    assert found.stages[0].level is Level.UNKNOWN
    assert found.stages[4].by == date(2027, 2, 2)
    with refused("artwork.lead_time"):
        path(first_day=FIRST, printer_days=0, done={}, today=TODAY)


def test_fits_when_a_two_metre_sheet_has_300_dpi_is_fine() -> None:
    """23,622 by 1,654 pixels: 2,000 mm and 140 mm at 300 dpi are 39 million of them (25.4 mm an inch)."""
    sheet = Header(23_622, 1_654, 300.0)
    assert round(sheet.width_px * sheet.height_px / 1e6) == 39
    found = fits(header=sheet, length_mm=1990, widest_mm=130, bleed_mm=5)
    assert {reason.code for reason in found.reasons} == {"artwork.sharp", "artwork.fits"}


@pytest.mark.parametrize(
    ("changed", "code", "level"),
    [
        (Header(22_000, 1_654, 300.0), "artwork.small", Level.STOP),
        (Header(23_622, 1_400, 300.0), "artwork.small", Level.STOP),
        (Header(26_000, 1_654, 300.0), "artwork.large", Level.LOOK),
        (Header(15_748, 1_103, 200.0), "artwork.soft", Level.LOOK),
        (Header(7_874, 552, 100.0), "artwork.coarse", Level.STOP),
        (Header(23_622, 1_654, None), "artwork.no_size", Level.LOOK),
        (Header(23_622, 1_200, None), "artwork.narrow", Level.STOP),
        (Header(23_622, 1_654, 300.0, True), "artwork.mirrored", Level.STOP),
        (Header(1_654, 23_622, 300.0), "artwork.fits", Level.FINE),
    ],
)
def test_fits_when_one_fact_of_the_file_is_off_says_which(changed: Header, code: str, level: Level) -> None:
    """Beside the sheet that fits."""
    found = fits(header=changed, length_mm=1990, widest_mm=130, bleed_mm=5)
    assert {reason.code: reason.level for reason in found.reasons}[code] is level


def test_header_when_a_file_is_read_agrees_with_the_library_that_wrote_it() -> None:
    """Size, resolution and mirroring as Pillow was told to write them; PNG and JPEG."""
    found = format.header(picture(300, 40, orientation=2, dpi=300))
    assert found == format.Picture("image/jpeg", 300, 40, 300.0, True, "RGB")
    found = format.header(picture(300, 40, kind="PNG", orientation=4))
    assert found == format.Picture("image/png", 300, 40, None, True, "RGB")
    assert format.header(picture(300, 40, orientation=3)).mirrored is False


def test_header_when_only_the_header_is_whole_reads_it_without_the_pixels() -> None:
    """40 million pixels are stated, none is there; nothing is decoded. A bomb is refused by its header."""
    assert format.header(png_head(23_622, 1_654)).width_px == 23_622
    with refused("photo.too_large"):
        format.header(png_head(60_000, 60_000))


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "artwork.empty"),
        (b"%PDF-1.7 x", "photo.pdf"),
        (b"GIF89a", "photo.kind"),
        (picture(300, 40, kind="WEBP"), "artwork.kind"),
        (picture(300, 40) + b"<script>", "photo.two_files"),
        (picture(300, 40)[:40], "photo.broken"),
    ],
)
def test_header_when_the_file_is_no_picture_for_print_is_refused(data: bytes, code: str) -> None:
    """Each beside the picture that is one."""
    format.header(picture(300, 40))
    with refused(code):
        format.header(data)


def test_artwork_when_a_file_is_kept_is_held_against_the_outline(
    shop: Shop, settings: object, tmp_path
) -> None:
    """The pair's own length and width; the file lies in the data folder as it came."""
    settings.DATA_FOLDER = tmp_path  # type: ignore[attr-defined]
    pair = booked(shop)
    shop.do(builds.specify, pair=pair, changes={"tip_mm": 130.0, "waist_mm": 98.0, "tail_mm": 120.0})
    data = picture(1850, 140, dpi=25)
    shop.do(artwork.attach_artwork, pair=pair, file=artwork.keep(data))
    row = Artwork.objects.get(pair_id=pair)
    assert papers.path(row.sha256).read_bytes() == data
    found = queries.fits(row, read.shaped(read.pair(pair)))
    unknown = "artwork.colours_unknown"
    assert {reason.code for reason in found.reasons} == {"artwork.coarse", "artwork.fits", unknown}


@pytest.mark.parametrize(
    ("mode", "wanted", "code", "level"),
    [
        ("CMYK", "CMYK", "artwork.colours_fit", Level.FINE),
        ("RGB", "CMYK", "artwork.colours_other", Level.STOP),
        ("L", "CMYK", "artwork.colours_other", Level.STOP),
        ("L", "grey", "artwork.colours_fit", Level.FINE),
        ("RGB", "", "artwork.colours_unknown", Level.UNKNOWN),
    ],
)
def test_colours_of_a_file_as_pillow_wrote_it_are_held_against_the_printers(
    shop: Shop, settings: object, tmp_path, mode: str, wanted: str, code: str, level: Level
) -> None:
    """The mode is the one Pillow was told to write."""
    settings.DATA_FOLDER = tmp_path  # type: ignore[attr-defined]
    pair, out = booked(shop), io.BytesIO()
    Image.new(mode, (1850, 140)).save(out, "JPEG", dpi=(25, 25))
    shop.do(builds.specify, pair=pair, changes={"tip_mm": 130.0, "waist_mm": 98.0, "tail_mm": 120.0})
    shop.do(artwork.attach_artwork, pair=pair, file=artwork.keep(out.getvalue()))
    shop.do(artwork.plan_artwork, pair=pair, printer_days=None, bleed_mm=5, wanted_colours=wanted)
    found = queries.fits(Artwork.objects.get(pair_id=pair), read.shaped(read.pair(pair)))
    assert {reason.code: reason.level for reason in found.reasons}[code] is level


def test_artwork_when_a_newer_file_comes_counts_and_the_one_before_stays(
    shop: Shop, settings: object, tmp_path
) -> None:
    """Newest first; the older one can still be read. Once the guest is erased neither is there."""
    settings.DATA_FOLDER = tmp_path  # type: ignore[attr-defined]
    pair = booked(shop)
    files = [artwork.keep(picture(1850, height, dpi=25)) for height in (120, 140)]
    for file in files:
        shop.do(artwork.attach_artwork, pair=pair, file=file)
    row = Artwork.objects.get(pair_id=pair)
    found = queries.versions(row)
    assert [(each.height_px, each.counts, each.here, each.who) for each in found] == [
        (140, True, True, "Ragna Quill"),
        (120, False, True, "Ragna Quill"),
    ]
    guest = read.pair(pair).guest_id
    gone = erased.files_of(guest)
    shop.do(erasing.erase_guest, guest=guest)
    assert erasing.drop_files(gone) == 2
    assert queries.versions(Artwork.objects.get(pair_id=pair)) == []
    assert not any(papers.path(file.sha256).exists() for file in files)


def test_mark_artwork_when_days_are_in_order_keeps_them(shop: Shop) -> None:
    """Refused: tomorrow, and a stage before the one that comes first."""
    pair, today = booked(shop), shop.at.date()
    shop.do(artwork.plan_artwork, pair=pair, printer_days=18, bleed_mm=5)
    shop.do(artwork.mark_artwork, pair=pair, stage=Stage.CAME, on=today - timedelta(2))
    with refused("artwork.order"):
        shop.do(artwork.mark_artwork, pair=pair, stage=Stage.PROOF, on=today - timedelta(3))
    with refused("artwork.future"):
        shop.do(artwork.mark_artwork, pair=pair, stage=Stage.PROOF, on=today + timedelta(1))
    shop.do(artwork.mark_artwork, pair=pair, stage=Stage.PROOF, on=today)
    row = Artwork.objects.get(pair_id=pair)
    assert (row.came_on, row.proof_sent_on) == (today - timedelta(2), today)
    shop.do(artwork.mark_artwork, pair=pair, stage=Stage.PROOF, on=None)
    assert Artwork.objects.get(pair_id=pair).proof_sent_on is None


def test_artwork_when_pair_stage_or_measure_is_none_is_refused(shop: Shop) -> None:
    """Each beside what is kept."""
    pair, left, _ = shop.pair()
    shop.do(artwork.plan_artwork, pair=pair, printer_days=None, bleed_mm=0)
    with refused("artwork.no_pair"):
        shop.do(artwork.plan_artwork, pair=left, printer_days=None, bleed_mm=0)
    with refused("artwork.bleed"):
        shop.do(artwork.plan_artwork, pair=pair, printer_days=None, bleed_mm=51)
    with refused("artwork.lead_time"):
        shop.do(artwork.plan_artwork, pair=pair, printer_days=0, bleed_mm=0)
    with refused("artwork.wanted", "spot colours"):
        shop.do(artwork.plan_artwork, pair=pair, printer_days=None, bleed_mm=0, wanted_colours="spot colours")
    with refused("artwork.stage"):
        shop.do(artwork.mark_artwork, pair=pair, stage="sold", on=day("2026-11-01"))
