"""What people count and weigh, to plain values."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.units import Amount, Base
from inventory.forms.fields import AmountField, ThingsField
from inventory.queries.stock_list import Row

MOST_BOOKED = 10**15  # what the page itself said; in base units


class Weigh(forms.Form):
    """A package on a scale."""

    gross = AmountField(
        base=Base.MG, default="GRM", allow_zero=True, label=_("It weighs, with its container")
    )
    tare = AmountField(
        base=Base.MG,
        default="GRM",
        allow_zero=True,
        label=_("The container weighs, empty"),
        help_text=_("Kept for the next time."),
    )

    def __init__(self, *args: Any, thing: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.thing = thing

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return {"package": self.thing, "gross_mg": data["gross"].value, "tare_mg": data["tare"].value}


class CountPlace(forms.Form):
    """Packages that should be in a place: how much is there, or that it is not. Empty: not counted."""

    ANSWERS = ("amount", "as_booked", "missing", "booked")

    found = ThingsField(
        label=_("Scan what lies here and is not in the list"),
        required=False,
        help_text=_("It lies here from now on. One code a line."),
    )

    def __init__(self, *args: Any, place: UUID, rows: Sequence[Row], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.place, self.listed = place, rows
        for row in self.listed:
            base = row.left.base
            unit = "H87" if base is Base.PIECE else None
            self.fields[f"amount_{row.thing}"] = AmountField(
                base=base, default=unit, allow_zero=True, required=False, label=_("There is")
            )
            self.fields[f"as_booked_{row.thing}"] = forms.BooleanField(
                label=_("as in the books"), required=False
            )
            self.fields[f"booked_{row.thing}"] = forms.IntegerField(
                required=False,
                initial=row.left.value,
                min_value=-MOST_BOOKED,
                max_value=MOST_BOOKED,
                widget=forms.HiddenInput,
            )
            self.fields[f"missing_{row.thing}"] = forms.BooleanField(label=_("not here"), required=False)

    def rows(self) -> list[tuple[Row, list[forms.BoundField]]]:
        """Each package with its fields."""
        return [(row, [self[f"{name}_{row.thing}"] for name in self.ANSWERS]) for row in self.listed]

    @classmethod
    def asked(cls, data: Mapping[str, str], rows: Sequence[Row]) -> list[Row]:
        """Those of these rows that the page which sent this had."""
        return [row for row in rows if any(f"{name}_{row.thing}" in data for name in cls.ANSWERS)]

    def clean(self) -> dict[str, Any]:
        """One answer a package: an amount, as in the books, or not here."""
        data = super().clean() or {}
        for row in self.listed:
            answers = [data.get(f"{name}_{row.thing}") for name in ("amount", "as_booked", "missing")]
            if sum(answer not in (None, False) for answer in answers) > 1:
                self.add_error(f"amount_{row.thing}", _("Give one answer: an amount, or a tick."))
        return data

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        counted = []
        for row in self.listed:
            amount = data[f"amount_{row.thing}"]
            if data[f"as_booked_{row.thing}"]:  # what the page showed, whatever was drawn since
                booked = data[f"booked_{row.thing}"]
                amount = row.left if booked is None else Amount(booked, row.left.base)
            if amount is not None:
                counted.append((row.thing, amount))
        missing = [row.thing for row in self.listed if data[f"missing_{row.thing}"]]
        return {"place": self.place, "counted": counted, "missing": missing, "found": data["found"]}
