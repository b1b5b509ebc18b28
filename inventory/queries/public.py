"""READ what a stranger may know of a ski: that it is one, how long, how to reach the shop. Nobody's name."""

from dataclasses import dataclass

from inventory.compute.codes import Code, Kind
from inventory.models import Pair, Tag
from inventory.queries import recalls
from inventory.queries.shop import card


@dataclass(frozen=True, slots=True)
class Stranger:
    """What the public page shows."""

    code: str
    kind: str
    length_mm: int
    shop: str
    reach: str
    recalled: bool = False  # an open recall takes it in
    may_hurt: bool = False


def ski(code: Code) -> Stranger | None:
    """The ski or pair of a code; None for anything else, and for what was never built."""
    tag = (
        Tag.objects.select_related("thing")
        .filter(code=code.text, thing__kind__in=[Kind.SKI, Kind.PAIR])
        .first()
    )
    if tag is None or tag.thing is None:
        return None
    thing = tag.thing.id
    pair = Pair.objects.filter(thing_id=thing).first() or Pair.objects.filter(skis__thing_id=thing).first()
    shop = card()
    if pair is None or shop is None:
        return None
    found = recalls.warning(thing)
    return Stranger(
        code.shown,
        tag.thing.kind,
        pair.length_mm,
        shop.name,
        shop.reach,
        found is not None,
        bool(found and found.may_hurt),
    )
