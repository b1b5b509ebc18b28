"""No line of a page ends between a number and its unit; what is typed, or leaves as a file, is as it was."""

import unicodedata

import pytest
from django.contrib.auth.models import User
from django.test import Client

from inventory.actions import people
from inventory.compute import units
from inventory.compute.units import Amount, Base
from inventory.views import unbroken
from tests.make import Shop, metres

HELD = "666\u00a0g"


def test_space_between_number_and_unit_in_text_holds_them_together():
    """Only there: not in a field, an example to copy, or before another word."""
    told = "<p>666 g of 1.2 kg, <b>70 °C</b>, 5 %</p>"
    assert unbroken.words(told) == "<p>666\u00a0g of 1.2\u00a0kg, <b>70\u00a0°C</b>, 5\u00a0%</p>"
    for same in (
        "<p>5 gates, 3 materials, 2 pieces, 4 kg/m4</p>",
        '<input value="666 g" title="a > 5 g">',
        "<textarea>666 g</textarea>",
        "<code>--length 1840 mm</code>",
        "<script>const limit = '5 g';</script>",
        "<!-- 5 g -->",
    ):
        assert unbroken.words(same) == same
    # What it is, by the Unicode Character Database as Python has it: a space at which no line breaks.
    assert unicodedata.decomposition(unbroken.SPACE) == "<noBreak> 0020"


def test_amount_copied_off_a_page_when_typed_is_the_same_amount():
    assert units.parse(text=HELD, base=Base.MG).amount == Amount(666_000, Base.MG)


@pytest.mark.django_db
def test_list_when_shown_holds_them_together_and_when_it_leaves_does_not(shop: Shop):
    """The page, a search with words copied off it, and its CSV."""
    shop.package("Edge 2 mm", metres(50), "E-1")
    people.give_way_in(person=shop.crew, username="odd", password="a-long-one-for-tests")
    phone = Client()
    phone.force_login(User.objects.get(username="odd"), backend="django.contrib.auth.backends.ModelBackend")
    for words in ("", "Edge 2\u00a0mm"):
        page = phone.get("/stock/", {"q": words}).content.decode()
        assert "Edge 2\u00a0mm" in page
        assert "Edge 2 mm" not in page
    sheet = phone.get("/stock/", {"file": "csv"}).content.decode("utf-8-sig")
    assert "Edge 2 mm" in sheet
    assert "\u00a0" not in sheet
