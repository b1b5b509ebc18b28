"""READ what one pair needs of each material, by its own shape and lay-up card: once for trips and season.

Reckons from rows that were read already; asks the database nothing.
"""

import json
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from inventory.compute import build_spec, layup
from inventory.compute.build_spec import Spec
from inventory.compute.layup import Stuff
from inventory.compute.needs import Factor, Needs
from inventory.errors import Refused
from inventory.models import Pair
from inventory.queries import builds

NOTHING: Mapping[str, Factor] = MappingProxyType({})

Exact = Mapping[str, Fraction]  # by material's key, in its base unit


def needs_of(
    row: Pair, known: Mapping[str, Stuff], learned: Mapping[str, Factor] = NOTHING
) -> Needs | Refused | None:
    """What a pair needs, or why that cannot be reckoned; None: its shape or its lay-up is not known."""
    card, spec = row.layup, builds.spec(row)
    if card is None or spec is None or not card.layers:
        return None
    keys = {key for layer in card.layers for key in (layer.get("material"), layer.get("hardener")) if key}
    mine = tuple((key, known[key]) for key in sorted(keys) if key in known)
    factors = tuple((key, learned[key]) for key in sorted(keys) if key in learned)
    return _of_shape(spec, json.dumps(card.layers, sort_keys=True), mine, factors)


@lru_cache(maxsize=4096)
def _of_shape(
    spec: Spec, rows: str, known: tuple[tuple[str, Stuff], ...], learned: tuple[tuple[str, Factor], ...]
) -> Needs | Refused:
    """The same shape by the same card is reckoned once."""
    try:
        outline = build_spec.shaped(spec=spec).outline
        return layup.needed(outline=outline, rows=json.loads(rows), known=dict(known), learned=dict(learned))
    except Refused as refused:
        return refused


def expected_of(
    row: Pair, known: Mapping[str, Stuff], learned: Mapping[str, Factor] = NOTHING
) -> Exact | None:
    """How much of each material a pair is expected to take; None while nobody can say."""
    found = needs_of(row, known, learned)
    if not isinstance(found, Needs):
        return None
    return {need.material: need.exact_pair.expected for need in found.materials}
