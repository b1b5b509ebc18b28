"""demo: made anew when it is missing, of an earlier day or of other units; never in other books."""

import sqlite3
from pathlib import Path

import pytest

from inventory.compute.units import Base, parse
from shop import folder
from tests.seasons import made, manage

pytestmark = pytest.mark.own_books


def one(data: Path, statement: str) -> tuple[object, ...]:
    """The one row a statement gives from the demo's own file."""
    file = sqlite3.connect(data / "shop.sqlite3")
    try:
        (row,) = file.execute(statement).fetchall()
        return tuple(row)
    finally:
        file.close()


def test_demo_of_an_earlier_day_is_made_anew_in_the_units_asked_for(tmp_path):
    """What lay in the folder is gone; US packs, dollars."""
    data = tmp_path / "shop-demo"
    data.mkdir()
    (data / "shop.sqlite3").write_bytes(b"yesterday's")
    folder.write_mark(data, folder.Mark(made="2026-01-01", units="metric", of="?"))
    ran = manage(tmp_path / "shop", "demo", "--no-serve", "--units", "us")
    assert ran.returncode == 0, ran.stderr
    assert f"Data folder: {data}" in ran.stdout
    assert ran.stdout.count(" pairs\n") == 15
    assert folder.read_mark(data).units == "us"
    assert one(data, "SELECT units, currency, demo FROM inventory_shop") == ("us", "USD", 1)
    (can,) = one(
        data,
        "SELECT max(b.amount) FROM inventory_balance b JOIN inventory_package p ON p.thing_id = b.thing_id "
        "JOIN inventory_lot l ON l.thing_id = p.lot_id WHERE l.number = 'TR-6641'",
    )
    assert can == parse(text="11 lb", base=Base.MG).amount.value
    assert not (tmp_path / "shop").exists()


def test_demo_of_today_is_kept_and_its_ways_in_are_said(tmp_path_factory: pytest.TempPathFactory):
    """A second call makes nothing; owner, crew and helper each have a way in."""
    data = made(tmp_path_factory)
    ran = manage(data, "demo", "--no-serve")
    assert ran.returncode == 0, ran.stderr
    assert "was made earlier today" in ran.stdout
    for name, role in (("ragna", "owner"), ("odd", "crew"), ("sunniva", "helper")):
        assert f"Sign in as {name}, password" in ran.stdout
        assert f", {role}." in ran.stdout
    assert (data / "second-laptop.bundle").exists()


def test_demo_beside_books_that_are_not_its_own_is_refused_and_leaves_them(tmp_path):
    """A folder with that name and a shop's books in it, and no mark of a demo."""
    data = tmp_path / "shop-demo"
    data.mkdir()
    (data / "shop.sqlite3").write_bytes(b"somebody's")
    ran = manage(tmp_path / "shop", "demo", "--no-serve", "--fresh")
    assert ran.returncode == 2
    assert "are not the demo's" in ran.stderr
    assert (data / "shop.sqlite3").read_bytes() == b"somebody's"


def test_clear_of_a_folder_that_is_not_marked_is_an_error(tmp_path):
    """What is taken away is taken from a demo's folder only."""
    (tmp_path / "shop.sqlite3").write_bytes(b"x")
    with pytest.raises(ValueError, match="no demo folder"):
        folder.clear_demo(tmp_path)
    assert (tmp_path / "shop.sqlite3").exists()


@pytest.mark.parametrize("content", ["", "{", "[]", '{"made": "2026-01-01"}'])
def test_mark_that_cannot_be_read_is_a_demo_that_is_made_anew(tmp_path, content):
    """Still a demo's folder, whatever stands in the mark."""
    (tmp_path / folder.MARK).write_text(content)
    assert folder.read_mark(tmp_path) is None
    assert folder.is_demo(tmp_path)
