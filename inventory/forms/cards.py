"""Fields of cards: what people type to what a card keeps, and back into words for its page and its history.

Every field has `shown(value)`: the kept value in words, nothing for what is not known. A form that edits a
card hands on only what was changed on its page, so that two people who edit different fields take nothing
from each other.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.compute import expiry, units
from inventory.compute.units import Amount, Base, Dimension
from inventory.forms import reader
from inventory.forms.fields import AmountField, check_day
from inventory.forms.measured import Lengths as Lengths
from inventory.forms.measured import Number as Number
from inventory.forms.measured import Property as Property
from inventory.forms.measured import Rows as Rows
from inventory.forms.measured import Typed, same_text


class Shows(Protocol):
    """A field that can say its kept value in words."""

    def shown(self, value: Any) -> str: ...


_EXACT = {Base.MG: "MGM", Base.MM: "MMT", Base.MM2: "MMK", Base.UL: "4G", Base.PIECE: "H87"}


def exact(amount: Amount) -> str:
    """An amount in one of the reader's usual units, in ours where that would round it, else in its base."""
    theirs = units.show(amount=amount, us=reader.us_units())
    usual = theirs if theirs.exact else units.show(amount=amount)
    return str(usual if usual.exact else units.show(amount=amount, unit=_EXACT[amount.base]))


def with_theirs(amount: Amount) -> str:
    """The same; what is not told exactly in the reader's units has them beside it: 750 kg (1653.47 lb)."""
    if not reader.us_units() or units.show(amount=amount, us=True).exact:
        return exact(amount)
    return f"{exact(amount)} ({reader.told(amount)})"


class Text(forms.CharField):
    """A line of text."""

    def shown(self, value: Any) -> str:
        """As it is."""
        return str(value or "")


class Choice(forms.ChoiceField):
    """One of a few words; a kept id is shown by its word."""

    def shown(self, value: Any) -> str:
        """The word of the choice."""
        if value in (None, ""):
            return ""
        return str(dict(self.choices).get(str(value), value))  # type: ignore[arg-type]


class YesNo(forms.NullBooleanField):
    """Yes, no, or not known."""

    def __init__(self, **kwargs: Any) -> None:
        choices = [("unknown", _("not known")), ("true", _("yes")), ("false", _("no"))]
        super().__init__(**{"required": False, "widget": forms.NullBooleanSelect(), **kwargs})
        self.widget.choices = choices

    def shown(self, value: Any) -> str:
        """The word."""
        return "" if value is None else gettext("yes") if value else gettext("no")


class Day(forms.DateField):
    """A day."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        super().__init__(**{"widget": widget, **kwargs})
        self.validators.append(check_day)

    def shown(self, value: Any) -> str:
        """A date no one can misread, also from a revision, which keeps it as text."""
        if not value:
            return ""
        return date_format(date.fromisoformat(value) if isinstance(value, str) else value, "j M Y")


class Whole(forms.IntegerField):
    """A whole number of something."""

    def __init__(self, *, unit: object = "", **kwargs: Any) -> None:
        self.unit = unit
        super().__init__(**{"min_value": 0, "max_value": 30_000, **kwargs})

    def shown(self, value: Any) -> str:
        """The number and its unit."""
        return "" if value is None else f"{value} {self.unit}".strip()


class Kept(AmountField):
    """An amount kept as a whole number of a base unit."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"required": False, **kwargs})

    def prepare_value(self, value: Any) -> Any:
        """A kept number as it would be typed."""
        return exact(Amount(value, Base(self.base))) if isinstance(value, int) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Text against text."""
        return not same_text(initial, data)

    def clean(self, value: Any) -> Any:
        """The whole number."""
        amount = super().clean(value)
        return None if amount is None else amount.value

    def shown(self, value: Any) -> str:
        """With a unit that keeps it whole."""
        return "" if value is None else with_theirs(Amount(value, Base(self.base)))


class Days(Typed):
    """A life in days, typed in days or months: `180 days`, `6 months`."""

    def read(self, text: str) -> int:
        """Whole days; months are counted as mean months, rounded down."""
        number, _space, word = text.strip().partition(" ")
        if number.isdecimal() and word.strip().lower() in {"month", "months", "mo"}:
            return expiry.days_of_months(months=int(number))
        seconds = units.parse_value(text=text, dimension=Dimension.DURATION, default="DAY").number
        return int(seconds // 86_400)

    def shown(self, value: Any) -> str:
        """In days."""
        return "" if value is None else gettext("%(count)s days") % {"count": value}


@dataclass(frozen=True, slots=True)
class Fact:
    """One filled field of a card, in words."""

    label: str
    words: str


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together. `open`: one of them is filled or wrong."""

    title: object
    fields: tuple[forms.BoundField, ...]
    open: bool


class Card(forms.Form):
    """The fields of one card on one page.

    `GROUPS`: titles and the fields below each, in their order; the first group stands open. With `card` the
    form edits it, and `values` are the changed fields only.
    """

    GROUPS: tuple[tuple[object, tuple[str, ...]], ...] = ()

    def __init__(self, *args: Any, card: Any = None, **kwargs: Any) -> None:
        names = self.base_fields
        initial = {name: getattr(card, name) for name in names if hasattr(card, name)} if card else {}
        super().__init__(*args, **{**kwargs, "initial": initial | (kwargs.get("initial") or {})})
        self.card = card
        for field in self.fields.values():
            field.show_hidden_initial = card is not None

    def groups(self) -> list[Group]:
        """The fields as the page shows them."""
        found: list[Group] = []
        for title, names in self.GROUPS:
            fields = tuple(self[name] for name in names if name in self.fields)
            filled = any(field.value() not in (None, "", [], "unknown") for field in fields)
            wrong = any(field.errors for field in fields)
            found.append(Group(title, fields, not found or filled or wrong))
        return found

    def facts(self) -> list[tuple[object, list[Fact]]]:
        """What the card says, in words, by group; groups that say nothing are left out."""
        told = [(title, self._told(names)) for title, names in self.GROUPS]
        return [(title, facts) for title, facts in told if facts]

    def told(self, card: Any) -> list[Fact]:
        """What another card of the same kind says, in words: for a list, with one form for all its rows."""
        self.card = card
        return [fact for _, facts in self.facts() for fact in facts]

    def _told(self, names: Sequence[str]) -> list[Fact]:
        rows = [
            (name, self.word(name, getattr(self.card, name, None))) for name in names if name in self.fields
        ]
        return [Fact(self.label(name), words) for name, words in rows if words]

    def label(self, name: str) -> str:
        """What a field is called."""
        field = self.fields.get(name)
        return str(field.label) if field else name.replace("_", " ")

    def word(self, name: str, value: Any) -> str:
        """A kept value of a field in words; also one from a revision."""
        field: Any = self.fields.get(name)
        return field.shown(value) if field is not None else "" if value is None else str(value)

    def values(self) -> dict[str, Any]:
        """Everything typed; of a card that is edited only what was changed."""
        names: Mapping[str, Any] = self.fields if self.card is None else dict.fromkeys(self.changed_data)
        return {name: self.cleaned_data[name] for name in names}
