"""Numbers of cards with their units: as a maker's sheet or a plate has them, and as the reader does.

Every field has `shown(value)`, what its page says, and `typed(value)`, what its own form begins with and
reads back to the same. Knows no card.
"""

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute import units
from inventory.compute.units import Dimension
from inventory.compute.units.base import THOUSANDS
from inventory.errors import MINUS, Refused
from inventory.forms import reader
from inventory.forms.fields import as_error

_WHOLE = frozenset({"GM"})  # g/m²
_ALSO = {"gal (US)/h": ("gal/h", "gph"), "ft³/min": ("cfm",)}  # as plates have them


def _signs(unit: str) -> tuple[str, ...]:
    """How a unit may be written: its own sign, then those of a US reader's."""
    theirs = units.US_UNITS.get(unit)
    return (unit, theirs.sign, *_ALSO.get(theirs.sign, ())) if theirs else (unit,)


def number(value: float) -> str:
    """A number to six figures, without exponent, that nobody reads as thousands: 10.8750."""
    text = f"{Decimal(f'{value:.6g}'):f}".replace("-", MINUS)
    return f"{text}0" if THOUSANDS.fullmatch(text.lstrip(MINUS)) else text


def rounded(value: float, unit: str) -> float:
    """As people say it: to five figures, from 1 on at most two of them decimals; cloth from 100 on whole.

    Source: common practice, no source
    """
    if unit in _WHOLE and abs(value) >= 100:
        return round(value)
    told = float(f"{value:.5g}")
    return told if abs(told) < 1 else round(told, 2)


def same_text(before: object, after: object) -> bool:
    """True when two typed texts differ in nothing but white space."""
    return " ".join(str(before or "").split()) == " ".join(str(after or "").split())


class Typed(forms.CharField):
    """A value that is typed as text; unchanged text is no change, whatever it stands for."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"max_length": 60, "required": False, **kwargs})

    def prepare_value(self, value: Any) -> Any:
        """A kept value as it would be typed."""
        return value if value is None or isinstance(value, str) else self.typed(value)

    def typed(self, value: Any) -> str:
        """The kept value as it would be typed, for its own page."""
        return self.shown(value)

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Text against text."""
        return not same_text(initial, data)

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
    """A property with its unit: `1.1 g/cm³`, `60 psi`, `15 °C`; kept as a number in its dimension's unit.

    `sheet`: it quotes a maker's sheet, whose figure comes first; the reader's own unit stands beside it.
    """

    THEIRS: ClassVar[Mapping[Dimension, str]] = {Dimension.TEMPERATURE: "FAH", Dimension.PRESSURE: "PS"}

    def __init__(self, dimension: Dimension, unit: str, *, sheet: bool = False, **kwargs: Any) -> None:
        self.dimension, self.unit, self.sheet = dimension, unit, sheet
        super().__init__(**kwargs)

    @property
    def _sign(self) -> str:
        return units.UNITS[self.unit].symbol

    @property
    def _own(self) -> str:
        """The unit of a reader of US units, where the field is in that."""
        return "" if self.sheet or not reader.us_units() else self.THEIRS.get(self.dimension, "")

    def read(self, text: str) -> float:
        """The number in the kept unit; a bare one is in the unit that the field shows."""
        typed = units.parse_value(text=text, dimension=self.dimension, default=self._own or self.unit)
        if self._own and typed.parts[0].unit.code == self._own:
            return reader.ours(float(typed.parts[0].value), self._sign)
        return typed.number

    def typed(self, value: Any) -> str:
        """With the kept unit's sign, or in the reader's own."""
        if value is not None and self._own:
            return f"{number(reader.theirs(float(value), self._sign))} {units.UNITS[self._own].symbol}"
        return "" if value is None else f"{number(float(value))} {self._sign}"

    def shown(self, value: Any) -> str:
        """The same, rounded; a sheet's figure with the reader's beside it."""
        if value is None or self._own:
            return self.typed(value)
        return self.typed(rounded(float(value), self.unit)) + reader.kept_beside(value, self._sign)


