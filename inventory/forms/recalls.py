"""What people choose and type of holds and recalls, to plain values."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.skis_back import FAILURES
from inventory.forms.fields import ThingsField
from inventory.forms.skis_back import choices
from inventory.queries.recalls import AUTHORITY, MEANS, STATES

_STATES = {
    "to tell": _("to tell"),
    "told": _("told"),
    "answered": _("answered"),
    "back": _("back here"),
    "cannot reach": _("cannot be reached"),
}
_MEANS = {
    "": _("not yet"),
    "letter": _("letter"),
    "text message": _("text message"),
    "call": _("call"),
    "in person": _("in person"),
}
_AUTHORITY = {
    "not asked yet": _("not asked yet"),
    "asked": _("asked, no answer yet"),
    "told": _("told"),
    "need not be told": _("need not be told, as whoever was asked said"),
}


class Hold(forms.Form):
    """Why the whole set is held."""

    reason = forms.CharField(label=_("Why"), max_length=300)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Start(forms.Form):
    """What a recall would start from."""

    roots = ThingsField(label=_("What it starts from: lots, jugs, batches, press cycles"))


class Open(forms.Form):
    """A recall of what was looked at: what failed, whether it may hurt."""

    roots = ThingsField(widget=forms.HiddenInput)
    name = forms.CharField(label=_("What to call it"), max_length=120, help_text=_("No names of people."))
    failure = forms.ChoiceField(label=_("What failed"))
    may_hurt = forms.BooleanField(
        label=_("It may hurt someone: public pages say to stop using them"), required=False, initial=True
    )
    reason = forms.CharField(label=_("Why, for the hold and the record"), max_length=300)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["failure"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = [
            ("", _("choose")),
            *choices({key: failure.name for key, failure in FAILURES.items()}),
        ]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Tell(forms.Form):
    """How far telling one owner has come."""

    state = forms.ChoiceField(
        label=_("How far it is"),
        choices=[(state, _STATES[state]) for state in STATES],
        widget=forms.RadioSelect,
    )
    means = forms.ChoiceField(
        label=_("How"), choices=[(means, _MEANS[means]) for means in MEANS], required=False
    )
    passed_on = forms.BooleanField(
        label=_("The pair has another owner now"),
        required=False,
        help_text=_("Ask the guest to pass the letter on; whoever scans the ski reads the same."),
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Authority(forms.Form):
    """Whether an authority must be told."""

    authority = forms.ChoiceField(
        label=_("Whether an authority must be told"),
        choices=[(answer, _AUTHORITY[answer]) for answer in AUTHORITY],
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Close(forms.Form):
    """What was learned."""

    learned = forms.CharField(
        label=_("What was learned"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("What the shop does differently from now on. No names."),
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Nothing(forms.Form):
    """Nothing to enter."""

    def values(self) -> dict[str, Any]:
        """Nothing."""
        return {}
