"""READ how much of each material past pairs took for what ended up in them: it outranks the usual loss.

Only pairs whose shape and lay-up card are known teach anything; fewer than five teach nothing yet.
"""

from collections.abc import Iterable
from uuid import UUID

from inventory.compute import build_spec, layup
from inventory.compute.layup import Stuff
from inventory.compute.needs import Factor
from inventory.compute.needs_many import Use, learn
from inventory.compute.steps import Role
from inventory.compute.units import Amount, Base
from inventory.errors import Refused
from inventory.models import Line, Material, Pair
from inventory.queries import builds

LAST_PAIRS = 20
_TAUGHT = ("edge", "base", "glass", "resin", "hardener", "sidewall", "rubber")


def learned() -> dict[str, Factor]:
    """By the material's key; the same few statements however many pairs there are."""
    rows = (
        Pair.objects.filter(
            tip_mm__isnull=False,
            layup__isnull=False,
            skis__thing__lines__event__step="laid up",
            skis__thing__lines__event__skipped__isnull=True,
        )
        .select_related("layup")
        .prefetch_related("skis")
        .order_by("-thing_id")
        .distinct()
    )
    pairs = list(rows[:LAST_PAIRS])
    if not pairs:
        return {}
    used = _used([ski.thing_id for pair in pairs for ski in pair.skis.all()])
    materials = {row.key: row for row in Material.objects.filter(purpose__in=_TAUGHT)}
    stuff = {
        row.key: Stuff(row.name, Base(row.base), row.purpose, row.thickness_mm, row.hardener_per_hundred)
        for row in Material.objects.all()
    }
    uses: dict[str, list[Use]] = {}
    for pair in pairs:
        for key, use in _uses(pair, used, materials, stuff):
            uses.setdefault(key, []).append(use)
    factors = {key: learn(builds=rows).factor for key, rows in uses.items()}
    return {key: factor for key, factor in factors.items() if factor is not None}


_Used = dict[UUID, dict[UUID, int]]  # of each ski by material


def _uses(
    pair: Pair, used: _Used, materials: dict[str, Material], stuff: dict[str, Stuff]
) -> Iterable[tuple[str, Use]]:
    """What the lay-up puts into the pair, and what was taken; what cannot be its use is left out."""
    spec, card = builds.spec(pair), pair.layup
    skis = [used.get(ski.thing_id) for ski in pair.skis.all()]
    if spec is None or card is None or not all(skis):
        return
    try:
        outline = build_spec.shaped(spec=spec).outline
        needs = layup.needed(outline=outline, rows=card.layers, known=stuff)
    except Refused:
        return
    for need in needs.materials:
        row = materials.get(need.material)
        if row is not None:
            taken = sum(ski.get(row.id, 0) for ski in skis if ski)
            net = need.net_pair.value
            if net * 3 <= taken * 10 <= net * 50:
                yield row.key, Use(Amount(net, need.base), Amount(taken, need.base))


def _used(skis: list[UUID]) -> _Used:
    """What each ski took of each material, through its resin batches too."""
    into = Line.objects.filter(thing_id__in=skis, role=Role.OUTPUT, event__step="laid up")
    events = dict(into.filter(event__skipped__isnull=True).values_list("event_id", "thing_id"))
    found: _Used = {}
    batches: list[tuple[UUID, UUID, int]] = []
    inputs = Line.objects.filter(event_id__in=list(events), role=Role.INPUT, amount__isnull=False)
    for event, thing, amount, material in inputs.values_list(
        "event_id", "thing_id", "amount", "thing__package__lot__material_id"
    ):
        ski = events[event]
        if material is None:
            batches.append((ski, thing, amount or 0))
        else:
            _add(found, ski, material, amount or 0)
    shares = _shares({batch for _, batch, _ in batches})
    for ski, batch, amount in batches:
        whole = sum(shares.get(batch, {}).values())
        for material, part in shares.get(batch, {}).items():
            _add(found, ski, material, round(amount * part / whole))
    return found


def _add(found: _Used, ski: UUID, material: UUID, amount: int) -> None:
    own = found.setdefault(ski, {})
    own[material] = own.get(material, 0) + amount


def _shares(batches: set[UUID]) -> dict[UUID, dict[UUID, int]]:
    """What went into each resin batch, by material."""
    births = Line.objects.filter(
        thing_id__in=batches, role__in=(Role.OUTPUT, Role.GAINS), event__skipped__isnull=True
    )
    of = dict(births.values_list("event_id", "thing_id"))
    found: dict[UUID, dict[UUID, int]] = {}
    lines = Line.objects.filter(event_id__in=list(of), role=Role.INPUT, thing__package__isnull=False)
    for event, material, amount in lines.values_list(
        "event_id", "thing__package__lot__material_id", "amount"
    ):
        if material is not None:
            _add(found, of[event], material, amount or 0)
    return found
