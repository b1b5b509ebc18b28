"""Modules stay short enough to read at once."""

from pathlib import Path

MOST_LINES = 400
ROOT = Path(__file__).resolve().parents[2]


def too_long(root: Path) -> list[str]:
    """Modules over the limit, migrations left out: those are written by Django."""
    found = []
    for folder in ("inventory", "shop", "tests"):
        for file in sorted((root / folder).rglob("*.py")):
            lines = len(file.read_text("utf-8").splitlines())
            if lines > MOST_LINES and "migrations" not in file.parts:
                found.append(f"{file.relative_to(root)} has {lines} lines")
    return found


def test_modules_when_counted_have_at_most_400_lines() -> None:
    """Split by topic when a module grows; aim for half."""
    assert too_long(ROOT) == []


def test_too_long_when_a_module_has_one_line_more_names_it(tmp_path: Path) -> None:
    """The check sees what it should: 400 lines pass, 401 do not, and migrations do not count."""
    (tmp_path / "inventory" / "migrations").mkdir(parents=True)
    (tmp_path / "inventory" / "fits.py").write_text("x = 1\n" * 400)
    (tmp_path / "inventory" / "long.py").write_text("x = 1\n" * 401)
    (tmp_path / "inventory" / "migrations" / "0001_initial.py").write_text("x = 1\n" * 500)
    assert too_long(tmp_path) == ["inventory/long.py has 401 lines"]
