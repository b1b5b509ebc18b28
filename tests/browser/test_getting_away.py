"""Thursday evening on a phone: the season's next trip from *not ready* to *ready*, tap by tap."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PHONE
from tests.browser.demo_served import code_beside, copied, served, signed_in
from tests.seasons import made

pytestmark = [pytest.mark.browser, pytest.mark.own_books]


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory)


@pytest.fixture
def ragna(browser: Browser, season: Path, tmp_path: Path) -> Iterator[Page]:
    with served(copied(season, tmp_path)) as address:
        page = signed_in(browser, address, "Ragna", PHONE)
        yield page
        page.context.close()


def move_rack(page: Page, zone: str) -> None:
    """By the page Move, with codes as a hand scanner types them."""
    codes = page.request.get("/places/").text()
    rack = code_beside(codes, "solvent can rack")
    page.goto(f"/places/move/?codes={rack}")
    page.get_by_label("Scan where it goes").fill(code_beside(codes, zone, after="Ptarmigan"))
    page.get_by_role("button", name="Move").click()


def test_thursday_evening_takes_the_trip_from_five_reasons_to_ready(ragna: Page) -> None:
    """The day sheet leads to the trip; each reason is put right where it says; the sixth is noticed."""
    page = ragna
    page.goto("/")
    page.get_by_role("link", name=re.compile("Leave for Kvitskard on .* Not ready: 5 reasons")).click()
    trip = page.url
    expect(page.get_by_text("5 reasons stand against leaving")).to_be_visible()
    page.get_by_role("button", name=re.compile("^Set .* aside$")).click()
    expect(page.get_by_text("4 reasons stand against leaving")).to_be_visible()
    page.get_by_role("button", name=re.compile("^Put E.* on the list$")).click()
    page.get_by_role("button", name="It is here").click()
    page.get_by_role("button", name="It is checked").click()
    expect(page.get_by_text("2 reasons stand against leaving")).to_be_visible()

    move_rack(page, "zone 4")
    page.goto(trip)
    expect(page.get_by_text(re.compile("Cleaning solvent .* beside Dry suits"))).to_be_visible()
    expect(page.get_by_text("2 reasons stand against leaving")).to_be_visible()
    move_rack(page, "zone 3")
    page.goto(trip)
    expect(page.get_by_text("1 reason stands against leaving")).to_be_visible()

    page.get_by_role("link", name="Receive Steel edge").click()
    page.get_by_label(re.compile("^Packages")).first.fill("50 m")
    box = code_beside(page.request.get("/places/").text(), "edge box")
    page.get_by_label(re.compile("Put in")).first.fill(box)
    page.get_by_role("button", name="Receive").click()
    page.goto(trip)
    expect(page.locator(".verdict .answer")).to_contain_text("Ready")
    expect(page.get_by_text("Nothing was found against leaving")).to_be_visible()
