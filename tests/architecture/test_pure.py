"""The pure rooms run where Django is not installed."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = """
import importlib, pkgutil, sys
for name in ("django", "django_tables2", "psycopg", "sqlite3"):
    sys.modules[name] = None
count = 0
for room in sys.argv[1:]:
    package = importlib.import_module(room)
    for found in pkgutil.walk_packages(package.__path__, room + "."):
        importlib.import_module(found.name)
        count += 1
importlib.import_module("inventory.errors")
print(count)
"""


def run(*rooms: str) -> subprocess.CompletedProcess[str]:
    """Import every module of these rooms in a process of its own, without Django and without a database."""
    return subprocess.run(
        [sys.executable, "-c", PROGRAM, *rooms],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_pure_rooms_when_django_is_missing_still_import() -> None:
    """Every module of compute and formats, by name, and at least the ones known when this was written."""
    done = run("inventory.compute", "inventory.formats")
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) >= len(list((ROOT / "inventory/compute").glob("[!_]*.py"))) + 2


def test_other_rooms_when_django_is_missing_do_not_import() -> None:
    """The check bites: models need Django, and fail for that reason."""
    done = run("inventory.models")
    assert done.returncode != 0
    assert "No module named 'django" in done.stderr
