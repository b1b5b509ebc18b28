"""The data folder: where it is, which one is the demo's, and who is using it. Knows no Django and no table.

The demo has a folder of its own beside the real one, with a mark in it: neither is taken for the other.
"""

import json
import os
import sqlite3
from dataclasses import asdict, dataclass
from pathlib import Path

import platformdirs

MARK = "demo.json"
_LOCK, _USER = "serving.sqlite3", "serving.txt"
# What a demo is made of, and so all that is taken away before it is made again.
_MADE = ("shop.sqlite3", "shop.sqlite3-wal", "shop.sqlite3-shm", "shop.sqlite3-journal", MARK)


def asked() -> Path:
    """The folder that holds the shop: its books, papers and secret."""
    named = os.environ.get("SHOP_DATA", "")
    return Path(named).expanduser() if named else Path(platformdirs.user_data_dir("tip-to-tail", False))


def turn_to_demo() -> None:
    """Let all that follows use the demo's folder and its own SQLite file. Before settings are read."""
    folder = asked()
    os.environ["SHOP_DATA"] = str(folder if is_demo(folder) else folder.with_name(folder.name + "-demo"))
    os.environ["DATABASE_URL"] = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """What a demo folder says of itself.

    `made`: the day (ISO 8601; empty: not finished); `of`: what it was made of, so that a changed season or
    program makes it anew.
    """

    made: str
    units: str
    of: str


def read_mark(folder: Path) -> Mark | None:
    """The mark of a demo folder; None when it has none that can be read."""
    try:
        return Mark(**json.loads((folder / MARK).read_text("utf-8")))
    except (OSError, ValueError, TypeError):
        return None


def is_demo(folder: Path) -> bool:
    """True when the folder is marked as a demo's, whatever the mark says."""
    return (folder / MARK).exists()


def write_mark(folder: Path, mark: Mark) -> None:
    """Mark the folder as a demo's."""
    (folder / MARK).write_text(json.dumps(asdict(mark)), "utf-8")


def has_books(folder: Path) -> bool:
    """True when the folder holds the file of a shop's books."""
    return (folder / "shop.sqlite3").exists()


def clear_demo(folder: Path) -> None:
    """Take away what a demo is made of. Only for a folder that is marked."""
    if not is_demo(folder):
        raise ValueError(f"{folder} is no demo folder")
    for name in _MADE:
        (folder / name).unlink(missing_ok=True)


class InUse(Exception):
    """Another server uses the folder; `by` says which, where known."""

    def __init__(self, by: str) -> None:
        super().__init__(by)
        self.by = by


class Claim:
    """One server's claim on a data folder. It ends with the process, however that ends.

    An exclusive transaction on a file of its own: SQLite locks files alike on every system.
    """

    def __init__(self, folder: Path) -> None:
        """Claim the folder. Raises InUse."""
        self._user = folder / _USER
        self._lock = sqlite3.connect(folder / _LOCK, timeout=0.2, isolation_level=None)
        try:
            self._lock.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            self._lock.close()
            raise InUse(self._said()) from error

    def say(self, where: str) -> None:
        """Leave word where this server answers, for the next that tries."""
        self._user.write_text(where, "utf-8")

    def close(self) -> None:
        """Give the folder free."""
        self._user.unlink(missing_ok=True)
        self._lock.close()

    def _said(self) -> str:
        try:
            return self._user.read_text("utf-8").strip()
        except OSError:
            return ""
