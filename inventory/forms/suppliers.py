"""What people type about suppliers and their offers, to plain values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.units import Amount, Base
from inventory.forms import cards, reader
from inventory.forms.days import Stretches
from inventory.forms.fields import read_amount
from inventory.forms.money import Money, Prices, in_currency
from inventory.queries import materials


class SupplierCard(cards.Card):
    """The card of a supplier."""

    GROUPS = (
        (_("Who sells"), ("name", "reach")),
        (_("What an order costs"), ("freight", "freight_free_from", "least_order")),
        (_("When they are closed"), ("closed",)),
    )

    name = cards.Text(label=_("Name"), max_length=80)
    reach = cards.Text(
        label=_("How to order there"),
        max_length=200,
        required=False,
        help_text=_("Address, number, customer number."),
    )
    freight = Money(label=_("Freight of one order"))
    freight_free_from = Money(label=_("No freight from"))
    least_order = Money(label=_("Orders of at least"))
    closed = Stretches(
        label=_("Closed from, to"),
        help_text=_("A line a stretch: 2026-07-01 to 2026-07-31. Saturdays and Sundays need no line."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self)

    def values(self) -> dict[str, Any]:
        """As the action takes them: a new supplier's name apart from its other facts."""
        given = super().values()
        return given if self.card else {"name": given.pop("name"), "facts": given}


class OfferCard(cards.Card):
    """The card of an offer. Its material is chosen when it is made, and stays."""

    GROUPS = (
        (
            _("What is sold"),
            ("material", "pack", "prices", "least_packs", "lead_days", "article", "gtin", "ended"),
        ),
    )

    material = cards.Choice(label=_("Material"))
    pack = cards.Text(
        label=_("One pack holds"),
        max_length=60,
        help_text=reader.either(
            _("5 kg, 50 m, 100 pieces: in the material's own kind."),
            _("10 lb, 150 ft, 100 pieces: in the material's own kind."),
        ),
    )
    prices = Prices(
        label=_("Price of one pack"),
        help_text=_("A second line for a lower one: 5: 175.00 is that from 5 packs on."),
    )
    least_packs = cards.Whole(unit=_("packs"), label=_("At least so many packs"), min_value=1, initial=1)
    lead_days = cards.Whole(
        unit=_("days"),
        label=_("Time they need"),
        required=False,
        help_text=_("In days on which they are open."),
    )
    article = cards.Text(label=_("What they call it"), max_length=60, required=False)
    gtin = cards.Text(
        label=_("Number in the pack's own code"),
        max_length=18,
        required=False,
        help_text=_(
            "The digits under the bars (GTIN). A label that is scanned then says which material it is."
        ),
    )
    ended = cards.YesNo(label=_("Sold no more"))

    def __init__(self, *args: Any, card: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, card=card, **kwargs)
        in_currency(self)
        self._bases: dict[str, Base] = {}
        if card is not None:
            del self.fields["material"]
            self.initial["pack"] = self.word("pack", card.pack)
            return
        del self.fields["ended"]
        rows = list(materials.all_materials())
        self._bases = {str(row.id): Base(row.base) for row in rows}
        choice = self.fields["material"]
        assert isinstance(choice, cards.Choice)  # noqa: S101 - for the type checker
        choice.choices = [(str(row.id), row.name) for row in rows]

    def word(self, name: str, value: Any) -> str:
        """A pack in the material's own unit; what goes without saying is not said."""
        if (name, value) in (("least_packs", 1), ("ended", False)):
            return ""
        if name == "pack" and isinstance(value, int) and self.card is not None:
            return cards.Kept(base=Base(self.card.material.base)).shown(value)
        return super().word(name, value)

    def clean(self) -> dict[str, Any]:
        """The pack is read in the material's own unit."""
        data = super().clean() or {}
        base = Base(self.card.material.base) if self.card else self._bases.get(data.get("material", ""))
        if base and data.get("pack"):
            try:
                data["pack"] = _pack(data["pack"], base).value
            except forms.ValidationError as error:
                self.add_error("pack", error)
        if data.get("gtin"):
            data["gtin"] = data["gtin"].replace(" ", "").zfill(14)
        if "ended" in data:
            data["ended"] = bool(data["ended"])
        return data

    def values(self) -> dict[str, Any]:
        """As the action takes them: a new offer's material and pack apart from its other facts."""
        given = super().values()
        if self.card:
            return given
        return {"material": UUID(given.pop("material")), "pack": given.pop("pack"), "facts": given}


def _pack(text: str, base: Base) -> Amount:
    return read_amount(text, base, "H87" if base is Base.PIECE else None)
