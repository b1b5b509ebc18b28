"""What people type about a trip, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from inventory.forms.cards import Day
from inventory.queries import trips


class PlanTrip(forms.Form):
    """A trip's days, trailers and workshops."""

    name = forms.CharField(label=_("Where to"), max_length=80)
    leaves_on = Day(label=_("Leaves on"))
    back_on = Day(label=_("Back on"))
    trailers = forms.MultipleChoiceField(label=_("Trailers"), widget=forms.CheckboxSelectMultiple)
    workshops = forms.MultipleChoiceField(label=_("Workshops"), widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: Any, today: Any, of: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        near = {row.id: row for row in trips.workshops_from(today)}
        if of is not None:
            near |= {row.id: row for row in trips.workshops_of(of)}
        choices = {
            "trailers": [(str(id), name) for id, name in trips.trailers()],
            "workshops": [
                (str(id), f"{row.name}, {date_format(row.starts_on, 'j M Y')}") for id, row in near.items()
            ],
        }
        for name, rows in choices.items():
            field = self.fields[name]
            assert isinstance(field, forms.MultipleChoiceField)  # noqa: S101 - for the type checker
            field.choices = rows

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return data | {name: [UUID(id) for id in data[name]] for name in ("trailers", "workshops")}
