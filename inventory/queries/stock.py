"""READ stock: packages, lots, holds."""

from collections.abc import Iterable
from uuid import UUID

from django.db.models import QuerySet

from inventory.models import Hold, Lot, Package


def package(thing: UUID) -> Package | None:
    """One package with its lot and material."""
    return Package.objects.select_related("lot__material").filter(thing_id=thing).first()


def packages(things: Iterable[UUID]) -> QuerySet[Package]:
    """Those of these things that are packages."""
    return Package.objects.filter(thing_id__in=list(things)).select_related("lot__material")


def lot_of(material: UUID, number: str, supplier: UUID | None) -> Lot | None:
    """The lot of this material with this printed number, when its supplier fits."""
    rows = Lot.objects.filter(material_id=material, number=number, thing__state__isnull=False)
    return next((row for row in rows if supplier in (None, row.supplier_id) or row.supplier_id is None), None)


def holds_of(event: UUID) -> list[Hold]:
    """The holds one event put on things and nobody has lifted yet."""
    return list(Hold.objects.filter(event_id=event).order_by("thing_id"))
