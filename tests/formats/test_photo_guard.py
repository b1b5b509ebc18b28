"""Pictures that must not be decoded: each with a sentence of what to do, beside one that differs by one fact.

Outside: files made by Pillow, zlib and zipfile; first bytes of HEIC and AVIF
(ISO/IEC 14496-12, `ftyp`): from memory.
"""

import io
import re
import struct
import subprocess
import sys
import zipfile
import zlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from inventory.errors import Refused
from inventory.formats.photo import clean_paper, clean_picture, read_codes
from inventory.formats.photo_guard import BYTES_MOST
from tests.formats.snaps import TEXT, code, noisy, saved

ROOT = Path(__file__).resolve().parents[2]
GOOD = {kind: saved(code(module_px=2), kind) for kind in ("JPEG", "PNG", "WEBP")}
CALLS = (read_codes, lambda data: clean_picture(data, 100), clean_paper)


def refused(name: str, data: bytes) -> str:
    """All three ways in refuse with this code; the sentence of the first."""
    told = []
    for call in CALLS:
        with pytest.raises(Refused) as caught:
            call(data)
        assert caught.value.code == name
        told.append(str(caught.value))
    return told[0]


def chunk(name: bytes, content: bytes) -> bytes:
    """A part of a PNG."""
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))


def png(width: int, height: int, rows: bytes, *, colour: int = 0) -> bytes:
    """A PNG that says its size and holds these rows."""
    head = struct.pack(">IIBBBBB", width, height, 8, colour, 0, 0, 0)
    parts = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


def zipped() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        file.writestr("page.html", "<script>")
    return out.getvalue()


def moving(kind: str) -> bytes:
    frames = [Image.new("RGB", (40, 40), shade) for shade in ("red", "blue", "green")]
    return saved(frames[0], kind, save_all=True, append_images=frames[1:])


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("photo.empty", b""),
        ("photo.heic", b"\0\0\0\x18ftypheic" + b"\0" * 40),
        ("photo.heic", b"\0\0\0\x1cftypmif1" + b"\0" * 40),
        ("photo.heic", b"\0\0\0\x1cftypavif" + b"\0" * 40),
        ("photo.kind", b"\0\0\0\x18ftypisom" + b"\0" * 40),
        ("photo.drawing", b"<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg'/>"),
        ("photo.drawing", b"\xef\xbb\xbf\n <SVG onload='alert(1)'/>"),
        ("photo.kind", saved(code(module_px=2), "GIF")),
        ("photo.kind", saved(code(module_px=2), "TIFF")),
        ("photo.kind", saved(code(module_px=2), "BMP")),
        ("photo.kind", b"%!PS-Adobe-3.0 EPSF-3.0\n"),
        ("photo.kind", b"<html><script>alert(1)</script>" + GOOD["JPEG"]),
        ("photo.kind", b"not a picture"),
        ("photo.kind", zipped() + GOOD["PNG"]),
    ],
)
def test_check_when_the_file_is_no_photo_says_what_to_do(name: str, data: bytes) -> None:
    """Told by the first bytes alone; a photo passes."""
    assert re.search(r"(Take|Set|Send|Photograph) .*\.", refused(name, data))
    assert read_codes(GOOD["JPEG"]) == (TEXT,)


def test_check_when_a_pdf_comes_as_a_photo_is_refused_but_kept_as_paper() -> None:
    """A PDF holds no photo to read; where papers are kept, its own check decides."""
    for call in CALLS[:2]:
        with pytest.raises(Refused) as caught:
            call(b"%PDF-1.4\n")
        assert caught.value.code == "photo.pdf"
    with pytest.raises(Refused) as caught:
        clean_paper(b"%PDF-1.4\n")
    assert caught.value.code == "paper.broken"


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize(
    "second", [b"<html><script>", b"\n<?php ", b"%PDF-1.4\n", b"<svg onload=", zipped(), b"<!DOCTYPE html>"]
)
def test_check_when_a_second_file_is_behind_the_picture_is_refused(kind: str, second: bytes) -> None:
    """A picture that is also a page, a script, a PDF or an archive; zeros and a phone's film pass."""
    refused("photo.two_files", GOOD[kind] + second)
    for harmless in (b"\0" * 64, b"\0\0\0\x18ftypmp42" + bytes(range(256))):
        assert read_codes(GOOD[kind] + harmless) == (TEXT,)
        assert harmless not in clean_picture(GOOD[kind] + harmless, 100)


