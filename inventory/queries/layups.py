"""READ lay-up cards with their materials, and what a pair needs by one."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from inventory.compute import layup
from inventory.compute.build_spec import Shaped
from inventory.compute.layup import Sort, Stuff
from inventory.compute.needs import Need
from inventory.compute.outline import drawing as outline_drawing
from inventory.compute.outline.drawing import PlanView, SideView
from inventory.compute.reasons import Basis, Given
from inventory.compute.units import Amount, Base
from inventory.errors import Refused
from inventory.models import LayupCard, Material, Pair
from inventory.queries import factors

Rows = Iterable[Mapping[str, Any]]
TIP_RISE = Given(60.0, Basis.ASSUMED, "common practice, no source")
TAIL_RISE = Given(15.0, Basis.ASSUMED, "common practice, no source")
NO_CAMBER = Given(0.0, Basis.ASSUMED, "not said")


def known(rows: Rows) -> dict[str, Stuff]:
    """The materials that these rows name, by key; one statement."""
    keys = {key for row in rows for key in (row.get("material"), row.get("hardener")) if key}
    return {
        row.key: Stuff(row.name, Base(row.base), row.purpose, row.thickness_mm, row.hardener_per_hundred)
        for row in Material.objects.filter(key__in=keys)
    }


@dataclass(frozen=True, slots=True)
class LayerLine:
    """One layer of a card in words, counted from 1 at the base."""

    number: int
    material: str
    hardener: str
    row: Mapping[str, Any]
    amount: Amount | None = None  # of a liquid, once a ski


def lines(card: LayupCard, stuff: Mapping[str, Stuff]) -> list[LayerLine]:
    """A card's layers, in order; a material without a card here goes by its key."""

    def name(key: str) -> str:
        found = stuff.get(key)
        return found.name if found else key

    def amount(row: Mapping[str, Any]) -> Amount | None:
        found = stuff.get(row["material"])
        fixed = found is not None and found.base in (Base.MG, Base.UL) and row["kind"] == Sort.PIECE
        return Amount(row["plies"], found.base) if found and fixed else None

    return [
        LayerLine(at, name(row["material"]), name(row.get("hardener") or ""), row, amount(row))
        for at, row in enumerate(card.layers, start=1)
    ]


@dataclass(frozen=True, slots=True)
class NeedLine:
    """What a pair needs of one material."""

    name: str
    need: Need

    @property
    def unit(self) -> str:
        """What people reckon such an amount in; a code of Recommendation 20."""
        return {Base.MM2: "MTK", Base.MM: "MTR", Base.MG: "GRM"}.get(self.need.base, "")


@dataclass(frozen=True, slots=True)
class Drawn:
    """A pair's ski drawn from its numbers, and what it needs. `refused`: why needs could not be had."""

    plan: PlanView
    side: SideView | None
    needs: tuple[NeedLine, ...]
    layers: tuple[LayerLine, ...]
    refused: Refused | None = None


def drawn(pair: Pair, shaped: Shaped) -> Drawn:
    """The drawing and the needs of a pair whose spec makes a ski; two statements."""
    plan = outline_drawing.plan_view(outline=shaped.outline)
    card = pair.layup
    if card is None or not card.layers:
        return Drawn(plan, None, (), ())
    stuff = known(card.layers)
    layers = tuple(lines(card, stuff))
    camber = NO_CAMBER if pair.camber_mm is None else Given(pair.camber_mm, Basis.MEASURED, "the build spec")
    try:
        flat = layup.drawn(outline=shaped.outline, rows=card.layers, known=stuff)
        side = flat and outline_drawing.side_view(
            outline=shaped.outline,
            layers=flat,
            camber_mm=camber,
            tip_rise_mm=TIP_RISE,
            tail_rise_mm=TAIL_RISE,
        )
        found = layup.needed(
            outline=shaped.outline,
            rows=card.layers,
            known=stuff,
            learned=factors.accepted().get(card.id),
        )
    except Refused as refused:
        return Drawn(plan, None, (), layers, refused)
    needs = tuple(NeedLine(stuff[need.material].name, need) for need in found.materials)
    return Drawn(plan, side or None, needs, layers)
