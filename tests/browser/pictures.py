"""The pictures of README and help, of a demo that runs: `python -m tests.browser.pictures http://127.0.0.1:8000`.

The shop's own words are on them, so they are taken anew when a page changes: as a phone shows it, in light.
"""

import sys
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

FOLDER = Path(__file__).resolve().parents[2] / "inventory" / "static" / "inventory" / "pictures"
SIZE = {"width": 390, "height": 720}
PAGES = {"day": "/", "stock": "/stock/", "bench": "/bench/", "tags": "/tags/ahead/"}


def take(address: str) -> None:
    """The first pages of the doors, the trip that the day sheet leads to, and a ski that left the shop."""
    FOLDER.mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page(viewport=SIZE, base_url=address)
        page.goto("/people/sign-in/")
        page.get_by_role("button", name="owner").click()
        page.wait_for_url("**/")
        for name, where in PAGES.items():
            page.goto(where)
            _keep(page, name)
        page.goto("/")
        page.get_by_role("link", name="Leave for").click()
        page.wait_for_url("**/trip/")
        _keep(page, "trip")
        page.goto("/help/tour/")
        page.locator("main .chip").first.click()
        page.wait_for_url("**/thing/**")
        _keep(page, "ski")
        browser.close()


def _keep(page: Page, name: str) -> None:
    page.screenshot(path=FOLDER / f"{name}.png")


if __name__ == "__main__":
    take(sys.argv[1])
