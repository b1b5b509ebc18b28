"""The first hour: how long two walks take, estimated by published models.

This is an estimate and no stopwatch: nobody was timed. The seconds are those of `stopwatch`: reading speed
and the keystroke-level model as published, waiting as measured. A person who is interrupted, makes a mistake
or has to think of a host name takes longer. The walks take the way that the pages themselves lead;
`pytest -rP` prints what they cost.
"""

import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PHONE
from tests.browser.demo_served import Server, running
from tests.browser.stopwatch import Operator

pytestmark = [pytest.mark.browser, pytest.mark.own_books]

DEMO_MADE_S = 20  # the most that making the demo may take; it stands ready for this test
UNDERSTOOD_S, TAGGED_S = 3 * 60, 15 * 60


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport=PHONE)
    yield context.new_page()
    context.close()


def test_person_who_reads_a_minute_and_taps_once_takes_what_the_models_say(page: Page) -> None:
    """Worked by hand: 238 words are 60 s; M 1.35, P 1.1 and K 0.28 make a tap; H 0.4 and 4 K a word typed."""
    page.set_content(f"<p>{'word ' * 236}<p hidden>unseen<p><button>Go on</button><input><p>below")
    person = Operator(page)
    person.taps(page.get_by_role("button"), leads=False)
    assert (person.words, person.seconds - person.waited_s) == (238, pytest.approx(60 + 1.35 + 1.1 + 0.28))
    person.types("Wren")
    assert person.seconds - person.waited_s == pytest.approx(60 + 1.35 + 1.1 + 0.28 + 0.4 + 4 * 0.28)
    person.reads_to(page.get_by_role("button"))
    assert person.words == 238


def test_demo_to_the_first_understood_trouble_is_read_and_done_within_three_minutes(
    page: Page, served_demo: Server
) -> None:
    """From the command to the first reason why the next trip cannot leave, read on the trip's page."""
    person = Operator(page)
    person.types("python manage.py demo\n")
    person.waits(DEMO_MADE_S)
    person.reads(served_demo.said)
    person.opens(served_demo.address)
    person.taps(page.get_by_role("button", name="Sign in as Ragna"))
    person.taps(page.locator("main .note a").first)
    expect(page).to_have_url(re.compile("/trips/[0-9a-f-]{36}/trip/$"))
    reason = page.locator("main .note").first
    expect(reason).to_contain_text("passes its date on")
    person.reads_to(reason)
    sys.stdout.write(person.told())
    assert person.seconds < UNDERSTOOD_S


def test_empty_shop_to_the_first_sheet_of_tags_is_read_and_done_within_fifteen_minutes(
    page: Page, tmp_path: Path
) -> None:
    """From the command through the first run, first place and first delivery to a sheet in the printer."""
    with running(tmp_path / "shop", "serve") as server:
        person = Operator(page)
        person.types("python manage.py serve\n")
        person.reads(server.said)
        person.opens(server.address)
        first_run(person)
        person.taps(page.get_by_role("link", name="Make the first place"))
        person.fills(page.get_by_label("What it is called"), "Hvitmo")
        person.taps(page.get_by_role("button", name="Put into use"))
        person.taps(page.locator(".foot").get_by_role("link", name="Day sheet"))
        person.taps(page.get_by_role("link", name="Receive the first delivery"))
        person.chooses(page.get_by_label("Material"), "Epoxy resin, laminating")
        person.fills(page.get_by_label("Packages"), "4 x 5 kg")
        person.taps(page.get_by_role("button", name="Receive", exact=True))
        with page.expect_response(re.compile("/tags/sheet/")) as answered:
            person.taps(page.get_by_role("button", name="Make the sheet"), leads=False)
        sheet = page.request.get(answered.value.url)
        person.types("P\n")  # with the control key: the browser's own command, and its answer
    sys.stdout.write(person.told())
    assert sheet.headers["content-type"] == "application/pdf"
    assert person.seconds < TAGGED_S


def first_run(person: Operator) -> None:
    """Every question answered, the starter list taken."""
    page = person.page
    go_on = page.get_by_role("button", name="Keep it and go on")
    person.taps(go_on)
    person.fills(page.get_by_label("What the shop is called"), "Quillfeather Ski Bench")
    person.taps(go_on)
    person.fills(page.get_by_label("Host name for tags"), "TAG.EXAMPLE")
    person.taps(go_on)
    person.fills(page.get_by_label("Your name"), "Ragna Quill")
    person.fills(page.get_by_label("Name to sign in with"), "ragna")
    person.fills(page.get_by_label("Password", exact=True), "feather and quill")
    person.fills(page.get_by_label("Password, once more"), "feather and quill")
    person.taps(go_on)
    person.taps(page.get_by_role("button", name="Take the starter list"))
