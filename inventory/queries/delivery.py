"""READ one delivery beside those shortly before it. Knows no page."""

from collections import Counter, defaultdict
from datetime import datetime, timedelta
from uuid import UUID

from inventory.compute.steps import Role
from inventory.models import Event, Line

SHORTLY = timedelta(minutes=30)


def same_before(act: UUID) -> datetime | None:
    """When the very same came shortly before this act: the same lot numbers in the same packages; else None.

    A form sent again by the browser's way back looks so; a delivery that was taken back does not count.
    """
    at = Event.objects.filter(act=act, step="received").values_list("at", flat=True).first()
    if at is None:
        return None
    lines = Line.objects.filter(
        role=Role.OUTPUT,
        event__step="received",
        event__skipped__isnull=True,
        event__at__range=(at - SHORTLY, at),
        thing__package__isnull=False,
    )
    came: dict[UUID, Counter[tuple[UUID, str, int | None]]] = defaultdict(Counter)
    when: dict[UUID, datetime] = {}
    rows = lines.values_list(
        "event__act",
        "event__at",
        "thing__package__lot__material_id",
        "thing__package__lot__number",
        "amount",
    )
    for each, moment, material, number, amount in rows:
        came[each][material, number, amount] += 1
        when[each] = moment
    mine = came.pop(act, None)
    return max((when[each] for each, packages in came.items() if packages == mine), default=None)
