"""READ the starter catalogue that comes with the program, and what of it a shop has already."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings

from inventory.compute.units import Base, Dimension, parse, parse_value
from inventory.formats import catalogue
from inventory.formats.catalogue import Piece
from inventory.models import Material

_DIMENSIONS = {
    "density_kg_m3": Dimension.DENSITY,
    "areal_g_m2": Dimension.AREAL_WEIGHT,
    "linear_g_m": Dimension.LINEAR_WEIGHT,
    "length_mm": Dimension.LENGTH,
    "width_mm": Dimension.LENGTH,
    "thickness_mm": Dimension.LENGTH,
    "stored_from_c": Dimension.TEMPERATURE,
    "stored_to_c": Dimension.TEMPERATURE,
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One material of the catalogue: what its card will say, where that is from, what is left to read."""

    key: str
    name: str
    base: Base
    purpose: str
    facts: Mapping[str, Any]
    source: str
    read_yourself: str = ""


@dataclass(frozen=True, slots=True)
class Offered:
    """The catalogue, and the keys of materials that the shop has a card of, by key or by name."""

    entries: tuple[Entry, ...]
    pieces: tuple[Piece, ...]
    known: frozenset[str]


def offered() -> Offered:
    """What a shop can take; one statement."""
    entries, pieces = starter()
    return Offered(entries, pieces, known(entries))


def starter() -> tuple[tuple[Entry, ...], tuple[Piece, ...]]:
    """The whole list as it comes with the program."""
    folder = Path(settings.BASE_DIR) / "fixtures" / "catalogue"
    rows = catalogue.materials((folder / "materials.json").read_text("utf-8"))
    pieces = catalogue.equipment((folder / "equipment.json").read_text("utf-8"))
    return tuple(_entry(row) for row in rows), pieces


def known(entries: Sequence[Entry]) -> frozenset[str]:
    """The keys of those that the shop has a card of: of that key, or called the same in any case."""
    rows = list(Material.objects.values_list("key", "name"))
    keys, names = {key for key, _ in rows}, {name.casefold() for _, name in rows}
    return frozenset(entry.key for entry in entries if entry.key in keys or entry.name.casefold() in names)


def _entry(row: catalogue.Entry) -> Entry:
    facts = {field: _kept(field, value) for field, value in row.facts.items()}
    return Entry(row.key, row.name, Base(row.base), row.purpose, facts, row.source, row.read_yourself)


def _kept(field: str, value: Any) -> Any:
    """A value as the card keeps it."""
    if field in _DIMENSIONS:
        return parse_value(text=value, dimension=_DIMENSIONS[field]).number
    return parse(text=value, base=Base.MG).amount.value if field == "piece_mg" else value
