"""A PDF that somebody attached, looked at before it is kept: whether it is one, whole, and only paper.

A look at its structure, no full reading: what acts, opens other things or carries files is refused, also
where it hides in packed objects. Knows no certificate.
"""

import re
import zlib
from collections.abc import Iterator

from inventory.errors import Refused, say
from inventory.formats.photo_guard import BYTES_MOST

UNPACKED_MOST = 20_000_000
_HEAD = re.compile(rb"%PDF-(1\.[0-7]|2\.0)[\r\n \t]")
_END = re.compile(rb"startxref\s+([0-9]{1,10})\s+%%EOF[\s\0]*\Z")
_STREAM = re.compile(rb"stream\r?\n(.*?)endstream", re.DOTALL)
_TABLE = re.compile(rb"\s*(xref\b|[0-9]+\s+[0-9]+\s+obj\b)")
_ESCAPED = re.compile(rb"#([0-9A-Fa-f]{2})")
_ACTS = re.compile(
    rb"/(JavaScript|JS|Launch|EmbeddedFiles?|RichMedia|XFA|ImportData|SubmitForm)(?![A-Za-z0-9])"
)
_LOCKED = re.compile(rb"/Encrypt(?![A-Za-z0-9])")
_WEB_PAGE = re.compile(rb"<(html|script|!doctype|svg|\?php)", re.IGNORECASE)
_ZIP_END, _ZIP_LOOK = b"PK\x05\x06", 66_000
_HEAD_LOOK, _DICTIONARY_MOST = 1_100, 2_000

_PRINT = say("Print it to a new PDF, or photograph the page, and attach that.")


def is_pdf(data: bytes) -> bool:
    """Whether a file says at its beginning that it is a PDF."""
    return data.startswith(b"%PDF-")


def check_pdf(data: bytes) -> None:
    """Refuse a PDF that is more than paper, or less.

    Refuses: paper.too_heavy, paper.broken, paper.two_files, paper.locked, paper.acts.
    """
    if len(data) > BYTES_MOST:
        raise Refused(
            "paper.too_heavy",
            say(
                "The PDF has {size} MB; {most} MB is the most.",
                size=f"{len(data) / 1e6:.1f}",
                most=BYTES_MOST // 1_000_000,
            ),
            say("Attach only the pages that matter, or save it with smaller pictures."),
        )
    end = _END.search(data, max(0, len(data) - 2_000))
    if not _HEAD.match(data) or end is None or not _TABLE.match(data, int(end[1])):
        raise _broken()
    if _WEB_PAGE.search(data[:_HEAD_LOOK]) or _ZIP_END in data[-_ZIP_LOOK:]:
        raise Refused("paper.two_files", say("The file is a PDF and something else at once."), _PRINT)
    for part in _readable(data):
        _check_names(_ESCAPED.sub(lambda match: bytes([int(match[1], 16)]), part))


def _readable(data: bytes) -> Iterator[bytes]:
    """What a reader of the PDF acts on: all outside of streams, and packed objects unpacked."""
    yield _STREAM.sub(b"", data)
    room = UNPACKED_MOST
    for match in _STREAM.finditer(data):
        before = data[max(0, match.start() - _DICTIONARY_MOST) : match.start()]
        if b"/ObjStm" not in before[before.rfind(b"obj") :]:
            continue
        try:
            unpacked = zlib.decompressobj().decompress(match[1], room)
        except zlib.error as fault:
            raise _broken() from fault
        room -= len(unpacked)
        if room <= 0:
            raise _broken()
        yield unpacked


def _check_names(part: bytes) -> None:
    if _LOCKED.search(part):
        raise Refused("paper.locked", say("The PDF is locked, so it cannot be looked into."), _PRINT)
    found = _ACTS.search(part)
    if found:
        raise Refused(
            "paper.acts",
            say("The PDF holds more than pages: {what}.", what=found[1].decode("ascii")),
            _PRINT,
        )


def _broken() -> Refused:
    return Refused(
        "paper.broken",
        say("The PDF is damaged, or was cut short on the way."),
        say("Fetch it again from whoever wrote it, or photograph the page."),
    )
