"""Fields that read what people type and scan: amounts, codes, several codes in a row. Knows no topic."""

import re
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.utils.functional import lazy
from django.utils.translation import gettext_lazy as _

from inventory.compute import codes, units
from inventory.compute.codes import Code, Kind
from inventory.compute.expiry import YEARS
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, Sentence, say
from inventory.forms import reader, sentences
from inventory.queries import ledger, things
from inventory.queries.dossier.facts import Named

NAMED = frozenset({Kind.YARD, Kind.STORE, Kind.TRAILER, Kind.TOW_CAR, Kind.ZONE, Kind.BIN, Kind.EQUIPMENT})

# A hand scanner ends each code with Enter: a page's script goes on to the next field then.
_BARE = re.compile(r"(?<!\S)[0-9A-Z]{8}(?!\S)")
_SCANNED = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false", "data-scan": ""}


def check_day(day: date) -> None:
    """Refuse a day that is a slip of the pen: nothing here was made before, or is promised for after."""
    if day.year not in YEARS:
        raise forms.ValidationError(
            _("%(day)s cannot be meant: enter a day from %(first)s to %(last)s."),
            code="day",
            params={"day": day.isoformat(), "first": YEARS[0], "last": YEARS[-1]},
        )


def words(sentence: Sentence) -> str:
    """A sentence in the reader's language."""
    return sentences.text(sentence)


def as_error(refused: Refused) -> forms.ValidationError:
    """A refusal as a form shows it beside its field."""
    return forms.ValidationError(f"{words(refused.sentence)} {words(refused.what_to_do)}", code=refused.code)


class AmountField(forms.CharField):
    """An amount as typed, in any unit of one kind: `2.5 kg`, `1,5 l`, `22 m`."""

    def __init__(
        self, *, base: Base, default: str | None = None, allow_zero: bool = False, **kwargs: Any
    ) -> None:
        self.base, self.default, self.allow_zero = base, default, allow_zero
        super().__init__(**{"max_length": 60, **kwargs})

    def clean(self, value: Any) -> Amount | None:
        """The amount, or the sentence that says why it is none."""
        text = super().clean(value)
        return read_amount(text, self.base, self.default, allow_zero=self.allow_zero) if text else None


def read_amount(text: str, base: Base, default: str | None = None, *, allow_zero: bool = False) -> Amount:
    """Read an amount for a form."""
    try:
        return units.parse(text=text, base=base, default=default, allow_zero=allow_zero).amount
    except Refused as refused:
        raise as_error(refused) from refused


def never_cut(field: forms.Field) -> None:
    """Let a browser send all that was typed, so that what is too long is said and not cut off."""
    field.widget.attrs.pop("maxlength", None)


class CodeField(forms.CharField):
    """One code, as scanned or typed; not yet any thing's."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"max_length": 300, **kwargs})
        self.widget.attrs |= _SCANNED

    def prepare_value(self, value: Any) -> Any:
        """A code as on its tag."""
        return as_on_tags(value)

    def clean(self, value: Any) -> Any:
        """The code; None when the field may stay empty."""
        text = super().clean(value)
        return read_code(text) if text else None


def as_on_tags(value: Any) -> Any:
    """Codes in a text as on their tags, SA8K-J2MT; all else as it was typed."""
    return _BARE.sub(_shown, value) if isinstance(value, str) else value


def _shown(found: re.Match[str]) -> str:
    try:
        return codes.read(found[0]).shown
    except Refused:
        return found[0]


def read_code(text: str) -> Code:
    """Read a code for a form."""
    try:
        return codes.read(text)
    except Refused as refused:
        raise as_error(refused) from refused


class ThingField(CodeField):
    """The thing a scanned code answers for, of one of the kinds that fit."""

    def __init__(self, *kinds: Kind, **kwargs: Any) -> None:
        self.kinds = kinds
        super().__init__(**kwargs)

    def clean(self, value: Any) -> UUID | None:
        """The thing's id; a place or a piece of equipment may be called by its name."""
        try:
            code = super().clean(value)
        except forms.ValidationError as wrong:
            named = value and NAMED.intersection(self.kinds)
            called = things.called(str(value), self.kinds) if named else []
            if called:
                return _only(called)
            if named and wrong.error_list[0].code == "code.length":
                raise _not_called(str(value)) from wrong
            raise
        return find_thing(code, self.kinds) if code else None


def _not_called(text: str) -> forms.ValidationError:
    return forms.ValidationError(
        _("“%(text)s” is neither a code nor a name here. Scan the tag, or enter the whole name."),
        code="tag.not_called",
        params={"text": text.strip()[:40]},
    )


