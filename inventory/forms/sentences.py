"""Sentences in the reader's language, units and dates; every face tells them through here. Knows no topic."""

import unicodedata
from collections.abc import Mapping
from datetime import date, datetime
from enum import StrEnum

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import escape
from django.utils.translation import gettext

from inventory.compute import units
from inventory.errors import Listed, Sentence, Term, filled
from inventory.forms import reader

_EXACT = 1e15  # beyond, a number may have been told with an exponent
_RIGHT_TO_LEFT = frozenset({"R", "AL", "RLE", "RLO", "RLI"})


def text(sentence: object, *, inside: bool = False) -> str:
    """A sentence in the reader's language; anything else as its text, nothing for None.

    `inside`: it is told as part of another sentence.
    """
    if not isinstance(sentence, Sentence):
        return "" if sentence is None else str(sentence)
    return words(sentence, {name: value_in(value) for name, value in sentence.values.items()}, inside=inside)


def words(
    sentence: Sentence, values: Mapping[str, object], *, inside: bool = False, shield: bool = False
) -> str:
    """The translated template with its values; the English one when a translation names a value wrongly.

    A number that stands before °C, K, kg, kPa or l is told in the reader's own unit.
    """
    for translated in (gettext(sentence.template) if sentence.template else "", sentence.template):
        template, read = reader.with_units(translated, values)
        try:
            return filled(escape(template) if shield else template, read, inside=inside)
        except (AttributeError, IndexError, KeyError, TypeError, ValueError):
            continue
    return sentence.template


def value_in(value: object) -> object:
    """A value as it goes into a sentence: words of the trade translated, dates without doubt, right-to-left
    text kept to itself, 27 and not 27.0."""
    if isinstance(value, Sentence):
        return text(value, inside=True)
    if isinstance(value, Term | StrEnum):
        return gettext(str(value)) if value else ""
    if isinstance(value, Listed):
        return ", ".join(str(value_in(each)) for each in value)
    if isinstance(value, date):
        return moment(value)
    if isinstance(value, float) and value.is_integer() and abs(value) < _EXACT:
        return int(value)
    if isinstance(value, units.Spoken | units.Amount):
        return reader.told(value)
    if isinstance(value, str) and any(unicodedata.bidirectional(sign) in _RIGHT_TO_LEFT for sign in value):
        return f"\u2068{value}\u2069"
    return value


def day(value: object) -> str:
    """A date no one can misread: 4 Dec 2026."""
    return date_format(_local(value), "j M Y") if isinstance(value, date) else text(value)


def moment(value: object) -> str:
    """A date and a time no one can misread: 4 Dec 2026, 14:10."""
    return date_format(_local(value), "j M Y, H:i") if isinstance(value, datetime) else day(value)


def _local(value: date) -> date:
    return timezone.localtime(value) if isinstance(value, datetime) and timezone.is_aware(value) else value
