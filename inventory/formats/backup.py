"""A backup as one ZIP file: the books as their database wrote them, files, and a page that lists both.

Pure: knows no database. Every entry's hash stands on that page; a backup that does not keep to it is refused.
Names are never taken from the archive: only those the page lists are read, and only below a folder given.
"""

import hashlib
import json
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import IO

from inventory.errors import Refused, say

FORMAT, VERSION = "tip-to-tail backup", 1
PAGE, BOOKS, FILES = "what-is-in-it.json", "books", "files/"
_PAGE_MOST = 32 * 1024 * 1024
_PIECE = 1024 * 1024
_BROKEN = (zipfile.BadZipFile, zlib.error, KeyError, RuntimeError, NotImplementedError, EOFError, ValueError)


@dataclass(frozen=True, slots=True)
class Page:
    """What is in a backup.

    `made`: the moment, ISO 8601; `engine`: which database wrote the books; `ledger`: the hash of all that was
    written; `entries`: size in bytes and SHA-256 of each entry.
    """

    made: str
    engine: str
    ledger: str
    entries: Mapping[str, tuple[int, str]] = field(default_factory=dict)


def write(out: IO[bytes], *, page: Page, books: Path, files: Mapping[str, Path]) -> Page:
    """Write a backup; returns its page with every entry's size and hash."""
    entries: dict[str, tuple[int, str]] = {}
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, allowZip64=True) as pack:
        for name, path in {BOOKS: books, **{FILES + name: path for name, path in files.items()}}.items():
            entries[name] = _put(pack, name, path)
        whole = Page(page.made, page.engine, page.ledger, entries)
        pack.writestr(PAGE, json.dumps({"format": FORMAT, "version": VERSION} | asdict(whole), indent=1))
    return whole


def _put(pack: zipfile.ZipFile, name: str, path: Path) -> tuple[int, str]:
    digest, size = hashlib.sha256(), 0
    with path.open("rb") as source, pack.open(name, "w", force_zip64=True) as entry:
        while piece := source.read(_PIECE):
            digest.update(piece)
            size += len(piece)
            entry.write(piece)
    return size, digest.hexdigest()


def _moment(text: str) -> str:
    """The same, when it is a moment that is the same everywhere."""
    if datetime.fromisoformat(text).tzinfo is None:
        raise ValueError(text)
    return text


def read_page(file: IO[bytes]) -> Page:
    """Read what is in a backup.

    Refuses: backup.none, backup.newer, backup.damaged
    """
    try:
        with zipfile.ZipFile(file) as pack, pack.open(PAGE) as entry:
            data = json.loads(entry.read(_PAGE_MOST))
    except _BROKEN as error:
        raise _none() from error
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise _none()
    if data.get("version") != VERSION:
        raise Refused(
            "backup.newer",
            say("The backup is of version {version}.", version=data.get("version")),
            say("Bring the program up to date, then restore."),
        )
    try:
        entries = {str(name): (int(size), str(digest)) for name, (size, digest) in data["entries"].items()}
        page = Page(_moment(data["made"]), str(data["engine"]), str(data["ledger"]), entries)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise _damaged(PAGE) from error
    for name in entries:
        if name != BOOKS and not _is_ours(name):
            raise _damaged(name)
    if BOOKS not in entries:
        raise _damaged(BOOKS)
    return page


def _is_ours(name: str) -> bool:
    path = PurePosixPath(name)
    plain = not path.is_absolute() and ".." not in path.parts and not {"\\", ":", "\0"} & set(name)
    return name.startswith(FILES) and len(path.parts) > 1 and plain


def check(file: IO[bytes], page: Page) -> None:
    """Read every entry and compare it with the page.

    Refuses: backup.damaged
    """
    for name in page.entries:
        unpack(file, page, name, None)


def unpack(file: IO[bytes], page: Page, name: str, to: Path | None) -> None:
    """Read one entry, into a file when one is given; it must be as the page says, and no longer.

    Refuses: backup.damaged
    """
    size, wanted = page.entries[name]
    digest, left = hashlib.sha256(), size
    target = to.open("wb") if to else None
    try:
        with zipfile.ZipFile(file) as pack, pack.open(name) as entry:
            while piece := entry.read(_PIECE):
                left -= len(piece)
                if left < 0:
                    break
                digest.update(piece)
                if target:
                    target.write(piece)
    except _BROKEN as error:
        raise _damaged(name) from error
    finally:
        if target:
            target.close()
    if left != 0 or digest.hexdigest() != wanted:
        raise _damaged(name)


def _none() -> Refused:
    return Refused(
        "backup.none",
        say("This file is no backup of a shop."),
        say("Choose a file that manage.py backup wrote."),
    )


def _damaged(name: str) -> Refused:
    return Refused(
        "backup.damaged",
        say("{name} in the backup is not as it was written.", name=name[:80]),
        say("Nothing was restored. Take another backup, or fetch this one from where it was kept again."),
    )
