"""Amounts of what to order: one unit to a column, so that rows can be held against each other.

Outside check: 1 lb = 453.59237 g (NIST Special Publication 811, appendix B, from memory).
"""

import re
from datetime import timedelta
from decimal import ROUND_CEILING, Decimal

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils import timezone

from inventory.actions import people
from inventory.actions.shop import change_shop
from inventory.models import Order
from inventory.queries.season import plan as season_plan
from inventory.queries.season import season as one_season
from tests import make
from tests.season_shop import plan

pytestmark = pytest.mark.django_db


def columns(text: str, *labels: str) -> set[tuple[str, str]]:
    """Numbers and units of a table's cells under these labels."""
    cells = re.findall(r'<td[^>]*data-h="([^"]*)"[^>]*>(.*?)</td>', text, re.DOTALL)
    told = [re.sub(r"<[^>]+>|\s+", " ", cell) for label, cell in cells if label in labels]
    return {tuple(cell.split()) for cell in told if re.search(r"\d+\.\d+\s+\S|[1-9]\d*\s+k?g", cell)}


def test_list_material_and_order_tell_weights_in_one_unit_whatever_their_size(client):
    """80 g of glue a workshop, packs of 50 g: kilograms in every cell, pounds for who reads them."""
    shop = make.Shop(at=timezone.now() - timedelta(hours=5))
    planned = plan(shop, timezone.localdate())
    people.give_way_in(person=shop.crew, username="crew", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="crew"), backend="django.contrib.auth.backends.ModelBackend")
    address = f"{reverse('orders-write', args=[planned.supplier])}?season={planned.season}"
    assert client.post(address, {"token": "", f"packs_{planned.offers['glue'].hex}": 2}).status_code == 302
    pages = [
        reverse("season-list", args=[planned.season]),
        reverse("season-material", args=[planned.season, "glue"]),
        reverse("orders-order", args=[Order.objects.get().id]),
        reverse("orders-sheet", args=[Order.objects.get().id]),
    ]
    labels = (
        "Needed",
        "Not covered",
        "To buy",
        "Over after",
        "One pack",
        "In all",
        "Ordered",
        "Booked alone",
    )
    for page in pages:
        found = columns(client.get(page).content.decode(), *labels)
        assert found, page
        assert {unit for _, unit in found} == {"kg"}, page
        assert all(re.fullmatch(r"\d+\.\d\d", number) for number, _ in found), "as many decimals in every row"

    row = season_plan.season_list(one_season(planned.season), planned.today).row("glue")
    shop.do(change_shop, units="us")
    found = columns(client.get(pages[0]).content.decode(), "Needed")
    pounds = Decimal(row.plan.planned) / Decimal("453592.37")
    assert found == {(str(pounds.quantize(Decimal("0.01"), ROUND_CEILING)), "lb")}
