"""What is said of a delivery that is past its last day as it comes."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.actions import people
from inventory.compute.units import Base
from inventory.models import Material

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("days", "past"), [(0, False), (-1, True)])
def test_receive_page_says_at_once_what_is_past_its_last_day(shop, client, days, past):
    """Usable through today is in its date; through yesterday it is received, and said."""
    people.give_way_in(person=shop.crew, username="crew", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="crew"), "django.contrib.auth.backends.ModelBackend")
    shop.material("resin", Base.MG)
    sent = {"rows": "1", "material": Material.objects.get().id, "number": "N-1", "packages": "2 x 5 kg"}
    sent |= {"expires_on": timezone.localdate() + timedelta(days), "past": "on"}
    page = client.post("/stock/receive/", sent, follow=True).content.decode()
    assert "Received. Print the tags" in page
    assert ("Past the last day already: P" in page) is past
