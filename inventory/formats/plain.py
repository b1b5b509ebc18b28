"""Frozen rows as JSON values, field by field, for `--json` and for files. Knows no topic.

Ids and codes are text, dates and moments ISO 8601, an amount is a whole number `value` of
a `base` unit, an absent value is null. A field has the name it has in the program; a page of help lists them.
"""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from enum import Enum
from typing import Any
from uuid import UUID

PLAIN = (str, int, float, bool, type(None))


def plain(value: object) -> Any:
    """A frozen row, and all in it, as JSON holds it."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return _scalar(value)


def _scalar(value: object) -> Any:
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, PLAIN):
        return value
    raise TypeError(f"{type(value).__name__} has no form in JSON")
