"""What a shop ticks in the starter catalogue, to plain values."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

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
            field.choices = [(key, row.name) for key, row in rows.items() if sent or key not in offered.known]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        every = self.data.get("every") == "materials"
        return {
            "entries": [self.entries[key] for key in (self.entries if every else data["materials"])],
            "pieces": [self.pieces[key] for key in data["equipment"]],
        }
