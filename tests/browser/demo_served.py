"""The demo season served to a browser, from a copy to write in, and phones that are signed in to it."""

import os
import re
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page

from tests.seasons import ROOT


def copied(season: Path, into: Path) -> Path:
    """A copy of the season's folder, to write in."""
    return shutil.copytree(season, into / "own-demo")


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The address at which the command itself serves a copy of the season."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = str(free.getsockname()[1])
    process = subprocess.Popen(
        [sys.executable, str(ROOT / "manage.py"), "demo", "--host", "127.0.0.1", "--port", port],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        env=os.environ | {"SHOP_DATA": str(folder.with_name("own")), "DATABASE_URL": "", "PYTHONUTF8": "1"},
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
    try:
        yield found[0]
    finally:
        process.terminate()
        process.wait(timeout=30)
        process.stdout.close()


def signed_in(browser: Browser, address: str, name: str, viewport: dict[str, int]) -> Page:
    """A phone with one of the demo's people signed in by the button of the sign-in page."""
    context = browser.new_context(viewport=viewport, base_url=address)
    page = context.new_page()
    page.goto("/people/sign-in/")
    page.get_by_role("button", name=f"Sign in as {name}").click()
    return page


def code_beside(html: str, name: str, after: str = "") -> str:
    """The first code that stands by a place's name in the map of places."""
    part = html[html.index(f">{after}") :] if after else html
    at = part.index(name)
    found = re.search(r"[TZB][0-9A-Z]{3}-?[0-9A-Z]{4}", part[at:])
    assert found
    return found[0]
