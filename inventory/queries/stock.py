"""READ stock: packages, lots, holds, and until which day each may be used."""

from collections import Counter
from collections.abc import Iterable
from datetime import date
from uuid import UUID

from inventory.compute.expiry import Usable
from inventory.compute.steps import Role
from inventory.models import Hold, Line, Lot, Package, State
from inventory.queries.ledger import chunks
from inventory.queries.stock_list import usable_through

_DEEPEST = 20  # offcuts cut from offcuts


def package(thing: UUID) -> Package | None:
    """One package with its lot and material."""
    return Package.objects.select_related("lot__material").filter(thing_id=thing).first()


def purpose_of(thing: UUID) -> str:
    """What a package's material is for; empty for what is no package, or where nobody said."""
    rows = Package.objects.filter(thing_id=thing)
    return rows.values_list("lot__material__purpose", flat=True).first() or ""


def written_in(thing: UUID) -> str:
    """The unit a package's amount was typed in; empty for what is no package, or where nobody typed it."""
    return Package.objects.filter(thing_id=thing).values_list("written_in", flat=True).first() or ""


def packages(things: Iterable[UUID]) -> list[Package]:
    """Those of these things that are packages, with lot, material and when they were opened."""
    found: list[Package] = []
    for part in chunks(dict.fromkeys(things)):
        rows = Package.objects.filter(thing_id__in=part)
        found += rows.select_related("lot__material", "thing__state")
    return found


def usable(things: Iterable[UUID]) -> dict[UUID, Usable]:
    """Until which day each of these may be used: a package, or what was cut from one, as long as that."""
    wanted = list(things)
    found = {row.thing_id: usable_through(row) for row in packages(wanted)}
    sources = _cut_from(thing for thing in wanted if thing not in found)
    if sources:
        lasts = {row.thing_id: usable_through(row) for row in packages(sources.values())}
        found |= {thing: lasts[source] for thing, source in sources.items() if source in lasts}
    return found


def past_by_material(today: date) -> Counter[UUID]:
    """How many packages of each material, with something in them, are past their last day."""
    left = Package.objects.filter(thing__balance__amount__gt=0).values_list("thing_id", flat=True)
    lasts = ((row.lot.material_id, usable_through(row).through) for row in packages(left))
    return Counter(material for material, through in lasts if through and through < today)


def _cut_from(things: Iterable[UUID]) -> dict[UUID, UUID]:
    """The package that each of these was cut from, through the offcuts between."""
    found = {thing: thing for thing in things}
    for _ in range(_DEEPEST if found else 0):
        born = dict(
            State.objects.filter(thing_id__in=set(found.values()), born__step="cut").values_list(
                "thing_id", "born_id"
            )
        )
        if not born:
            break
        inputs = Line.objects.filter(event_id__in=set(born.values()), role=Role.INPUT)
        of = dict(inputs.values_list("event_id", "thing_id"))
        found = {thing: of.get(born[at], at) if at in born else at for thing, at in found.items()}
    return found


def closed_with_opened_life(things: Iterable[UUID]) -> list[UUID]:
    """Those of these packages that nobody opened yet and that last shorter once opened."""
    rows = Package.objects.filter(
        thing_id__in=list(things), thing__state__isnull=False, thing__state__opened_at__isnull=True
    ).exclude(lot__material__opened_life_days=None)
    return list(rows.order_by("thing_id").values_list("thing_id", flat=True))


def lot_of(material: UUID, number: str, supplier: UUID | None) -> Lot | None:
    """The lot of this material with this printed number, when its supplier fits."""
    rows = Lot.objects.filter(material_id=material, number=number, thing__state__isnull=False)
    return next((row for row in rows if supplier in (None, row.supplier_id) or row.supplier_id is None), None)


def holds_of(event: UUID) -> list[Hold]:
    """The holds one event put on things and nobody has lifted yet."""
    return list(Hold.objects.filter(event_id=event).order_by("thing_id"))
