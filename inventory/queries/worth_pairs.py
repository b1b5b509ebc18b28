"""READ what the material of pairs cost: of built ones what their skis took, of others what they need.

What a resin batch took is shared out by how much of the batch each ski got.
"""

from collections.abc import Mapping
from fractions import Fraction
from uuid import UUID

from inventory.compute.units import Amount, Base
from inventory.models import Material, Pair, Ski
from inventory.queries import layups, worth
from inventory.queries.ledger import codes_of
from inventory.queries.pair_needs import expected_of
from inventory.queries.taken import Taken, taken
from inventory.queries.worth import PairCost, Prices


def of_workshop(workshop: UUID) -> tuple[PairCost, ...]:
    """Every pair of a workshop with what its material costs; a flat number of statements."""
    rows = Pair.objects.filter(workshop_id=workshop, thing__state__isnull=False).select_related("layup")
    pairs = list(rows.order_by("thing_id"))
    skis = dict(Ski.objects.filter(pair__in=pairs).values_list("thing_id", "pair_id"))
    by_pair = taken(skis)
    known = layups.known(layer for pair in pairs if pair.layup for layer in pair.layup.layers)
    materials = {row.id: row for row in Material.objects.all()}
    by_key = {row.key: row.id for row in materials.values()}
    codes = codes_of(pair.thing_id for pair in pairs)
    found = worth.prices()
    out = []
    for pair in pairs:
        took, built = by_pair.get(pair.thing_id), True
        if took is None:
            need = expected_of(pair, known) or {}
            took = {(by_key[key], None): amount for key, amount in need.items() if key in by_key}
            built = False
        out.append(_cost(pair.thing_id, codes.get(pair.thing_id, ""), took, found, materials, built=built))
    return tuple(out)


def _cost(
    pair: UUID,
    code: str,
    took: Taken,
    found: Prices,
    materials: Mapping[UUID, Material],
    *,
    built: bool,
) -> PairCost:
    """Each material's cost is rounded once, so that the lines add up to the total."""
    amounts: dict[UUID, Fraction] = {}
    costs: dict[UUID, Fraction | None] = {}
    for (material, lot), amount in took.items():
        amounts[material] = amounts.get(material, Fraction(0)) + amount
        price = found.of(lot, material)
        before = costs.get(material, Fraction(0))
        costs[material] = None if price is None or before is None else before + price.each * amount
    parts = []
    for material, amount in sorted(amounts.items(), key=lambda item: materials[item[0]].name):
        card, cost = materials[material], costs[material]
        shown = Amount(round(amount), Base(card.base))
        parts.append((card.name, shown, None if cost is None else round(cost)))
    return PairCost(
        pair,
        code,
        sum(cents for _, _, cents in parts if cents is not None),
        tuple(parts),
        tuple(name for name, _, cents in parts if cents is None),
        built,
    )
