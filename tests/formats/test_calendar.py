"""Calendar files: RFC 5545's own rules and examples, read back by a reader of its grammar."""

import re
from datetime import UTC, date, datetime, timedelta, timezone

from hypothesis import given
from hypothesis import strategies as some

from inventory.formats.calendar import Entry, write

AT = datetime(2026, 12, 1, 9, 30, tzinfo=UTC)
DAY = date(2026, 12, 24)


def unfolded(data: bytes) -> list[str]:
    """RFC 5545, 3.1: a line break followed by one white space is no line break."""
    text = data.decode()
    assert text.endswith("\r\n")
    return re.sub(r"\r\n[ \t]", "", text).split("\r\n")[:-1]


def unescaped(value: str) -> str:
    """RFC 5545, 3.3.11, backwards."""
    return re.sub(r"\\([\\;,nN])", lambda found: "\n" if found[1] in "nN" else found[1], value)


def read(data: bytes) -> list[dict[str, str]]:
    """The events' properties, by name without parameters."""
    found: list[dict[str, str]] = []
    for line in unfolded(data):
        name, _, value = line.partition(":")
        if line == "BEGIN:VEVENT":
            found.append({})
        elif found and not line.startswith("END:"):
            found[-1][name] = value
    return found


def test_text_is_escaped_as_the_standards_example():
    """RFC 5545, 3.3.11: `Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared.`"""
    more = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    data = write([Entry("1", DAY, DAY, "a; b, c\\d", more)], name="x", at=AT)
    assert rb"DESCRIPTION:Project XYZ Final Review\nConference Room - 3B\nCome Prepared." in data
    assert rb"SUMMARY:a\; b\, c\\d" in data


def test_whole_days_end_on_the_day_after_as_the_standards_example():
    """RFC 5545, 3.6.1: an event of 28 June to 8 July 2007 has DTEND 20070709; the stamp is in UTC."""
    east = AT.astimezone(timezone(timedelta(hours=2)))
    (event,) = read(write([Entry("1", date(2007, 6, 28), date(2007, 7, 8), "T")], name="x", at=east))
    assert event["DTSTART;VALUE=DATE"] == "20070628"
    assert event["DTEND;VALUE=DATE"] == "20070709"
    assert event["DTSTAMP"] == "20261201T093000Z"


def test_file_has_what_the_standard_requires():
    """RFC 5545, 3.6: VERSION and PRODID once; UID and DTSTAMP in each event; CR LF everywhere."""
    data = write([Entry("a", DAY, DAY, "T"), Entry("b", DAY, DAY, "U")], name="Winter", at=AT)
    lines = unfolded(data)
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-1] == "END:VCALENDAR"
    assert lines.count("VERSION:2.0") == sum(line.startswith("PRODID:") for line in lines) == 1
    assert [event["UID"] for event in read(data)] == ["a", "b"]
    assert b"\n" not in data.replace(b"\r\n", b"")


@given(some.text(max_size=300))
def test_any_text_comes_back_and_no_line_is_longer_than_75_octets(text):
    """Also long ones, with signs of several octets, and with line breaks of every kind."""
    data = write([Entry("1", DAY, DAY, "T", text)], name="x", at=AT)
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))
    (event,) = read(data)
    kept = "".join(sign for sign in text if sign == "\n" or sign.isprintable())
    assert unescaped(event.get("DESCRIPTION", "")) == kept
