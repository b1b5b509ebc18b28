"""On a phone, by scans: from a returned ski to whom to tell, and a helper who is stopped on the trailer."""

import re
import time
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from inventory.actions import places, stock
from inventory.compute.codes import Kind
from inventory.models import Guest, Recall, Tag
from tests.make import Shop, grams
from tests.returns import Bench

pytestmark = pytest.mark.browser
TWO_MINUTES = 120


def code_of(thing: Any) -> str:
    return Tag.objects.filter(thing_id=thing).order_by("code").first().code


@pytest.fixture
def world(open_shop: Shop) -> dict[str, Any]:
    """Four pairs of one jug came back before, five others are out; a rest of the jug is on a trailer."""
    open_shop.at = timezone.now() - timedelta(hours=8)
    bench = Bench(open_shop)
    guilty = [bench.pair("TH-2466", guest=f"Guest {name}") for name in "ABCDE"]
    for number in range(15):
        bench.pair("TH-1", guest=f"Other {number}")
    Guest.objects.filter(name__startswith="Guest").update(contact="by phone")
    today = timezone.localdate()
    for built in guilty[1:]:
        bench.back(built.left, came_on=today)
    stoat = open_shop.place(Kind.TRAILER, "Stoat")
    small = open_shop.do(stock.split_package, package=bench.jug("TH-2466"), amount=grams(400)).thing
    open_shop.do(places.move, things=[small], to=stoat)
    return {"ski": code_of(guilty[0].left), "jug": code_of(bench.jug("TH-2466")), "small": code_of(small)}


def scan(page: Page, code: str) -> None:
    """As a hand scanner does: the code, then Enter."""
    line = page.locator("#scan-line")
    line.fill(code)
    line.press("Enter")
    expect(page).to_have_url(re.compile(code, re.IGNORECASE))


def test_from_the_scan_to_whom_to_tell_on_a_phone(phone: Any, world: dict[str, Any]) -> None:
    """An owner logs the fifth pair, finds the jug, recalls; a helper who scans the other rest is stopped."""
    page = phone("ragna")
    begun = time.monotonic()
    scan(page, world["ski"])
    page.get_by_role("link", name="It came back").click()
    page.get_by_label("What is wrong with it").select_option("delamination-tip")
    page.locator(".ski-zones label").first.click()
    page.get_by_label("What you see").fill("A gap at the tip.")
    page.get_by_role("button", name="Log it").click()
    page.get_by_role("link", name="Suspects of this failure").click()
    first = page.locator(".suspect").first
    expect(first).to_contain_text("unlikely to be chance")
    expect(first).to_contain_text("TH-2466")
    first.get_by_role("link", name=re.compile("What shares hardener package")).click()
    expect(page.get_by_role("main")).to_contain_text("10 skis have it in them")
    expect(page.get_by_role("main")).to_contain_text("Stoat")
    page.get_by_role("link", name="Open a recall from it").click()
    page.get_by_label("What to call it").fill("Jug of TH-2466")
    page.get_by_label("What failed").select_option("delamination-tip")
    page.get_by_label("Why, for the hold and the record").fill("Five tips part.")
    page.get_by_role("button", name="Open the recall").click()
    main = page.get_by_role("main")
    for name in "ABCDE":
        expect(main).to_contain_text(f"Guest {name}")
    expect(main).to_contain_text("To tell: 5")
    assert "Other" not in main.inner_text()
    assert time.monotonic() - begun < TWO_MINUTES
    assert Recall.objects.count() == 1
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= 390

    helper = phone("sunniva")
    scan(helper, world["small"])
    expect(helper.get_by_role("main")).to_contain_text("On hold")
    expect(helper.get_by_role("link", name="Take out")).to_have_count(0)

    stranger = phone()
    stranger.goto(f"/OBJ/{world['ski']}")
    expect(stranger.get_by_role("main")).to_contain_text("Stop using them.")


def test_log_works_without_scripts(phone: Any, world: dict[str, Any]) -> None:
    """The list of places under the drawing is what is sent."""
    page = phone("sunniva", java_script_enabled=False)
    page.goto(f"/skis-back/log/?skis={world['ski']}")
    page.get_by_label("What is wrong with it").select_option("edge")
    page.get_by_label("tail", exact=True).check()
    page.get_by_label("What you see").fill("An edge lifts.")
    page.get_by_role("button", name="Log it").click()
    expect(page.get_by_role("main")).to_contain_text("An edge lifts.")
    expect(page.get_by_role("main")).to_contain_text("tail")
