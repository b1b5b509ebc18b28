"""serve: what it says, what it refuses, one server a folder, another port when one is taken."""

import errno
import os
import shutil
import socket
import sqlite3
import subprocess
import sys
import threading
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from inventory.actions.watch import Watch
from inventory.management import serving
from inventory.queries import network
from shop import folder
from tests.make import refused
from tests.seasons import ROOT, manage

pytestmark = pytest.mark.own_books

HELLO = b"hello"


def application(environ: dict[str, object], start: object) -> list[bytes]:
    start("200 OK", [("Content-Type", "text/plain")])  # type: ignore[operator]
    return [HELLO]


@pytest.mark.parametrize(
    ("size", "left_out", "came"), [(999, None, 999), (1_000, "1000", 0), (300_000, "300000", 0)]
)
def test_body_over_the_limit_is_taken_in_unkept_and_the_pages_are_told(monkeypatch, size, left_out, came):
    """One byte less is handed on whole; a header of that name from outside is dropped; the next one works."""
    monkeypatch.setattr(serving, "BODY_MOST", 1_000)
    seen: list[tuple[object, int]] = []

    def told(environ, start):
        seen.append((environ.get("HTTP_LEFT_OUT"), len(environ["wsgi.input"].read())))
        return application(environ, start)

    server = serving.bind(told, serving.HERE, 18_723, lambda sentence: None)
    over = threading.Event()

    def serve() -> None:
        while not over.is_set():
            server.asyncore.loop(timeout=0.05, map=server._map, count=1)

    thread = threading.Thread(target=serve)
    thread.start()
    address = f"http://127.0.0.1:{server.effective_port}/"
    for body in (b"x" * size, b"y"):
        asked = urllib.request.Request(address, data=body, headers={"Left-Out": "1"})
        with urllib.request.urlopen(asked, timeout=10) as answer:
            assert answer.read() == HELLO
    over.set()
    thread.join()
    server.task_dispatcher.shutdown()
    server.asyncore.close_all(server._map)
    assert seen == [(left_out, came), (None, 1)]


