"""READ cards as plain values, and the history of their edits: who, when, on which laptop, before, after."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Model

from inventory.models import Revision
from inventory.queries.dossier.names import people
from inventory.queries.ledger import machines


@dataclass(frozen=True, slots=True)
class Changed:
    """One field of an edit; `before` is None where the card was made, and of a person's card."""

    field: str
    before: object
    after: object

    @property
    def label(self) -> str:
        """The field in plain words, for a page that has no form of this card."""
        return self.field.removesuffix("_id").replace("_", " ")


@dataclass(frozen=True, slots=True)
class Edit:
    """One edit of a card. `made`: the first, that made it. `machine` is the laptop's letter."""

    at: datetime
    who: str
    machine: str
    made: bool
    fields: tuple[Changed, ...]


def values(row: Model) -> dict[str, Any]:
    """A row's fields by the names that revisions use."""
    return {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}


def history(cards: Mapping[str, UUID], *, most: int = 100) -> list[Edit]:
    """The edits of one card, or of the several that one page shows, newest first.

    Shapes: card name to id, as `models.cards` has them.
    """
    rows: list[Revision] = []
    for name, id in cards.items():
        rows += Revision.objects.filter(card=name, card_id=id).order_by("-clock", "-machine")[:most]
    rows.sort(key=lambda row: (row.clock, row.machine), reverse=True)
    return edits(rows[:most])


def edits(rows: Sequence[Revision]) -> list[Edit]:
    """These revisions told, in their order; two statements."""
    names = people(row.who for row in rows)
    letters = {machine.id: machine.letter for machine in machines()}
    return [
        Edit(
            at=row.at,
            who=names.get(row.who, "") if row.who else "",
            machine=letters.get(row.machine, ""),
            made=not row.before,
            fields=tuple(
                Changed(field, row.before.get(field), after) for field, after in sorted(row.after.items())
            ),
        )
        for row in rows
    ]
