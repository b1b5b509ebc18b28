"""What people say when a workshop is closed or opened again, to plain values."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _


class Close(forms.Form):
    """That everything is written down."""

    sure = forms.BooleanField(label=_("Everything that was built there is written down"))

    def values(self) -> dict[str, Any]:
        """As the action takes them: nothing beside the workshop."""
        return {}


class Reopen(forms.Form):
    """Why a closed workshop is opened again."""

    why = forms.CharField(label=_("What has to be put right"), max_length=300)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)
