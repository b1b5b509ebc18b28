"""What people type about workshops and pairs, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.stock import DAY
from inventory.queries import builds


class PlanWorkshop(forms.Form):
    """A workshop's name and days."""

    name = forms.CharField(label=_("Name or venue"), max_length=80)
    starts_on = forms.DateField(label=_("First day"), widget=DAY)
    ends_on = forms.DateField(label=_("Last day"), widget=DAY)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class BookPair(forms.Form):
    """A pair for a guest."""

    workshop = forms.ChoiceField(label=_("Workshop"), required=False)
    guest = forms.CharField(label=_("Guest"), max_length=120)
    length_mm = forms.IntegerField(label=_("Length, mm"), min_value=1, max_value=100_000)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = [(str(row.id), row.name) for row in builds.workshops()]
        field = self.fields["workshop"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = [("", _("none yet")), *rows]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return data | {"workshop": UUID(data["workshop"]) if data["workshop"] else None}
