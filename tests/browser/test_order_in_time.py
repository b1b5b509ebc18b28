"""A guest is booked, the list asks for more, an order is written, sent and comes in part; the trip knows."""

import subprocess
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.utils import timezone
from playwright.sync_api import Page, expect

from inventory.actions import trips
from inventory.compute.codes import Kind
from inventory.models import Order
from tests.make import Shop
from tests.season_shop import Planned, plan

pytestmark = pytest.mark.browser


def press(page: Page, name: str) -> None:
    page.get_by_role("main").get_by_role("button", name=name, exact=True).click()


def follow(page: Page, name: str) -> None:
    page.get_by_role("main").get_by_role("link", name=name, exact=True).first.click()


def about_glue(page: Page, trip: Any) -> str:
    """What the trip's answer says of the glue."""
    page.goto(f"/trips/{trip}/trip/")
    notes = page.get_by_role("main").get_by_role("listitem").filter(has_text="Glue")
    return " ".join(notes.all_inner_texts())


@pytest.fixture
def winter(open_shop: Shop) -> Planned:
    """One workshop in a month with four seats, two pairs booked, by this computer's clock."""
    open_shop.at = timezone.now() - timedelta(hours=5)
    planned = plan(open_shop, timezone.localdate(), starts=(30,), seats=4, fill_percent=0)
    planned.trip = open_shop.do(  # type: ignore[attr-defined]
        trips.plan_trip,
        name="Hut 1",
        leaves_on=planned.day(29),
        back_on=planned.day(32),
        trailers=[open_shop.place(Kind.TRAILER, "Stoat")],
        workshops=planned.workshops,
    ).thing
    return planned


def test_booking_ordering_and_receiving_part_changes_the_next_trips_answer(
    phone: Any, winter: Planned
) -> None:
    """30 g of glue for two pairs and a spare one; a third guest makes 40 g; one pack of 50 g comes in."""
    trip = winter.trip  # type: ignore[attr-defined]
    page = phone("ragna")
    before = about_glue(page, trip)
    assert before

    page.goto(f"/season/{winter.season}/material/glue/")
    expect(page.get_by_role("main")).to_contain_text("30")
    page.goto(f"/seats/{winter.workshops[0]}/book/")
    page.get_by_label("Name", exact=True).fill("Åsa Nilsdotter")
    press(page, "Book it")
    page.goto("/season/")
    expect(page.get_by_role("main")).to_contain_text("Hut 1")
    assert Axe().run(page).violations_count == 0
    follow(page, "What to order")
    expect(page.get_by_role("main")).to_contain_text("Send it by")
    assert Axe().run(page).violations_count == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.locator(".fold-small > summary").first.click()
    follow(page, "Glue")
    expect(page.get_by_role("main")).to_contain_text("40")
    assert Axe().run(page).violations_count == 0

    page.go_back()
    follow(page, "Write this order")
    press(page, "Write it")
    expect(page.get_by_role("status")).to_contain_text("The order is written.")
    follow(page, "It is sent")
    press(page, "Keep")
    expect(page.get_by_role("main")).to_contain_text("sent")
    follow(page, "Receive what came")
    page.locator("[name=packages]").fill("")  # the core blanks did not come
    page.locator("[name=expires_on_2]").fill(
        winter.day(200).isoformat()
    )  # glue without a date counts for none
    press(page, "Receive")
    expect(page.get_by_role("status")).to_contain_text("Print the tags")

    order = Order.objects.get()
    page.goto(f"/orders/{order.id}/order/")
    expect(page.get_by_role("main")).to_contain_text("Part here")
    assert Axe().run(page).violations_count == 0
    after = about_glue(page, trip)
    assert after != before
    page.goto(f"/season/{winter.season}/list/")
    expect(page.get_by_role("main")).to_contain_text("Written and on the way")
    expect(page.get_by_role("main").get_by_role("link", name="Write this order")).to_have_count(0)


def printed(page: Page, file: Path, size: str) -> tuple[int, str]:
    """How many pages of a paper the page prints on, and what stands there."""
    page.pdf(path=file, format=size)
    told = subprocess.run(["pdfinfo", file], capture_output=True, text=True, check=True).stdout
    text = subprocess.run(["pdftotext", "-layout", file, "-"], capture_output=True, text=True, check=True)
    return int(told.split("Pages:")[1].split()[0]), text.stdout


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_list_prints_short_and_the_reasons_only_where_they_were_opened(
    phone: Any, winter: Planned, tmp_path: Path, size: str
) -> None:
    """Lines and sums on two sides at the most; opened, the reasons of the lines stand there too."""
    page = phone("ragna")
    page.goto(f"/season/{winter.season}/list/")
    sides, told = printed(page, tmp_path / "short.pdf", size)
    assert sides <= 2
    for words in ("Glue", "All of it", "Material by material"):
        assert words in told, words
    for words in ("Why these lines", "How we got this", "Needed for", "Rule:"):
        assert words not in told, words
    page.get_by_text("Why these lines").first.click()
    told = printed(page, tmp_path / "long.pdf", size)[1]
    assert "Needed for" in told
    assert "Rule:" not in told
