"""What a form says when something is missing or cannot be: the house's own words for the framework's.

Knows no topic. Takes effect for every form once `speak` was called, at the start of the program.
"""

from typing import Any

from django import forms
from django.contrib.auth import password_validation
from django.core import validators
from django.utils.translation import gettext, ngettext, ngettext_lazy
from django.utils.translation import gettext_lazy as _

_SAYS: dict[type[forms.Field], dict[str, Any]] = {
    forms.Field: {"required": _("This is needed: fill it in.")},
    forms.ChoiceField: {"invalid_choice": _("%(value)s is not one of the choices: choose again.")},
    forms.MultipleChoiceField: {
        "required": _("Tick at least one."),
        "invalid_choice": _("%(value)s is not one of the choices: choose again."),
        "invalid_list": _("Choose from the list."),
    },
    forms.IntegerField: {"invalid": _("Enter a whole number, such as 12.")},
    forms.FloatField: {"invalid": _("Enter a number, such as 12.5.")},
    forms.DecimalField: {"invalid": _("Enter a number, such as 12.50.")},
    forms.DateField: {"invalid": _("This is no date: enter it as 2026-12-04.")},
    forms.DateTimeField: {"invalid": _("This is no date with a time: enter it as 2026-12-04 14:05.")},
    forms.TimeField: {"invalid": _("This is no time: enter it as 14:05.")},
    forms.FileField: {
        "invalid": _("No file came: choose it again."),
        "missing": _("No file came: choose it again."),
        "empty": _("The file is empty: choose another."),
        "max_length": _("The file's name has %(length)d letters; %(max)d are the most."),
        "contradiction": _("Choose a file or tick to take it away, not both."),
    },
    forms.UUIDField: {"invalid": _("What this page was about is not known here: open it again.")},
}


def speak() -> None:
    """Let every field and validator say it so."""
    for field, says in _SAYS.items():
        field.default_error_messages = {**field.__dict__.get("default_error_messages", {}), **says}
    validators.MaxLengthValidator.message = ngettext_lazy(
        "At most %(limit_value)d letter fits here; these are %(show_value)d.",
        "At most %(limit_value)d letters fit here; these are %(show_value)d.",
        "limit_value",
    )
    validators.MinLengthValidator.message = ngettext_lazy(
        "At least %(limit_value)d letter is needed; these are %(show_value)d.",
        "At least %(limit_value)d letters are needed; these are %(show_value)d.",
        "limit_value",
    )
    validators.ProhibitNullCharactersValidator.message = _("A character in it cannot be kept: type it again.")
    validators.MinValueValidator.message = _("At least %(limit_value)s is needed here.")
    validators.MaxValueValidator.message = _("At most %(limit_value)s can be entered here.")


class LongEnough(password_validation.MinimumLengthValidator):
    """A password has so many letters."""

    def get_error_message(self) -> str:
        """What a shorter one is told."""
        return ngettext(
            "The password is too short: it needs at least %(least)d letter.",
            "The password is too short: it needs at least %(least)d characters.",
            self.min_length,
        ) % {"least": self.min_length}


class NotCommon(password_validation.CommonPasswordValidator):
    """A password is none that everybody tries first."""

    def get_error_message(self) -> str:
        """What a common one is told."""
        return gettext("That password is among the first that anybody tries: choose another.")
