"""Which tags to print and on what, to plain values."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Code, Kind
from inventory.formats.qr_sheet import LABEL_SHEETS, Paper, label_sheet, roll, standard_sheet
from inventory.formats.qr_sheet import Sheet as Grid
from inventory.formats.qr_tag import Use
from inventory.forms.fields import CodeField, read_code

ROLL = "roll"
PAPERS = [
    (Paper.A4.value, _("A4, plain, to cut")),
    (Paper.LETTER.value, _("US Letter, plain, to cut")),
    (ROLL, _("a roll, one tag a label")),
    *((name, gettext_lazy(name)) for name in LABEL_SHEETS),
]
# What a tag printed ahead may be meant for.
AHEAD = (
    *(Kind.PACKAGE, Kind.BIN, Kind.ZONE, Kind.TRAILER, Kind.EQUIPMENT, Kind.MOULD, Kind.RESIN_BATCH),
    *(Kind.CORE_BLANK, Kind.CUT_BATCH, Kind.OFFCUT),
)
USES = [
    (Use.PACKAGE.value, _("packages and small things")),
    (Use.SKI.value, _("skis, under the top sheet")),
    (Use.BIN.value, _("bins and moulds")),
    (Use.DOOR.value, _("trailer doors and shelf ends")),
]


class Sheet(forms.Form):
    """Codes, paper, size and first free label."""

    codes = forms.CharField(
        label=_("Codes"),
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Scan what needs a tag: one code a line."),
    )
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
        use = Use(data["use"])
        return {
            "codes": data["codes"],
            "use": use,
            "sheet": grid(data["paper"], use),
            "start": data["start"] or 1,
        }


def grid(paper: str, use: Use) -> Grid:
    """How labels lie on what was chosen to print on."""
    if paper == ROLL:
        return roll(use)
    return label_sheet(paper) if paper in LABEL_SHEETS else standard_sheet(Paper(paper), use)


class Ahead(forms.Form):
    """Tags without a thing yet."""

    kind = forms.ChoiceField(
        label=_("Tags for"), choices=[(kind.value, gettext_lazy(kind.value)) for kind in AHEAD]
    )
    count = forms.IntegerField(label=_("How many"), min_value=1, max_value=200, initial=20)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"kind": Kind(self.cleaned_data["kind"]), "count": self.cleaned_data["count"]}


class Replace(forms.Form):
    """A new tag for a thing whose tag is worn."""

    code = CodeField(
        label=_("Scan the new tag"),
        required=False,
        help_text=_("One that was printed ahead. Leave empty and a code is drawn, to print now."),
    )
    why = forms.CharField(label=_("What was wrong with the old one"), max_length=200, required=False)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Single(forms.Form):
    """One tag as a picture."""

    use = forms.ChoiceField(label=_("Size for"), choices=USES)
