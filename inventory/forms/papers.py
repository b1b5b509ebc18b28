"""What people attach, to plain values."""

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.actions.papers import WHAT, File, keep
from inventory.errors import Refused
from inventory.forms.fields import as_error

WORDS = {
    "certificate": _("certificate"),
    "delivery paper": _("delivery paper"),
    "data sheet": _("data sheet"),
    "safety data sheet": _("safety data sheet"),
    "inspection paper": _("inspection paper"),
    "photo": _("photo"),
    "logger file": _("logger file"),
    "other": _("something else"),
}
CHOICES = [(what, WORDS[what]) for what in WHAT if what != "logger file"]


class Attach(forms.Form):
    """A paper or a photo, and what it is. It is cleaned and kept before anything is written in the books."""

    file = forms.FileField(
        label=_("Paper or photo"),
        widget=forms.FileInput(attrs={"accept": "image/*,application/pdf"}),
        help_text=_(
            "A PDF, or a picture of the page. What a picture carries beside its pixels is taken out."
        ),
    )
    what = forms.ChoiceField(label=_("What it is"), choices=CHOICES)
    title = forms.CharField(label=_("What to call it"), max_length=120, required=False)

    def kept(self) -> File:
        """The file, kept. Refuses as `papers.keep`."""
        data = self.cleaned_data
        return keep(data["file"].read(), what=data["what"], title=data["title"])


def kept_or_error(form: forms.Form, field: str, what: str) -> File | None:
    """A file of a larger form, kept; its refusal stands beside the field."""
    upload = form.cleaned_data.get(field)
    if not upload:
        return None
    try:
        return keep(upload.read(), what=what, title=upload.name or "")
    except Refused as refused:
        form.add_error(field, as_error(refused))
        return None