def test_watched_application_is_handed_the_clock_that_is_watched():
    """With every request, and nothing else is changed."""
    watch = Watch(datetime.now(UTC))
    seen: list[dict[str, object]] = []

    def told(environ, start):
        seen.append(environ)
        return [HELLO]

    assert serving.watched(told, watch)({"PATH_INFO": "/"}, None) == [HELLO]
    assert seen == [{"PATH_INFO": "/", "watched_clock": watch}]


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with empty books of this version, to be copied."""
    made = tmp_path_factory.mktemp("empty") / "shop"
    ran = manage(made, "migrate", "--verbosity", "0")
    assert ran.returncode == 0, ran.stderr
    return made


@pytest.fixture
def data(tmp_path: Path, empty: Path) -> Path:
    """The same, to write in."""
    return shutil.copytree(empty, tmp_path / "shop")


@contextmanager
def serve(data: Path, *words: str) -> Iterator[tuple[subprocess.Popen[str], list[str]]]:
    """A server in a process of its own, once it has said all it says at the start."""
    process = subprocess.Popen(
        [sys.executable, str(ROOT / "manage.py"), "serve", "--host", "127.0.0.1", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        env=os.environ | {"SHOP_DATA": str(data), "DATABASE_URL": "", "PYTHONUTF8": "1"},
        cwd=ROOT,
    )
    said: list[str] = []
    try:
        assert process.stdout
        for line in process.stdout:
            said.append(line.rstrip())
            if "Ctrl+C" in line:
                break
        assert process.poll() is None, said
        yield process, said
    finally:
        process.terminate()
        process.wait(timeout=20)
        process.stdout.close()  # type: ignore[union-attr]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def test_serve_on_a_fresh_folder_says_where_and_asks_to_be_set_up(tmp_path):
    """Folder, address, what to do next; every page leads to the first run; a second server is refused."""
    data, port = tmp_path / "fresh", free_port()
    with serve(data, "--port", str(port)) as (_, said):
        assert said[0] == f"Data folder: {data}"
        assert any("not set up yet" in line for line in said)
        assert f"On this laptop: http://127.0.0.1:{port}/" in said
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=20) as page:
            assert page.url.endswith("/shop/first-run/")
            assert "Server" not in page.headers
        second = manage(data, "serve", "--port", str(free_port()))
        assert second.returncode == 2
        assert f"uses the data folder {data} already: http://127.0.0.1:{port}/" in second.stderr
        assert (data.stat().st_mode & 0o077) == 0
    again = folder.Claim(data)  # given free when the server ended
    again.close()


def test_serve_of_a_demo_folder_is_refused(data):
    """Marked as a demo, or with a shop that is one."""
    folder.write_mark(data, folder.Mark(made="", units="metric", of=""))
    ran = manage(data, "serve")
    assert ran.returncode == 2
    assert "is the demo's folder" in ran.stderr
    (data / folder.MARK).unlink()
    file = sqlite3.connect(data / "shop.sqlite3")
    with file:
        columns = [name for _, name, *_ in file.execute("PRAGMA table_info(inventory_shop)")]
        known = {
            "id": f"{1:032}",
            "name": "Q",
            "currency": "EUR",
            "units": "metric",
            "demo": 1,
            "limits": "{}",
        }
        marks = ", ".join("?" for _ in columns)
        row = [known.get(name, "") for name in columns]
        file.execute(f"INSERT INTO inventory_shop ({', '.join(columns)}) VALUES ({marks})", row)
    file.close()
    assert "is the demo's folder" in manage(data, "serve").stderr


def test_serve_of_books_of_a_newer_version_is_refused_and_changes_nothing(data):
    """A migration this program does not know."""
    file = sqlite3.connect(data / "shop.sqlite3")
    with file:
        file.execute(
            "INSERT INTO django_migrations (app, name, applied) "
            "VALUES ('inventory', '9999_later', '2030-01-01')"
        )
    file.close()
    ran = manage(data, "serve")
    assert ran.returncode == 2
    assert "newer version of the program (9999_later)" in ran.stderr
    assert "nothing was changed" in ran.stderr


def test_serve_of_a_folder_that_was_not_copied_keeps_its_letter(data):
    """--letter is for copies."""
    ran = manage(data, "serve", "--letter", "B")
    assert ran.returncode == 2
    assert "was not copied" in ran.stderr


def test_command_when_the_data_folder_cannot_be_made_says_so_without_a_traceback(tmp_path):
    """A file lies where the folder should be: two lines, exit 2."""
    (tmp_path / "file").write_text("x")
    ran = manage(tmp_path / "file" / "shop", "serve")
    assert ran.returncode == 2
    assert "cannot be used" in ran.stderr
    assert "SHOP_DATA" in ran.stderr
    assert "Traceback" not in ran.stderr


def test_command_when_this_user_may_not_write_says_so():
    """/sys takes nobody's folders, not even the administrator's."""
    ran = manage(Path("/sys/shop"), "serve")
    assert ran.returncode == 2
    assert "This user may not write in the data folder /sys/shop." in ran.stderr
    assert "Traceback" not in ran.stderr


def test_bind_when_the_port_is_taken_says_so_and_takes_the_next():
    """Something listens there; the page comes from the next port."""
    said: list[str] = []
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with closing(
            serving.bind(application, "127.0.0.1", port, lambda line: said.append(str(line)))
        ) as server:
            assert int(server.effective_port) > port
    assert said[0] == f"Port {port} is taken; trying {port + 1}."


def test_bind_when_the_port_is_free_takes_it_and_says_nothing():
    """The one that was asked for."""
    said: list[object] = []
    port = free_port()
    with closing(serving.bind(application, "127.0.0.1", port, said.append)) as server:
        assert (int(server.effective_port), said) == (port, [])


def test_claim_when_another_holds_it_is_refused_and_says_where(tmp_path):
    """One server a folder; free again when it ends."""
    first = serving.claim(tmp_path)
    first.say("http://192.0.2.9:8000/")
    with refused("data.served", "http://192.0.2.9:8000/"):
        serving.claim(tmp_path)
    first.close()
    serving.claim(tmp_path).close()


def test_code_for_phones_reads_back_from_its_half_blocks():
    """Drawn as a terminal shows it, light on dark, read by zxing-cpp."""
    address = "http://192.0.2.17:8000/"
    rows = serving.code_for_phones(address).split("\n")
    image = Image.new("L", (len(rows[0]), 2 * len(rows)), 0)
    for y, row in enumerate(rows):
        for x, sign in enumerate(row):
            image.putpixel((x, 2 * y), 255 if sign in "█▀" else 0)
            image.putpixel((x, 2 * y + 1), 255 if sign in "█▄" else 0)
    found = zxingcpp.read_barcodes(
        image.resize((image.width * 8, image.height * 8), Image.Resampling.NEAREST)
    )
    assert [code.text for code in found] == [address]


def test_addresses_when_only_this_laptop_is_served_name_no_other():
    """127.0.0.1 keeps phones out; a named address is the one to open."""
    assert serving.addresses("127.0.0.1", 8000) == ("http://127.0.0.1:8000/", "")
    assert serving.addresses("192.0.2.3", 8000) == ("http://192.0.2.3:8000/", "")


def test_addresses_without_a_network_are_this_laptops_alone(monkeypatch):
    """An operating system with no way out answers so; 192.0.2.1 is a documentation address (RFC 5737)."""

    def no_way(_probe, _address):
        raise OSError(errno.ENETUNREACH, "Network is unreachable")

    monkeypatch.setattr(socket.socket, "connect", no_way)
    assert network.own_address() == ""
    assert serving.addresses("0.0.0.0", 8000) == ("http://127.0.0.1:8000/", "")
