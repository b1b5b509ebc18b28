"""READ places: the tree of them, what lies in each, and what is not put away yet."""

from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any
from uuid import UUID

from django.db.models import Count, Sum

from inventory.compute.codes import Code, Kind
from inventory.compute.units import Amount, Base
from inventory.models import Equipment, Package, Place, State, Thing, TowCar, Trailer, Zone
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named
from inventory.queries.ledger import chunks, codes_of
from inventory.queries.stock_list import Row as PackageRow
from inventory.queries.stock_list import rows_of, within
from inventory.queries.things import place_words


@dataclass(frozen=True, slots=True)
class Heap:
    """So much of one material, in so many packages, directly in one place."""

    name: str
    left: Amount
    packages: int


@dataclass(frozen=True, slots=True)
class Row:
    """One place of the tree: `depth` 0 stands in no other; `things` and `heaps` lie in it directly."""

    id: UUID
    code: str
    name: str
    kind: str
    depth: int
    things: int
    heaps: tuple[Heap, ...] = field(default=())


def tree() -> list[Row]:
    """Every place, each under the one it stands in, with what lies in it; a flat number of statements."""
    cards = {
        card.thing_id: card
        for card in Place.objects.select_related("thing__state")
        if hasattr(card.thing, "state")
    }
    codes = codes_of(cards)
    counted = (
        State.objects.filter(place_id__isnull=False).values("place_id").annotate(things=Count("thing_id"))
    )
    things = {row["place_id"]: row["things"] for row in counted}
    heaps = _heaps()
    inside: dict[UUID | None, list[Place]] = {}
    for card in sorted(cards.values(), key=lambda card: _in_order(card.name)):
        at = card.thing.state.place_id
        inside.setdefault(at if at in cards else None, []).append(card)
    rows: list[Row] = []

    def descend(at: UUID | None, depth: int) -> None:
        for card in inside.get(at, ()):
            id = card.thing_id
            kind = card.thing.kind
            rows.append(
                Row(id, codes.get(id, ""), card.name, kind, depth, things.get(id, 0), heaps.get(id, ()))
            )
            descend(id, depth + 1)

    descend(None, 0)
    return rows


def _in_order(name: str) -> list[tuple[bool, int, str]]:
    """Names as people count: bin 2 before bin 10."""
    words = name.casefold().split()
    return [(not word.isdecimal(), int(word) if word.isdecimal() else 0, word) for word in words]


def _heaps() -> dict[UUID, tuple[Heap, ...]]:
    """Per place what lies directly in it, by material."""
    rows = (
        Package.objects.filter(thing__balance__amount__gt=0, thing__state__place_id__isnull=False)
        .values("thing__state__place_id", "lot__material__name", "lot__material__base")
        .annotate(left=Sum("thing__balance__amount"), packages=Count("thing_id"))
        .order_by("lot__material__name")
    )
    found: dict[UUID, list[Heap]] = {}
    for row in rows:
        left = Amount(row["left"], Base(row["lot__material__base"]))
        heap = Heap(row["lot__material__name"], left, row["packages"])
        found.setdefault(row["thing__state__place_id"], []).append(heap)
    return {place: tuple(heaps) for place, heaps in found.items()}


@dataclass(frozen=True, slots=True)
class Content:
    """What lies directly in one place: packages that hold something, and all else."""

    place: Named
    depth: int
    packages: tuple[PackageRow, ...]
    others: tuple[Named, ...]


def contents(place: UUID) -> list[Content]:
    """A place and all that stands in it, each with what lies directly in it; a flat number of statements."""
    places = within([place])
    lies = dict(State.objects.filter(place_id__in=places).values_list("thing_id", "place_id"))
    stands = dict(State.objects.filter(thing_id__in=places).values_list("thing_id", "place_id"))
    empty = set(
        Package.objects.filter(thing_id__in=lies)
        .exclude(thing__balance__amount__gt=0)
        .values_list("thing_id", flat=True)
    )
    packages = {row.thing: row for part in chunks(lies) for row in rows_of(part)}
    known = named({*places, *(thing for thing in lies if thing not in packages)})
    found: list[Content] = []

    def descend(at: UUID, depth: int) -> None:
        own = [
            thing
            for thing, where in lies.items()
            if where == at and thing not in stands and thing not in empty
        ]
        held = sorted(
            (packages[thing] for thing in own if thing in packages), key=lambda row: (row.material, row.code)
        )
        others = sorted((known[thing] for thing in own if thing not in packages), key=str)
        found.append(Content(known[at], depth, tuple(held), tuple(others)))
        below = [thing for thing, where in stands.items() if where == at and thing != place]
        for inner in sorted(below, key=lambda thing: _in_order(known[thing].name)):
            descend(inner, depth + 1)

    descend(place, 0)
    return found


def not_put_away(most: int = 200) -> list[Named]:
    """What was received or put into use and lies nowhere: packages that hold something, and equipment."""
    nowhere = State.objects.filter(place_id__isnull=True)
    packages = Package.objects.filter(thing__state__in=nowhere, thing__balance__amount__gt=0)
    equipment = Equipment.objects.filter(thing__state__in=nowhere)
    ids = [
        *packages.order_by("-thing_id").values_list("thing_id", flat=True)[:most],
        *equipment.order_by("-thing_id").values_list("thing_id", flat=True)[:most],
    ]
    known = named(ids)
    return [known[id] for id in ids]


@dataclass(frozen=True, slots=True)
class Namesake:
    """A place by its name; `inside`, and in words `where`: what it stands in, if in anything."""

    id: UUID
    code: str
    name: str
    inside: UUID | None
    where: str


def namesakes(kind: Kind, name: str, *, but: UUID | None = None) -> list[Namesake]:
    """The places of a kind that are called so, in any case, all but one of them."""
    wanted = _spelt(name)
    rows = Place.objects.filter(thing__kind=kind, thing__state__isnull=False).select_related("thing__state")
    found = [row for row in rows if _spelt(row.name) == wanted and row.thing_id != but]
    if not found:
        return []
    codes, words = codes_of(row.thing_id for row in found), place_words()
    return [
        Namesake(
            row.thing_id,
            Code(codes[row.thing_id]).shown if row.thing_id in codes else "",
            row.name,
            at := row.thing.state.place_id,
            words.get(at, "") if at else "",
        )
        for row in found
    ]


def _spelt(name: str) -> str:
    return " ".join(name.casefold().split())


def stands_in(place: UUID) -> UUID | None:
    """What a place stands in; None for one that stands in nothing."""
    return State.objects.filter(thing_id=place).values_list("place_id", flat=True).first()


def card(place: UUID) -> Any:
    """What the cards of one place say, as one row; None for what is no place."""
    row = Place.objects.filter(thing_id=place).first()
    if row is None:
        return None
    kind = Thing.objects.values_list("kind", flat=True).get(id=place)
    found = {"thing_id": place, "kind": Kind(kind), "name": row.name, "assumed_c": row.assumed_c}
    model: Any = {Kind.ZONE: Zone, Kind.TRAILER: Trailer, Kind.TOW_CAR: TowCar}.get(Kind(kind))
    if model is not None:
        detail = model.objects.filter(thing_id=place).first() or model(thing_id=place)
        fields = (field.attname for field in detail._meta.concrete_fields[1:])
        found |= {name: getattr(detail, name) for name in fields if name != "name"}
    return SimpleNamespace(**found)
