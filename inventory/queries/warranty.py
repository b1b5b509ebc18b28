"""READ warranty terms, and what they suggest for a return."""

from datetime import date
from uuid import UUID

from inventory.compute import warranty
from inventory.compute.warranty import Suggestion, Terms
from inventory.models import WarrantyTerms
from inventory.queries.skis_back import Back


def terms() -> list[WarrantyTerms]:
    """Every season's terms, the newest first."""
    return list(WarrantyTerms.objects.order_by("-from_on", "-id"))


def one(id: UUID) -> WarrantyTerms | None:
    """One season's terms."""
    return WarrantyTerms.objects.filter(id=id).first()


def overlapping(from_on: date, to_on: date, but: UUID) -> WarrantyTerms | None:
    """Other terms that cover one of these days."""
    rows = WarrantyTerms.objects.filter(from_on__lte=to_on, to_on__gte=from_on).exclude(id=but)
    return rows.order_by("from_on").first()


def suggested(row: Back) -> Suggestion:
    """What the terms of the season it was handed over in suggest."""
    day = row.handed_over_on
    card = WarrantyTerms.objects.filter(from_on__lte=day, to_on__gte=day).first() if day else None
    found = Terms(card.name, card.months, tuple(card.not_for)) if card else None
    return warranty.suggest(terms=found, handed_over_on=day, came_on=row.came_on, cause=row.cause)
