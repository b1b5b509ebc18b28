"""What people type about artwork, to plain values."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.actions.artwork import File, keep
from inventory.compute.artwork import COLOURS, Stage
from inventory.forms.cards import Day

STAGES = [
    (Stage.CAME.value, _("artwork here from the guest")),
    (Stage.PROOF.value, _("proof sent")),
    (Stage.AGREED.value, _("agreed")),
    (Stage.PRINTER.value, _("at the printer")),
    (Stage.HERE.value, _("printed and here")),
    (Stage.CHECKED.value, _("checked")),
]


class PlanArtwork(forms.Form):
    """How long the printer takes, and the bleed."""

    printer_days = forms.IntegerField(
        label=_("The printer takes, days"), required=False, min_value=1, max_value=365
    )
    bleed_mm = forms.FloatField(label=_("Bleed all round, mm"), min_value=0, max_value=50)
    wanted_colours = forms.ChoiceField(
        label=_("Colours the printer wants"),
        required=False,
        choices=[("", _("not asked yet")), *((colours, _(colours)) for colours in COLOURS)],
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class MarkArtwork(forms.Form):
    """A stage and the day it was done."""

    stage = forms.ChoiceField(label=_("Stage"), choices=STAGES)
    on = Day(label=_("Done on"), required=False, help_text=_("Empty: it was not done after all."))

    def __init__(self, *args: Any, stage: str, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs | {"initial": {"stage": stage, "on": today}})

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class AttachArtwork(forms.Form):
    """The file for the printer, kept as it is."""

    file = forms.FileField(
        label=_("Picture, JPEG or PNG"),
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png"}),
        help_text=_("Kept as it came, for the printer. No name of anybody in it; the tag's code may be."),
    )

    def kept(self) -> File:
        """The file, kept. Refuses as `actions.artwork.keep`."""
        return keep(self.cleaned_data["file"].read())
