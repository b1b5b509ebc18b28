"""What people type and scan about places, to plain values."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Kind
from inventory.forms.fields import ThingField, ThingsField

_PLACES = (Kind.YARD, Kind.STORE, Kind.TRAILER, Kind.ZONE, Kind.BIN)


class MakePlace(forms.Form):
    """A yard, store, trailer, zone or bin."""

    kind = forms.ChoiceField(
        label=_("What it is"), choices=[(kind.value, kind.value) for kind in reversed(_PLACES)]
    )
    name = forms.CharField(label=_("What it is called"), max_length=80)
    inside = ThingField(
        *_PLACES[:-1],
        label=_("Where it stands (scan)"),
        required=False,
        help_text=_("A place of higher rank."),
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return self.cleaned_data | {"kind": Kind(self.cleaned_data["kind"])}


class Move(forms.Form):
    """Things put somewhere."""

    things = ThingsField(
        label=_("Scan what to move"), help_text=_("One code a line. A bin goes with all in it.")
    )
    to = ThingField(*_PLACES, label=_("Scan where it goes"))

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)
