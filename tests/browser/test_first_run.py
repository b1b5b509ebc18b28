"""A new shop set up in a browser, by keyboard alone, and each page of it clean of barriers."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_new_shop_is_set_up_by_keyboard_and_ends_on_the_first_page(browser: Browser, live_server):
    """Four answers, each sent with Enter; no barrier that axe knows of at AA, light and dark."""
    context = browser.new_context(base_url=live_server.url, viewport={"width": 390, "height": 844})
    page = context.new_page()
    complaints: list[str] = []
    page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto("/")
    answers = (
        {},
        {"What the shop is called": "Quillfeather"},
        {"Host name for tags": "QFB.EXAMPLE"},
        {
            "Your name": "Ragna Quill",
            "Name to sign in with": "ragna",
            "Password, once more": "feather and quill",
            "Password": "feather and quill",
        },
    )
    for answer in answers:
        expect(page).to_have_url(f"{live_server.url}/shop/first-run/")
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]})
            assert found.violations_count == 0, found.generate_report()
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        for label, text in answer.items():
            page.get_by_label(label, exact=label == "Password").fill(text)
        page.get_by_role("button", name="Keep it and go on").press("Enter")
    expect(page).to_have_url(f"{live_server.url}/catalogue/?next=/")
    expect(page.get_by_text("The shop is set up.")).to_be_visible()
    page.get_by_role("button", name="Take the starter list").press("Enter")
    expect(page).to_have_url(f"{live_server.url}/")
    assert complaints == []
    context.close()
