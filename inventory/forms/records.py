"""What the owner of a pair types."""

from django import forms
from django.utils.translation import gettext_lazy as _


class Secret(forms.Form):
    """The second secret."""

    secret = forms.CharField(
        label=_("Code on the build record"),
        max_length=60,
        help_text=_("Ten letters and digits, printed on the paper that came with the pair."),
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )
