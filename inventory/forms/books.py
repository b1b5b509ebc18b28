"""What people type when they put the books right, to plain values."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _


class Settle(forms.Form):
    """What people agreed on."""

    how = forms.CharField(label=_("What you agreed on"), max_length=300)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)
