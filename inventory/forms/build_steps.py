"""What people type about the shop's list of steps, to plain values."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.compute.build_steps import Job, Kept, Who

WHO = [
    (Who.ANYONE.value, _("anyone")),
    (Who.ADULTS.value, _("18 and over only")),
    (Who.CREW.value, _("the crew only")),
]


class AddStep(forms.Form):
    """A step of the shop's own."""

    label = forms.CharField(label=_("What is done"), max_length=60)
    who = forms.ChoiceField(label=_("Who may do it"), choices=WHO, widget=forms.RadioSelect)
    after = forms.ChoiceField(label=_("Comes after"), required=False)

    def __init__(self, *args: Any, jobs: Sequence[Job], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["after"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = [("", _("it is the first")), *((job.key, gettext(job.label)) for job in jobs)]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class ChangeStep(AddStep):
    """A step as the shop keeps it."""

    ended = forms.BooleanField(label=_("Leave it out"), required=False)

    def __init__(self, *args: Any, kept: Kept, jobs: Sequence[Job], **kwargs: Any) -> None:
        keys = [job.key for job in jobs]
        at = keys.index(kept.key) if kept.key in keys else len(keys)
        before = keys[at - 1] if at else ""
        initial = {"label": kept.label, "who": kept.who.value, "after": before, "ended": kept.ended}
        others = [job for job in jobs if job.key != kept.key]
        super().__init__(*args, jobs=others, **kwargs | {"initial": initial})
        self.kept = kept

    def values(self) -> dict[str, Any]:
        """What was changed, as the action takes it."""
        changed = {key: value for key, value in self.cleaned_data.items() if key in self.changed_data}
        return {"step": self.kept.key, "changes": changed}
