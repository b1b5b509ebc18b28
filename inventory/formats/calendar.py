"""Whole days as a calendar file that phones and desks read (iCalendar, RFC 5545). Knows no topic, no person.

Whoever asks says what a day is about; a guest's name has no place in such a file.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

PRODUCT = "-//Tip to Tail//season//EN"
MOST_OCTETS = 75
_ESCAPED = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n", "\r": None})


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of whole days, both ends included. `key`: the same for the same thing."""

    key: str
    first: date
    last: date
    title: str
    more: str = ""


def write(entries: Iterable[Entry], *, name: str, at: datetime) -> bytes:
    """The entries as a calendar file. `at`: the moment it was made, with its time zone.

    Source: RFC 5545: lines end with CR LF and are folded at 75 octets (3.1); text escapes backslash,
        semicolon, comma and newline (3.3.11); a whole day's end is the day after (3.6.1); UID and DTSTAMP
        are required.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN"]
    lines.append(f"X-WR-CALNAME:{_text(name)}")
    for entry in entries:
        lines += _entry(entry, at)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in _folded(line)).encode()


def _entry(entry: Entry, at: datetime) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{_text(entry.key)}"
    yield f"DTSTAMP:{(at - (at.utcoffset() or timedelta())).replace(tzinfo=None):%Y%m%dT%H%M%SZ}"
    yield f"DTSTART;VALUE=DATE:{entry.first:%Y%m%d}"
    yield f"DTEND;VALUE=DATE:{entry.last + timedelta(1):%Y%m%d}"
    yield f"SUMMARY:{_text(entry.title)}"
    if entry.more:
        yield f"DESCRIPTION:{_text(entry.more)}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _text(value: str) -> str:
    """A text as the format escapes it; what no text has is left out."""
    kept = "".join(sign for sign in value if sign == "\n" or sign.isprintable())
    return kept.translate(_ESCAPED)


def _folded(line: str) -> Iterator[str]:
    """The line in parts of 75 octets at most, each but the first beginning with a space; no sign is cut."""
    part, size = "", 0
    for sign in line:
        octets = len(sign.encode())
        if size + octets > MOST_OCTETS:
            yield part
            part, size = " ", 1
        part += sign
        size += octets
    yield part
