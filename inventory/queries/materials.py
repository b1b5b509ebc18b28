"""READ cards of materials and suppliers, what they offer, and how much there is of what."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, QuerySet, Sum

from inventory.compute.units import Amount, Base
from inventory.models import Material, Offer, Package, Supplier


def all_materials() -> QuerySet[Material]:
    """Every material by name."""
    return Material.objects.order_by("name")


def any_card() -> bool:
    """True once any material has a card."""
    return Material.objects.exists()


def resins() -> QuerySet[Material]:
    """Every material that is used as resin."""
    return Material.objects.filter(purpose="resin").order_by("name")


def material(key: str) -> Material | None:
    """One material by its key, with the resin it goes with."""
    return Material.objects.select_related("resin").filter(key=key).first()


def hardeners_of(resin: UUID) -> QuerySet[Material]:
    """The hardeners whose cards name this resin."""
    return Material.objects.filter(resin_id=resin).order_by("name")


def mix_of(resin: UUID, hardener: UUID) -> Material | None:
    """The hardener's card when it says how it is mixed with this resin; None when nobody entered that."""
    rows = Material.objects.filter(id=hardener, resin_id=resin, hardener_per_hundred__isnull=False)
    return rows.select_related("resin").first()


def all_suppliers() -> QuerySet[Supplier]:
    """Every supplier by name."""
    return Supplier.objects.order_by("name")


def supplier(id: UUID) -> Supplier | None:
    """One supplier."""
    return Supplier.objects.filter(id=id).first()


def offers(*, supplier: UUID | None = None, material: UUID | None = None) -> QuerySet[Offer]:
    """Offers of a supplier, or for a material; those that ended last."""
    rows = Offer.objects.select_related("supplier", "material")
    if supplier is not None:
        rows = rows.filter(supplier_id=supplier)
    if material is not None:
        rows = rows.filter(material_id=material)
    return rows.order_by("ended", "material__name", "supplier__name", "pack", "id")


def sold_as(gtin: str) -> Offer | None:
    """The offer whose pack carries this number, when no two materials do."""
    rows = list(Offer.objects.filter(gtin=gtin, ended=False)[:20]) if gtin else []
    return rows[0] if len({row.material_id for row in rows}) == 1 else None


def offer(id: UUID) -> Offer | None:
    """One offer with its supplier and material."""
    return Offer.objects.select_related("supplier", "material").filter(id=id).first()


@dataclass(frozen=True, slots=True)
class InStock:
    """A material and how much there is of it. `below`: less than its lowest stock."""

    id: UUID
    key: str
    name: str
    purpose: str
    left: Amount
    packages: int
    lowest: Amount | None

    @property
    def below(self) -> bool:
        """True when less is left than there always should be."""
        return self.lowest is not None and self.left < self.lowest


def in_stock(words: str = "") -> list[InStock]:
    """Every material with what is left of it, by name; two statements."""
    sums = {
        row["lot__material_id"]: row
        for row in Package.objects.filter(thing__balance__amount__gt=0)
        .values("lot__material_id")
        .annotate(left=Sum("thing__balance__amount"), packages=Count("thing_id"))
    }
    found = []
    for card in all_materials():
        if all(word.casefold() in card.name.casefold() for word in words.split()):
            row = sums.get(card.id, {"left": 0, "packages": 0})
            base = Base(card.base)
            lowest = None if card.lowest_stock is None else Amount(card.lowest_stock, base)
            left = Amount(row["left"], base)
            found.append(InStock(card.id, card.key, card.name, card.purpose, left, row["packages"], lowest))
    return found
