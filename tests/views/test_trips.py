"""Trips' pages: the list, and what is put on it, set aside and taken off by the pages' own forms."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.actions import people
from inventory.models import Listed, Tag
from tests import away, make
from tests.make import metres
from tests.views.markup import read

pytestmark = pytest.mark.django_db


def code(thing) -> str:
    return Tag.objects.filter(thing_id=thing).order_by("code").first().code


@pytest.fixture
def shop(db):
    """A shop some hours ago by this computer's clock, which the pages read; a trip in three days."""
    return away.plan(make.Shop(at=timezone.now() - timedelta(hours=5)))


@pytest.fixture
def crew(shop, client):
    people.give_way_in(person=shop.crew, username="crew", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="crew"), backend="django.contrib.auth.backends.ModelBackend")
    return client


def address(shop, verb: str) -> str:
    return f"/trips/{shop.names['trip']}/{verb}/"


def test_list_when_nothing_is_on_it_says_what_to_do_next(crew, shop):
    assert "Nothing is on the list yet" in crew.get(address(shop, "list")).content.decode()


def test_put_on_when_a_jug_is_scanned_shows_it_in_its_place(crew, shop):
    jug = shop.package(place=shop.names["store"])
    values = {"things": code(jug), "zone": str(shop.names["zone"]), "why": "For every pair."}
    page = crew.post(address(shop, "put-on"), values, follow=True)
    assert page.redirect_chain[-1][0] == address(shop, "list")
    text = page.content.decode()
    assert all(word in text for word in ("the barn", "To zone 1, Wren.", "For every pair."))


def test_set_aside_when_a_length_is_typed_keeps_it_and_what_is_no_length_is_said(crew, shop):
    coil = shop.package("edge", metres(50), "E-1", place=shop.names["store"])
    wrong = crew.post(address(shop, "set-aside"), {"package": code(coil), "amount": "4 kg"})
    assert wrong.status_code == 422
    assert not Listed.objects.exists()
    crew.post(address(shop, "set-aside"), {"package": code(coil), "amount": "4.1 m"})
    assert Listed.objects.get().amount == 4_100


def test_take_off_when_it_is_listed_leaves_the_list_bare(crew, shop):
    jug = shop.package()
    for verb in ("put-on", "take-off"):
        crew.post(address(shop, verb), {"things": code(jug)})
    assert Listed.objects.get().ended
    again = crew.post(address(shop, "take-off"), {"things": code(jug)})
    assert again.status_code == 409
    assert "is not on the list of this trip" in again.content.decode()


def test_put_on_when_the_form_says_where_it_was_leads_back_there(crew, shop):
    jug = shop.package()
    to = address(shop, "trip")
    answer = crew.post(address(shop, "put-on"), {"things": code(jug), "next": to})
    assert answer.url == to


@pytest.mark.parametrize("verb", ["list", "put-on", "set-aside", "take-off"])
def test_trips_pages_are_valid_html(crew, shop, verb):
    jug = shop.package(place=shop.names["store"])
    crew.post(address(shop, "put-on"), {"things": code(jug)})
    read(crew.get(address(shop, verb)).content.decode())
