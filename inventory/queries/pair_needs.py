"""READ what one pair needs of each material, by its own shape and lay-up card: once for trips and season.

And what goes by mixes and hands, which no lay-up card names. Reckons from rows that were read already; asks
the database nothing.
"""

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import asdict, replace
from fractions import Fraction
from functools import lru_cache
from math import ceil
from types import MappingProxyType
from uuid import UUID

from inventory.compute import build_spec, layup
from inventory.compute.build_spec import Spec
from inventory.compute.layup import Stuff
from inventory.compute.needs import Factor, Need, Needs
from inventory.compute.units import Base
from inventory.errors import Refused
from inventory.models import Material, Pair
from inventory.queries import builds

A_PAIR = 2  # skis
OWN = frozenset({"top", "top sheet"})  # printed for one guest
CUPS, GLOVES = "cups", "gloves"
GLOVES_A_DAY = 8  # pieces a person a day, four changes: common practice, no source
CUPS_A_SKI = 2  # where the largest cup is not known: common practice, no source

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


def of_skis(found: Exact, skis: int) -> Exact:
    """What so many skis of a pair take of it: each as much as the other."""
    return {material: amount * skis / A_PAIR for material, amount in found.items()}


def needs_of_skis(found: Needs, skis: int) -> Needs:
    """The same of all it needs, before anything is rounded; what is told of the pair stays the pair's."""
    return replace(found, materials=tuple(_part(row, skis) for row in found.materials))


def _part(row: Need, skis: int) -> Need:
    parts = {name: amount * skis / A_PAIR for name, amount in asdict(row.exact_pair).items()}
    return replace(row, exact_pair=replace(row.exact_pair, **parts))


def cups(found: Exact, materials: Mapping[str, Material]) -> int:
    """How many cups the mixes of a pair take: what the largest cup asks, at least two a ski."""
    cards = [(materials[key], amount) for key, amount in found.items() if key in materials]
    mixed = sum((amount for row, amount in cards if row.purpose in {"resin", "hardener"}), Fraction(0))
    if not mixed:
        return 0
    limits = [row.largest_cup_mg for row, _ in cards if row.largest_cup_mg]
    return A_PAIR * max(CUPS_A_SKI, ceil(mixed / A_PAIR / min(limits)) if limits else 0)


def by_count(
    purpose: str, materials: Iterable[Material], named: Collection[str], there: Mapping[UUID, int]
) -> Material | None:
    """What the books keep for a purpose in pieces, and no lay-up names; of several what there is most of."""
    rows = [row for row in materials if row.purpose == purpose and row.base == Base.PIECE]
    if any(row.key in named for row in rows):
        return None
    return max(rows, key=lambda row: there.get(row.id, 0), default=None)
