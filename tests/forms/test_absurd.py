"""Absurd numbers and days in every field of every page: refused by the field, or small enough to keep."""

from collections.abc import Iterator, Mapping
from datetime import date
from math import isfinite
from typing import Any

import pytest
from django import forms
from django.contrib.auth import get_user_model
from django.core.files.uploadedfile import UploadedFile
from django.test import Client

from inventory.actions import people
from inventory.compute.expiry import YEARS
from inventory.compute.units import Amount
from inventory.forms.days import Stretches
from tests import crawl
from tests.make import Shop

ABSURD = (
    "9" * 19, "9" * 400, "-" + "9" * 19, "1e308", "1e400", "-1e308", "nan", "inf", "1/0", "0.0000000001",
    f"{'9' * 16} kg", f"{'9' * 18} t", f"{'9' * 16} m", f"{'9' * 30} m2", f"{'9' * 19} x 5 kg",
    f"{'9' * 9} days", f"{'9' * 9} months", f"{'9' * 9}: {'9' * 9}", f"{'9' * 30}: 5",
    "0001-01-01", "9999-12-31", "0001-01-01 to 9999-12-31", "0001-01-01T00:00", "9999-12-31T23:59",
)  # fmt: skip
SQL_MOST = 2**63 - 1  # what a bigint of SQLite and PostgreSQL holds: their manuals, from memory


def too_much(value: Any) -> bool:
    """True when this cannot be kept, or reckoned with by the calendar."""
    if isinstance(value, bool | str | UploadedFile):
        return False
    if isinstance(value, Amount):
        return too_much(value.value)
    if isinstance(value, int):
        return abs(value) * 1000 > SQL_MOST  # a thousand of them together are still one whole number
    if isinstance(value, float):
        return not isfinite(value) or abs(value) > 1e15
    if isinstance(value, date):
        return value.year not in YEARS
    if isinstance(value, Mapping):
        return any(map(too_much, value.values()))
    return any(map(too_much, value)) if isinstance(value, list | tuple | set) else False


def forms_of(answer: Any) -> Iterator[forms.Form]:
    """The forms a page was made with."""
    for part in answer.context or ():
        for values in part.dicts:
            yield from (value for value in values.values() if isinstance(value, forms.Form))


@pytest.fixture
def fields(client: Client, db, settings, tmp_path) -> dict[str, forms.Field]:
    """Every field of every form that a page led to was made with, by the form's and its own name."""
    shop = Shop(at=crawl.begun())
    settings.DATA_FOLDER = tmp_path
    states = crawl.fill(shop)
    people.give_way_in(person=shop.owner, username="someone", password="feather and quill")
    client.force_login(get_user_model().objects.get(username="someone"))
    seen: dict[str, forms.Field] = {}

    def get(address: str) -> tuple[str, object]:
        answer = client.get(address)
        for form in forms_of(answer):
            seen.update({f"{type(form).__qualname__}.{name}": field for name, field in form.fields.items()})
        return crawl.markup_of(answer), answer

    for _page in crawl.pages(get, each=1, more=(*crawl.PRICED, *states)):
        pass
    assert len(seen) > 200
    return seen


def becomes(field: forms.Field, text: str) -> Any:
    """What a field makes of a text; nothing where it refuses. Any other error is no refusal."""
    try:
        return field.clean([text] if isinstance(field, forms.MultipleChoiceField) else text)
    except forms.ValidationError:
        return None


def test_absurd_numbers_and_days_are_refused_by_every_field_of_every_page(fields):
    """Each field by itself, so that no other field's refusal hides it; a usual day is taken by each."""
    wrong = [
        f"{name}: {text[:30]} becomes {str(value)[:40]}"
        for name, field in fields.items()
        for text in ABSURD
        if too_much(value := becomes(field, text))
    ]
    assert wrong == [], "\n".join(wrong)
    days = [field for field in fields.values() if isinstance(field, forms.DateField)]
    assert days
    assert {becomes(field, "2026-12-31") for field in days} == {date(2026, 12, 31)}


def test_stretch_of_days_beyond_the_calendar_is_refused_and_a_usual_one_is_not():
    """A supplier's holidays until the end of time."""
    assert becomes(Stretches(), "2026-07-01 to 2026-07-31") == [["2026-07-01", "2026-07-31"]]
    assert becomes(Stretches(), "2026-07-01 to 9999-12-31") is None
