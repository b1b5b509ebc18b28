"""READ workshops and pairs."""

from uuid import UUID

from django.db.models import QuerySet

from inventory.models import Pair, Workshop


def workshops() -> QuerySet[Workshop]:
    """Every workshop, newest first."""
    return Workshop.objects.order_by("-starts_on", "name")


def pairs(workshop: UUID | None = None) -> QuerySet[Pair]:
    """Booked pairs with workshop, guest and skis; of one workshop when named."""
    rows = Pair.objects.filter(thing__state__isnull=False).select_related("workshop", "guest")
    rows = rows.prefetch_related("thing__tags", "skis__thing__tags")
    if workshop is not None:
        rows = rows.filter(workshop_id=workshop)
    return rows.order_by("-workshop__starts_on", "thing_id")
