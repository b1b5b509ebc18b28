"""A PDF is kept only if it is whole and nothing but paper.

Outside: the papers are written by reportlab; the structure they are taken apart by is ISO 32000-1, 7.5 (from
memory).
"""

import io
import re
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.lib.pdfencrypt import StandardEncryption
from reportlab.pdfgen.canvas import Canvas

from inventory.errors import Refused
from inventory.formats.photo import clean_paper
from inventory.formats.photo_guard import BYTES_MOST


def paper(*, locked: bool = False, pages: int = 1, packed: bool = True) -> bytes:
    """A certificate, as a general library writes it."""
    out = io.BytesIO()
    lock = StandardEncryption("word", ownerPassword="word") if locked else None
    canvas = Canvas(out, invariant=1, pageCompression=int(packed), encrypt=lock)
    for page in range(pages):
        canvas.drawString(72, 720, f"Certificate, page {page + 1}")
        canvas.bookmarkPage(str(page))
        canvas.linkURL("https://maker.example", (72, 700, 200, 720))
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def with_object(content: bytes) -> bytes:
    """The certificate with one more object, and its end written again behind it."""
    whole = paper()
    start = re.findall(rb"startxref\s+([0-9]+)", whole)[-1]
    return whole + b"99 0 obj\n" + content + b"\nendobj\nstartxref\n" + start + b"\n%%EOF\n"


def packed(content: bytes) -> bytes:
    """Objects in a compressed stream, as ISO 32000-1, 7.5.7 has them."""
    body = zlib.compress(content)
    head = b"<</Type /ObjStm /N 1 /First 4 /Filter /FlateDecode /Length %d>>\n" % len(body)
    return head + b"stream\n" + body + b"\nendstream"


def refused(name: str, data: bytes) -> str:
    with pytest.raises(Refused) as caught:
        clean_paper(data)
    assert caught.value.code == name
    return str(caught.value)


@pytest.mark.parametrize("pages", [1, 40])
@pytest.mark.parametrize("unpacked", [True, False])
def test_clean_paper_when_a_pdf_is_only_paper_keeps_it_to_the_byte(pages: int, unpacked: bool) -> None:
    """A library's own file passes, links and bookmarks and all."""
    data = paper(pages=pages, packed=not unpacked)
    kept = clean_paper(data)
    assert (kept.content_type, kept.suffix, kept.data) == ("application/pdf", ".pdf", data)
    assert clean_paper(data + b"\r\n\0 ").data == data + b"\r\n\0 "


@pytest.mark.parametrize(
    "content",
    [
        b"<</S /JavaScript /JS (app.alert(1))>>",
        b"<</S /J#61vaScript /J#53 (app.alert(1))>>",
        b"<</S /Launch /F (calc)>>",
        b"<</Names <</EmbeddedFiles 5 0 R>>>>",
        b"<</Type /EmbeddedFile>>",
        b"<</Subtype /RichMedia>>",
        b"<</XFA [1 0 R]>>",
        b"<</S /SubmitForm /F (http://x.example)>>",
    ],
)
def test_clean_paper_when_a_pdf_acts_or_carries_files_is_refused(content: bytes) -> None:
    """Openly or in packed objects; a word in a text, or a longer name that begins alike, is no act."""
    assert "Print it" in refused("paper.acts", with_object(content))
    refused("paper.acts", with_object(packed(b"7 0 " + content)))
    for harmless in (b"(about JavaScript)", b"<</JSmith (Launch)>>", b"<</OpenAction [3 0 R /Fit]>>"):
        assert clean_paper(with_object(harmless)).suffix == ".pdf"
        assert clean_paper(with_object(packed(b"7 0 " + harmless))).suffix == ".pdf"


def test_clean_paper_when_pixels_look_like_a_name_is_kept() -> None:
    """What stands in a stream of pixels or text is not read as names."""
    stream = b"<</Length 20>>\nstream\n \x01\x02/JS \x03 /Launch \x04\nendstream"
    assert clean_paper(with_object(stream)).suffix == ".pdf"


def test_clean_paper_when_a_pdf_is_locked_is_refused() -> None:
    """What cannot be looked into is not kept; the same paper without a lock is."""
    assert clean_paper(paper()).suffix == ".pdf"
    refused("paper.locked", paper(locked=True))


@pytest.mark.parametrize(
    "broken",
    [
        lambda whole: whole[: len(whole) // 2],
        lambda whole: whole[:-20],
        lambda whole: whole + b"more",
        lambda whole: whole.replace(b"%PDF-1.", b"%PDF-9."),
        lambda whole: re.sub(rb"startxref\s+[0-9]+", b"startxref\n7", whole),
        lambda whole: re.sub(rb"startxref\s+[0-9]+", b"startxref\n9999999999", whole),
        lambda whole: with_object(packed(b"7 0 <<>>").replace(b"stream\nx", b"stream\ny")),
        lambda whole: with_object(packed(bytes(30_000_000))),
    ],
    ids=["half", "no end", "more behind", "version", "start", "far start", "stream", "bomb"],
)
def test_clean_paper_when_a_pdf_is_not_whole_is_refused(broken) -> None:  # type: ignore[no-untyped-def]
    """Cut short, longer than its end, a version that is none, a table that is not there, a packed bomb."""
    assert clean_paper(with_object(packed(b"7 0 <<>>"))).suffix == ".pdf"
    refused("paper.broken", broken(paper()))


def test_clean_paper_when_a_pdf_is_something_else_too_is_refused() -> None:
    """An archive behind it, or a page before the first object."""
    refused("paper.two_files", with_object(b"(PK\x05\x06)"))
    assert clean_paper(with_object(b"(PK)")).suffix == ".pdf"
    second_line = paper().split(b"\n")[1]
    for words, fits in ((b"%<script>alert(1)</script>", False), (b"%(script)alert(1)(/script)", True)):
        page = paper().replace(second_line, words.ljust(len(second_line)))
        if fits:
            assert clean_paper(page).data == page
        else:
            refused("paper.two_files", page)


def test_clean_paper_when_a_pdf_is_over_12_mb_is_refused() -> None:
    """12 MB to the byte pass."""
    most = paper() + b"\n" * (BYTES_MOST - len(paper()))
    with pytest.raises(Refused) as caught:
        clean_paper(most + b"\n")
    assert caught.value.code == "paper.too_heavy"


@settings(max_examples=60)
@given(
    changes=st.lists(st.tuples(st.integers(0, 10**9), st.integers(0, 255)), max_size=6),
    cut=st.integers(0, 10**9),
    tail=st.binary(max_size=30),
)
def test_clean_paper_when_bytes_are_changed_keeps_or_refuses(
    changes: list[tuple[int, int]], cut: int, tail: bytes
) -> None:
    """What is kept is kept to the byte; nothing but a refusal otherwise."""
    data = bytearray(paper())
    for at, value in changes:
        data[at % len(data)] = value
    for attempt in (bytes(data), b"%PDF-" + tail, bytes(data[: cut % len(data)]) + tail):
        try:
            kept = clean_paper(attempt).data
        except Refused as refusal:
            kept = attempt if refusal.code.startswith(("paper.", "photo.")) else b""
        assert kept == attempt
