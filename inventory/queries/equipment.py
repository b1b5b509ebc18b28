"""READ equipment: all of it, where it is, and which inspections are due."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.compute.expiry import months_later
from inventory.models import Equipment, Hold, Inspection
from inventory.queries.ledger import code_in


@dataclass(frozen=True, slots=True)
class Due:
    """One inspection and the last day before it is overdue; None: never inspected, so it is due now."""

    id: UUID
    equipment: UUID
    what: str
    who: str
    every_months: int | None
    last_on: date | None
    by: date | None

    def overdue(self, today: date) -> bool:
        """True when it was never done, or is to be done again and was not."""
        if self.last_on is None:
            return True
        return self.by is not None and self.by < today


@dataclass(frozen=True, slots=True)
class Row:
    """One piece of equipment of the list; `due` is its inspection that is due first."""

    thing: UUID
    code: str
    kind: str
    name: str
    sort: str
    size: str
    place: UUID | None
    held: bool
    due: Due | None


def _due(row: Inspection) -> Due:
    again = row.last_on and row.every_months
    by = (
        months_later(day=row.last_on, months=row.every_months)
        if again and row.last_on and row.every_months
        else None
    )
    return Due(row.id, row.equipment_id, row.what, row.who, row.every_months, row.last_on, by)


def due_first(rows: list[Due]) -> list[Due]:
    """Never inspected first, then the one due first; what needs no repeating last."""
    return sorted(rows, key=lambda due: (due.last_on is not None, due.by or date.max, due.what))


def inspections(equipment: UUID | None = None) -> list[Due]:
    """The inspections asked for, of one piece or of all, the one due first before the others."""
    rows = Inspection.objects.filter(ended=False, equipment__thing__state__isnull=False)
    if equipment is not None:
        rows = rows.filter(equipment_id=equipment)
    return due_first([_due(row) for row in rows])


def inspection(id: UUID) -> Inspection | None:
    """One inspection's card."""
    return Inspection.objects.select_related("equipment").filter(id=id).first()


def listed(words: str = "") -> list[Row]:
    """Every piece of equipment in use, by name; a flat number of statements."""
    first: dict[UUID, Due] = {}
    for due in inspections():
        first.setdefault(due.equipment, due)
    held = set(Hold.objects.filter(thing__equipment__isnull=False).values_list("thing_id", flat=True))
    rows = Equipment.objects.filter(thing__state__isnull=False).select_related("thing__state")
    return [
        _row(row, row.code or "", row.thing_id in held, first.get(row.thing_id))
        for row in rows.annotate(code=code_in()).order_by("name", "thing_id")
        if all(word.casefold() in f"{row.name} {row.sort} {row.code}".casefold() for word in words.split())
    ]


def _row(row: Any, code: str, held: bool, due: Due | None) -> Row:
    place = row.thing.state.place_id
    return Row(row.thing_id, code, row.thing.kind, row.name, row.sort, row.size, place, held, due)


def equipment(thing: UUID) -> Equipment | None:
    """One piece's card."""
    return Equipment.objects.select_related("thing").filter(thing_id=thing).first()


def presses() -> list[Equipment]:
    """Every press in use, by name."""
    rows = Equipment.objects.filter(thing__kind=Kind.PRESS, thing__state__isnull=False)
    return list(rows.order_by("name", "thing_id"))
