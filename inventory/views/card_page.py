"""What the pages of all cards share: the history of a card in words. Knows no topic and has no address."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from inventory.forms.cards import Card
from inventory.queries import cards


@dataclass(frozen=True, slots=True)
class Line:
    """One field of an edit in words."""

    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Told:
    """One edit in words."""

    at: datetime
    who: str
    machine: str
    made: bool
    lines: tuple[Line, ...]


def history(form: Card, of: Mapping[str, UUID]) -> list[Told]:
    """The edits of the cards that one page shows, newest first, each value as the page shows it."""
    return [
        Told(
            edit.at,
            edit.who,
            edit.machine,
            edit.made,
            tuple(filter(None, (_line(form, c) for c in edit.fields))),
        )
        for edit in cards.history(of)
    ]


def _line(form: Card, changed: cards.Changed) -> Line | None:
    """A field that the page does not show, or that said nothing before and after, is left out."""
    if changed.field not in form.fields:
        return None
    before, after = form.word(changed.field, changed.before), form.word(changed.field, changed.after)
    return Line(form.label(changed.field), before, after) if before or after else None
