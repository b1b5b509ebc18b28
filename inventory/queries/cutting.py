"""READ what was cut or glued up here: of which material, which size, how much of it is left.

The size stands in the facts of the event that bore it; there is no card of it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from inventory.compute.codes import Kind
from inventory.compute.cutting.pieces import pieces_of
from inventory.compute.cutting.taken import Size, Some
from inventory.errors import Refused
from inventory.models import Material, Package, Pair, State
from inventory.queries import builds
from inventory.queries.ledger import chunks, codes_of

MADE = (Kind.CUT_BATCH, Kind.OFFCUT, Kind.CORE_BLANK)


@dataclass(frozen=True, slots=True)
class Made:
    """A cut batch, an offcut or a core blank glued up here. `lot`: that of what it was cut from.

    `workshop`: the one whose plan asked for it.
    """

    thing: UUID
    kind: Kind
    code: str
    material: Material
    lot: UUID | None
    workshop: UUID | None
    size: Size
    left: int
    place: UUID | None

    @property
    def name(self) -> str:
        """The material and the size: `Sidewall strip, 1399 mm`."""
        width = f" × {self.size.width_mm}" if self.size.width_mm else ""
        return f"{self.material.name}, {self.size.length_mm}{width} mm"

    @property
    def pieces(self) -> int:
        """How many whole pieces are left."""
        return self.left if self.kind is Kind.CORE_BLANK else self.left // self.size.amount


def made(things: Iterable[UUID]) -> dict[UUID, Made]:
    """Those of these things that were cut or glued up here."""
    found: dict[UUID, Made] = {}
    for part in chunks(dict.fromkeys(things)):
        found |= {row.thing: row for row in _read(State.objects.filter(thing_id__in=part))}
    return found


def in_stock(*kinds: Kind) -> list[Made]:
    """All of these kinds that hold something, the longest first."""
    rows = _read(State.objects.filter(thing__balance__amount__gt=0), kinds or MADE)
    return sorted(rows, key=lambda row: (-row.size.length_mm, row.code))


def _read(rows: QuerySet[State], kinds: Iterable[Kind] = MADE) -> list[Made]:
    values = list(
        rows.filter(thing__kind__in=list(kinds)).values_list(
            "thing_id", "thing__kind", "born__facts", "thing__balance__amount", "place_id"
        )
    )
    codes = codes_of(row[0] for row in values)
    wanted = {facts.get("material") for _, _, facts, _, _ in values}
    cards: dict[str, Material] = {}
    for part in chunks(filter(None, wanted)):
        cards |= {str(row.id): row for row in Material.objects.filter(id__in=part)}
    return [
        _made(thing, kind, codes.get(thing, ""), cards[facts["material"]], facts, left or 0, place)
        for thing, kind, facts, left, place in values
        if facts.get("material") in cards and str(thing) in facts.get("made", {})
    ]


def _made(
    thing: UUID, kind: str, code: str, card: Material, facts: dict[str, Any], left: int, place: UUID | None
) -> Made:
    lot, workshop = facts.get("lot"), facts.get("workshop")
    return Made(
        thing,
        Kind(kind),
        code,
        card,
        UUID(lot) if lot else None,
        UUID(workshop) if workshop else None,
        Size(*facts["made"][str(thing)]),
        left,
        place,
    )


@dataclass(frozen=True, slots=True)
class Source:
    """What can be cut: a package, or an offcut. `whole`: the size of one sheet or stick, None off a roll.

    `size`: what one cut has before it; of a roll all that is left of it, where its width is known.
    """

    thing: UUID
    material: Material
    lot: UUID | None
    left: int
    place: UUID | None
    whole: Size | None
    size: Size | None
    offcut: bool = False
    code: str = ""

    @property
    def lengths(self) -> int | None:
        """How many whole sheets or sticks are left; None off a roll."""
        return None if self.whole is None else self.left // self.whole.amount


def source(thing: UUID) -> Source | None:
    """What this thing is to a saw; None for what is not cut."""
    row = made([thing]).get(thing)
    if row is not None:
        size = row.size if row.kind is Kind.OFFCUT else None
        return Source(
            thing, row.material, row.lot, row.left, row.place, size, size, row.kind is Kind.OFFCUT
        ) if size else None  # fmt: skip
    package = (
        Package.objects.filter(thing_id=thing)
        .select_related("lot__material", "thing__balance", "thing__state")
        .first()
    )
    return of_package(package) if package else None


def of_package(row: Package) -> Source | None:
    """What a package is to a saw; None where it is neither kept by length nor by area."""
    card = row.lot.material
    if card.base not in ("mm", "mm2"):
        return None
    balance, state = getattr(row.thing, "balance", None), getattr(row.thing, "state", None)
    left = balance.amount if balance else 0
    length = int(card.length_mm) if card.length_mm else None
    width = None if card.base == "mm" else int(card.width_mm or 0)
    known = width is None or width > 0
    whole = Size(length, width) if length and known else None
    rest = Size(left // (width or 1), width) if known and left // (width or 1) else None
    return Source(
        row.thing_id, card, row.lot_id, left, state.place_id if state else None, whole, whole or rest
    )


def piece_for(pair: Pair, layer: int) -> Some | None:
    """The pieces one ski of a pair takes of a layer, by its own outline; None where that is not known."""
    rows = pair.layup.layers if pair.layup else []
    try:
        shaped = builds.shaped(pair)
        return pieces_of(outline=shaped.outline, row=rows[layer - 1]) if shaped else None
    except (Refused, IndexError):
        return None
