"""The small parts every page is made of, and the filters that put sentences and dates into words.

Knows no topic, asks no database, computes nothing: it shows what it is given. The markup of each part is in
templates/inventory/parts/, its look in static/inventory/look.css; the page help-parts shows all of them.
"""

import math
import re
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any, TypeGuard
from urllib.parse import urlencode

from django import template
from django.forms import BaseForm, ChoiceField
from django.forms.boundfield import BoundField
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.formats import get_format
from django.utils.html import conditional_escape, escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, gettext_lazy

from inventory.compute import codes, money, units
from inventory.compute.reasons import Basis, How, Input, Level, Reason, Verdict
from inventory.errors import MINUS, Refused, Sentence, capital
from inventory.forms import reader, sentences

register = template.Library()

WORDS = {
    Level.FINE: gettext_lazy("Fine"),
    Level.LOOK: gettext_lazy("Look"),
    Level.UNKNOWN: gettext_lazy("Not known"),
    Level.STOP: gettext_lazy("Stop"),
}
BASES = {
    Basis.MEASURED: gettext_lazy("measured"),
    Basis.DATA_SHEET: gettext_lazy("from the data sheet"),
    Basis.LEARNED: gettext_lazy("learned here"),
    Basis.ASSUMED: gettext_lazy("default, not checked"),
}
_TO_A_TENTH = ("°C", "K", "kg")
LONG_FORM = 5  # fields; the last one of so many is below the screen of a phone
NARROW_SPACE = "\u202f"  # parts thousands; cannot be taken for a decimal mark
_CODE = re.compile(r"[0-9A-Z]{4}-?[0-9A-Z]{4}")
_DIGITS = re.compile(r"(−?)(\d+)(?:\.(\d+))?", re.ASCII)


# --- sentences and dates --------------------------------------------------------------------------------


@register.filter
def say(sentence: object) -> str:
    """A sentence in the reader's language; anything else as its text, nothing for None."""
    return sentences.text(sentence)


@register.filter
def tell(sentence: object) -> SafeString:
    """The same as markup: a value that is a thing's code becomes a link to that thing."""
    if not isinstance(sentence, Sentence):
        return conditional_escape(say(sentence))
    values = {name: _linked(sentences.value_in(value)) for name, value in sentence.values.items()}
    return mark_safe(sentences.words(sentence, values, shield=True))  # noqa: S308  all of it is escaped


def _linked(value: object) -> object:
    """A code as a chip; other text escaped; numbers as they are, for the template's own format."""
    if isinstance(value, int | float | Decimal):
        return value
    code = code_in(value)
    return escape(value) if code is None else chip(code)


@register.filter
def word(value: object) -> str:
    """A word of the trade, as a kind of thing or a step is kept, in the reader's language."""
    text = say(value)
    return gettext(text) if text else ""


_word = word  # where an argument has the same name


@register.filter
def day(value: object) -> str:
    """A date no one can misread: 4 Dec 2026."""
    return sentences.day(value)


@register.filter
def moment(value: object) -> str:
    """A date and a time no one can misread: 4 Dec 2026, 14:10."""
    return sentences.moment(value)


# --- level, amount, code --------------------------------------------------------------------------------


def level_of(answer: object) -> Level:
    """The level of a Level, its number, its name, a verdict or a reason; what is none of these is unknown."""
    found = getattr(answer, "level", answer)
    if isinstance(found, str):
        return Level.__members__.get(found.upper(), Level.UNKNOWN)
    if not isinstance(found, int) or isinstance(found, bool):
        return Level.UNKNOWN
    return next((level for level in Level if level == found), Level.UNKNOWN)


def _drawn(part: str, **context: object) -> SafeString:
    """A part that stands inside a line or a table's cell: no space round it."""
    return mark_safe(render_to_string(f"inventory/parts/{part}.html", context).strip())  # noqa: S308


@register.simple_tag
def mark(level: object, word: object = "") -> SafeString:
    """A shape and a word: `{% mark reason.level %}`, `{% mark "look" "opened" %}`."""
    found = level_of(level)
    return _drawn("mark", kind=found.name.lower(), word=capital(_word(word)) or WORDS[found])


@register.simple_tag
def todo() -> SafeString:
    """The mark of what waits for a hand and is no fault: an empty box to tick."""
    return _drawn("mark", kind="todo", word=gettext("To do"))


def figure(value: object, places: int | None = None) -> str:
    """A number as printed: no exponent, thousands apart from five digits on, a real minus sign."""
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        return _grouped(say(value))
    if not math.isfinite(value):
        return "–"
    exact = Decimal(f"{value:.12g}") if isinstance(value, float) else Decimal(value)
    text = f"{exact:f}" if places is None else f"{exact:.{places}f}"
    minus = MINUS if text.startswith("-") and text.strip("-0.") else ""
    return _grouped(minus + text.lstrip("-"))