def _only(called: Sequence[Named]) -> UUID:
    if len(called) > 1:
        shown = ", ".join(codes.read(each.code).shown for each in called)
        raise forms.ValidationError(
            _("%(count)s are called so: %(codes)s. Scan the one that is meant."),
            code="tag.several",
            params={"count": len(called), "codes": shown},
        )
    return called[0].id


class ThingsField(forms.CharField):
    """Several scanned codes in a row, in lines or apart by spaces."""

    def __init__(self, *kinds: Kind, **kwargs: Any) -> None:
        self.kinds = kinds
        super().__init__(**{"max_length": 20_000, "widget": forms.Textarea(attrs={"rows": 4}), **kwargs})
        self.widget.attrs |= _SCANNED

    def prepare_value(self, value: Any) -> Any:
        """The codes as on their tags."""
        return as_on_tags(value)

    def clean(self, value: Any) -> list[UUID]:
        """The things' ids, each once, in order."""
        text = super().clean(value)
        found = [find_thing(read_code(part), self.kinds) for part in text.split()]
        return list(dict.fromkeys(found))


class Degrees(forms.FloatField):
    """A temperature in the degrees of whoever types it, to °C; `apart`: what lies between two."""

    def __init__(self, *, label: Any, low: float, high: float, apart: bool = False, **kwargs: Any) -> None:
        self.low, self.high, self.apart = low, high, apart
        super().__init__(label=lazy(lambda: f"{label}, {reader.degree()}", str)(), **kwargs)

    def prepare_value(self, value: Any) -> Any:
        """A kept number as it would be typed."""
        return reader.from_celsius(value, apart=self.apart) if isinstance(value, int | float) else value

    def to_python(self, value: Any) -> Any:
        """In °C."""
        typed = super().to_python(value)
        return None if typed is None else reader.to_celsius(typed, apart=self.apart)

    def validate(self, value: Any) -> None:
        """Within what is possible."""
        super().validate(value)
        if value is not None and not self.low <= value <= self.high:
            bounds = say("From {low} °C to {high} °C can be entered here.", low=self.low, high=self.high)
            if self.apart:
                bounds = say("From {low} K to {high} K can be entered here.", low=self.low, high=self.high)
            raise forms.ValidationError(words(bounds), code="degrees")


class Gauge(forms.FloatField):
    """A pressure as the gauges of whoever types it show it, to kPa."""

    def __init__(self, *, label: Any, low: float, high: float, **kwargs: Any) -> None:
        self.low, self.high = low, high
        super().__init__(label=lazy(lambda: f"{label}, {reader.gauge()}", str)(), **kwargs)

    def prepare_value(self, value: Any) -> Any:
        """A kept number as it would be typed."""
        return reader.from_kpa(value) if isinstance(value, int | float) else value

    def to_python(self, value: Any) -> Any:
        """In kPa."""
        typed = super().to_python(value)
        return None if typed is None else reader.to_kpa(typed)

    def validate(self, value: Any) -> None:
        """Within what a gauge shows."""
        super().validate(value)
        if value is not None and not self.low <= value <= self.high:
            bounds = say("From {low} kPa to {high} kPa can be entered here.", low=self.low, high=self.high)
            raise forms.ValidationError(words(bounds), code="gauge")


def cursor(form: forms.Form, name: str, *, sends: bool = False) -> None:
    """Give a field the cursor, and the keys that land nowhere; with `sends` its Enter sends the form."""
    attrs = form.fields[name].widget.attrs
    attrs |= {"autofocus": True, "data-scan-here": ""}
    if sends:
        attrs.pop("data-scan", None)


def find_thing(code: Code, kinds: Iterable[Kind] = ()) -> UUID:
    """The thing of a code, of one of these kinds; any kind when none is named."""
    tag = ledger.tag_of(code.text)
    if tag is None or tag.thing is None:
        raise forms.ValidationError(
            _("%(code)s is not tied to anything here yet."), code="tag.unknown", params={"code": code.shown}
        )
    kinds = tuple(kinds)
    if kinds and Kind(tag.thing.kind) not in kinds:
        raise forms.ValidationError(
            _("%(code)s is a %(kind)s; here a %(wanted)s is needed.")
            if len(kinds) == 1
            else _("%(code)s is a %(kind)s; needed here is one of these: %(wanted)s."),
            code="tag.other_kind",
            params={"code": code.shown, "kind": tag.thing.kind, "wanted": ", ".join(kinds)},
        )
    return tag.thing.id


class Several(forms.MultipleChoiceField):
    """Some of a few things, ticked; kept as a list of ids in text."""

    widget = forms.CheckboxSelectMultiple

    def shown(self, value: Any) -> str:
        """Their words."""
        words = dict(self.choices)  # type: ignore[arg-type]
        return ", ".join(str(words.get(str(each), "")) for each in value or () if str(each) in words)
