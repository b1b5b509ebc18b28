"""The pages of scanning and tags on a phone: axe (WCAG 2.2 AA), width, both themes."""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from inventory.actions import tags
from inventory.compute.codes import Kind
from inventory.models import Tag
from tests.make import Shop

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_pages_of_scanning_and_tags_fit_a_phone_and_have_no_faults(
    phone: Any, open_shop: Shop, theme: str
) -> None:
    """Each page at 390 px: nothing to scroll sideways, nothing axe objects to."""
    jug = Tag.objects.get(thing_id=open_shop.package()).code
    bin_ = Tag.objects.get(thing_id=open_shop.place(Kind.BIN, "bin 1")).code
    open_shop.do(tags.print_ahead, kind=Kind.BIN, count=2)
    spare = Tag.objects.filter(thing=None).first()
    assert spare is not None
    page = phone("ragna", color_scheme=theme)
    for address in (
        "/scan/?code=SA8KJ2MX",
        f"/scan/?code={spare.code}",
        "/scan/photo/",
        "/scan/failed/",
        "/scan/many/",
        f"/tags/choose/?codes={jug},{bin_}",
        f"/tags/choose/?codes={jug}",
        f"/tags/{jug}/single/",
        f"/tags/{jug}/replace/",
        "/tags/ahead/",
        "/shop/host/",
        "/stock/receive/",
    ):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, address
        found = Axe().run(page)
        assert found.violations_count == 0, (address, found.generate_report())


def test_a_misread_tag_says_what_is_wrong(phone: Any, open_shop: Shop) -> None:
    """One character wrong: the scan line says so, and keeps what was typed in view."""
    page = phone("sunniva")
    page.get_by_label("Scan or type a code or a name").focus()
    page.keyboard.type("SA8KJ2MX")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("one character is wrong or two are swapped")
