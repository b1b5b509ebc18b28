"""The README's two pictures, of a demo that runs: `python -m tests.browser.pictures http://127.0.0.1:8000`."""

import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

FOLDER = Path(__file__).resolve().parents[2] / "inventory" / "static" / "inventory" / "pictures"
SIZE = {"width": 390, "height": 720}


def take(address: str) -> None:
    """The day sheet, and the trip that its first sentence leads to, as a phone shows them."""
    FOLDER.mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page(viewport=SIZE, base_url=address)
        page.goto("/people/sign-in/")
        page.get_by_role("button", name="owner").click()
        page.wait_for_url("**/")
        page.screenshot(path=FOLDER / "day.png")
        page.get_by_role("link", name="Leave for").click()
        page.wait_for_url("**/trip/")
        page.screenshot(path=FOLDER / "trip.png")
        browser.close()


if __name__ == "__main__":
    take(sys.argv[1])
