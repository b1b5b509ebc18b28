"""What is said at departure, at home and of waste, to plain values."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.units import Amount, Base
from inventory.forms.fields import AmountField, read_amount
from inventory.queries.home import Used

_WASTE = [
    ("chemical", _("chemical: resin, hardener, glue, solvent, and what they are on")),
    ("other", _("all else")),
]


class Depart(forms.Form):
    """Leaving. `sure` is asked for when something stands against it."""

    sure = forms.BooleanField(label=_("We leave all the same"), required=False)

    def __init__(self, *args: Any, against: int, left: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.against, self.left = against, left
        if not (against or left):
            del self.fields["sure"]
        else:
            self.fields["sure"].required = True

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"left_behind": self.left, "against": self.against}


class Nothing(forms.Form):
    """A button alone."""

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {}


class OfThing(forms.Form):
    """Which thing."""

    thing = forms.UUIDField()

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Waste(forms.Form):
    """One weighing of waste."""

    sort = forms.ChoiceField(label=_("Which waste"), choices=_WASTE, widget=forms.RadioSelect)
    mass = AmountField(
        base=Base.MG, default="kg", label=_("It weighs"), help_text=_("1.4 kg; without its drum.")
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"sort": self.cleaned_data["sort"], "mass_mg": self.cleaned_data["mass"].value}


class CountHome(forms.Form):
    """What is left in each package that was opened or taken from; an empty field is not counted."""

    def __init__(self, *args: Any, rows: Sequence[Used], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rows = [row for row in rows if row.counted_at is None]
        for row in self.rows:
            self.fields[str(row.package)] = forms.CharField(
                label=f"{row.material_name} {row.code}", required=False, max_length=60
            )

    def clean(self) -> dict[str, Any]:
        """The amounts, each in its package's unit."""
        found: dict[UUID, Amount] = {}
        for row in self.rows:
            text = self.cleaned_data.get(str(row.package))
            if text:
                try:
                    found[row.package] = read_amount(text, row.base, allow_zero=True)
                except forms.ValidationError as error:
                    self.add_error(str(row.package), error)
        return {"counts": list(found.items())}

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"counts": self.cleaned_data["counts"]}
