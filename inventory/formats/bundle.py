"""A shop's books as one file, to carry from laptop to laptop: gzipped JSON lines. Knows no table.

The first line is a header, the last an end mark with the number of rows and their SHA-256, so that a file cut
short or changed on the way is refused whole.
"""

import gzip
import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from typing import IO, Any

from inventory.errors import Refused, say

FORMAT = "tip-to-tail bundle"
VERSION = 1


@dataclass(frozen=True, slots=True)
class Header:
    """Whose books these are, and which machine wrote them when (ISO 8601)."""

    shop: str
    machine: str
    made: str
    version: int = VERSION


Row = tuple[str, dict[str, Any]]


def write(file: IO[bytes], header: Header, rows: Iterable[Row]) -> int:
    """Write a bundle and return the number of rows."""
    digest, count = hashlib.sha256(), 0
    with gzip.GzipFile(fileobj=file, mode="wb", mtime=0) as packed:
        packed.write(_line(["header", {"format": FORMAT, **asdict(header)}]))
        for kind, values in rows:
            line = _line([kind, values])
            digest.update(line)
            packed.write(line)
            count += 1
        packed.write(_line(["end", {"rows": count, "sha256": digest.hexdigest()}]))
    return count


def read(file: IO[bytes]) -> tuple[Header, list[Row]]:
    """Read a bundle whole.

    Refuses: bundle.not_one, bundle.newer, bundle.cut_short
    """
    try:
        lines = list(_lines(file))
        kind, values = json.loads(lines[0])
        if kind != "header" or values.pop("format") != FORMAT:
            raise ValueError
        header = Header(**values) if values.get("version") == VERSION else None
    except (OSError, EOFError, ValueError, TypeError, KeyError, AttributeError, IndexError) as error:
        raise Refused(
            "bundle.not_one",
            say("This file is no bundle of a shop's books."),
            say("Choose the file that manage.py export wrote."),
        ) from error
    if header is None:
        raise Refused(
            "bundle.newer",
            say(
                "The bundle is of version {version}; this laptop reads {own}.",
                version=values.get("version"),
                own=VERSION,
            ),
            say("Bring the program on this laptop up to date, then merge."),
        )
    return header, _checked(lines[1:])


def _lines(file: IO[bytes]) -> Iterator[bytes]:
    with gzip.GzipFile(fileobj=file, mode="rb") as packed:
        yield from packed


def _checked(lines: list[bytes]) -> list[Row]:
    digest = hashlib.sha256(b"".join(lines[:-1]))
    kind, end = json.loads(lines[-1]) if lines else ("", {})
    if kind != "end" or end != {"rows": len(lines) - 1, "sha256": digest.hexdigest()}:
        raise Refused(
            "bundle.cut_short",
            say("The bundle is not whole: it was cut short or changed on the way."),
            say("Copy it again from the laptop that wrote it."),
        )
    return [(kind, values) for kind, values in map(json.loads, lines[:-1])]


def _line(value: list[Any]) -> bytes:
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode() + b"\n"
