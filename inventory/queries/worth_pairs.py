"""READ what the material of pairs cost: of built ones what their skis took, of others what they need.

What a resin batch took is shared out by how much of the batch each ski got.
"""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from uuid import UUID

from inventory.compute.steps import Role
from inventory.compute.units import Amount, Base
from inventory.models import Line, Material, Pair, Ski
from inventory.queries import layups, worth
from inventory.queries.ledger import chunks, codes_of
from inventory.queries.season_needs import need_of
from inventory.queries.worth import PairCost, Prices

_Taken = dict[tuple[UUID, UUID | None], Fraction]  # by material and lot


def of_workshop(workshop: UUID) -> tuple[PairCost, ...]:
    """Every pair of a workshop with what its material costs; a flat number of statements."""
    rows = Pair.objects.filter(workshop_id=workshop, thing__state__isnull=False).select_related("layup")
    pairs = list(rows.order_by("thing_id"))
    skis = dict(Ski.objects.filter(pair__in=pairs).values_list("thing_id", "pair_id"))
    taken = _taken(skis)
    known = layups.known(layer for pair in pairs if pair.layup for layer in pair.layup.layers)
    materials = {row.id: row for row in Material.objects.all()}
    by_key = {row.key: row.id for row in materials.values()}
    codes = codes_of(pair.thing_id for pair in pairs)
    found = worth.prices()
    out = []
    for pair in pairs:
        took, built = taken.get(pair.thing_id), True
        if took is None:
            need = need_of(pair, known) or {}
            took = {(by_key[key], None): amount for key, amount in need.items() if key in by_key}
            built = False
        out.append(_cost(pair.thing_id, codes.get(pair.thing_id, ""), took, found, materials, built=built))
    return tuple(out)


def _cost(
    pair: UUID,
    code: str,
    took: _Taken,
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


def _taken(skis: Mapping[UUID, UUID]) -> dict[UUID, _Taken]:
    """By pair what its skis took of each lot, straight and through their resin batches."""
    events = {
        event: skis[ski]
        for part in chunks(skis)
        for ski, event in Line.objects.filter(
            thing_id__in=part,
            role__in=(Role.OUTPUT, Role.GAINS),
            event__step__in=("laid up", "layer added"),
            event__skipped__isnull=True,
        ).values_list("thing_id", "event_id")
    }
    lines = _inputs(events)
    batches = {thing for _, thing, material, _, _ in lines if material is None}
    shares = _shares(batches)
    found: dict[UUID, _Taken] = {}
    for event, thing, material, lot, amount in lines:
        own = found.setdefault(events[event], {})
        if material is not None:
            own[material, lot] = own.get((material, lot), Fraction(0)) + amount
            continue
        for key, share in shares.get(thing, {}).items():
            own[key] = own.get(key, Fraction(0)) + share * amount
    return found


_Input = tuple[UUID, UUID, UUID | None, UUID | None, int]


def _inputs(events: Iterable[UUID]) -> list[_Input]:
    """Event, thing, material and lot (None for a batch), amount."""
    found: list[_Input] = []
    for part in chunks(events):
        found += [
            (event, thing, material, lot, amount)
            for event, thing, material, lot, amount in Line.objects.filter(
                event_id__in=part, role=Role.INPUT, amount__isnull=False
            ).values_list(
                "event_id", "thing_id", "thing__package__lot__material_id", "thing__package__lot_id", "amount"
            )
            if amount is not None
        ]
    return found


def _shares(batches: Iterable[UUID]) -> dict[UUID, _Taken]:
    """What one unit of each batch is made of."""
    births: dict[UUID, list[UUID]] = {}
    for part in chunks(batches):
        for event, thing in Line.objects.filter(
            thing_id__in=part, role__in=(Role.OUTPUT, Role.GAINS), event__skipped__isnull=True
        ).values_list("event_id", "thing_id"):
            births.setdefault(event, []).append(thing)
    sums: dict[UUID, _Taken] = {}
    for event, _thing, material, lot, amount in _inputs(births):
        if material is None:
            continue
        for batch in births[event]:
            own = sums.setdefault(batch, {})
            own[material, lot] = own.get((material, lot), Fraction(0)) + amount
    return {batch: _of_one(took.items()) for batch, took in sums.items()}


def _of_one(items: Iterable[tuple[tuple[UUID, UUID | None], Fraction]]) -> _Taken:
    rows: Sequence[tuple[tuple[UUID, UUID | None], Fraction]] = list(items)
    whole = sum((amount for _, amount in rows), start=Fraction(0))
    return {key: amount / whole for key, amount in rows} if whole else {}
