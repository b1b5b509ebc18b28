"""The demo season in a folder of its own, made once for all tests, by the command itself."""

import functools
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import connections
from django.db.utils import ConnectionHandler

ROOT = Path(__file__).resolve().parents[1]


def manage(data: Path, *words: object, **more: Any) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own on a data folder of its own, on SQLite."""
    environment = os.environ | {"SHOP_DATA": str(data), "DATABASE_URL": "", "PYTHONUTF8": "1"}
    return subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), *map(str, words)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=environment | more.pop("env", {}),
        cwd=ROOT,
        timeout=300,
        check=False,
        **more,
    )


def made(factory: pytest.TempPathFactory) -> Path:
    """The demo's folder. Test processes side by side share it: the folder's own claim keeps them apart."""
    base = factory.getbasetemp()
    return _made(base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base)


@functools.cache
def _made(base: Path) -> Path:
    data = base / "season"
    for _ in range(120):
        ran = manage(data, "demo", "--no-serve")
        if ran.returncode == 0:
            return data.with_name("season-demo")
        assert "uses the data folder" in ran.stderr, ran.stderr
        time.sleep(1)
    raise AssertionError("the season was not made in time")


@contextmanager
def books(folder: Path, blocker: Any) -> Iterator[None]:
    """Everything inside reads the books of a data folder."""
    settings = {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(folder / "shop.sqlite3"),
        "OPTIONS": {"transaction_mode": "IMMEDIATE"},
    }
    before = connections["default"]
    with blocker.unblock():
        other = ConnectionHandler({"default": settings})["default"]
        connections["default"] = other
        try:
            yield
        finally:
            connections["default"] = before
            other.close()
