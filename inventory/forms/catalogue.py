"""What a shop ticks in the starter catalogue, to plain values."""

from dataclasses import replace
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.formats.catalogue import Piece
from inventory.queries.catalogue import Offered


class Take(forms.Form):
    """Materials and equipment, each with a tick; or every material by one tap.

    What the shop has a card of is not offered again, and may be sent again by a page that stood open.
    """

    materials = forms.MultipleChoiceField(
        label=_("Materials"), required=False, widget=forms.CheckboxSelectMultiple
    )
    equipment = forms.MultipleChoiceField(
        label=_("Equipment: one piece each"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, offered: Offered, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entries = {entry.key: entry for entry in offered.entries}
        self.pieces = {piece.key: piece for piece in offered.pieces}
        sent = self.is_bound
        for name, rows in (("materials", self.entries), ("equipment", self.pieces)):
            field = self.fields[name]
            assert isinstance(field, forms.MultipleChoiceField)  # noqa: S101 - for the type checker
            field.choices = [
                (key, gettext(row.name)) for key, row in rows.items() if sent or key not in offered.known
            ]

    def values(self) -> dict[str, Any]:
        """As the action takes them: named in the reader's language, each marked as one of the list."""
        data = self.cleaned_data
        every = self.data.get("every") == "materials"
        mark = gettext("from the starter list: check against your data sheet")
        entries = [self.entries[key] for key in (self.entries if every else data["materials"])]
        pieces = [self.pieces[key] for key in data["equipment"]]
        return {
            "entries": [
                replace(row, name=gettext(row.name), source=f"{mark}; {row.source}") for row in entries
            ],
            "pieces": [_in_words(row) for row in pieces],
        }


def _in_words(piece: Piece) -> Piece:
    """A piece, and what is looked at, in the reader's language."""
    looked_at = tuple((gettext(what), months) for what, months in piece.inspections)
    return replace(piece, name=gettext(piece.name), inspections=looked_at)
