"""A field for stretches of days. Knows no topic."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.forms.cards import Day, Typed
from inventory.forms.fields import check_day


class Stretches(Typed):
    """A few stretches of days, one a line: `2026-07-01 to 2026-07-31`."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.Textarea(attrs={"rows": 3})
        super().__init__(**{"max_length": 600, "widget": widget, **kwargs})

    def clean(self, value: Any) -> list[list[str]]:
        """First and last day of each; none for nothing typed."""
        return super().clean(value) or []

    def read(self, text: str) -> list[list[str]]:
        """Each line."""
        return sorted(self._line(line) for line in filter(str.strip, text.splitlines()))

    def _line(self, line: str) -> list[str]:
        first, _to, last = (part.strip() for part in line.partition(" to "))
        try:
            days = date.fromisoformat(first), date.fromisoformat(last or first)
        except ValueError:
            days = date.max, date.min
        if days[1] < days[0]:
            raise forms.ValidationError(
                _("“%(line)s” is no stretch of days. Write 2026-07-01 to 2026-07-31."),
                code="no_line",
                params={"line": line.strip()[:40]},
            )
        for day in days:
            check_day(day)
        return [day.isoformat() for day in days]

    def prepare_value(self, value: Any) -> Any:
        """A line a stretch."""
        return "\n".join(f"{first} to {last}" for first, last in value) if isinstance(value, list) else value

    def shown(self, value: Any) -> str:
        """In one line, dates no one can misread."""
        days = [(Day().shown(first), Day().shown(last)) for first, last in value or []]
        return "; ".join(gettext("%(first)s to %(last)s") % {"first": a, "last": b} for a, b in days)
