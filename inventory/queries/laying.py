"""READ a lay-up layer by layer: what is laid, what comes next with how much of it, and what was left out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils import timezone

from inventory.compute import layup
from inventory.compute.build_spec import Shaped
from inventory.compute.layup import Sort, Stuff
from inventory.compute.steps import Role
from inventory.compute.units import Amount, Base
from inventory.errors import Refused
from inventory.models import Balance, Line, Package, Pair, Ski
from inventory.queries import builds, cutting, layups
from inventory.queries.ledger import chunks, codes_of
from inventory.queries.stock_list import rows_of

TOP = ("top", "top sheet")


@dataclass(frozen=True, slots=True)
class Laid:
    """One thing that went into a layer."""

    thing: UUID
    code: str
    amount: Amount | None
    basis: str
    instead: bool  # of what the card says


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a ski's lay-up card, counted from 1 at the base. `need` is what the ski takes by its own
    outline; None where its widths are not known."""

    number: int
    material: str
    key: str
    purpose: str
    wet: bool
    base: str
    need: Amount | None
    laid: tuple[Laid, ...]

    @property
    def done(self) -> bool:
        """True once something went into it."""
        return bool(self.laid)


@dataclass(frozen=True, slots=True)
class State:
    """How far a ski's lay-up is. `whole`: it is recorded as laid up."""

    ski: UUID
    code: str
    side: str
    pair: Pair
    layers: tuple[Layer, ...]
    whole: bool
    left_out: tuple[int, ...]

    @property
    def next(self) -> Layer | None:
        """The first layer that is not laid; None when all are."""
        return next((layer for layer in self.layers if not layer.done), None)

    @property
    def count(self) -> int:
        """How many layers are laid."""
        return sum(layer.done for layer in self.layers)

    @property
    def open_wet(self) -> Layer | None:
        """The wet layer that was laid last, while nothing lies above it: it may take another cup."""
        last = self.layers[self.count - 1] if self.count else None
        return last if last is not None and last.wet else None


def state(ski: UUID) -> State | None:
    """How far this ski is; None for what is no ski."""
    row = Ski.objects.filter(thing_id=ski).first()
    pair = builds.pair_of(ski) if row else None
    if row is None or pair is None:
        return None
    rows = pair.layup.layers if pair.layup else []
    laid, whole, left_out = _laid(ski)
    layers = _layers(pair, rows, laid)
    return State(ski, codes_of([ski]).get(ski, ""), row.side, pair, layers, whole, left_out)


def _layers(
    pair: Pair, rows: Sequence[Mapping[str, Any]], laid: Mapping[int, list[Laid]]
) -> tuple[Layer, ...]:
    stuff = layups.known(rows)
    try:
        shaped = builds.shaped(pair)
    except Refused:
        shaped = None
    found = []
    for number, row in enumerate(rows, start=1):
        what = stuff.get(row["material"])
        found.append(
            Layer(
                number=number,
                material=what.name if what else row["material"],
                key=row["material"],
                purpose=what.purpose if what else "",
                wet=bool(row.get("hardener")) or row["kind"] in (Sort.SPREAD, Sort.SOAK),
                base=what.base if what else "",
                need=_need(shaped, row, stuff),
                laid=tuple(laid.get(number, ())),
            )
        )
    return tuple(found)


def _need(shaped: Shaped | None, row: Mapping[str, Any], stuff: Mapping[str, Stuff]) -> Amount | None:
    """What one ski takes of a layer, with what is usually lost; of a mix both parts together."""
    if shaped is None:
        return None
    try:
        needs = layup.needed(outline=shaped.outline, rows=[row], known=stuff).materials
    except Refused:
        return None
    if any(need.ski is None for need in needs):
        return None
    total = sum(need.ski.expected.value for need in needs if need.ski is not None)
    return Amount(total, needs[0].base)


def _laid(ski: UUID) -> tuple[dict[int, list[Laid]], bool, tuple[int, ...]]:
    """What went into each layer, whether the ski is laid up, and which layers were left out."""
    rows = Line.objects.filter(
        thing_id=ski, role=Role.GAINS, event__step__in=("layer added", "laid up"), event__skipped__isnull=True
    ).select_related("event")
    events = {line.event_id: line.event for line in rows.order_by("event__sort")}
    inputs: list[Line] = []
    for part in chunks(events):
        inputs += Line.objects.filter(event_id__in=part, role=Role.INPUT).select_related("thing")
    codes = codes_of(line.thing_id for line in inputs)
    found: dict[int, list[Laid]] = {}
    for line in inputs:
        facts = events[line.event_id].facts
        amount = None if line.amount is None else Amount(line.amount, Base(line.thing.base))
        laid = Laid(
            line.thing_id, codes.get(line.thing_id, ""), amount, line.basis, bool(facts.get("instead"))
        )
        if "layer" in facts:
            found.setdefault(facts["layer"], []).append(laid)
    whole = [event for event in events.values() if event.step == "laid up"]
    left_out = tuple(whole[-1].facts.get("left_out", ())) if whole else ()
    return found, bool(whole), left_out


def material_of(thing: UUID) -> tuple[str, str, float | None]:
    """Key, name and length of the material in a package, or of what was cut or glued up; else empty."""
    own = cutting.made([thing]).get(thing)
    if own is not None:
        return own.material.key, own.material.name, own.size.length_mm
    row = Package.objects.filter(thing_id=thing).select_related("lot__material").first()
    if row is None:
        return "", "", None
    material = row.lot.material
    return material.key, material.name, material.length_mm


def left_in(thing: UUID) -> int:
    """How much is left of a thing, in its base unit."""
    return Balance.objects.filter(thing_id=thing).values_list("amount", flat=True).first() or 0


def first_sheet(key: str, now: datetime) -> UUID | None:
    """The package of printed sheets to take one of: not on hold, in date, the oldest date first."""
    packages = Package.objects.filter(lot__material__key=key, thing__balance__amount__gt=0)
    ids = packages.order_by("expires_on", "thing_id").values_list("thing_id", flat=True)
    today = timezone.localtime(now).date()
    rows = [row for row in rows_of(list(ids[:20])) if not row.held and not row.usable.past(today)]
    return rows[0].thing if rows else None


def partly(skis: Sequence[UUID]) -> dict[UUID, int]:
    """How many layers each of these skis has that is not laid up yet; nothing for the others."""
    layers: dict[UUID, set[int]] = {}
    whole: set[UUID] = set()
    for part in chunks(skis):
        rows = Line.objects.filter(
            thing_id__in=part, role=Role.GAINS, event__step__in=("layer added", "laid up"),
            event__skipped__isnull=True,
        )  # fmt: skip
        for thing, step, facts in rows.values_list("thing_id", "event__step", "event__facts"):
            if step == "laid up":
                whole.add(thing)
            elif "layer" in facts:
                layers.setdefault(thing, set()).add(facts["layer"])
    return {ski: len(own) for ski, own in layers.items() if ski not in whole}
