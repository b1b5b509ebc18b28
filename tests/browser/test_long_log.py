"""A long logger's file: read with its progress on the page, left off, read on; with scripts and without.

Outside: a browser that draws a page while it comes; axe for the page.
"""

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from inventory.compute.codes import Kind
from inventory.models import Event, Tag
from inventory.queries.books import differences
from tests.make import Shop

pytestmark = pytest.mark.browser
LINES = 180_000  # just long enough to be read piece by piece


def content() -> bytes:
    start = datetime(2026, 1, 1, tzinfo=UTC)
    rows = (f"{start + timedelta(minutes=n):%Y-%m-%d %H:%M:%S},{20 + n % 9}.{n % 10}" for n in range(LINES))
    return ("Time,Bay (°C)\n" + "\n".join(rows)).encode()


def send(page: Page, code: str) -> None:
    page.goto(f"/loggers/{code}/attach/")
    file = {"name": "log.csv", "mimeType": "text/csv", "buffer": content()}
    page.get_by_label("The logger's file").set_input_files(file)
    page.get_by_label("Its clock keeps").select_option("UTC")
    page.get_by_role("button", name="Look at it").click(no_wait_after=True)


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without"])
def test_long_file_is_left_off_and_then_read_to_its_end(phone: Any, open_shop: Shop, scripts: bool) -> None:
    """Progress grows before the page is whole; *Stop* says whether it was in time; then it is kept."""
    code = Tag.objects.get(thing_id=open_shop.place(Kind.TRAILER, "Wren")).code
    page = phone("sunniva", java_script_enabled=scripts)
    send(page, code)
    expect(page.locator(".steps > p").nth(1)).to_be_attached(timeout=60_000)
    page.get_by_role("link", name="Stop reading, keep nothing").click()
    page.wait_for_url("**/attach/")
    assert not Event.objects.filter(step="temperatures logged").exists()
    send(page, code)
    expect(page.get_by_role("button", name="Keep it")).to_be_visible(timeout=60_000)
    expect(page.locator(".steps > p").last).to_contain_text("100 %")
    if scripts:
        assert Axe().run(page).violations_count == 0
    page.get_by_role("button", name="Keep it").click(no_wait_after=True)
    expect(page.get_by_text("It is being read once more")).to_be_visible(timeout=60_000)
    page.get_by_role("button", name="Stop reading, keep nothing").dispatch_event(
        "click"
    )  # the page still grows
    told = page.get_by_text(
        re.compile("Stopped. Nothing was kept.|Too late: it was read to its end already.")
    )
    in_time = "Stopped" in told.first.inner_text()  # a machine may be quicker than a finger
    assert Event.objects.filter(step="temperatures logged").exists() is not in_time
    send(page, code)
    expect(page.get_by_role("button", name="Keep it")).to_be_visible(timeout=60_000)
    page.get_by_role("button", name="Keep it").click(no_wait_after=True)
    kept = "Kept." if in_time else "Known before: nothing changed."
    expect(page.get_by_text(kept, exact=True)).to_be_visible(timeout=60_000)
    if scripts:
        assert Axe().run(page).violations_count == 0
    page.get_by_role("link", name="How warm it was").click()
    expect(page.get_by_text("highest 28.9 °C").first).to_be_visible(timeout=60_000)
    assert Event.objects.filter(step="temperatures logged").count() == 1
    assert list(differences()) == []
