"""The starter catalogue: by one tap or ticked, never twice, and what it made says where it is from."""

import pytest
from django.contrib.auth.models import User
from django.test import Client

from inventory.actions import people
from inventory.models import Material
from inventory.queries import catalogue
from tests.make import Shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def crew(client: Client, shop: Shop) -> Client:
    """Crew, signed in."""
    people.give_way_in(person=shop.crew, username="odd", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="odd"))
    return client


def test_catalogue_page_takes_what_is_ticked(crew, shop):
    """Two ticks: two cards; they are offered no more."""
    ticked = {"materials": ["epoxy-resin", "edge-steel"], "equipment": ["extinguisher"]}
    assert crew.post("/catalogue/", ticked).status_code == 302
    assert set(Material.objects.values_list("key", flat=True)) == {"epoxy-resin", "edge-steel"}
    page = crew.get("/catalogue/").content.decode()
    assert 'value="epoxy-resin"' not in page
    assert 'value="acetone"' in page
    assert crew.post("/catalogue/", {"token": ""}).status_code == 409
    assert crew.post("/catalogue/", {"materials": ["nonsense"]}).status_code == 422


def test_starter_list_is_taken_by_one_tap_from_the_empty_page_and_twice_is_once(crew, shop):
    """Offered where no card is; tapped on a page that stood open, it changes nothing and says so."""
    assert 'name="every" value="materials"' in crew.get("/materials/").content.decode()
    for said in ("check their numbers", "is here already"):
        page = crew.post("/catalogue/", {"every": "materials"}, follow=True)
        assert page.redirect_chain[-1][0] == "/materials/"
        assert said in page.content.decode()
    assert Material.objects.count() == len(catalogue.offered().entries)
    for address in ("/materials/", "/catalogue/"):
        assert 'name="every"' not in crew.get(address).content.decode()
    card = crew.get("/materials/epoxy-resin/card/").content.decode()
    assert "from the starter list: check against your data sheet" in card
