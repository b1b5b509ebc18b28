"""Fields of cards: what people type to what a card keeps, and back into words for its page and its history.

Every field has `shown(value)`: the kept value in words, nothing for what is not known. A form that edits a
card hands on only what was changed on its page, so that two people who edit different fields take nothing
from each other.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Protocol

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.compute import expiry, units
from inventory.compute.units import Amount, Base, Dimension
from inventory.compute.units.base import THOUSANDS
from inventory.errors import MINUS, Refused
from inventory.forms import reader
from inventory.forms.fields import AmountField, as_error, check_day


class Shows(Protocol):
    """A field that can say its kept value in words."""

    def shown(self, value: Any) -> str: ...


_EXACT = {Base.MG: "MGM", Base.MM: "MMT", Base.MM2: "MMK", Base.UL: "4G", Base.PIECE: "H87"}


def exact(amount: Amount) -> str:
    """An amount in a usual unit, or in its base unit where a usual one would round it."""
    usual = units.show(amount=amount, us=reader.us_units())
    return str(usual if usual.exact else units.show(amount=amount, unit=_EXACT[amount.base]))


def number(value: float) -> str:
    """A number to six figures, without exponent, that nobody reads as thousands: 10.8750."""
    text = f"{Decimal(f'{value:.6g}'):f}".replace("-", MINUS)
    return f"{text}0" if THOUSANDS.fullmatch(text.lstrip(MINUS)) else text


def _same_text(before: object, after: object) -> bool:
    """True when two typed texts differ in nothing but white space."""
    return " ".join(str(before or "").split()) == " ".join(str(after or "").split())


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


class Typed(forms.CharField):
    """A value that is typed as text; unchanged text is no change, whatever it stands for."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"max_length": 60, "required": False, **kwargs})

    def prepare_value(self, value: Any) -> Any:
        """A kept value as it would be typed."""
        return value if value is None or isinstance(value, str) else self.shown(value)

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Text against text."""
        return not _same_text(initial, data)

    def clean(self, value: Any) -> Any:
        """What is kept; None for nothing typed."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return self.read(text)
        except Refused as refused:
            raise as_error(refused) from refused

    def read(self, text: str) -> Any:
        """The kept value of a text."""
        raise NotImplementedError

    def shown(self, value: Any) -> str:
        """The kept value in words."""
        raise NotImplementedError


class Property(Typed):
    """A property with its unit: `1.1 g/cm³`, `60 psi`, `15 °C`; kept as a number in its dimension's unit."""

    def __init__(self, dimension: Dimension, unit: str, **kwargs: Any) -> None:
        self.dimension, self.unit = dimension, unit
        super().__init__(**kwargs)

    def read(self, text: str) -> float:
        """The number in the kept unit; a bare one is in it already, a bare temperature in the reader's."""
        default = "FAH" if self._fahrenheit else self.unit
        return units.parse_value(text=text, dimension=self.dimension, default=default).number

    def shown(self, value: Any) -> str:
        """With the kept unit's sign; a temperature in the reader's degrees."""
        if value is not None and self._fahrenheit:
            return f"{number(reader.from_celsius(float(value)))} {reader.degree()}"
        return "" if value is None else f"{number(float(value))} {units.UNITS[self.unit].symbol}"

    @property
    def _fahrenheit(self) -> bool:
        return self.dimension is Dimension.TEMPERATURE and reader.us_units()


class Number(Typed):
    """A number with a unit that nothing else is typed in: kN, W, g per 100 g."""

    def __init__(self, *, unit: str, most: float = 1e6, **kwargs: Any) -> None:
        self.unit, self.most = unit, most
        super().__init__(**kwargs)

    def read(self, text: str) -> float:
        """The number; a comma parts decimals as a point does."""
        bare = text.removesuffix(self.unit).strip().replace(",", ".")
        try:
            value = float(bare)
        except ValueError:
            value = float("nan")
        if not 0 <= value <= self.most:
            raise forms.ValidationError(
                _("“%(text)s” is not a number of %(unit)s from 0 to %(most)s."),
                code="no_number",
                params={"text": text, "unit": self.unit, "most": f"{self.most:g}"},
            )
        return value

    def shown(self, value: Any) -> str:
        """With its unit."""
        return "" if value is None else f"{number(float(value))} {self.unit}"


