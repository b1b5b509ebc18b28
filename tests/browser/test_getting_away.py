"""Thursday evening on a phone: the season's next trip from *not ready* to *ready*, tap by tap."""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PHONE
from tests.seasons import ROOT, made

pytestmark = [pytest.mark.browser, pytest.mark.own_books]


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory)


@pytest.fixture
def served(season: Path, tmp_path: Path) -> Iterator[str]:
    """The address of the season, served from a copy to write in."""
    shutil.copytree(season, tmp_path / "own-demo")
    process = subprocess.Popen(
        [sys.executable, str(ROOT / "manage.py"), "demo", "--host", "127.0.0.1", "--port", "8715"],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        env=os.environ | {"SHOP_DATA": str(tmp_path / "own"), "DATABASE_URL": "", "PYTHONUTF8": "1"},
        cwd=ROOT,
    )
    assert process.stdout
    said = ""
    for line in process.stdout:
        said += line
        if "Ctrl+C" in line:
            break
    found = re.search(r"http://127\.0\.0\.1:\d+", said)
    assert found, said
    yield found[0]
    process.terminate()
    process.wait(timeout=30)
    process.stdout.close()


@pytest.fixture
def ragna(browser: Browser, served: str) -> Iterator[Page]:
    context = browser.new_context(viewport=PHONE, base_url=served)
    page = context.new_page()
    page.goto("/people/sign-in/")
    page.get_by_role("button", name="Sign in as Ragna").click()
    yield page
    context.close()


def move_rack(page: Page, zone: str) -> None:
    """By the page Move, with codes as a hand scanner types them."""
    codes = page.request.get("/places/").text()
    rack = code_beside(codes, "solvent can rack")
    page.goto(f"/places/move/?codes={rack}")
    page.get_by_label("Scan where it goes").fill(code_beside(codes, zone, after="Ptarmigan"))
    page.get_by_role("button", name="Move").click()


def code_beside(html: str, name: str, after: str = "") -> str:
    """The first code that stands by a place's name in the map of places."""
    part = html[html.index(f">{after}") :] if after else html
    at = part.index(name)
    found = re.search(r"[TZB][0-9A-Z]{3}-?[0-9A-Z]{4}", part[at:])
    assert found
    return found[0]


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
