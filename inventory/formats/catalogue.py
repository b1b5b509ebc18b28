"""The starter catalogue's files, read: materials and equipment of the trade, each number with its source.

A file is JSON: `{"materials": [...]}` or `{"equipment": [...]}`. Values are written as people type them, `1.1
g/cm3`, `36 months`; what is not there is not known. Knows no shop and no table.

Example of a material: `{"key": "epoxy-resin", "name": "Epoxy resin", "base": "mg", "purpose": "resin",
"facts": {"density_kg_m3": ["1.1 g/cm3", "avdweb.nl (read)"]}}`.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inventory.errors import Refused, say

_NAMES = {
    "density_kg_m3": "density",
    "areal_g_m2": "weight by area",
    "linear_g_m": "weight by length",
    "piece_mg": "weight of one",
    "length_mm": "length",
    "width_mm": "width",
    "thickness_mm": "thickness",
    "shelf_life_months": "shelf life",
    "opened_life_days": "life once opened",
    "stored_from_c": "coolest",
    "stored_to_c": "warmest",
    "crystallises": "crystals",
    "chemistry": "what it is",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One material of the catalogue. `facts` by the card's field names, as written; `source` says where from.

    `read_yourself` is what the shop must read on its own product's sheets.
    """

    key: str
    name: str
    base: str
    purpose: str
    facts: Mapping[str, Any]
    source: str
    read_yourself: str = ""


@dataclass(frozen=True, slots=True)
class Piece:
    """One kind of equipment that a workshop has, what to look at, and how often."""

    key: str
    name: str
    kind: str
    sort: str
    source: str
    inspections: tuple[tuple[str, int], ...] = ()


def materials(text: str) -> tuple[Entry, ...]:
    """The materials of a file. Refuses: catalogue.unreadable"""
    return tuple(_material(row) for row in _rows(text, "materials"))


def equipment(text: str) -> tuple[Piece, ...]:
    """The equipment of a file. Refuses: catalogue.unreadable"""
    return tuple(_piece(row) for row in _rows(text, "equipment"))


def _rows(text: str, what: str) -> list[dict[str, Any]]:
    try:
        rows = json.loads(text)[what]
    except (ValueError, KeyError, TypeError) as error:
        raise _unreadable(what) from error
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise _unreadable(what)
    return rows


def _material(row: dict[str, Any]) -> Entry:
    try:
        facts = {field: value for field, (value, _) in row["facts"].items()}
        told: dict[str, list[str]] = {}
        for field, (_, source) in row["facts"].items():
            told.setdefault(source, []).append(_NAMES[field])
        source = "; ".join(f"{', '.join(fields)}: {source}" for source, fields in told.items())
        return Entry(
            row["key"],
            row["name"],
            row["base"],
            row["purpose"],
            facts,
            source or "common practice, no source",
            row.get("read_yourself", ""),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise _unreadable(str(row.get("key", "materials"))) from error


def _piece(row: dict[str, Any]) -> Piece:
    try:
        inspections = tuple((what, int(months)) for what, months in row.get("inspections", ()))
        return Piece(row["key"], row["name"], row["kind"], row["sort"], row["source"], inspections)
    except (KeyError, TypeError, ValueError) as error:
        raise _unreadable(str(row.get("key", "equipment"))) from error


def _unreadable(what: str) -> Refused:
    return Refused(
        "catalogue.unreadable",
        say("The catalogue cannot be read at {what}.", what=what),
        say("Put the file back as it came with the program."),
    )