class Kept(AmountField):
    """An amount kept as a whole number of a base unit."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"required": False, **kwargs})

    def prepare_value(self, value: Any) -> Any:
        """A kept number as it would be typed."""
        return self.shown(value) if isinstance(value, int) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Text against text."""
        return not _same_text(initial, data)

    def clean(self, value: Any) -> Any:
        """The whole number."""
        amount = super().clean(value)
        return None if amount is None else amount.value

    def shown(self, value: Any) -> str:
        """With a unit that keeps it whole."""
        return "" if value is None else exact(Amount(value, Base(self.base)))


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


class Rows(Typed):
    """A few pairs of numbers, one a line: `60 °C: 4 h`. `units` are what each number of a line is in."""

    def __init__(self, first: str, second: str, *, least: float = 0, **kwargs: Any) -> None:
        self.signs, self.least = (first, second), least
        widget = forms.Textarea(attrs={"rows": 3})
        super().__init__(**{"max_length": 400, "widget": widget, **kwargs})

    def clean(self, value: Any) -> list[list[float]]:
        """The pairs; none for nothing typed."""
        return super().clean(value) or []

    def read(self, text: str) -> list[list[float]]:
        """Each line's two numbers."""
        return [self._line(line) for line in filter(str.strip, text.splitlines())]

    def _line(self, line: str) -> list[float]:
        bare = line
        for sign in self.signs:
            bare = bare.replace(sign, " ")
        try:
            first, second = (float(part.replace(",", ".")) for part in bare.replace(":", " ").split())
        except ValueError as error:
            raise self._unreadable(line) from error
        if not (self.least <= first < 1e6 and 0 <= second < 1e6):
            raise self._unreadable(line)
        return [first, second]

    def _unreadable(self, line: str) -> forms.ValidationError:
        return forms.ValidationError(
            _("“%(line)s” is no such line. Write one such as 60 %(first)s: 4 %(second)s."),
            code="no_line",
            params={"line": line.strip()[:40], "first": self.signs[0], "second": self.signs[1]},
        )

    def prepare_value(self, value: Any) -> Any:
        """A line a pair."""
        return "\n".join(self._lines(value)) if isinstance(value, list) else value

    def _lines(self, value: Sequence[Sequence[float]]) -> list[str]:
        first, second = self.signs
        return [f"{number(one)} {first}: {number(other)} {second}" for one, other in value]

    def shown(self, value: Any) -> str:
        """In one line."""
        return "; ".join(self._lines(value or []))


class Lengths(Typed):
    """A few lengths in mm, apart by commas or spaces."""

    def clean(self, value: Any) -> list[int]:
        """The lengths, shortest first; none for nothing typed."""
        return super().clean(value) or []

    def read(self, text: str) -> list[int]:
        """Whole millimetres, from a hand's width to what no mould is."""
        words = text.replace(",", " ").replace(";", " ").replace("mm", " ").split()
        if not all(word.isdecimal() and 100 <= int(word) <= 4_000 for word in words):
            raise forms.ValidationError(
                _("“%(text)s” are not lengths in mm from 100 to 4000."),
                code="no_lengths",
                params={"text": text[:60]},
            )
        return sorted({int(word) for word in words})

    def prepare_value(self, value: Any) -> Any:
        """As typed."""
        return ", ".join(map(str, value)) if isinstance(value, list) else value

    def shown(self, value: Any) -> str:
        """With the unit once."""
        return f"{', '.join(map(str, value))} mm" if value else ""


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
