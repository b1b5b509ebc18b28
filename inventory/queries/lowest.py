"""READ which materials are used up steadily, and what their lowest stock should be by use and lead time."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import pstdev
from uuid import UUID

from django.utils import timezone

from inventory.compute.lowest import Lowest, lowest_stock
from inventory.compute.reasons import Given
from inventory.compute.steps import Role
from inventory.compute.supply import lead_time
from inventory.compute.units import Amount, Base
from inventory.models import LayupCard, Line, Material, Offer
from inventory.queries import orders

WEEKS = 26
OPEN_TO_CALENDAR = 7 / 5


@dataclass(frozen=True, slots=True)
class Steady:
    """One material that is drawn by hand, and what its lowest stock should be; `now`: as its card says."""

    id: UUID
    key: str
    name: str
    found: Lowest
    should: Amount | None
    now: Amount | None
    orders: int


def steady(today: date) -> tuple[Steady, ...]:
    """Materials no lay-up names that were drawn in the last half year; a flat number of statements."""
    used = _used(today)
    named = {
        key
        for layers in LayupCard.objects.filter(ended=False).values_list("layers", flat=True)
        for layer in layers
        for key in (layer.get("material"), layer.get("hardener"))
        if key
    }
    cards = {row.id: row for row in Material.objects.filter(id__in=list(used)).exclude(key__in=named)}
    leads = _leads(cards)
    found = []
    for id, card in sorted(cards.items(), key=lambda item: item[1].name):
        lead, spread, count = leads.get(id, (lead_time(seen=(), said=None).planned, 0.0, 0))
        calendar = Given(round(lead.value * OPEN_TO_CALENDAR), lead.basis, lead.source)
        low = lowest_stock(weeks=used[id], lead_days=calendar, lead_spread_days=spread * OPEN_TO_CALENDAR)
        base = Base(card.base)
        found.append(
            Steady(
                id,
                card.key,
                card.name,
                low,
                None if low.amount is None else Amount(low.amount, base),
                None if card.lowest_stock is None else Amount(card.lowest_stock, base),
                count,
            )
        )
    return tuple(found)


def _used(today: date) -> dict[UUID, list[int]]:
    """What was drawn of each material in each of the last weeks, newest first."""
    first = today - timedelta(WEEKS * 7)
    lines = Line.objects.filter(
        event__step="drawn", event__skipped__isnull=True, role=Role.INPUT, event__at__date__gt=first
    )
    found: dict[UUID, list[int]] = {}
    for material, at, amount in lines.values_list("thing__package__lot__material_id", "event__at", "amount"):
        week = (today - timezone.localtime(at).date()).days // 7
        if material is not None and 0 <= week < WEEKS:
            found.setdefault(material, [0] * WEEKS)[week] += amount or 0
    return found


def _leads(cards: Mapping[UUID, Material]) -> dict[UUID, tuple[Given[int], float, int]]:
    """The lead time of each material's quickest offer, its spread over own orders, and their number."""
    took = orders.seen(orders.orders())
    found: dict[UUID, tuple[Given[int], float, int]] = {}
    for offer in Offer.objects.filter(material_id__in=list(cards), ended=False).order_by("id"):
        lead = orders.lead_of(offer.supplier_id, offer.lead_days, took)
        days = [each.days for each in took if each.supplier == offer.supplier_id]
        spread = pstdev(days) if len(days) > 1 else 0.0
        before = found.get(offer.material_id)
        if before is None or lead.planned.value < before[0].value:
            found[offer.material_id] = (lead.planned, spread, lead.orders)
    return found
