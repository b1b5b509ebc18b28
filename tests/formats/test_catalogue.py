"""The starter catalogue's files: whole, with a source for every number, and refused when they are not."""

import json
from pathlib import Path

import pytest

from inventory.formats import catalogue
from tests.make import refused

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "catalogue"
MATERIALS = (FOLDER / "materials.json").read_text("utf-8")
EQUIPMENT = (FOLDER / "equipment.json").read_text("utf-8")
WORDS = ("(read)", "from memory", "common practice, no source", "computed")


def test_every_number_says_where_it_is_from():
    """Each fact has a source that can be looked up, or says that it has none."""
    for row in json.loads(MATERIALS)["materials"]:
        for field, (_, source) in row["facts"].items():
            assert any(word in source for word in WORDS), f"{row['key']}: {field} from {source}"
    assert all(piece.source for piece in catalogue.equipment(EQUIPMENT))


def test_keys_are_there_once_and_sources_fit_a_card():
    """No two cards of one key; a source no longer than the card's field."""
    entries, pieces = catalogue.materials(MATERIALS), catalogue.equipment(EQUIPMENT)
    for rows in (entries, pieces):
        keys = [row.key for row in rows]
        assert sorted(keys) == sorted(set(keys))
    assert all(len(entry.source) <= 400 and len(entry.name) <= 80 for entry in entries)


def test_catalogue_makes_up_nothing_that_only_a_products_sheet_says():
    """No mix ratio, no cup, no cure, nothing of section 14: those are read by the shop itself."""
    told = {field for entry in catalogue.materials(MATERIALS) for field in entry.facts}
    forbidden = {"hardener_per_hundred", "largest_cup_mg", "cure_points", "un_number", "transport_category"}
    assert told & forbidden == set()
    hardeners = [entry for entry in catalogue.materials(MATERIALS) if entry.purpose == "hardener"]
    assert all("section 14" in entry.read_yourself for entry in hardeners)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        '{"materials": {}}',
        '{"materials": [1]}',
        '{"materials": [{"key": "x"}]}',
        '{"materials": [{"key": "x", "name": "", "base": "mg", "purpose": "", "facts": {"o": ["1", ""]}}]}',
        '{"materials": [{"key": "x", "name": "X", "base": "mg", "purpose": "", "facts": {"width_mm": "1"}}]}',
    ],
)
def test_file_that_is_no_catalogue_is_refused(text):
    """Not JSON, another shape, a fact no card has, a fact without its source."""
    with refused("catalogue.unreadable"):
        catalogue.materials(text)


def test_equipment_with_a_wrong_shape_is_refused():
    """An inspection needs its months."""
    piece = {
        "key": "x",
        "name": "X",
        "kind": "equipment",
        "sort": "",
        "source": "s",
        "inspections": [["wear"]],
    }
    with refused("catalogue.unreadable", "x"):
        catalogue.equipment(json.dumps({"equipment": [piece]}))
    piece["inspections"] = [["wear", 3]]
    assert catalogue.equipment(json.dumps({"equipment": [piece]}))[0].inspections == (("wear", 3),)
