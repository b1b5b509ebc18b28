"""What people scan and weigh as they lay up layer by layer, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.units import Base
from inventory.forms.fields import CodeField, cursor, find_thing, read_amount
from inventory.forms.press import Hands
from inventory.queries import ledger


class LayLayer(Hands):
    """One scan; an amount where it was weighed."""

    code = CodeField(label=_("Scan the next layer"))
    amount = forms.CharField(label=_("As weighed or measured"), required=False, max_length=60)
    instead = forms.CharField(
        label=_("Why this instead of what the card says"), required=False, max_length=200
    )
    override = forms.CharField(
        label=_("Past its date: an owner's reason to use it all the same"), max_length=200, required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cursor(self, "code", sends=True)

    def clean(self) -> dict[str, Any]:
        """The thing of the code, and the amount in its own unit."""
        data = super().clean() or {}
        code, data["thing"], data["taken"] = data.get("code"), None, None
        if code is None:
            return data
        try:
            data["thing"] = find_thing(code)
        except forms.ValidationError as error:
            self.add_error("code", error)
            return data
        text = data.get("amount", "").strip()
        base = ledger.kinds([data["thing"]])[data["thing"]][1]
        if text and base:
            try:
                default = {Base.MG: "GRM", Base.PIECE: "H87"}.get(Base(base))
                data["taken"] = read_amount(text, Base(base), default)
            except forms.ValidationError as error:
                self.add_error("amount", error)
        return data

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        thing: UUID = data["thing"]
        kept = {name: data[name] for name in ("instead", "override", "doer")}
        return {"thing": thing, "amount": data["taken"], "weighed": data["taken"] is not None, **kept}


class EndLayUp(Hands):
    """Why layers are left out."""

    why = forms.CharField(label=_("Why are they left out"), max_length=300)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"why": self.cleaned_data["why"], "doer": self.cleaned_data["doer"]}
