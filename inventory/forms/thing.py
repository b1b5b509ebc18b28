"""The moment a thing's page is asked for."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.forms.fields import check_day
from inventory.queries.as_of import AsOf, Sense

SENSES = {"was": Sense.WAS, "known": Sense.KNOWN}


class Moment(forms.Form):
    """A moment that has passed, and in which sense."""

    at = forms.DateTimeField(
        label=_("As of"),
        validators=[check_day],
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )
    sense = forms.ChoiceField(
        label=_("In which sense"),
        choices=[
            ("was", _("as it was, by all that is known now")),
            ("known", _("as known on this laptop then")),
        ],
    )

    def __init__(self, *args: Any, now: Any, **kwargs: Any) -> None:
        self.now = now
        super().__init__(*args, **kwargs)

    def clean_at(self) -> Any:
        """Refuse what has not come yet."""
        at = self.cleaned_data["at"]
        if at > self.now:
            raise forms.ValidationError(_("This moment has not come yet."), code="date.future")
        return at

    def as_of(self) -> AsOf:
        """The moment and the sense."""
        return AsOf(self.cleaned_data["at"], SENSES[self.cleaned_data["sense"]])
