"""What a trip was like, in words, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _


def _words(label: Any, help_text: Any = "") -> forms.CharField:
    area = forms.Textarea(attrs={"rows": 3})
    return forms.CharField(label=label, max_length=2000, required=False, widget=area, help_text=help_text)


class Record(forms.Form):
    """Three questions after a trip."""

    saved_us = _words(_("What saved us"))
    failed = _words(_("What failed"))
    next_time = _words(
        _("What to change next time"),
        _("Shown on the next trip planned as this one, or of its name. No guests' names here."),
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class OfFactor(forms.Form):
    """Which factor."""

    layup = forms.UUIDField()
    material = forms.UUIDField()

    def values(self) -> dict[str, UUID]:
        """As the action takes them."""
        return dict(self.cleaned_data)