def _grouped(text: str) -> str:
    """Digits with the language's decimal mark; what is no plain number stays as it is."""
    found = _DIGITS.fullmatch(text)
    if not found:
        return text
    sign, whole, rest = found.groups(default="")
    if len(whole) > 4:
        whole = f"{int(whole[-4300:]):,}".replace(",", NARROW_SPACE)
    return sign + whole + (f"{get_format('DECIMAL_SEPARATOR')}{rest}" if rest else "")


def amount(value: object, unit: object = "", places: int | None = None) -> SafeString:
    """A number and its smaller unit, for a table's cell; see the tag of this name."""
    if isinstance(value, units.Amount | units.Spoken):
        value = reader.shown(value, say(unit))
    elif reader.us_units() and unit in units.US_UNITS and _is_number(value):
        value, unit = _theirs(value, str(unit), places)
    if isinstance(value, units.Shown):
        shown = [(_grouped(part.number), reader.unit_behind(part.number, part.unit)) for part in value.parts]
    else:
        number = figure(value, places)
        shown = [(number, reader.unit_behind(number, say(unit)))]
    return _drawn("amount", parts=shown)


def _is_number(value: object) -> TypeGuard[float]:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _theirs(value: float, unit: str, places: int | None = None) -> tuple[str, str]:
    """A number and its unit in US units; a weight or a temperature to a tenth, what is no finer than that."""
    kept = value if places is None else round(value, places)
    found = units.us_value(value=kept, unit=unit, decimals=1 if unit in _TO_A_TENTH else None)
    number, _, sign = found.partition(" ")
    return number, sign


@register.simple_tag(name="amount")
def amount_tag(value: object, unit: object = "", places: int | None = None, side: str = "") -> SafeString:
    """A number and its smaller unit: `{% amount 4.1 "m" %}`, `{% amount kg "kg" places=1 %}`.

    An Amount of compute.units shows itself: as it was typed where that is one of the reader's units
    (`{% amount package.amount package.written_in %}`), else in the reader's usual one. Temperatures,
    pressures, masses, litres given as plain numbers follow the reader too; a ski's millimetres do not.
    A reckoned sum says to which side it may be off: a need `side="up"`, stock `side="down"`.
    """
    if side and isinstance(value, units.Amount):
        value = units.Spoken(value, side=units.Side(side))
    return amount(value, unit, places)


@register.simple_tag
def ordered(value: object, side: str = "") -> SafeString:
    """An amount in a table of what to order: in the one unit that it is ordered in, whatever its size, so
    that rows can be held against each other: `{% ordered row.needed "up" %}`; `side` as `amount` has it."""
    if isinstance(value, units.Amount):
        value = units.Spoken(value, side=units.Side(side) if side else None, ordered=True)
    return amount(value)


@register.simple_tag
def beside(value: object, unit: str) -> str:
    """A maker's figure in the reader's units too, to stand behind it: `{% beside row.g_m2 "g/m²" %}`."""
    return reader.kept_beside(value, unit)


@register.filter
def with_unit(value: object, unit: str) -> str:
    """A number and its unit inside a text, to one decimal at most: `{{ curve.lowest_c|with_unit:"°C" }}`."""
    if not _is_number(value):
        return "–"
    if reader.us_units() and unit in units.US_UNITS:
        return " ".join(_theirs(value, unit))
    return f"{figure(round(value, 1))} {unit}"


@register.filter
def degrees(celsius: float) -> str:
    """A mark on the scale of a curve: whole degrees of the reader's, without their letter."""
    return f"{figure(round(reader.from_celsius(celsius)))}°"


@register.simple_tag
def price(minor: object, currency: object = "") -> SafeString:
    """Whole minor units of a currency with all its decimals: `{% price order.goods currency %}`."""
    if not isinstance(minor, int):
        return conditional_escape(gettext("not known"))
    words = money.show(minor=abs(minor), currency=str(currency))
    minus = MINUS if minor < 0 else ""
    return _drawn("amount", parts=[(minus + _grouped(words), str(currency))])


def code_in(value: object) -> codes.Code | None:
    """The code that this value is, as a whole; None for anything else."""
    if isinstance(value, codes.Code):
        return value
    if not isinstance(value, str) or not _CODE.fullmatch(value):
        return None
    try:
        return codes.read(value)
    except Refused:
        return None


@register.simple_tag
def chip(code: object, url: str = "") -> SafeString:
    """A thing's code as on its tag, SA8K-J2MT, linked: to `url`, else to what the scan line finds for it."""
    known = code_in(code)
    shown = known.shown if known else say(code).strip()
    return _drawn(
        "chip", code=shown, url=url or (shown and f"{reverse('scan')}?{urlencode({'code': shown})}")
    )


# --- answers with their reasons -------------------------------------------------------------------------


def _reasons(given: object) -> list[object]:
    """The reasons of a verdict, of a list, or of one reason or sentence."""
    found = getattr(given, "reasons", given)
    if not found:
        return []
    if isinstance(found, str | Sentence | Reason) or not isinstance(found, Iterable):
        return [found]
    return list(found)


