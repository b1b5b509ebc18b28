"""READ places: the tree of them, and what lies in each."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count

from inventory.models import Place, State, Tag


@dataclass(frozen=True, slots=True)
class Row:
    """One place of the tree: `depth` 0 stands in no other; `things` lie in it directly."""

    id: UUID
    code: str
    name: str
    kind: str
    depth: int
    things: int


def tree() -> list[Row]:
    """Every place, each under the one it stands in."""
    cards = {
        card.thing_id: card
        for card in Place.objects.select_related("thing__state")
        if hasattr(card.thing, "state")
    }
    codes = dict(Tag.objects.filter(thing_id__in=cards).order_by("-code").values_list("thing_id", "code"))
    counted = (
        State.objects.filter(place_id__isnull=False).values("place_id").annotate(things=Count("thing_id"))
    )
    things = {row["place_id"]: row["things"] for row in counted}
    inside: dict[UUID | None, list[Place]] = {}
    for card in sorted(cards.values(), key=lambda card: card.name):
        at = card.thing.state.place_id
        inside.setdefault(at if at in cards else None, []).append(card)
    rows: list[Row] = []

    def descend(at: UUID | None, depth: int) -> None:
        for card in inside.get(at, ()):
            id = card.thing_id
            rows.append(Row(id, codes.get(id, ""), card.name, card.thing.kind, depth, things.get(id, 0)))
            descend(id, depth + 1)

    descend(None, 0)
    return rows
