"""What people say of a temperature logger's file, to plain values."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.actions.loggers import FILE_MOST
from inventory.formats.logger import Hints, Unit
from inventory.formats.sheets_cells import DayOrder
from inventory.queries import loggers
from inventory.queries.loggers import Asked

_ORDERS = [
    ("", _("as the file shows")),
    (DayOrder.DMY, _("day, month, year")),
    (DayOrder.MDY, _("month, day, year")),
    (DayOrder.YMD, _("year, month, day")),
]
_UNITS = [("", _("as the file shows")), (Unit.CELSIUS, _("Celsius")), (Unit.FAHRENHEIT, _("Fahrenheit"))]


def zones() -> list[tuple[str, str]]:
    """The shop's own zone, then the offsets that a clock without summer time keeps."""
    offsets = [f"UTC{hour:+d}" for hour in range(-11, 13) if hour]
    return [(zone, zone) for zone in (str(timezone.get_current_timezone()), "UTC", *offsets)]


class OfFile(forms.Form):
    """Whose file it is and how it is to be read."""

    logger = forms.ChoiceField(label=_("Which logger"), required=False)
    name = forms.CharField(
        label=_("What a new logger is called"),
        max_length=80,
        required=False,
        help_text=_("Or the number on it."),
    )
    zone = forms.ChoiceField(
        label=_("Its clock keeps"),
        help_text=_("A logger that does not change to summer time keeps one offset all year."),
    )
    probe = forms.CharField(
        label=_("Column that counts"),
        max_length=80,
        required=False,
        help_text=_("Where the file has several temperatures; else leave it empty."),
    )
    day_order = forms.ChoiceField(label=_("Order of its dates"), choices=_ORDERS, required=False)
    temperature = forms.ChoiceField(label=_("Its temperatures are"), choices=_UNITS, required=False)
    again = forms.BooleanField(label=_("It writes otherwise now: find out again how"), required=False)

    def __init__(self, *args: Any, place: UUID, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.place = place
        known = loggers.all_of()
        here = [row for row in known if row.place_id == place]
        self._zones = {str(row.id): row.zone for row in known}
        choices = [(str(row.id), row.name) for row in sorted(known, key=lambda row: row not in here)]
        fields: Any = self.fields
        fields["logger"].choices = [*choices, ("", _("a new one"))]
        fields["logger"].initial = str(here[0].id) if here else ""
        more = sorted({(row.zone, row.zone) for row in known} - set(zones()))
        fields["zone"].choices = [*zones(), *more]
        fields["zone"].initial = here[0].zone if here else str(timezone.get_current_timezone())

    def asked(self, sha256: str) -> Asked:
        """As the question takes it."""
        data = self.cleaned_data
        return Asked(
            place=self.place,
            sha256=sha256,
            zone=data["zone"],
            logger=UUID(data["logger"]) if data["logger"] else None,
            name=data["name"].strip(),
            probe=data["probe"].strip(),
            again=data["again"],
            hints=Hints(
                DayOrder(data["day_order"]) if data["day_order"] else None,
                Unit(data["temperature"]) if data["temperature"] else None,
            ),
        )


class Attach(OfFile):
    """A file, to be looked at first."""

    file = forms.FileField(
        label=_("The logger's file"),
        widget=forms.FileInput(
            attrs={
                "accept": ".csv,.txt,.tsv,text/*",
                "data-most": FILE_MOST,
                "data-say-large": _("It is larger than 300 MB: split it by date, one part after the other."),
            }
        ),
        help_text=_(
            "As the logger writes it: at most 300 MB, five million lines and five years; split a longer one "
            "by date. Nothing is kept before you have seen what is in it."
        ),
    )
    field_order = ("file", "logger", "name", "zone", "probe", "day_order", "temperature", "again")


class Keep(OfFile):
    """The file that was looked at, by the hash of its content."""

    sha256 = forms.CharField(max_length=64, widget=forms.HiddenInput)
    sure = forms.BooleanField(label=_("It is the right file all the same"), required=False)


class Stop(forms.Form):
    """Which reading of a long file."""

    reading = forms.UUIDField()


_SPANS = [(7, _("7 days")), (30, _("30 days")), (91, _("3 months")), (365, _("year"))]


def span_since(moment: datetime | None, now: datetime) -> int:
    """The shortest of these, in days, that goes back to a moment; the longest where none does."""
    longest = _SPANS[-1][0]
    if moment is None:
        return longest
    return next((days for days, _label in _SPANS if now - moment <= timedelta(days=days)), longest)


class Span(forms.Form):
    """How far back to look."""

    days = forms.TypedChoiceField(label=_("The last"), coerce=int, choices=_SPANS)