def test_check_when_a_second_file_is_within_the_picture_is_refused_or_dropped() -> None:
    """Near the beginning, where readers of PDF look, it is refused; anywhere else it is dropped."""
    refused("photo.two_files", saved(code(module_px=2), "JPEG", comment=b"%PDF-1.7 <<>>"))
    late = saved(code(module_px=2), "JPEG", comment=b" " * 2_000 + b"<script>alert(1)</script>")
    assert read_codes(late) == (TEXT,)
    assert b"script" not in clean_picture(late, 100)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_check_when_the_picture_moves_is_refused(kind: str) -> None:
    """Three frames; the first of them alone passes, and so does a JPEG with a second still beside it."""
    assert "3 frames" in refused("photo.moving", moving(kind))
    assert clean_picture(saved(Image.new("RGB", (40, 40), "red"), kind), 40)
    assert clean_picture(moving("MPO"), 40)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_check_when_a_side_is_under_20_px_is_refused(kind: str) -> None:
    """20 pixels pass, 19 do not, either way round."""
    assert clean_picture(saved(Image.new("L", (20, 20)), kind), 100)
    assert "19 by 400" in refused("photo.too_small", saved(Image.new("L", (19, 400)), kind))
    refused("photo.too_small", saved(Image.new("L", (400, 19)), kind))


def test_check_when_the_body_is_over_12_mb_is_refused() -> None:
    """12 MB to the byte pass, one more is refused before anything is looked at."""
    heavy = GOOD["JPEG"] + b"\0" * (BYTES_MOST - len(GOOD["JPEG"]))
    assert read_codes(heavy) == (TEXT,)
    assert "12.0 MB" in refused("photo.too_heavy", heavy + b"\0")
    assert "20.0 MB" in refused("photo.too_heavy", b"\0" * 20_000_000)


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        (saved(Image.new("L", (4_000, 4_000)), "PNG"), saved(Image.new("L", (4_000, 4_001)), "PNG")),
        (
            saved(Image.new("L", (4_000, 4_000)), "WEBP", lossless=True, method=0),
            saved(Image.new("L", (4_000, 4_001)), "WEBP", lossless=True, method=0),
        ),
        (saved(Image.new("L", (8_000, 8_000))), saved(Image.new("L", (8_000, 8_001)))),
        (
            saved(Image.new("L", (4_000, 4_000)), progressive=True),
            saved(Image.new("L", (4_000, 4_001)), progressive=True),
        ),
    ],
    ids=["PNG", "WEBP", "plain JPEG", "progressive JPEG"],
)
def test_check_when_there_is_a_row_too_many_is_refused(right: bytes, wrong: bytes) -> None:
    """16 million pixels, 64 million of a JPEG that can be decoded smaller; one row more is refused."""
    assert clean_picture(right, 60)
    with pytest.raises(Refused) as caught:
        clean_picture(wrong, 60)
    assert caught.value.code == "photo.too_large"


def test_check_when_a_header_says_billions_is_refused() -> None:
    """Sizes that no file holds, and a header that lies about its rows."""
    rows = b"".join(b"\0" + bytes(30) for _ in range(30))
    assert clean_picture(png(30, 30, rows), 30)
    refused("photo.too_large", png(2**31 - 1, 2**31 - 1, b""))
    refused("photo.too_large", png(60_000, 60_000, b"\0" * 1_000))
    refused("photo.broken", png(30, 30, rows[:400]))


def test_check_when_a_progressive_file_has_hundreds_of_scans_is_refused() -> None:
    """Each scan is decoded over all pixels; a usual file has about ten."""
    usual = saved(noisy(Image.new("L", (300, 300), 128), 40, 1), progressive=True)
    assert 1 < usual.count(b"\xff\xda") < 20
    assert clean_picture(usual, 100)
    scan = usual[usual.rfind(b"\xff\xda") : -2]
    refused("photo.broken", usual[:-2] + scan * 200 + b"\xff\xd9")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9])
