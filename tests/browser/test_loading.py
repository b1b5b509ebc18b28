"""A trip loaded from two phones, one of which loses signal for half the list: every line ends aboard once.

Outside: the browser's own switch for the signal; axe for the page.
"""

from collections import Counter
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from inventory.actions import loading
from inventory.models import Event, State, Tag, Trip
from inventory.queries.books import differences
from tests import away
from tests.make import Shop, grams

pytestmark = pytest.mark.browser


def code_of(thing: object) -> str:
    return Tag.objects.get(thing_id=thing).code


def scan(page: Page, text: str) -> None:
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def all_sent(page: Page) -> None:
    expect(page.locator("[data-waits]")).to_be_hidden(timeout=20_000)


def test_trip_is_loaded_from_two_phones_of_which_one_loses_signal(phone: Any, open_shop: Shop) -> None:
    """Twelve packages: six by each phone, and two by both; the second phone is offline for its half."""
    away.plan(open_shop)
    names = open_shop.names
    cans = [open_shop.package("glue", grams(100), number=f"N-{n}", place=names["store"]) for n in range(12)]
    open_shop.do(loading.put_on_list, trip=names["trip"], things=cans, zone=names["zone"])
    Trip.objects.get(id=names["trip"])
    one, two = phone("sunniva"), phone("odd")
    for page in (one, two):
        page.goto(f"/road/{names['trip']}/load/")
        expect(page.locator("[data-left]")).to_have_text("12")
    two.context.set_offline(True)
    for number in range(7):
        scan(one, code_of(cans[number]))
        scan(two, code_of(cans[11 - number]))
    expect(two.locator("[data-waits]")).to_contain_text("7")
    all_sent(one)
    two.context.set_offline(False)
    all_sent(two)
    expect(two.locator("[data-left]")).to_have_text("0")
    expect(two.locator(f'[data-line="{code_of(cans[11])}"]')).to_contain_text("Aboard")
    moved = Counter(Event.objects.filter(step="moved").values_list("lines__thing_id", flat=True))
    assert set(moved) == set(cans)
    assert set(State.objects.filter(thing_id__in=cans).values_list("place_id", flat=True)) == {names["zone"]}
    assert sum(moved.values()) == 12
    assert list(differences()) == []
    assert Axe().run(two).violations_count == 0
    assert two.evaluate("document.documentElement.scrollWidth") <= 390


def test_wrong_lot_is_said_at_the_scan_and_put_right_with_one_tap(phone: Any, open_shop: Shop) -> None:
    """The list names one can; the other is scanned, and taken in its place."""
    away.plan(open_shop)
    names = open_shop.names
    right, wrong = (open_shop.package("glue", grams(100), number=n, place=names["store"]) for n in ("A", "B"))
    open_shop.do(loading.put_on_list, trip=names["trip"], things=[right], zone=names["zone"])
    page = phone("sunniva")
    page.goto(f"/road/{names['trip']}/load/")
    scan(page, code_of(wrong))
    expect(page.get_by_role("status").first).to_contain_text("The list names")
    page.get_by_role("button", name="Take this one in its place").click()
    all_sent(page)
    expect(page.locator("[data-left]")).to_have_text("0")
    assert State.objects.get(thing_id=wrong).place_id == names["zone"]
    assert State.objects.get(thing_id=right).place_id == names["store"]
