"""Fields of cards that hold money, in whole minor units of the shop's currency."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.compute import money
from inventory.forms.cards import Typed
from inventory.queries import shop


def in_currency(form: forms.Form) -> None:
    """Let the money fields of a form know the shop's currency; asked once a form."""
    card = shop.card()
    for field in form.fields.values():
        if isinstance(field, Money | Prices):
            field.currency = card.currency if card else ""


class Money(Typed):
    """An amount of money as typed: `189.50`."""

    currency = ""

    def read(self, text: str) -> int:
        """Whole minor units."""
        return money.parse(text=text, currency=self.currency)

    def shown(self, value: Any) -> str:
        """With the currency's letters."""
        if value is None:
            return ""
        return f"{money.show(minor=value, currency=self.currency)} {self.currency}".strip()


class Prices(Typed):
    """The price of one pack, and what one costs from so many packs on: a line each."""

    currency = ""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.Textarea(attrs={"rows": 3})
        super().__init__(**{"max_length": 300, "widget": widget, **kwargs})

    def clean(self, value: Any) -> list[list[int]]:
        """Numbers of packs and the price of one; none for nothing typed."""
        return super().clean(value) or []

    def read(self, text: str) -> list[list[int]]:
        """Each line."""
        return sorted(self._line(line) for line in filter(str.strip, text.splitlines()))

    def _line(self, line: str) -> list[int]:
        packs, apart, price = line.rpartition(":")
        if not apart:
            return [1, money.parse(text=price, currency=self.currency)]
        number = "".join(sign for sign in packs if sign.isdecimal())
        if not number or int(number) > 100_000:
            raise forms.ValidationError(
                _("“%(line)s” does not say from how many packs on. Write 5: 175.00."),
                code="no_line",
                params={"line": line.strip()[:40]},
            )
        return [int(number), money.parse(text=price, currency=self.currency)]

    def prepare_value(self, value: Any) -> Any:
        """A line a price."""
        return "\n".join(self._lines(value)) if isinstance(value, list) else value

    def _lines(self, prices: Sequence[Sequence[int]]) -> list[str]:
        told = [(packs, money.show(minor=price, currency=self.currency)) for packs, price in prices]
        return [f"{packs}: {price}" if packs > 1 else price for packs, price in told]

    def shown(self, value: Any) -> str:
        """In one line."""
        words = []
        for packs, price in value or []:
            text = f"{money.show(minor=price, currency=self.currency)} {self.currency}".strip()
            words.append(
                text
                if packs == 1
                else gettext("%(price)s from %(packs)s on") % {"price": text, "packs": packs}
            )
        return "; ".join(words)
