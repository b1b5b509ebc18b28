"""The demo season served to a browser, from a copy to write in, and phones that are signed in to it."""

import os
import re
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, Page, expect

from tests.seasons import ROOT


def copied(season: Path, into: Path) -> Path:
    """A copy of the season's folder, to write in."""
    return shutil.copytree(season, into / "own-demo")


@dataclass(frozen=True)
class Server:
    """A server in a process of its own: where it answers, and what the terminal said until it did."""

    address: str
    said: str
    pid: int

    def processor_ms(self) -> float:
        """What it has computed so far: unlike the clock, not longer where other tests run beside it."""
        after_its_name = Path(f"/proc/{self.pid}/stat").read_text().rpartition(")")[2].split()
        return 1000 * sum(map(int, after_its_name[11:13])) / os.sysconf("SC_CLK_TCK")  # proc(5): utime, stime


@contextmanager
def running(data: Path, command: str) -> Iterator[Server]:
    """`demo` or `serve` on a data folder, on a free port."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = str(free.getsockname()[1])
    process = subprocess.Popen(
        [sys.executable, str(ROOT / "manage.py"), command, "--host", "127.0.0.1", "--port", port],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        env=os.environ | {"SHOP_DATA": str(data), "DATABASE_URL": "", "PYTHONUTF8": "1"},
        cwd=ROOT,
    )
    assert process.stdout
    said = ""
    for line in process.stdout:
        said += line
        if "Ctrl+C" in line:
            break
    found = re.search(r"http://127\.0\.0\.1:\d+", said)
    try:
        assert found, said
        yield Server(found[0], said, process.pid)
    finally:
        process.terminate()
        process.wait(timeout=30)
        process.stdout.close()


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The address at which the command itself serves a copy of the season."""
    with running(folder.with_name("own"), "demo") as server:
        yield server.address


def signed_in(browser: Browser, address: str, name: str, viewport: dict[str, int]) -> Page:
    """A phone with one of the demo's people signed in by the button of the sign-in page."""
    context = browser.new_context(viewport=viewport, base_url=address)
    page = context.new_page()
    page.goto("/people/sign-in/")
    page.get_by_role("button", name=f"Sign in as {name}").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    return page


def code_beside(html: str, name: str, after: str = "") -> str:
    """The first code that stands by a place's name in the map of places."""
    part = html[html.index(f">{after}") :] if after else html
    at = part.index(name)
    found = re.search(r"[TZB][0-9A-Z]{3}-?[0-9A-Z]{4}", part[at:])
    assert found
    return found[0]
