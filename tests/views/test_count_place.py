"""A large store is counted part by part: each page light, and no package on none of them or on two."""

import re
from uuid import UUID

import pytest

from inventory.actions import stock
from inventory.compute.codes import Kind
from inventory.compute.units import Base
from tests.make import grams
from tests.views.markup import sent
from tests.views.test_every_page import HEAVIEST, weight
from tests.views.test_stock_pages import code, signed_in

pytestmark = pytest.mark.django_db
MANY = 300


def test_store_of_300_packages_is_counted_on_light_pages_and_none_is_left_out(shop, client):
    """Some are found empty and leave the list on the way; one answer is wrong, and its page stays."""
    crew = signed_in(client, shop, "crew")
    store = shop.place(Kind.STORE)
    for name in ("resin of a long name, slow", "hardener, medium"):
        number, packages = f"LOT-2026-{name[:4]}", [grams(1000)] * (MANY // 2)
        material = shop.material(name, Base.MG)
        shop.do(stock.receive_lot, material=material, number=number, packages=packages, place=store)
    address, seen = f"/places/{code(store)}/count/", []
    while address.endswith("/count/") or "?from=" in address:
        page = crew.get(address)
        assert weight(page.content.decode()) < HEAVIEST
        values = sent(page, page.content.count(b'action="/books/undo/'))  # its own form follows the message's
        things = [name.removeprefix("booked_") for name in values if name.startswith("booked_")]
        if not seen:
            wrong = crew.post(address, values | {f"amount_{thing}": "1 m" for thing in things})
            assert wrong.status_code == 422
            assert weight(wrong.content.decode()) < HEAVIEST
            assert [name for name in sent(wrong) if name.startswith("booked_")] == [
                f"booked_{t}" for t in things
            ]
        empty = {f"amount_{thing}": "0 g" for thing in things[:3]}
        answer = crew.post(address, values | empty | {f"as_booked_{thing}": "on" for thing in things[3:]})
        assert answer.status_code == 302
        seen += things
        address = answer.url
    assert address == f"/places/{code(store)}/inside/"
    assert len(seen) == len(set(seen)) == MANY
    amounts = [shop.amount(UUID(thing)) for thing in seen]
    assert set(amounts) == {0, 1_000_000}
    left = crew.get(f"/places/{code(store)}/count/").content.decode()
    (all_,) = re.findall(r"These are packages 1 to \d+ of (\d+)\.", left)
    assert int(all_) == sum(map(bool, amounts)) < MANY
