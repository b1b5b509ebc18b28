"""Frozen rows as JSON values; the reading back is that of the standard library."""

import json
from dataclasses import dataclass
from datetime import UTC, date, datetime
from enum import Enum
from uuid import UUID

import pytest

from inventory.formats.plain import plain


class Colour(Enum):
    RED = "red"


@dataclass(frozen=True)
class Inner:
    on: date | None
    kind: Colour


@dataclass(frozen=True)
class Outer:
    id: UUID
    at: datetime
    inner: tuple[Inner, ...]
    facts: dict[str, object]


def test_plain_gives_what_json_can_hold_and_the_standard_reads_back():
    """ISO 8601 as the standard library's `fromisoformat` reads it; ids as text; null when absent."""
    at = datetime(2026, 12, 4, 9, 5, tzinfo=UTC)
    row = Outer(UUID(int=5), at, (Inner(date(2026, 12, 4), Colour.RED), Inner(None, Colour.RED)), {"c": 80.5})
    found = json.loads(json.dumps(plain(row)))
    assert datetime.fromisoformat(found["at"]) == at
    assert [date.fromisoformat(found["inner"][0]["on"]), found["inner"][1]["on"]] == [date(2026, 12, 4), None]
    assert found["inner"][0]["kind"] == "red"
    assert (UUID(found["id"]), found["facts"]) == (UUID(int=5), {"c": 80.5})


def test_plain_of_what_has_no_form_is_an_error():
    """Never a guess: a set has no order."""
    with pytest.raises(TypeError, match="set"):
        plain({"a": {1}})