def _note(reason: object) -> dict[str, object]:
    """One line of a list of reasons. Beside compute's Reason any row with `sentence` and `level` will do;
    `why` (a second sentence), `url` (where the sentence leads), `codes` (of the things it speaks of),
    `cures` (what puts it right, with a button where one click does) and `how_url` (where its sum stands, in
    place of `how`) are shown where a row has them."""
    facts: Any = getattr(reason, "facts", None) or {}
    return {
        "level": level_of(reason) if hasattr(reason, "level") else None,
        "todo": getattr(reason, "todo", False),
        "sentence": getattr(reason, "sentence", reason),
        "why": getattr(reason, "why", None) or facts.get("why"),
        "url": getattr(reason, "url", None),
        "codes": getattr(reason, "codes", ()),
        "cures": getattr(reason, "cures", ()),
        "how": getattr(reason, "how", None),
        "how_url": getattr(reason, "how_url", ""),
    }


@register.inclusion_tag("inventory/parts/notes.html")
def notes(reasons: object) -> dict[str, object]:
    """Sentences with their weight and how they were got: `{% notes verdict.reasons %}`."""
    return {"notes": [_note(reason) for reason in _reasons(reasons)]}


@register.inclusion_tag("inventory/parts/verdict.html")
def verdict(answer: Verdict | Level | str, word: object, sentence: object = "") -> dict[str, object]:
    """A word, a sentence and the facts behind them: `{% verdict answer "Not ready" sentence %}`.

    Of a level alone it shows the word and the sentence; `reasons` then stand where the page puts them.
    """
    level = level_of(answer)
    return {"answer": answer, "level": level, "kind": level.name.lower(), "word": word, "sentence": sentence}


@register.inclusion_tag("inventory/parts/reasons.html")
def reasons(answer: object) -> dict[str, object]:
    """The facts behind an answer, what is fine folded away below what is not, unless everything is fine."""
    lines = _reasons(answer) if hasattr(answer, "reasons") else []
    heavy = [line for line in lines if level_of(line) is not Level.FINE]
    return {
        "heavy": heavy or lines,
        "fine": [line for line in lines if level_of(line) is Level.FINE] if heavy else [],
    }


@register.inclusion_tag("inventory/parts/how.html")
def how(how: How | None) -> dict[str, object]:
    """How a number was got, folded: rule, source, and what went in on which basis."""
    return {"how": how, "lines": [went_in(line) for line in (how.inputs if how else ())]}


def went_in(line: Input) -> dict[str, object]:
    """One value of a sum as it is read."""
    return {
        "name": word(line.name),
        "value": gettext("not known") if line.value is None else figure(_short(line.value)),
        "unit": "" if line.value is None else word(line.unit) + reader.kept_beside(line.value, line.unit),
        "basis": BASES[line.basis],
    }


def _short(value: object) -> object:
    """What went in, as it is read: a date without doubt, four digits, or a tenth where there are more."""
    if isinstance(value, date | units.Amount | units.Spoken):
        return sentences.value_in(value)
    if not isinstance(value, float) or not math.isfinite(value) or value.is_integer():
        return value
    if abs(value) < 1_000:
        return float(f"{value:.4g}")
    return round(value, 1) if abs(value) < 100_000 else round(value)


# --- forms, empty pages, messages -----------------------------------------------------------------------


@register.inclusion_tag("inventory/parts/field.html")
def field(field: BoundField, unit: object = "", may: bool = True) -> dict[str, object]:
    """A form row: label, hint, error, and a control a glove can hit: `{% field form.lot %}`.

    What may stay empty says so, except a choice, where nothing chosen is one of the choices, and with
    `may=False` a field to search by.
    """
    if not isinstance(field, BoundField):
        raise TypeError("field: the form has no such field")
    kind = "line"
    if field.is_hidden:
        kind = "hidden"
    elif field.use_fieldset:
        kind = "choices"
    elif getattr(field.field.widget, "input_type", "") == "checkbox":
        kind = "tick"
    may = may and not field.field.required and not isinstance(field.field, ChoiceField)
    return {"field": field, "kind": kind, "unit": say(unit), "may": may}


@register.simple_tag
def wrong_fields(form: object) -> list[BoundField]:
    """The refused fields of a form that is longer than a phone's screen; of a short one they are in sight."""
    if not isinstance(form, BaseForm) or len(form.visible_fields()) < LONG_FORM:
        return []
    return [row for row in form.visible_fields() if row.errors]


@register.inclusion_tag("inventory/parts/empty.html")
def empty(sentence: object, url: str = "", label: object = "") -> dict[str, object]:
    """What an empty page says: what is not here yet, and the one thing to do next."""
    return {"sentence": say(sentence), "url": url, "label": say(label)}


@register.filter
def undo_of(message: object) -> str:
    """The address that takes back what this message tells of: its extra tag `undo:/...`; else nothing."""
    for tag in str(getattr(message, "extra_tags", "") or "").split():
        if tag.startswith("undo:/") and not tag.startswith("undo://"):
            return tag.removeprefix("undo:")
    return ""
