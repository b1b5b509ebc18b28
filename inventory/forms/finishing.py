"""What people measure and see on a finished ski, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.finished import Measured
from inventory.compute.units import Amount, Base
from inventory.forms.fields import AmountField, cursor, find_thing, read_amount, read_code
from inventory.forms.press import Hands
from inventory.queries import ledger

BACK = 4
MOST_MM = 10_000  # a gauge that slipped; what a ski can measure the rule says


def _mm(label: Any, help_text: Any = "") -> forms.FloatField:
    field = forms.FloatField(
        label=label, required=False, min_value=-MOST_MM, max_value=MOST_MM, help_text=help_text
    )
    field.widget.attrs |= {"inputmode": "decimal", "data-scan": ""}
    return field


class Measure(Hands):
    """One ski on scale, tape and bar. A gauge that types like a keyboard goes on to the next field."""

    mass = AmountField(base=Base.MG, default="GRM", label=_("Mass"))
    length_mm = _mm(_("Length, mm"))
    tip_mm = _mm(_("Tip width, mm"))
    waist_mm = _mm(_("Waist width, mm"))
    tail_mm = _mm(_("Tail width, mm"))
    camber_mm = _mm(_("Camber, mm"), _("Free, the skis apart."))
    flat_mm = _mm(_("Base under a true bar, mm"), _("Above zero where its middle stands out."))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["mass"].widget.attrs |= {"inputmode": "decimal", "data-scan": "", "autocomplete": "off"}
        cursor(self, "mass")
        del self.fields["flat_mm"].widget.attrs["data-scan"]  # the last measure sends them

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        rest = {name: data[name] for name in data if name.endswith("_mm")}
        return {"measured": Measured(mass_mg=data["mass"].value, **rest), "doer": data["doer"]}


class Replace(forms.Form):
    """Nothing to enter."""

    def values(self) -> dict[str, Any]:
        """Nothing."""
        return {}


class Inspect(forms.Form):
    """What an inspection comes to; of a rejected ski what can be used again."""

    outcome = forms.ChoiceField(
        label=_("Verdict"),
        choices=[("pass", _("passes")), ("rework", _("to be worked over")), ("reject", _("rejected"))],
        widget=forms.RadioSelect,
    )
    why = forms.CharField(
        label=_("What was seen"), max_length=300, widget=forms.TextInput(attrs={"data-scan-here": ""})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for row in range(1, BACK + 1):
            self.fields[f"thing_{row}"] = forms.CharField(
                label=_("Back into (scan)"), required=False, max_length=60
            )
            self.fields[f"amount_{row}"] = forms.CharField(label=_("Amount"), required=False, max_length=60)

    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """Package and amount side by side."""
        return [(self[f"thing_{row}"], self[f"amount_{row}"]) for row in range(1, BACK + 1)]

    def clean(self) -> dict[str, Any]:
        """Each amount in its package's own unit."""
        data = super().clean() or {}
        back: list[tuple[UUID, Amount]] = []
        for row in range(1, BACK + 1):
            text = (data.get(f"thing_{row}") or "").strip()
            if not text:
                continue
            try:
                thing = find_thing(read_code(text))
                base = Base(ledger.kinds([thing])[thing][1] or Base.PIECE)
                default = {Base.MG: "GRM", Base.PIECE: "H87"}.get(base)
                back.append((thing, read_amount(data.get(f"amount_{row}") or "1", base, default)))
            except forms.ValidationError as error:
                self.add_error(f"thing_{row}", error)
        return data | {"back": back}

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {name: self.cleaned_data[name] for name in ("outcome", "why", "back")}
