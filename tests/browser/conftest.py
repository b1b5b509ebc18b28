"""A real browser and a real server for the stories that are walked on screens."""

import os
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from inventory.actions import people
from tests import make
from tests.browser.demo_served import Server, copied, running
from tests.seasons import made

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE = {"width": 390, "height": 844}
PASSWORD = "a-long-one-for-tests"


def tick_all(page: Page) -> int:
    """Tick each thing to be looked at, once the page that lists them is there; how many there are."""
    boxes = page.locator("[name^=check_]")
    expect(boxes.first).to_be_visible()
    found = boxes.all()
    for box in found:
        box.check()
    return len(found)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium"), args=FLAGS
        )
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def served_demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The demo as its command serves it, to look at."""
    folder = copied(made(tmp_path_factory), tmp_path_factory.mktemp("looked"))
    with running(folder.with_name("own"), "demo") as server:
        yield server


@pytest.fixture
def open_shop(transactional_db: None) -> make.Shop:
    """A shop with an owner, crew and a helper who can sign in by their first names."""
    shop = make.Shop()
    for name, person in (("ragna", shop.owner), ("odd", shop.crew), ("sunniva", shop.helper)):
        people.give_way_in(person=person, username=name, password=PASSWORD)
    return shop


@pytest.fixture
def phone(browser: Browser, live_server: object, open_shop: make.Shop) -> Iterator[Callable[..., Page]]:
    """`phone("ragna")`: a phone with that person signed in. What the browser complains of fails the test."""
    complaints: list[str] = []
    contexts = []

    def sign_in(name: str = "", **options: object) -> Page:
        context = browser.new_context(**{"viewport": PHONE, "base_url": live_server.url, **options})
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        if name:
            page.goto("/people/sign-in/")
            page.get_by_label("Name to sign in with").fill(name)
            page.get_by_label("Password").fill(PASSWORD)
            page.get_by_role("button", name="Sign in").click()
            expect(page.get_by_role("button", name="Sign out")).to_be_visible()
        return page

    yield sign_in
    for context in contexts:
        context.close()
    # A refusal and a not now are answers, and a lost signal is no fault of the page; the browser logs both.
    expected = ("403", "404", "409", "422", "502", "503", "ERR_INTERNET_DISCONNECTED", "ERR_FAILED")
    assert [said for said in complaints if not any(code in said for code in expected)] == []
