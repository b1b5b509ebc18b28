"""Signing in, and what an owner types about people."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm, UsernameField
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from inventory.queries import people
from inventory.roles import Role

NAME_TO_SIGN_IN = _("Name to sign in with")
_ROLES = [
    (Role.HELPER.value, _("helper: scans, moves, counts, records at the bench; no prices, no contacts")),
    (Role.CREW.value, _("crew: everything at the yard, on trips, at the bench")),
    (Role.OWNER.value, _("owner: everything, people and backups too")),
]


class SignIn(AuthenticationForm):
    """Name, password, and whether the phone is shared."""

    error_messages = {
        "invalid_login": _("This name and this password do not belong together; capitals count."),
        "inactive": _("This way in was closed. Ask an owner."),
    }

    username = UsernameField(label=NAME_TO_SIGN_IN, widget=forms.TextInput(attrs={"autofocus": True}))
    shared = forms.BooleanField(
        label=_("Others use this device too: sign me out after an hour"), required=False
    )


class Password(forms.Form):
    """A new password, twice."""

    password = forms.CharField(
        label=_("Password"),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=_("At least ten characters. Nobody can read it again."),
    )
    again = forms.CharField(
        label=_("Password, once more"), widget=forms.PasswordInput(attrs={"autocomplete": "new-password"})
    )

    def clean(self) -> dict[str, Any]:
        """The two passwords are one, and it is hard to guess."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        password = data.get("password")
        if password and password != data.get("again"):
            self.add_error(
                "again", ValidationError(_("The two are not the same."), code="people.password_apart")
            )
        if password:
            try:
                validate_password(password)
            except ValidationError as error:
                self.add_error("password", error)
        return data


class SignInName(forms.Form):
    """The name somebody signs in with."""

    sign_in = forms.CharField(label=NAME_TO_SIGN_IN, max_length=150)

    def clean_sign_in(self) -> str:
        """A name nobody signs in with yet."""
        text = str(self.cleaned_data["sign_in"]).strip()
        if people.sign_in_taken(text):
            raise ValidationError(_("Somebody signs in with that name already."), code="people.sign_in_taken")
        return text


class Person(forms.Form):
    """A person's card."""

    name = forms.CharField(label=_("Name"), max_length=80)
    role = forms.ChoiceField(label=_("Works as"), choices=_ROLES, widget=forms.RadioSelect)
    under_18 = forms.BooleanField(
        label=_("Is under 18"),
        required=False,
        help_text=_("Then nobody can be recorded as doing what only adults do by this name."),
    )

    licence = forms.CharField(
        label=_("May drive"),
        max_length=40,
        required=False,
        help_text=_("As on the licence, such as B, BE."),
    )
    size = forms.CharField(
        label=_("Size of what is worn"),
        max_length=20,
        required=False,
        help_text=_("As on the respirator: S, M, L."),
    )

    def values(self) -> dict[str, Any]:
        """As the action takes them."""
        fields = ("name", "under_18", "licence", "size")
        return {field: self.cleaned_data[field] for field in fields} | {
            "role": Role(self.cleaned_data["role"])
        }


class TakeOn(Password, SignInName, Person):
    """Somebody new, and the way in on this laptop."""

    field_order = ("name", "role", "under_18", "sign_in", "password", "again")


class FirstWayIn(Password, SignInName):
    """A way in for somebody who has none here."""

    field_order = ("sign_in", "password", "again")


class EraseCrew(forms.Form):
    """Someone of the crew is erased once an owner is sure."""

    told = forms.BooleanField(
        label=_("They left, and what the law asks to be kept of them is kept elsewhere")
    )

    def values(self) -> dict[str, Any]:
        """Nothing but the tick."""
        return {}


class Erase(forms.Form):
    """A guest is erased once the guest was told what that means."""

    told = forms.BooleanField(label=_("The guest asked for it, and was told that nobody can warn them then"))
    reviewed = forms.BooleanField(
        label=_("I reviewed the open recall: the guest knows of it, and has what they need to act on it")
    )

    def __init__(self, *args: Any, in_recall: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not in_recall:
            del self.fields["reviewed"]

    def values(self) -> dict[str, Any]:
        """Nothing but the tick."""
        return {}
