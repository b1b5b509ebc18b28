"""What people type about orders, to plain values."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.actions.orders import Packs
from inventory.forms import cards
from inventory.forms.money import Money, in_currency


@dataclass(frozen=True, slots=True)
class Offered:
    """One line that can be ordered: the offer, what a pack is in words, and how many the list asks for."""

    offer: UUID
    material: UUID
    name: str
    pack: int
    pack_words: str
    prices: Sequence[Sequence[int]]
    least_packs: int
    lead_days: int | None
    article: str
    asked: int

    def price(self, packs: int) -> int | None:
        """What one pack costs when so many are ordered; None when nobody knows."""
        fitting = [price for least, price in self.prices if packs >= least]
        return fitting[-1] if fitting else None

    def line(self, packs: int) -> Packs:
        """So many packs of it as a line of an order."""
        return Packs(self.material, self.pack, packs, self.price(packs), self.article, self.lead_days)


class Write(forms.Form):
    """How many packs of each thing one supplier sells: what the list asks for is filled in."""

    def __init__(self, *args: Any, offered: Sequence[Offered], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = offered
        for row in offered:
            self.fields[f"packs_{row.offer.hex}"] = forms.IntegerField(
                label=_("%(name)s: packs of %(pack)s") % {"name": row.name, "pack": row.pack_words},
                required=False,
                min_value=0,
                max_value=10_000,
                initial=row.asked or None,
            )

    def packs(self) -> list[Packs]:
        """The lines that hold something."""
        found = []
        for row in self.offered:
            packs = self.cleaned_data.get(f"packs_{row.offer.hex}")
            if packs:
                found.append(row.line(packs))
        return found

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"lines": self.packs()}


class Add(forms.Form):
    """One more line of an order: one of the packs this supplier sells, and how many of it."""

    offer = forms.ChoiceField(label=_("What"))
    packs = forms.IntegerField(label=_("Packs"), min_value=1, max_value=10_000)

    def __init__(self, *args: Any, offered: Sequence[Offered], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = {str(row.offer): row for row in offered}
        field = self.fields["offer"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = [
            (key, _("%(name)s: packs of %(pack)s") % {"name": row.name, "pack": row.pack_words})
            for key, row in self.offered.items()
        ]

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"line": self.offered[self.cleaned_data["offer"]].line(self.cleaned_data["packs"])}


class Send(forms.Form):
    """When an order was sent, and for when it is promised."""

    sent_on = cards.Day(label=_("Sent on"))
    promised_on = cards.Day(
        label=_("Promised for"), required=False, help_text=_("Empty: the lead time counts.")
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class OrderCard(cards.Card):
    """What may change of an order that was sent."""

    GROUPS = ((_("The order"), ("promised_on", "freight")),)

    promised_on = cards.Day(label=_("Promised for"), required=False)
    freight = Money(label=_("Freight"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self)


class LineCard(cards.Card):
    """What may change of a line while the order is being written."""

    GROUPS = ((_("The line"), ("packs", "price")),)

    packs = cards.Whole(unit=_("packs"), label=_("Packs"), min_value=1, max_value=10_000)
    price = Money(label=_("Price of one pack"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self)
