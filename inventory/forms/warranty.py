"""What people enter as warranty terms, to plain values."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.skis_back import CAUSES
from inventory.forms.cards import Day
from inventory.forms.skis_back import choices


class Terms(forms.Form):
    """One season's terms."""

    name = forms.CharField(label=_("For which season"), max_length=80)
    from_on = Day(label=_("For pairs handed over from"))
    to_on = Day(label=_("to"))
    months = forms.IntegerField(label=_("Months from the hand-over"), min_value=0, max_value=240)
    not_for = forms.MultipleChoiceField(
        label=_("Causes that the terms leave out"), required=False, widget=forms.CheckboxSelectMultiple
    )
    source = forms.CharField(label=_("Where the terms are written"), max_length=400, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["not_for"]
        assert isinstance(field, forms.MultipleChoiceField)  # noqa: S101 - for the type checker
        field.choices = choices(CAUSES)

    def values(self) -> dict[str, Any]:
        """As the actions take them."""
        return dict(self.cleaned_data)
