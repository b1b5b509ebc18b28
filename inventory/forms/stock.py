"""What people type about stock, to plain values."""

from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.units import Base
from inventory.forms.fields import AmountField, CodeField
from inventory.forms.reader import either
from inventory.queries import ledger, stock

SUCH_AS: dict[Base, Any] = {
    Base.MG: either(_("Such as 2.5 kg or 800 g."), _("Such as 5.5 lb or 28 oz.")),
    Base.MM: either(_("Such as 3.2 m."), _("Such as 10.5 ft.")),
    Base.MM2: either(_("Such as 1.5 m²."), _("Such as 16 ft².")),
    Base.UL: either(_("Such as 0.5 l."), _("Such as 1 pt.")),
    Base.PIECE: _("In pieces, such as 12."),
}
DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class OfThing(forms.Form):
    """A form about one thing with an amount: knows the unit it is kept in."""

    def __init__(self, *args: Any, thing: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.thing = thing
        base = ledger.kinds([thing])[thing][1]
        amount = self.fields.get("amount")
        if isinstance(amount, AmountField):
            amount.base = Base(base) if base else Base.PIECE
            amount.help_text = SUCH_AS.get(amount.base, "")
            amount.default = "H87" if amount.base is Base.PIECE else None


class Draw(OfThing):
    """An amount taken out of a package."""

    amount = AmountField(base=Base.MG, label=_("How much"))
    override = forms.CharField(
        label=_("It is past its date: why an owner uses it all the same"), max_length=200, required=False
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not any(lasts.past(today) for lasts in stock.usable([self.thing]).values()):
            del self.fields["override"]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"package": self.thing, **self.cleaned_data}


class Split(OfThing):
    """Part of a package poured, cut or counted into a smaller one."""

    amount = AmountField(base=Base.MG, label=_("How much goes into the smaller one"))
    into = CodeField(
        label=_("Tag on the new package"), required=False, help_text=_("Leave empty and a code is drawn.")
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

    amount = AmountField(base=Base.MG, label=_("How much"))
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
