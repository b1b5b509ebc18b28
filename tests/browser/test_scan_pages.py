"""What is scanned by hand on a phone."""

from typing import Any

import pytest
from playwright.sync_api import expect

from tests.make import Shop

pytestmark = pytest.mark.browser


def test_a_misread_tag_says_what_is_wrong(phone: Any, open_shop: Shop) -> None:
    """One character wrong: the scan line says so, and keeps what was typed in view."""
    page = phone("sunniva")
    page.get_by_label("Scan or type a code or a name").focus()
    page.keyboard.type("SA8KJ2MX")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("one character is wrong or two are swapped")
