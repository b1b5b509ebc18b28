"""Where a pair just booked leads on to."""

import re
from datetime import timedelta

import pytest

from inventory.actions import builds
from inventory.models import Pair
from inventory.queries import things
from tests.views.markup import sent
from tests.views.test_stock_pages import signed_in

pytestmark = pytest.mark.django_db


def test_book_where_no_workshop_lies_ahead_says_to_plan_one_first_and_offers_no_empty_choice(shop, client):
    """Once one is planned, it is what there is to choose."""
    client = signed_in(client, shop, "crew")
    page = client.get("/builds/book/").content.decode()
    assert "No workshop lies ahead. Plan it first" in page
    assert 'href="/builds/plan/"' in page
    assert "<select" not in page
    days = {"starts_on": shop.at.date() + timedelta(9), "ends_on": shop.at.date() + timedelta(9)}
    shop.do(builds.plan_workshop, name="Kvitskard", capacity=None, **days)
    page = client.get("/builds/book/").content.decode()
    assert "No workshop lies ahead" not in page
    assert re.findall(r'<select name="(\w+)"', page) == ["workshop"]


def test_book_leads_on_to_the_widths_first_and_to_the_tags(shop, client):
    """The pair's page: what is missing is the main button, its tags are there too; drawn, the card is."""
    client = signed_in(client, shop, "crew")
    page = client.post("/builds/book/", {"guest": "Jonas", "length_mm": "1840"}, follow=True).content.decode()
    assert "Booked. Enter its widths next" in page
    main = re.findall(r'<a class="act act-main" href="([^"]+)">([^<]+)<', page)
    (code,) = things.codes_of([Pair.objects.get().thing_id])
    assert main == [(f"/builds/{code}/design/", "Enter its widths")]
    assert re.search(rf"/tags/choose/\?codes={code.replace('-', '')},SA\w{{6}},SA\w{{6}}\"", page)
    design = f"/builds/{code}/design/"
    given = sent(client.get(design)) | {"tip_mm": "132", "waist_mm": "98", "tail_mm": "120"}
    page = client.post(design, given, follow=True).content.decode()
    assert "Change the spec" in page
    assert "Print its tags" in page
    assert re.findall(r'<a class="act act-main" href="([^"]+)">', page) == [f"/builds/{code}/card/"]
