"""What people ask a list of packages for, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.cards import Day
from inventory.queries import materials, things
from inventory.queries.stock_list import Condition, Wanted

CONDITIONS = [
    ("", _("any")),
    (Condition.OPEN.value, _("open")),
    (Condition.CLOSED.value, _("closed")),
    (Condition.HELD.value, _("on hold")),
    (Condition.PAST.value, _("past its date")),
]


class Find(forms.Form):
    """Words, place, material, state, last day: each narrows the list. What cannot be read is passed over.

    Bins are too many to choose from: a bin's own page says what is in it, and leads here with the bin chosen.
    """

    q = forms.CharField(label=_("Material, lot or code"), max_length=100, required=False)
    place = forms.ChoiceField(label=_("In"), required=False)
    material = forms.ChoiceField(label=_("Material"), required=False)
    state = forms.ChoiceField(label=_("State"), choices=CONDITIONS, required=False)
    until = Day(label=_("Usable no longer than"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.places = things.place_words()
        asked = self.data.get("place", "")
        larger = things.larger_places()
        shown = {str(id): words for id, words in self.places.items() if id in larger or str(id) == asked}
        places = sorted(shown.items(), key=lambda row: row[1])
        kinds = [(str(row.id), row.name) for row in materials.all_materials()]
        for name, choices in (("place", places), ("material", kinds)):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
            field.choices = [("", _("any")), *choices]
        self.fields["q"].widget.attrs["autocomplete"] = "off"

    def wanted(self) -> Wanted:
        """What is asked; the fields that are wrong ask nothing."""
        data = self.cleaned_data if self.is_valid() else {**self.cleaned_data}
        return Wanted(
            words=data.get("q", ""),
            place=UUID(data["place"]) if data.get("place") else None,
            material=UUID(data["material"]) if data.get("material") else None,
            condition=Condition(data["state"]) if data.get("state") else None,
            until=data.get("until"),
        )

    @property
    def narrowed(self) -> bool:
        """True when more than words was asked."""
        return any(self.data.get(name) for name in ("place", "material", "state", "until"))
