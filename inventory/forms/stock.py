"""What people type about stock, to plain values."""

import re
from typing import Any
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.forms.fields import AmountField, CodeField, ThingField, read_amount
from inventory.queries import ledger, materials

_MANY = re.compile(r"^\s*(\d{1,3})\s*[x×*]\s*(.+)$", re.IGNORECASE)
DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class ReceiveLot(forms.Form):
    """Packages of one lot."""

    material = forms.ChoiceField(label=_("Material"))
    number = forms.CharField(label=_("Lot number, as printed"), max_length=40, required=False)
    packages = forms.CharField(
        label=_("Packages"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("One line a size: 4 x 5 kg, or 22 m."),
    )
    made_on = forms.DateField(label=_("Made on"), required=False, widget=DAY)
    expires_on = forms.DateField(label=_("Usable to, as printed"), required=False, widget=DAY)
    supplier = forms.ChoiceField(label=_("From"), required=False)
    place = ThingField(
        Kind.BIN, Kind.ZONE, Kind.STORE, Kind.TRAILER, label=_("Put in (scan)"), required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._materials = {str(row.id): row for row in materials.all_materials()}
        self._choices("material", [(key, row.name) for key, row in self._materials.items()])
        suppliers = [(str(row.id), row.name) for row in materials.all_suppliers()]
        self._choices("supplier", [("", _("not said")), *suppliers])

    def _choices(self, name: str, choices: list[Any]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = choices

    def clean(self) -> dict[str, Any]:
        """Packages are read in the material's own unit."""
        data = super().clean() or {}
        material = self._materials.get(data.get("material", ""))
        if material and data.get("packages"):
            try:
                data["packages"] = read_packages(data["packages"], Base(material.base))
            except ValidationError as error:
                self.add_error("packages", error)
        return data

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return {
            "material": UUID(data["material"]),
            "number": data["number"],
            "packages": data["packages"],
            "made_on": data["made_on"],
            "expires_on": data["expires_on"],
            "supplier": UUID(data["supplier"]) if data["supplier"] else None,
            "place": data["place"],
        }


def read_packages(text: str, base: Base) -> list[Amount]:
    """Read lines such as `4 x 5 kg` into one amount a package."""
    found: list[Amount] = []
    for line in filter(str.strip, text.splitlines()):
        many = _MANY.match(line)
        times, size = (int(many.group(1)), many.group(2)) if many else (1, line)
        found += [read_amount(size, base, "H87" if base is Base.PIECE else None)] * times
    if len(found) > 200:
        raise ValidationError(
            _("%(count)s packages are too many for one delivery; 200 fit."), params={"count": len(found)}
        )
    return found


class OfThing(forms.Form):
    """A form about one thing with an amount: knows the unit it is kept in."""

    def __init__(self, *args: Any, thing: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.thing = thing
        base = ledger.kinds([thing])[thing][1]
        amount = self.fields.get("amount")
        if isinstance(amount, AmountField):
            amount.base = Base(base) if base else Base.PIECE
            amount.default = "H87" if amount.base is Base.PIECE else None


class Draw(OfThing):
    """An amount taken out of a package."""

    amount = AmountField(base=Base.MG, label=_("Take out"))
    override = forms.CharField(
        label=_("If past its date: why an owner uses it all the same"), max_length=200, required=False
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"package": self.thing, **self.cleaned_data}


class Split(OfThing):
    """Part of a package poured into a smaller container."""

    amount = AmountField(base=Base.MG, label=_("Pour out"))
    into = CodeField(
        label=_("Tag on the new container"), required=False, help_text=_("Leave empty and a code is drawn.")
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"package": self.thing, **self.cleaned_data}


class Count(OfThing):
    """How much is there."""

    amount = AmountField(base=Base.MG, allow_zero=True, label=_("There is"))

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"thing": self.thing, **self.cleaned_data}


class Hold(OfThing):
    """Why a thing must not be used."""

    reason = forms.CharField(label=_("What is wrong"), max_length=300)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"things": [self.thing], **self.cleaned_data}


class WriteOff(OfThing):
    """What was spilt, spoilt or thrown away."""

    amount = AmountField(base=Base.MG, label=_("Write off"))
    reason = forms.CharField(label=_("What happened"), max_length=300)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"thing": self.thing, **self.cleaned_data}


class LiftHold(forms.Form):
    """Why a hold ends."""

    reason = forms.CharField(label=_("Why it may be used again"), max_length=300)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)
