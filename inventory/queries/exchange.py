"""READ the whole books as plain rows, to carry them elsewhere, and their hash.

Rows hold JSON values only: ids and moments as text. What is derived does not travel; it is folded again.
"""

import hashlib
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import BooleanField, ForeignKey, IntegerField, JSONField, Model

from inventory.formats.bundle import Row
from inventory.models import Act, Event, Line, Machine, Note, Revision, Tagging, Thing
from inventory.models.cards import CARDS, PRIVATE

_WORDS = "id machine number clock sort act type action biz_step step version at offset late where_id who"
_EVENT = (*_WORDS.split(), "reverses", "facts", "note")
# In the order in which they can be written again.
TRAVELS: dict[str, tuple[type[Model], tuple[str, ...]]] = {
    "machine": (Machine, ("id", "letter", "name", "number", "revision", "clock", "replaces")),
    "thing": (Thing, ("id", "kind", "base")),
    "act": (Act, ("machine", "token", "content", "answer")),
    "event": (Event, _EVENT),
    "line": (Line, ("event_id", "position", "thing_id", "role", "amount", "basis", "source_id", "to_id")),
    "tagging": (Tagging, ("event_id", "code", "thing_id")),
    "revision": (
        Revision,
        ("id", "machine", "number", "clock", "act", "card", "card_id", "at", "who", "before", "after"),
    ),
    "note": (Note, ("id", "text", "erased")),
}


def fits(kind: str, values: object) -> bool:
    """True when a row from elsewhere is what the books can keep: SQLite itself takes almost anything."""
    if not isinstance(values, dict):
        return False
    if kind == "private":
        return values.keys() == {"card", "id", "values"} and values["card"] in PRIVATE
    if kind not in TRAVELS or values.keys() != set(TRAVELS[kind][1]):
        return False
    fields = {field.attname: field for field in TRAVELS[kind][0]._meta.concrete_fields}
    return all(_fits(fields[name], value) for name, value in values.items())


def _fits(field: Any, value: Any) -> bool:
    field = field.target_field if isinstance(field, ForeignKey) and value is not None else field
    if value is None:
        return bool(field.null)
    if isinstance(field, JSONField):
        return True
    whole = isinstance(field, IntegerField)
    if type(value) is not (int if whole else bool if isinstance(field, BooleanField) else str):
        return False
    try:
        field.clean(value, None)
    except ValidationError:
        return False
    return True


def rows() -> Iterator[Row]:
    """Every row that travels."""
    for kind in TRAVELS:
        for values in plain_rows(kind):
            yield kind, values
    for card in sorted(PRIVATE):
        model = CARDS[card]
        for row in model._default_manager.order_by("pk"):
            names = [field.attname for field in model._meta.concrete_fields if not field.primary_key]
            values = {name: _plain(getattr(row, name)) for name in names}
            yield "private", {"card": card, "id": str(row.pk), "values": values}


def plain_rows(kind: str) -> Iterator[dict[str, Any]]:
    """Every row of one kind."""
    model, fields = TRAVELS[kind]
    for values in model._default_manager.order_by("pk").values(*fields).iterator():
        yield {key: _plain(value) for key, value in values.items()}


def _plain(value: Any) -> Any:
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, datetime):
        return value.isoformat()
    return value


_HASHED: tuple[tuple[str, Callable[[dict[str, Any]], bool]], ...] = (
    ("thing", lambda row: True),
    ("act", lambda row: True),
    ("event", lambda row: row["step"] != "met"),
    ("line", lambda row: True),
    ("tagging", lambda row: True),
    ("revision", lambda row: True),
)


def ledger_hash() -> str:
    """One hash of all that was written; machines that met hash the same. Meetings are left out.

    The act of a merge is left out too: it is the meeting's own.
    """
    meetings = {str(act) for act in Event.objects.filter(step="met").values_list("act", flat=True)}
    digest = hashlib.sha256()
    for kind, counts in _HASHED:
        found = (row for row in plain_rows(kind) if counts(row) and row.get("token") not in meetings)
        lines = sorted(json.dumps(row, sort_keys=True) for row in found)
        digest.update("\n".join([kind, *lines]).encode())
    return digest.hexdigest()


@dataclass(frozen=True, slots=True)
class Size:
    """How much is written: events but meetings, and revisions of cards."""

    events: int
    revisions: int


def size() -> Size:
    """How much is written here."""
    return Size(Event.objects.exclude(step="met").count(), Revision.objects.count())
