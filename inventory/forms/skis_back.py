"""What people scan, tap and type of skis that come back, to plain values."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.utils.functional import lazystr
from django.utils.translation import gettext_lazy as _

from inventory.actions.papers import File
from inventory.actions.skis_back import MOST_DAYS, Failed
from inventory.compute import skis_back as back_words
from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.errors import Sentence
from inventory.forms.cards import Day
from inventory.forms.fields import CodeField, ThingField, ThingsField, find_thing, read_amount, words
from inventory.forms.money import Money, in_currency
from inventory.forms.papers import kept_or_error
from inventory.queries import bench, ledger

PLACES = (Kind.BIN, Kind.ZONE, Kind.TRAILER, Kind.STORE)
ROWS = 3


def choices(among: Mapping[str, Sentence]) -> list[tuple[str, Any]]:
    """Keys with their sentences in the reader's language."""
    return [(key, lazystr(words(sentence))) for key, sentence in among.items()]


def both_skis(things: Iterable[UUID]) -> list[UUID]:
    """Skis, and of each pair its two."""
    return list(dict.fromkeys(ski for thing in things for ski in bench.skis_of(thing) or [thing]))


class Seen(forms.Form):
    """What is seen, without a guess."""

    failure = forms.ChoiceField(label=_("What is wrong with it"))
    zone = forms.ChoiceField(label=_("Where along the ski"), widget=forms.RadioSelect, required=False)
    part = forms.ChoiceField(label=_("On which side"), required=False)
    from_tip = forms.FloatField(
        label=_("From the tip, cm, if measured"), min_value=0, max_value=230, required=False
    )
    observed = forms.CharField(
        label=_("What you see"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("What is there, not why. What you suspect comes with the inspection. No names."),
    )
    came_on = Day(label=_("Came back on"))
    days_used = forms.IntegerField(
        label=_("Days on snow, as the owner says"), min_value=0, max_value=MOST_DAYS, required=False
    )
    place = ThingField(
        *PLACES, label=_("Where it waits: scan the place"), required=False, help_text=_("It can follow.")
    )
    photo = forms.FileField(
        label=_("Photo"),
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        help_text=_("What a picture carries beside its pixels is taken out."),
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("came_on", today)
        _choose(self, "failure", [("", _("choose")), *choices(back_words.REASONS)])
        _choose(self, "zone", choices(back_words.ZONES))
        _choose(self, "part", [("", _("not one side")), *choices(back_words.PARTS)])
        self.file: File | None = None

    def clean(self) -> dict[str, Any]:
        """The photo is cleaned and kept before anything is written in the books."""
        data = super().clean() or {}
        self.file = kept_or_error(self, "photo", "photo")
        return data

    def seen(self) -> Failed:
        """As the actions take it."""
        data = self.cleaned_data
        tip = data["from_tip"]
        return Failed(
            failure=data["failure"],
            observed=data["observed"],
            came_on=data["came_on"],
            zone=data["zone"],
            part=data["part"],
            from_tip_mm=None if tip is None else round(tip * 10),
            days_used=data["days_used"],
        )

    def values(self) -> dict[str, Any]:
        """As the actions take them."""
        photos = [self.file] if self.file else []
        return {"seen": self.seen(), "place": self.cleaned_data["place"], "photos": photos}


class Log(Seen):
    """One ski, or both of a pair."""

    skis = ThingsField(Kind.SKI, Kind.PAIR, label=_("Scan the ski, or its pair for both"))
    field_order = ("skis",)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"skis": both_skis(self.cleaned_data["skis"]), **super().values()}


class Unknown(Seen):
    """A ski without a tag that can be read, or of another shop."""

    code = CodeField(label=_("A tag printed ahead for it"), required=False)
    field_order = ("code",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["photo"].required = True

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"code": self.cleaned_data["code"], **super().values()}


class Tie(forms.Form):
    """Which ski it is."""

    ski = ThingField(Kind.SKI, label=_("The ski that it is: its code"))

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Look(forms.Form):
    """The inspection, step by step, and what is suspected."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for key, sentence in back_words.CHECKS.items():
            self.fields[f"check_{key}"] = forms.ChoiceField(
                label=lazystr(words(sentence)), choices=choices(back_words.FOUND), required=False
            )
        self.fields["suspected"] = forms.CharField(
            label=_("What you suspect, apart from what was seen"),
            max_length=1000,
            required=False,
            widget=forms.Textarea(attrs={"rows": 3}),
        )
        self.fields["cause"] = forms.ChoiceField(
            label=_("Cause, as far as it can be said"), choices=choices(back_words.CAUSES)
        )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        checks = {key: data[f"check_{key}"] for key in back_words.CHECKS}
        return {"checks": checks, "cause": data["cause"], "suspected": data["suspected"]}


class Answer(forms.Form):
    """What the shop does about it, and why."""

    answer = forms.ChoiceField(label=_("What the shop does"), widget=forms.RadioSelect)
    reason = forms.CharField(label=_("Why"), max_length=500, widget=forms.Textarea(attrs={"rows": 2}))
    cost = Money(label=_("What it costs the shop"), required=False)
    pair = ThingField(Kind.PAIR, label=_("The pair that replaces it"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _choose(self, "answer", choices(back_words.ANSWERS))
        in_currency(self)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Repair(forms.Form):
    """What was repaired on which ski, and what went into it."""

    ski = ThingField(Kind.SKI, label=_("Scan the ski"))
    done = forms.CharField(label=_("What was repaired"), max_length=500)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for row in range(1, ROWS + 1):
            self.fields[f"thing_{row}"] = CodeField(label=_("Scan what went in"), required=False)
            self.fields[f"amount_{row}"] = forms.CharField(label=_("Amount"), required=False, max_length=60)

    @property
    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """Code and amount side by side."""
        return [(self[f"thing_{row}"], self[f"amount_{row}"]) for row in range(1, ROWS + 1)]

    def clean(self) -> dict[str, Any]:
        """Each amount is read in its thing's own unit."""
        data = super().clean() or {}
        inputs: list[tuple[UUID, Amount]] = []
        for row in range(1, ROWS + 1):
            if not data.get(f"thing_{row}"):
                continue
            try:
                thing = find_thing(data[f"thing_{row}"])
                base = ledger.kinds([thing])[thing][1]
                inputs.append((thing, _amount(base, data.get(f"amount_{row}", ""))))
            except forms.ValidationError as error:
                self.add_error(f"amount_{row}", error)
        return data | {"inputs": inputs}

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {key: self.cleaned_data[key] for key in ("ski", "inputs", "done")}


def _amount(base: str, text: str) -> Amount:
    if not base:
        raise forms.ValidationError(_("That has no amount to take from."), code="layup.no_amount")
    if not text and base == Base.PIECE:
        return Amount(1, Base.PIECE)
    return read_amount(text, Base(base), {Base.MG: "GRM", Base.PIECE: "H87"}.get(Base(base)))


class Service(forms.Form):
    """What was serviced."""

    done = forms.MultipleChoiceField(label=_("What was done"), widget=forms.CheckboxSelectMultiple)
    more = forms.CharField(label=_("More about it"), max_length=300, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["done"]
        assert isinstance(field, forms.MultipleChoiceField)  # noqa: S101 - for the type checker
        field.choices = choices(back_words.SERVICES)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class SendBack(forms.Form):
    """Nothing to enter."""

    def values(self) -> dict[str, Any]:
        """Nothing."""
        return {}


class Find(forms.Form):
    """What the list of skis back is narrowed to."""

    words = forms.CharField(label=_("Code, guest, workshop, place, words"), max_length=80, required=False)
    failure = forms.ChoiceField(label=_("What failed"), required=False)
    gone = forms.BooleanField(label=_("Also those that went back to their owner"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _choose(self, "failure", [("", _("anything")), *choices(back_words.REASONS)])


class FindOut(forms.Form):
    """How a ski is found whose tag cannot be read."""

    words = forms.CharField(
        label=_("Guest, workshop, length in mm, or what the guest chose"), max_length=80, required=False
    )


def _choose(form: forms.Form, name: str, among: list[tuple[Any, Any]]) -> None:
    field = form.fields[name]
    assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
    field.choices = among


class Shares(forms.Form):
    """Several skis or pairs, of which is asked what they share."""

    things = ThingsField(Kind.SKI, Kind.PAIR, label=_("Scan skis or pairs, two at least"))
