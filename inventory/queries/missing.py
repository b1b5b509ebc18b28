"""READ what was looked for in vain. Knows no trip and no count: it reads what the books say of each thing."""

from uuid import UUID

from django.db.models import Q

from inventory.compute.steps import Role
from inventory.models import Line

SEEN = ("counted", "opened", "inspected", "re-tested")  # whoever did this had it in hand


def missing(said: Q = Q(), since: int = 0) -> set[UUID]:  # noqa: B008 - a Q is never changed
    """What was last looked for in vain, and neither moved, counted, looked over nor used afterwards.

    `said`: which of those searches are asked for. `since`: where the books begin to be read.
    """
    lines = Line.objects.filter(event__sort__gt=since, event__skipped__isnull=True)
    last: dict[UUID, int] = {}
    for thing, sort in lines.filter(said, event__step="not found").values_list("thing_id", "event__sort"):
        last[thing] = max(sort, last.get(thing, 0))
    if not last:
        return set()
    seen = Q(role__in=(Role.CONTENT, Role.INPUT)) | Q(event__step__in=SEEN)
    later = lines.filter(seen, thing_id__in=last, event__sort__gt=min(last.values()))
    turned_up = {thing for thing, sort in later.values_list("thing_id", "event__sort") if sort > last[thing]}
    return set(last) - turned_up
