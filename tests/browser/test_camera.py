"""The live camera: shown on a secure page only, reads a tag, and the photo works without it.

Outside: the browser's own pretended camera shows a picture drawn by the library qrcode.
"""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from inventory.compute.codes import Kind
from inventory.models import Event, Tag
from tests.browser.conftest import FLAGS, PASSWORD, PHONE
from tests.formats.snaps import code, on_page, saved
from tests.make import Shop

pytestmark = pytest.mark.browser


def code_of(thing: object) -> str:
    return Tag.objects.get(thing_id=thing).code


def picture(text: str) -> bytes:
    return saved(on_page([code(text, module_px=8)], (640, 480)))


@pytest.fixture
def film(tmp_path: Path) -> Path:
    """What the pretended camera sees; a test writes it before the page starts."""
    return tmp_path / "seen.mjpeg"


@pytest.fixture
def camera(film: Path, browser: Browser) -> Iterator[Any]:
    """`camera(text)`: a browser whose camera looks at a tag with that text."""
    opened: list[Browser] = []

    def look_at(text: str) -> Browser:
        film.write_bytes(picture(text) * 20)
        flags = [
            "--use-fake-ui-for-media-stream",
            "--use-fake-device-for-media-stream",
            f"--use-file-for-fake-video-capture={film}",
        ]
        program = os.environ.get("CHROMIUM", "/usr/bin/chromium")
        opened.append(browser.browser_type.launch(executable_path=program, args=[*FLAGS, *flags]))
        return opened[-1]

    yield look_at
    for each in opened:
        each.close()


def sign_in(browser: Browser, address: str) -> Page:
    page = browser.new_context(viewport=PHONE, base_url=address).new_page()
    page.goto("/people/sign-in/")
    page.get_by_label("Name to sign in with").fill("ragna")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    return page


def test_live_camera_leads_to_the_thing_it_sees(camera: Any, live_server: Any, open_shop: Shop) -> None:
    """On the laptop itself a page is secure: the tag in view opens its thing, and the stream ends."""
    jug = code_of(open_shop.package())
    page = sign_in(camera(f"HTTPS://QFB.EXAMPLE/OBJ/{jug}"), live_server.url)
    page.get_by_role("link", name="Photo").click()
    page.get_by_role("button", name="Start the live camera").click()
    expect(page).to_have_url(f"{live_server.url}/thing/{jug}/", timeout=15_000)


def test_live_camera_counts_as_a_scan_of_many_and_takes_a_tag_in_view_once(
    camera: Any, live_server: Any, open_shop: Shop
) -> None:
    """Held in view for some seconds, a box is opened once; the page stays."""
    box = open_shop.package()
    page = sign_in(camera(f"HTTPS://QFB.EXAMPLE/OBJ/{code_of(box)}"), live_server.url)
    page.goto("/scan/many/")
    page.get_by_label("Open", exact=True).check()
    page.get_by_role("button", name="Start the live camera").click()
    expect(page.locator("[data-told]")).to_contain_text("Opened.", timeout=15_000)
    page.wait_for_timeout(6_000)
    page.get_by_role("button", name="Stop the camera").click()
    assert Event.objects.filter(step="opened").count() == 1


def test_without_a_secure_page_the_photo_button_reads_a_tag(phone: Any, open_shop: Shop) -> None:
    """No camera is offered; one tap opens the phone's own, and the photo leads to the bin."""
    bin_ = code_of(open_shop.place(Kind.BIN, "bin 1"))
    page = phone("ragna")
    page.add_init_script("Object.defineProperty(navigator, 'mediaDevices', {value: undefined})")
    page.goto("/scan/photo/")
    expect(page.get_by_role("button", name="Start the live camera")).to_be_hidden()
    page.goto("/stock/")
    with page.expect_file_chooser() as chosen:
        page.get_by_role("link", name="Photo").click()
    snap = {
        "name": "photo.jpg",
        "mimeType": "image/jpeg",
        "buffer": picture(f"HTTPS://QFB.EXAMPLE/OBJ/{bin_}"),
    }
    chosen.value.set_files([snap])  # type: ignore[list-item]
    expect(page).to_have_url(
        f"{page.url.split('/stock')[0].split('/thing')[0]}/thing/{bin_}/", timeout=10_000
    )
