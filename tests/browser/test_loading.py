"""A trip loaded from two phones, one of which loses signal for half the list: every line ends aboard once.

Outside: the browser's own switch for the signal; axe for the page.
"""

from collections import Counter
from datetime import timedelta
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.utils import timezone
from playwright.sync_api import Page, expect

from inventory.actions import loading, stock
from inventory.compute.codes import Code
from inventory.models import Event, State, Tag, Trip
from inventory.queries.books import differences
from tests import away
from tests.browser.conftest import PASSWORD
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


def test_good_and_refused_scans_differ_in_word_mark_frame_and_how_they_are_announced(
    phone: Any, open_shop: Shop
) -> None:
    """At arm's length: a word of at least 32 px and a frame of another thickness; a refusal interrupts."""
    away.plan(open_shop)
    names = open_shop.names
    good, wrong = (open_shop.package("glue", grams(100), number=n, place=names["store"]) for n in ("A", "B"))
    open_shop.do(loading.put_on_list, trip=names["trip"], things=[good], zone=names["zone"])
    page = phone("sunniva")
    page.goto(f"/road/{names['trip']}/load/")
    told = page.locator("[data-told]")
    expect(told.locator("[data-outcome] .word")).to_have_count(0)
    seen = {}
    for name, thing, word in (("wrong", wrong, "Not done"), ("good", good, "Aboard")):
        scan(page, code_of(thing))
        all_sent(page)
        expect(told.locator("[data-outcome] .word")).to_have_text(word)
        seen[name] = told.evaluate(
            """(box) => [box.getAttribute('aria-live'), getComputedStyle(box).borderTopWidth,
                box.querySelector('.mark path, .mark circle').outerHTML,
                parseFloat(getComputedStyle(box.querySelector('.word')).fontSize) >= 32]"""
        )
        assert Axe().run(page).violations_count == 0
    assert (seen["wrong"][0], seen["good"][0]) == ("assertive", "polite")
    assert all(seen["wrong"][at] != seen["good"][at] for at in range(3))
    assert seen["wrong"][3]
    assert seen["good"][3]
    expect(page.locator("[data-ten] li.is-wrong .word")).to_have_text(["Not done"])
    expect(page.locator("[data-not-done]")).to_have_text("Scans below that were not done: 1")
    page.get_by_role("button", name="as the list says").click()
    all_sent(page)
    expect(page.locator("[data-not-done]")).to_be_hidden()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def sign_in_anew(page: Page, name: str) -> None:
    """In another tab of the same phone."""
    page.goto("/")
    page.get_by_role("button", name="Sign out").click()
    page.goto("/people/sign-in/")
    page.get_by_label("Name to sign in with").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()


def test_scan_that_the_server_cannot_record_now_waits_and_says_why(phone: Any, open_shop: Shop) -> None:
    """As while its clock is wrong: the scan stays on the phone, and goes once it can.

    Somebody else signs in on the phone: nothing is sent as theirs. The same person again: the page goes on.
    """
    away.plan(open_shop)
    names = open_shop.names
    can = open_shop.package("glue", grams(100), place=names["store"])
    open_shop.do(loading.put_on_list, trip=names["trip"], things=[can], zone=names["zone"])
    page = phone("sunniva")
    page.goto(f"/road/{names['trip']}/load/")
    page.route(
        "**/scan/send/",
        lambda route: route.fulfill(status=503, json={"wrong": "The clock is wrong.", "do": "Set it."}),
    )
    scan(page, code_of(can))
    expect(page.locator("[data-waits]")).to_contain_text("1. The clock is wrong. Set it.")
    other = page.context.new_page()
    sign_in_anew(other, "odd")
    page.unroute("**/scan/send/")
    expect(page.locator("[data-waits]")).to_contain_text("1. You are signed out.", timeout=8_000)
    assert not Event.objects.filter(step="moved").exists()
    sign_in_anew(other, "sunniva")
    all_sent(page)
    assert State.objects.get(thing_id=can).place_id == names["zone"]
    assert Event.objects.get(step="moved").who == open_shop.helper


def complaints(page: Page) -> list[str]:
    """What axe finds on a page: the rule, and the markup it is about."""
    found = Axe().run(page).response["violations"]
    return [f"{rule['id']}: {node['html'][:200]}" for rule in found for node in rule["nodes"]]


def test_the_road_is_walked_on_the_screens_from_leaving_to_the_record(phone: Any, open_shop: Shop) -> None:
    """Leave, arrive, use, come home, count, weigh, record: by buttons; axe finds nothing on any page."""
    open_shop.at = timezone.now() - timedelta(hours=1)
    away.plan(open_shop)
    names = open_shop.names
    jug = open_shop.package("resin", grams(5000), place=names["store"])
    open_shop.do(loading.put_on_list, trip=names["trip"], things=[jug], zone=names["zone"])
    page = phone("odd")
    page.goto(f"/road/{names['trip']}/load/")
    scan(page, code_of(jug))
    all_sent(page)
    page.get_by_role("link", name="All of the list is aboard: leave").click()
    page.get_by_label("We leave all the same").check()
    page.get_by_role("button", name="We are leaving").click()
    page.get_by_role("button", name="We have arrived").click()
    expect(page.get_by_text("Arrived.")).to_be_visible()
    open_shop.at = timezone.now()
    open_shop.do(stock.draw, package=jug, amount=grams(1000))
    page.get_by_role("link", name="Home again").click()
    page.get_by_role("button", name="We are home").click()
    page.get_by_role("textbox", name=Code(code_of(jug)).shown).fill("3.9 kg")
    assert complaints(page) == []
    page.get_by_role("button", name="These are counted").click()
    expect(page.get_by_text("Nothing waits to be counted.")).to_be_visible()
    page.get_by_role("link", name="Weigh the waste").click()
    page.get_by_label("chemical").check()
    page.get_by_label("It weighs").fill("300 g")
    assert complaints(page) == []
    page.get_by_role("button", name="Record").click()
    page.goto(f"/usage/{names['trip']}/record/")
    page.get_by_label("What failed").fill("The second scale.")
    assert complaints(page) == []
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("Kept.")).to_be_visible()
    page.goto("/usage/factors/")
    assert complaints(page) == []
    page.goto(f"/loggers/{code_of(names['trailer'])}/attach/")
    assert complaints(page) == []
    start = timezone.now() - timedelta(hours=40)
    rows = "\n".join(f"{start + timedelta(minutes=20 * n):%Y-%m-%d %H:%M},{20 + n % 18}" for n in range(110))
    page.get_by_label("The logger's file").set_input_files(
        {"name": "log.csv", "mimeType": "text/csv", "buffer": f"Time,Bay (°C)\n{rows}\n".encode()}
    )
    page.get_by_label("Its clock keeps").select_option("UTC")
    page.get_by_role("button", name="Look at it").click()
    expect(page.get_by_text("110 readings")).to_be_visible()
    assert complaints(page) == []
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("highest 37 °C").first).to_be_visible()
    assert complaints(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert list(differences()) == []
