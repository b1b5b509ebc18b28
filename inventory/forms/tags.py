"""Which tags to print and on what, to plain values."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Code
from inventory.formats.qr_sheet import Paper
from inventory.formats.qr_tag import Use
from inventory.forms.fields import read_code

PAPERS = [(Paper.A4.value, "A4"), (Paper.LETTER.value, "US Letter"), ("roll", _("a roll, one tag a label"))]
USES = [
    (Use.PACKAGE.value, _("packages and small things")),
    (Use.SKI.value, _("skis, under the top sheet")),
    (Use.BIN.value, _("bins and moulds")),
    (Use.DOOR.value, _("trailer doors and shelf ends")),
]


class Sheet(forms.Form):
    """Codes, paper, size and first free label."""

    codes = forms.CharField(label=_("Codes"), max_length=20_000, widget=forms.Textarea(attrs={"rows": 3}))
    use = forms.ChoiceField(label=_("Size for"), choices=USES)
    paper = forms.ChoiceField(label=_("Paper"), choices=PAPERS)
    start = forms.IntegerField(
        label=_("First free label of the sheet"), min_value=1, max_value=100, initial=1, required=False
    )

    def clean_codes(self) -> list[Code]:
        """Each code read, in the order given."""
        text = self.cleaned_data["codes"].replace(",", " ")
        return [read_code(part) for part in text.split()]

    def values(self) -> dict[str, Any]:
        """As the sheet is drawn."""
        data = self.cleaned_data
        paper = None if data["paper"] == "roll" else Paper(data["paper"])
        return {"codes": data["codes"], "use": Use(data["use"]), "paper": paper, "start": data["start"] or 1}
