"""What the first run of a shop asks, a step at a time, to plain values."""

import re
from typing import Any
from uuid import UUID

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from inventory.actions.shop import MOST_PERCENT, MOST_SPARE
from inventory.compute.codes import ALPHABET
from inventory.compute.shop_limits import MOST, SHIPPED
from inventory.forms.fields import never_cut
from inventory.forms.people import Password, SignInName
from inventory.queries import people, zones
from inventory.queries.shop import UNITS

UNITS_IN_WORDS = {"metric": _("Metric: kg, m, °C"), "us": _("US: lb, ft, °F")}
_ADDRESS = re.compile(r"\s*https?://", re.IGNORECASE)
LANGUAGES = (("en", _("English")),)  # one for each language the pages are written in


class Letter(forms.Form):
    """This laptop's letter."""

    letter = forms.ChoiceField(
        label=_("This laptop's letter"),
        choices=[(letter, letter) for letter in sorted(ALPHABET, key=str.isdigit)],
        help_text=_("A for the first laptop of the shop, B for the next."),
    )
    name = forms.CharField(
        label=_("What this laptop is called"),
        max_length=80,
        required=False,
        help_text=_("Such as: the one in the yard. Others see it when the two merge."),
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class ShopCard(forms.Form):
    """The shop's name and settings."""

    name = forms.CharField(label=_("What the shop is called"), max_length=80)
    currency = forms.CharField(
        label=_("Currency"),
        min_length=3,
        max_length=3,
        help_text=_("Three letters, such as EUR, NOK or USD."),
    )
    units = forms.ChoiceField(label=_("Units"), choices=[(units, UNITS_IN_WORDS[units]) for units in UNITS])
    language = forms.ChoiceField(label=_("Language"), choices=LANGUAGES)
    time_zone = forms.ChoiceField(label=_("Time zone"))
    reach = forms.CharField(
        label=_("How a stranger reaches the shop"),
        max_length=200,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Anybody who scans a ski reads this: a mail address or a number of the shop."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        never_cut(self.fields["currency"])
        zone = self.fields["time_zone"]
        assert isinstance(zone, forms.ChoiceField)  # noqa: S101 - for the type checker
        kept = str(self.initial.get("time_zone") or "")
        zone.choices = [(each, each) for each in sorted({*zones.choices(), *filter(None, [kept])})]
        zone.help_text = _("Where the shop is at home: its days begin and end there.")
        if settings.SHOP_TIME_ZONE:
            zone.help_text = format_lazy(
                _("On this laptop SHOP_TIME_ZONE is set, and {name} counts whatever is chosen here."),
                name=settings.SHOP_TIME_ZONE,
            )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Settings(ShopCard):
    """The card, and what a trip carries in reserve."""

    spare_pairs = forms.IntegerField(
        label=_("Spare pairs a workshop"),
        min_value=0,
        max_value=MOST_SPARE,
        help_text=_("Whose materials each workshop carries beyond its booked pairs and open seats."),
    )
    reserve_percent = forms.IntegerField(
        label=_("Reserve of each material, %"),
        min_value=0,
        max_value=MOST_PERCENT,
        help_text=_("Beyond what is needed: what you want left when a trip is over."),
    )


_MM, _PCT = _("In mm; shipped: {shipped}."), _("In per cent of the dry mass; shipped: {shipped}.")


def _limit(name: str, label: Any, unit: Any) -> forms.FloatField:
    shipped = format_lazy(unit, shipped=f"{SHIPPED[name]:g}")
    return forms.FloatField(label=label, required=False, min_value=0, max_value=MOST[name], help_text=shipped)


class Limits(forms.Form):
    """Tolerances of finished skis, and moisture limits of wood. Empty: as shipped."""

    length = _limit("length", _("Length, off the spec"), _MM)
    width = _limit("width", _("A width, off the spec"), _MM)
    camber = _limit("camber", _("Camber, off the spec"), _MM)
    flat = _limit("flat", _("Base, off a true bar"), _MM)
    pair_length = _limit("pair_length", _("Length, left from right"), _MM)
    pair_width = _limit("pair_width", _("A width, left from right"), _MM)
    pair_camber = _limit("pair_camber", _("Camber, left from right"), _MM)
    dry_pct = _limit("dry_pct", _("Wood is too dry below"), _PCT)
    wet_pct = _limit("wet_pct", _("Wood is too wet above"), _PCT)
    apart_pct = _limit("apart_pct", _("Strips of one blank, apart"), _PCT)

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return {"limits": dict(self.cleaned_data)}


class ReaderUnits(forms.Form):
    """Which units one reads."""

    units = forms.ChoiceField(
        label=_("Amounts are told to you"),
        required=False,
        widget=forms.RadioSelect,
        choices=[("", _("As the shop has it")), *((units, UNITS_IN_WORDS[units]) for units in UNITS)],
        help_text=_("What was typed in one of these is shown in it again. You may type any unit."),
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class _HostField(forms.CharField):
    """A host name, also as it is copied off a browser's address line."""

    def to_python(self, value: Any) -> str | None:
        """Without what a tag's address begins and ends with anyway."""
        text = super().to_python(value)
        return _ADDRESS.sub("", text).rstrip("/") if text else text


class Host(forms.Form):
    """The host name on tags."""

    host = _HostField(
        label=_("Host name for tags"),
        min_length=3,
        max_length=14,
        help_text=_("14 characters or fewer, without www., such as TAG.EXAMPLE."),
        error_messages={
            "max_length": _(
                "14 characters fit on a tag; these are %(show_value)d. Take a shorter name for the tags, "
                "or leave it until you have one."
            )
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        never_cut(self.fields["host"])

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        return dict(self.cleaned_data)


class Owner(SignInName, Password):
    """The first owner on this laptop, and the way in."""

    person = forms.ChoiceField(label=_("Who you are"), required=False)
    name = forms.CharField(label=_("Your name"), max_length=80, required=False)

    field_order = ("person", "name", "sign_in", "password", "again")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["password"].help_text = _(
            "At least ten characters. Nobody can read it again: write it down and keep it at home."
        )
        owners = [(str(owner.id), owner.name) for owner in people.owners()]
        field = self.fields["person"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - for the type checker
        field.choices = [*owners, ("", _("somebody else"))]
        if not owners:
            del self.fields["person"]
            self.fields["name"].required = True

    def clean(self) -> dict[str, Any]:
        """The two passwords are one, and it is hard to guess; there is a name."""
        data = super().clean()
        if not data.get("person") and not str(data.get("name", "")).strip():
            self.add_error("name", ValidationError(_("Enter your name."), code="people.no_name"))
        return data

    def values(self) -> dict[str, Any]:
        """Who, and the way in."""
        data = self.cleaned_data
        return {
            "person": UUID(data["person"]) if data.get("person") else None,
            "name": data["name"].strip(),
            "sign_in": data["sign_in"],
            "password": data["password"],
        }
