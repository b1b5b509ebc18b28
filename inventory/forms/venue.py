"""Fields of a venue: hours of the day, and its circuits, as people type them."""

import re
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.forms.cards import Typed
from inventory.forms.measured import number

_TIME = re.compile(r"(\d{1,2})[:.](\d{2})")
_CIRCUIT = re.compile(r"(.+?)\s*:\s*([\d.,]+)\s*V\s*[,;]?\s*([\d.,]+)\s*A", re.IGNORECASE)
MOST_VOLTS, MOST_AMPS, MOST_CIRCUITS = 1000, 400, 20
NONE = "none"


class TimeOfDay(Typed):
    """A time of the day, kept as minutes after midnight: `08:30`."""

    def read(self, text: str) -> int:
        """Minutes after midnight."""
        found = _TIME.fullmatch(text.strip())
        if not found or not (int(found[1]) < 24 and int(found[2]) < 60):
            raise forms.ValidationError(
                _("“%(text)s” is no time of day. Write one such as 08:30."),
                code="no_time",
                params={"text": text[:20]},
            )
        return int(found[1]) * 60 + int(found[2])

    def shown(self, value: Any) -> str:
        """As a clock shows it."""
        return "" if value is None else f"{int(value) // 60:02d}:{int(value) % 60:02d}"


class Circuits(Typed):
    """Fused lines, one a line: `by the door: 230 V, 16 A`; `none` where there is no power."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"max_length": 1000, "widget": forms.Textarea(attrs={"rows": 3}), **kwargs})

    def read(self, text: str) -> list[list[Any]]:
        """Name, volts and amps of each."""
        if text.strip().casefold() == NONE:
            return []
        lines = [line for line in text.splitlines() if line.strip()]
        if len(lines) > MOST_CIRCUITS:
            raise forms.ValidationError(_("So many circuits no venue has."), code="many_circuits")
        return [self._line(line) for line in lines]

    def _line(self, line: str) -> list[Any]:
        found = _CIRCUIT.fullmatch(line.strip())
        try:
            volts, amps = (float(found[at].replace(",", ".")) for at in (2, 3)) if found else (0.0, 0.0)
        except ValueError:
            volts = amps = 0.0
        if found is None or not (0 < volts <= MOST_VOLTS and 0 < amps <= MOST_AMPS):
            raise forms.ValidationError(
                _("“%(line)s” is no circuit. Write one such as: by the door: 230 V, 16 A."),
                code="no_circuit",
                params={"line": line.strip()[:40]},
            )
        return [found[1][:40], volts, amps]

    def prepare_value(self, value: Any) -> Any:
        """As typed."""
        return "\n".join(self._lines(value)) if isinstance(value, list) else value

    def _lines(self, value: Sequence[Sequence[Any]]) -> list[str]:
        if not value:
            return [NONE]
        return [f"{name}: {number(volts)} V, {number(amps)} A" for name, volts, amps in value]

    def shown(self, value: Any) -> str:
        """In one line; nothing where nobody said."""
        if value is None:
            return ""
        return gettext("none") if not value else "; ".join(self._lines(value))
