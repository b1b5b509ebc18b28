"""Every form's errors are in the shop's own words.

Outside check: Django's own texts are the keys of the German catalogue it ships; none of them may be shown.
"""

import gettext
import importlib
import pkgutil
from collections.abc import Iterator
from pathlib import Path

import django
import pytest
from django import forms as django_forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile

from inventory import forms

CATALOGUES = ("conf", "contrib/auth")
WRONG = ("", None, "x", "-1", "9" * 400, "1.5", "\0", "x" * 30_000, ["x"], [], 10**9, "2026-13-40")


def djangos_own() -> set[str]:
    """Every text that Django itself says, singular and plural."""
    found = set()
    for folder in CATALOGUES:
        file = Path(django.__file__).parent / folder / "locale/de/LC_MESSAGES/django.mo"
        with file.open("rb") as catalogue:
            keys = gettext.GNUTranslations(catalogue)._catalog
        found |= {key[0] if isinstance(key, tuple) else key for key in keys}
    return found - {""}


def ours(form: type) -> bool:
    """True for a form of the house; Django's own are nowhere shown."""
    return form.__module__.startswith(forms.__name__)


def all_forms() -> Iterator[type[django_forms.BaseForm]]:
    """Every form of the house."""
    for module in pkgutil.iter_modules(forms.__path__, f"{forms.__name__}."):
        for value in vars(importlib.import_module(module.name)).values():
            if isinstance(value, type) and issubclass(value, django_forms.BaseForm) and ours(value):
                yield value


FORMS = list(dict.fromkeys(all_forms()))


def raw(error: ValidationError) -> Iterator[str]:
    """The templates of an error, before values are put in."""
    for each in error.error_list:
        yield str(each.message)


def said_by(field: django_forms.Field) -> set[str]:
    """What a field could say, and what it does say to a dozen wrong values and to an empty file."""
    said = {str(text) for text in field.error_messages.values()}
    for value in (*WRONG, SimpleUploadedFile("a" * 300, b"")):
        try:
            field.clean(value, None) if isinstance(field, django_forms.FileField) else field.clean(value)
        except ValidationError as error:
            said |= set(raw(error))
        except (AttributeError, TypeError):
            continue  # no browser sends a field such a value
    return said


@pytest.mark.parametrize(
    "form", FORMS, ids=lambda form: f"{form.__module__.rpartition('.')[2]}.{form.__name__}"
)
def test_form_says_no_word_of_djangos_own(form, db):
    """Field by field, and of the form as a whole."""
    said = {str(text) for text in getattr(form, "error_messages", {}).values()}
    said = said.union(*(said_by(field) for field in form.base_fields.values()))
    assert said.isdisjoint(djangos_own())


def test_the_words_of_django_are_found_where_they_are_looked_for():
    """The check can fail: a field made before the words were put there says Django's own."""
    theirs = djangos_own()
    assert {"This field is required.", "Enter a whole number.", "Enter a valid date."} <= theirs
    assert sum(len(form.base_fields) for form in FORMS) > 300