def test_check_when_the_file_is_cut_short_is_refused(kind: str, share: float) -> None:
    """Never a picture that is partly empty."""
    whole = saved(noisy(code(module_px=3), 30, 2), kind)
    assert clean_picture(whole, 300)
    cut = whole[: max(16, int(len(whole) * share))]
    for call in CALLS:
        with pytest.raises(Refused) as caught:
            call(cut)
        assert caught.value.code == "photo.broken"


def test_check_when_a_png_lost_pixels_but_has_its_end_is_refused() -> None:
    """Pillow reads such a file as partly empty without a word."""
    whole = png(200, 200, b"".join(b"\0" + bytes(200) for _ in range(200)))
    at = whole.index(b"IDAT")
    length = int.from_bytes(whole[at - 4 : at], "big")
    content = whole[at + 4 : at + 4 + length // 2]
    short = whole[: at - 4] + chunk(b"IDAT", content) + chunk(b"IEND", b"")
    assert clean_picture(whole, 200)
    refused("photo.broken", short)


@pytest.mark.parametrize("cut", [-90, -60, -42, -31, -20, -13])
def test_check_when_a_png_was_cut_and_ended_again_is_refused(cut: int) -> None:
    """A part that says it is longer than what is there; some such files decode without an error."""
    even = Image.linear_gradient("L").resize((300, 300))
    whole = saved(even, "PNG")
    assert clean_picture(whole, 200)
    refused("photo.broken", whole[:cut] + whole[-12:])


def test_read_codes_when_a_bomb_is_sent_takes_little_memory(tmp_path: Path) -> None:
    """2 KB of WebP that decode to 49 million pixels, in a process of its own: refused within 20 MB more."""
    bomb = tmp_path / "bomb.webp"
    bomb.write_bytes(saved(Image.new("RGB", (7_000, 7_000)), "WEBP", lossless=True))
    assert bomb.stat().st_size < 4_000
    program = (
        "import resource, sys\n"
        "from inventory.errors import Refused\n"
        "from inventory.formats import photo\n"
        "from PIL import Image; Image.init()\n"
        "peak = lambda: resource.getrusage(resource.RUSAGE_SELF).ru_maxrss\n"
        "data = open(sys.argv[1], 'rb').read(); before = peak()\n"
        "try: photo.read_codes(data)\n"
        "except Refused as refusal: print(refusal.code, (peak() - before) // 1000)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, bomb],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    name, more_mb = done.stdout.split()
    assert name == "photo.too_large"
    assert int(more_mb) < 20


def outcome(data: bytes) -> set[str]:
    """The rooms that refused, of the three ways in."""
    rooms = set()
    for call in CALLS:
        try:
            call(data)
        except Refused as refusal:
            rooms.add(refusal.code.partition(".")[0])
    return rooms


@settings(max_examples=60)
@given(
    kind=st.sampled_from(sorted(GOOD)),
    changes=st.lists(st.tuples(st.integers(0, 10**9), st.integers(0, 255)), min_size=1, max_size=6),
    cut=st.integers(0, 10**9),
    tail=st.binary(max_size=20),
)
def test_check_when_bytes_are_changed_refuses_and_nothing_else(
    kind: str, changes: list[tuple[int, int]], cut: int, tail: bytes
) -> None:
    """Whole pictures with other bytes here and there, with and without their end."""
    data = bytearray(GOOD[kind])
    for at, value in changes:
        data[at % len(data)] = value
    assert outcome(bytes(data)) <= {"photo", "paper"}
    assert outcome(bytes(data[: cut % len(data)]) + tail) <= {"photo", "paper"}


@settings(max_examples=60)
@given(
    start=st.sampled_from(
        [b"", b"\xff\xd8\xff", b"\xff\xd8\xff\xe1\x00\x40Exif\0\0II*\0", b"\x89PNG\r\n\x1a\n"]
    )
    | st.just(b"RIFF\x40\0\0\0WEBPVP8 ")
    | st.just(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"),
    rest=st.binary(max_size=200),
)
def test_check_when_it_is_garbage_refuses(start: bytes, rest: bytes) -> None:
    """Right first bytes and then anything: refused, never another error."""
    found = outcome(start + rest)
    assert found
    assert found <= {"photo", "paper"}
