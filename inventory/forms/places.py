"""What people type and scan about places, to plain values."""

import re
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.compute.codes import Kind
from inventory.compute.units import Base, Dimension
from inventory.forms import cards, reader
from inventory.forms.fields import CodeField, ThingField, ThingsField

PLACES = (Kind.YARD, Kind.STORE, Kind.TRAILER, Kind.TOW_CAR, Kind.ZONE, Kind.BIN)


class MakePlace(forms.Form):
    """A yard, store, trailer, zone or bin."""

    kind = forms.ChoiceField(
        label=_("What it is"), choices=[(kind.value, _(kind.value)) for kind in reversed(PLACES)]
    )
    name = forms.CharField(label=_("What it is called"), max_length=80)
    inside = ThingField(
        *PLACES[:-1],
        label=_("Where it stands (scan, or its name)"),
        required=False,
        help_text=_("A bin in a zone, a zone in a trailer or a store, these at a yard. A yard needs none."),
    )
    code = CodeField(
        label=_("Tag that is on it already (scan)"),
        required=False,
        help_text=_("One that was printed ahead. Leave empty and a code is drawn."),
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return self.cleaned_data | {"kind": Kind(self.cleaned_data["kind"])}


class Move(forms.Form):
    """Things put somewhere."""

    things = ThingsField(
        label=_("Scan what to move"), help_text=_("One code a line. A bin goes with all in it.")
    )
    to = ThingField(*PLACES, label=_("Scan where it goes"))

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class PutAway(forms.Form):
    """Things that lie nowhere, ticked, and where they go now."""

    things = forms.MultipleChoiceField(
        label=_("What"),
        choices=(),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    everything = forms.BooleanField(label=_("All of these"), required=False)
    to = ThingField(*PLACES, label=_("Scan where it goes"))

    def __init__(self, *args: Any, choices: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["things"]
        assert isinstance(field, forms.MultipleChoiceField)  # noqa: S101 - for the type checker
        field.choices = self.all = choices

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        data = self.cleaned_data
        return {"things": [UUID(thing) for thing in data["things"]], "to": data["to"]}

    def clean(self) -> dict[str, Any]:
        """One tick at least; one for everything is enough."""
        data = super().clean() or {}
        if data.get("everything"):
            data["things"] = [thing for thing, _name in self.all]
        elif not data.get("things") and not self.has_error("things"):
            self.add_error("things", _("Tick at least one, or all of these."))
        return data


_NOTHING = re.compile(r"\s*[-−]?0+(?:[.,]0*)?\s*(?:mm|cm|m|in|ft)?\s*")


class _Length(cards.Property):
    """A whole number of millimetres, typed in any length; in inches where US units are read."""

    THEIRS = {**cards.Property.THEIRS, Dimension.LENGTH: "INH"}

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Dimension.LENGTH, "MMT", **kwargs)

    def read(self, text: str) -> Any:
        """Whole millimetres; below zero where a side is meant."""
        minus = text.lstrip().startswith(("-", "−"))
        if _NOTHING.fullmatch(text):  # in the very middle, at the coupling: a place like any other
            return 0
        value = round(super().read(text.lstrip().lstrip("-−")))
        return -value if minus else value


def _mass(label: object, help_text: object = "") -> cards.Kept:
    return cards.Kept(base=Base.MG, default="KGM", label=label, help_text=help_text)


class PlaceCard(cards.Card):
    """The card of a place, with what a zone or a trailer needs beside."""

    GROUPS = (
        (_("What it is"), ("name", "assumed_c")),
        (_("Where it lies"), ("behind_mm", "behind_doubt_mm", "right_mm", "right_doubt_mm")),
        (
            _("What the plates say"),
            (
                "gross_mg",
                "axle_load_mg",
                "rear_axle_mg",
                "towed_mg",
                "train_mg",
                "nose_mg",
                "ball_nose_mg",
                "bar_nose_mg",
                "tyres_side_mg",
            ),
        ),
        (_("As it drives, without the trailer"), ("mass_mg", "mass_doubt_mg", "rear_mg", "rear_doubt_mg")),
        (_("Empty"), ("empty_mg", "empty_doubt_mg", "empty_nose_mg", "empty_nose_doubt_mg")),
        (
            _("What it measures"),
            (
                "axles",
                "axle_mm",
                "axle_doubt_mm",
                "floor_from_mm",
                "floor_to_mm",
                "track_mm",
                "wheelbase_mm",
                "overhang_mm",
            ),
        ),
    )

    name = cards.Text(label=_("What it is called"), max_length=80)
    assumed_c = cards.Property(
        Dimension.TEMPERATURE,
        "CEL",
        label=_("Taken to be so warm where nobody measures"),
        help_text=_("The hot season's warmth. Empty: as the place it stands in, else a default."),
    )

    behind_mm = _Length(label=_("Its middle lies behind the coupling"))
    behind_doubt_mm = _Length(label=_("Behind the coupling, give or take"))
    right_mm = _Length(
        label=_("Its middle lies right of the trailer's"),
        help_text=reader.either(_("Left is below zero: -400 mm."), _("Left is below zero: -16 in.")),
    )
    right_doubt_mm = _Length(label=_("Right of the middle, give or take"))

    gross_mg = _mass(_("Gross mass"), _("A plate not read stays empty."))
    axle_load_mg = _mass(_("Axle load"))
    nose_mg = _mass(_("Nose weight"))
    tyres_side_mg = _mass(_("Tyres of one side, together"))
    rear_axle_mg = _mass(_("Rear axle load"))
    towed_mg = _mass(_("Heaviest trailer it may draw"))
    train_mg = _mass(_("Car and trailer together"))
    ball_nose_mg = _mass(_("Nose weight of the ball"))
    bar_nose_mg = _mass(_("Nose weight of the bar"))
    mass_mg = _mass(_("Weighed as it drives"), _("People and cargo in it, the trailer off."))
    mass_doubt_mg = _mass(_("Weighed as it drives, give or take"))
    rear_mg = _mass(_("Of that on the rear axle"))
    rear_doubt_mg = _mass(_("On the rear axle, give or take"))
    wheelbase_mm = _Length(label=_("From axle to axle"))
    overhang_mm = _Length(label=_("From the rear axle to the ball"))
    empty_mg = _mass(_("Weighed empty"))
    empty_doubt_mg = _mass(_("Weighed empty, give or take"))
    empty_nose_mg = _mass(_("Nose weight, empty"))
    empty_nose_doubt_mg = _mass(_("Nose weight, empty, give or take"))
    axles = cards.Whole(label=_("Axles"), required=False, min_value=1, max_value=4)
    axle_mm = _Length(label=_("Middle of the axles, behind the coupling"))
    axle_doubt_mm = _Length(label=_("Middle of the axles, give or take"))
    floor_from_mm = _Length(label=_("Floor begins behind the coupling"))
    floor_to_mm = _Length(label=_("Floor ends behind the coupling"))
    track_mm = _Length(label=_("From wheel to wheel across"))

    def __init__(self, *args: Any, card: Any, **kwargs: Any) -> None:
        super().__init__(*args, card=card, **kwargs)
        for name in [name for name in self.fields if not hasattr(card, name)]:
            del self.fields[name]