class Number(Typed):
    """A number with a unit that nothing else is typed in: kN, W, g per 100 g."""

    def __init__(self, *, unit: str, most: float = 1e6, **kwargs: Any) -> None:
        self.unit, self.most = unit, most
        super().__init__(**kwargs)

    def read(self, text: str) -> float:
        """The number; a comma parts decimals as a point does. A plate in US units is read too."""
        theirs = next((sign for sign in _signs(self.unit)[1:] if text.lower().endswith(sign.lower())), "")
        bare = text[: len(text) - len(theirs)].removesuffix(self.unit).strip().replace(",", ".")
        try:
            value = reader.ours(float(bare), self.unit) if theirs else float(bare)
        except (ValueError, OverflowError):
            value = float("nan")
        if not 0 <= value <= self.most:
            raise forms.ValidationError(
                _("“%(text)s” is not a number of %(unit)s from 0 to %(most)s."),
                code="no_number",
                params={"text": text, "unit": self.unit, "most": f"{self.most:g}"},
            )
        return value

    def typed(self, value: Any) -> str:
        """With its unit."""
        return "" if value is None else f"{number(float(value))} {self.unit}"

    def shown(self, value: Any) -> str:
        """With the reader's beside it."""
        return self.typed(value) + reader.kept_beside(value, self.unit)


class Rows(Typed):
    """A few pairs of numbers, one a line: `60 °C: 4 h`, in these units or in a US reader's.

    `sheet`: they quote a maker's sheet, as a `Property` may.
    """

    def __init__(
        self, first: str, second: str, *, least: float = 0, sheet: bool = False, **kwargs: Any
    ) -> None:
        self.signs, self.least, self.sheet = (first, second), least, sheet
        one, other = ("|".join(map(re.escape, _signs(sign))) for sign in self.signs)
        self.line = re.compile(rf"(\S+?)\s*({one})?\s*[:\s]\s*(\S+?)\s*({other})?", re.IGNORECASE)
        widget = forms.Textarea(attrs={"rows": 3})
        super().__init__(**{"max_length": 400, "widget": widget, **kwargs})

    def clean(self, value: Any) -> list[list[float]]:
        """The pairs; none for nothing typed."""
        return super().clean(value) or []

    def read(self, text: str) -> list[list[float]]:
        """Each line's two numbers."""
        return [self._line(line) for line in filter(str.strip, text.splitlines())]

    def _line(self, line: str) -> list[float]:
        found = self.line.fullmatch(line.strip())
        if found is None:
            raise self._unreadable(line)
        try:
            first, second = (self._number(found[at], found[at + 1], at // 2) for at in (1, 3))
        except (ValueError, OverflowError) as error:
            raise self._unreadable(line) from error
        if not (self.least <= first < 1e6 and 0 <= second < 1e6):
            raise self._unreadable(line)
        return [first, second]

    def _number(self, text: str, sign: str | None, column: int) -> float:
        value, unit = float(text.replace(",", ".").replace(MINUS, "-")), self.signs[column]
        return value if (sign or self._own(unit)) == unit else reader.ours(value, unit)

    def _own(self, unit: str) -> str:
        """The sign of what is typed here: of gauges and thermometers the reader's."""
        told = reader.us_units() and not self.sheet and unit in units.US_UNITS
        return units.US_UNITS[unit].sign if told else unit

    def _unreadable(self, line: str) -> forms.ValidationError:
        return forms.ValidationError(
            _("“%(line)s” is no such line. Write one such as 60 %(first)s: 4 %(second)s."),
            code="no_line",
            params={
                "line": line.strip()[:40],
                "first": self._own(self.signs[0]),
                "second": self._own(self.signs[1]),
            },
        )

    def prepare_value(self, value: Any) -> Any:
        """A line a pair."""
        return "\n".join(self._lines(value)) if isinstance(value, list) else value

    def _lines(self, value: Sequence[Sequence[float]], *, beside: bool = False) -> list[str]:
        return [
            ": ".join(self._told(one, sign, beside) for one, sign in zip(row, self.signs, strict=True))
            for row in value
        ]

    def _told(self, value: float, unit: str, beside: bool) -> str:
        own = self._own(unit)
        told = value if own == unit else reader.theirs(value, unit)
        return f"{number(told)} {own}" + (reader.kept_beside(value, unit) if beside and own == unit else "")

    def shown(self, value: Any) -> str:
        """In one line."""
        return "; ".join(self._lines(value or [], beside=True))


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
