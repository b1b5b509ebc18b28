"""READ stock: packages, lots, holds."""

from collections.abc import Iterable
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from inventory.models import Hold, Lot, Package, Tag


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


def listed(words: str = "") -> QuerySet[Package]:
    """Packages that hold something, with what a list shows; those whose words match when some are given."""
    code = Tag.objects.filter(thing_id=OuterRef("thing_id")).order_by("code").values("code")[:1]
    rows = (
        Package.objects.filter(thing__balance__amount__gt=0)
        .select_related("lot__material", "thing__balance", "thing__state")
        .annotate(
            code=Subquery(code),
            held=Exists(
                Hold.objects.filter(Q(thing_id=OuterRef("thing_id")) | Q(thing_id=OuterRef("lot_id")))
            ),
        )
    )
    for word in words.split():
        bare = word.replace("-", "").upper()
        rows = rows.filter(
            Q(lot__material__name__icontains=word)
            | Q(lot__number__icontains=word)
            | Q(thing__tags__code=bare)
        )
    return rows.order_by("lot__material__name", "expires_on", "thing_id")
