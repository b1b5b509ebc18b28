"""Every page has a right, or stands in the short list of pages open to all."""

import pytest
from django.test import Client
from django.urls import reverse

from inventory.actions import people
from inventory.roles import OPEN_TO_ALL, Right
from tests.architecture.addresses import Address, addresses
from tests.make import Shop

named = pytest.mark.parametrize("address", addresses(), ids=lambda address: address.name or address.route)


@named
def test_address_has_a_right_or_is_open(address: Address) -> None:
    """One of the two, never both and never neither."""
    right = getattr(address.view, "right", None)
    assert isinstance(right, Right) != (address.name in OPEN_TO_ALL)


def test_open_to_all_names_pages_that_exist() -> None:
    """A name left over would open a later page by accident."""
    assert set(OPEN_TO_ALL) - {address.name for address in addresses()} == set()


@named
def test_address_when_a_stranger_asks_shows_only_what_is_open(
    address: Address, client: Client, shop: Shop
) -> None:
    """A stranger is sent to sign in from every page but the open ones, by GET and by POST."""
    assert shop.owner
    people.give_way_in(person=shop.owner, username="ragna", password="a-long-one-for-tests")
    for answer in (client.get(address.sample), client.post(address.sample)):
        sent_away = answer.status_code == 302 and answer["Location"].startswith(reverse("people-sign-in"))
        assert sent_away != (address.name in OPEN_TO_ALL)
