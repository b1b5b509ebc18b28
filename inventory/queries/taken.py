"""READ what skis took of each material: straight from packages, and through their resin batches.

What went into a batch is shared out by how much of the batch each ski got.
"""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from uuid import UUID

from inventory.compute.steps import Role
from inventory.models import Event, Line
from inventory.queries.ledger import chunks

LAST_SKIS = 40

Taken = dict[tuple[UUID, UUID | None], Fraction]  # by material and lot


def usual(last: int = LAST_SKIS) -> tuple[dict[UUID, Fraction], int]:
    """What one ski took of each material on average, of those laid up last, and how many say so."""
    steps = Event.objects.filter(step="laid up", skipped__isnull=True).order_by("-sort")
    events = list(steps.values_list("id", flat=True)[:last])
    lines = Line.objects.filter(event_id__in=events, role__in=(Role.OUTPUT, Role.GAINS))
    skis = list(lines.values_list("thing_id", flat=True))
    if not skis:
        return {}, 0
    all_ = skis[0]
    sums: dict[UUID, Fraction] = {}
    for (material, _lot), amount in taken(dict.fromkeys(skis, all_)).get(all_, {}).items():
        sums[material] = sums.get(material, Fraction(0)) + amount
    return {material: amount / len(skis) for material, amount in sums.items()}, len(skis)


def taken(skis: Mapping[UUID, UUID]) -> dict[UUID, Taken]:
    """What skis took of each lot, also through their resin batches; added up by what each stands for."""
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
    found: dict[UUID, Taken] = {}
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


def _shares(batches: Iterable[UUID]) -> dict[UUID, Taken]:
    """What one unit of each batch is made of."""
    births: dict[UUID, list[UUID]] = {}
    for part in chunks(batches):
        for event, thing in Line.objects.filter(
            thing_id__in=part, role__in=(Role.OUTPUT, Role.GAINS), event__skipped__isnull=True
        ).values_list("event_id", "thing_id"):
            births.setdefault(event, []).append(thing)
    sums: dict[UUID, Taken] = {}
    for event, _thing, material, lot, amount in _inputs(births):
        if material is None:
            continue
        for batch in births[event]:
            own = sums.setdefault(batch, {})
            own[material, lot] = own.get((material, lot), Fraction(0)) + amount
    return {batch: _of_one(took.items()) for batch, took in sums.items()}


def _of_one(items: Iterable[tuple[tuple[UUID, UUID | None], Fraction]]) -> Taken:
    rows: Sequence[tuple[tuple[UUID, UUID | None], Fraction]] = list(items)
    whole = sum((amount for _, amount in rows), start=Fraction(0))
    return {key: amount / whole for key, amount in rows} if whole else {}
