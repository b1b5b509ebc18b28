"""READ how far something reaches: the skis that have any of it, and whose they are.

Knows the genealogy and the cards. Which skis a recall takes in follows from here, and from nothing counted.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from django.db import connection
from django.utils import timezone

from inventory.compute.codes import Kind
from inventory.compute.steps import Role
from inventory.models import Line, Pair, Ski, Thing
from inventory.queries import trace
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named, pairs_of, with_owner_all_the_same
from inventory.queries.ledger import chunks

EXPOSES = frozenset({Kind.PRESS_CYCLE, Kind.PRESS, Kind.MOULD, Kind.EQUIPMENT})  # one hop, never walked
SHOWN = 60  # of what a page lists whole


@dataclass(frozen=True, slots=True)
class Reach:
    """What has any of the roots in it, or went through one: skis, and everything else on the way."""

    roots: tuple[UUID, ...]
    skis: tuple[UUID, ...]
    others: tuple[UUID, ...]  # packages, batches, cut parts; the roots among them
    pairs: Mapping[UUID, UUID] = field(default_factory=dict)  # of each ski that is one of a pair


@dataclass(frozen=True, slots=True)
class Spread:
    """The skis of a reach by where they are. Pairs in the order they were handed over, newest first."""

    skis: tuple[UUID, ...]
    out: tuple[UUID, ...]  # pairs with their owners, or back from them
    back: frozenset[UUID]  # skis that are back here
    in_work: tuple[UUID, ...]  # skis never handed over
    strays: tuple[UUID, ...]  # skis nobody knows


@dataclass(frozen=True, slots=True)
class Owner:
    """One pair that was handed over, as a list of owners shows it."""

    pair: Named
    skis: tuple[Named, ...]  # those of the pair that are meant
    whole: bool  # both are
    guest: str
    contact: str
    workshop: str
    handed_over_on: date | None
    here: bool


def reach(roots: Iterable[UUID]) -> Reach:
    """Everything the roots reach: at any distance by what went into what, one hop by what was applied."""
    begun = tuple(dict.fromkeys(roots))
    kinds = _kinds(begun)
    exposing = [id for id in begun if kinds.get(id) in EXPOSES]
    pairs = [id for id in begun if kinds.get(id) is Kind.PAIR]
    starts = [id for id in begun if id not in {*exposing, *pairs}]
    starts += Ski.objects.filter(pair_id__in=pairs).values_list("thing_id", flat=True)
    every = dict.fromkeys(exposed_to(exposing))
    every |= dict.fromkeys(starts)
    every |= dict.fromkeys(trace.forward(starts).things if starts else ())
    of_pairs = _pairs(every)
    strays = set(_of_kind((thing for thing in every if thing not in of_pairs), Kind.SKI))
    skis = tuple(thing for thing in every if thing in of_pairs or thing in strays)
    others = tuple(thing for thing in every if thing not in of_pairs and thing not in strays)
    return Reach(begun, skis, others, of_pairs)


_SKI = Ski._meta.db_table


def _pairs(things: Iterable[UUID]) -> dict[UUID, UUID]:
    """The pair of each of these things that is a ski. By the plain cursor: a large lot is in thousands, and
    making each id anew costs more than finding it."""
    sqlite = connection.vendor == "sqlite"
    known: dict[Any, UUID] = {id.hex if sqlite else id: id for id in things}
    ids: dict[Any, UUID] = {}
    things = set(known.values())
    found = {ski: pair for ski, pair in with_owner_all_the_same().items() if ski in things}
    with connection.cursor() as cursor:
        for part in chunks(known):
            marks = ", ".join(["%s"] * len(part))
            cursor.execute(
                f"SELECT thing_id, pair_id FROM {_SKI} WHERE pair_id IS NOT NULL AND thing_id IN ({marks})",  # noqa: S608 - ours
                part,
            )
            for ski, pair in cursor.fetchall():
                if pair not in ids:
                    ids[pair] = UUID(pair) if sqlite else pair
                found[known[ski]] = ids[pair]
    return found


def exposed_to(things: Sequence[UUID]) -> list[UUID]:
    """The skis that a press cycle, press or mould was applied to, each once."""
    if not things:
        return []
    by = Line.objects.filter(thing_id__in=list(things), role=Role.BY, event__skipped__isnull=True)
    events = dict.fromkeys(by.order_by("event__sort").values_list("event_id", flat=True))
    found: dict[UUID, None] = {}
    for part in chunks(events):  # in order, so that the parts are in order too
        rows = Line.objects.filter(event_id__in=part, role=Role.OBSERVED, thing__kind=Kind.SKI)
        ordered = rows.order_by("event__sort", "position")
        found |= dict.fromkeys(ordered.values_list("thing_id", flat=True))
    return list(found)


def _kinds(things: Iterable[UUID]) -> dict[UUID, Kind]:
    return {
        id: Kind(kind)
        for part in chunks(things)
        for id, kind in Thing.objects.filter(id__in=part).values_list("id", "kind")
    }


def _of_kind(things: Iterable[UUID], kind: Kind) -> list[UUID]:
    return [
        id
        for part in chunks(things)
        for id in Thing.objects.filter(id__in=part, kind=kind).values_list("id", flat=True)
    ]


def spread(skis: Sequence[UUID], pairs: Mapping[UUID, UUID] | None = None) -> Spread:
    """Which of these skis are with owners, back, in work or nobody's; a statement for each 900 pairs.

    `pairs`: the pair of each, where it is known.
    """
    of = pairs_of(skis) if pairs is None else pairs
    own = dict.fromkeys(of[ski] for ski in skis if ski in of)
    over = {
        pair: sort
        for part in chunks(own)
        for pair, sort in Line.objects.filter(
            thing_id__in=part,
            role=Role.OBSERVED,
            event__step="handed over",
            event__skipped__isnull=True,
        ).values_list("thing_id", "event__sort")
    }
    here, meant = _here(), set(skis)
    return Spread(
        skis=tuple(skis),
        out=tuple(sorted(over, key=lambda id: (-over[id], id))),
        back=frozenset(here & meant),
        in_work=tuple(ski for ski in skis if ski in of and of[ski] not in over),
        strays=tuple(ski for ski in skis if ski not in of),
    )


def _here() -> set[UUID]:
    """Every ski that came back and is here; what came back is little beside what was built."""
    rows = Line.objects.filter(
        event__step__in=("returned", "return tied", "sent back"), event__skipped__isnull=True
    ).values_list("event__sort", "thing_id", "event__step")
    last = {ski: step for _, ski, step in sorted(rows)}  # in order here: a database would read every event
    return {ski for ski, step in last.items() if step != "sent back"}


def owners(pairs: Sequence[UUID], found: Spread) -> list[Owner]:
    """These pairs as a list shows them, in their order; the same few statements however many."""
    rows: dict[UUID, Pair] = {
        row.thing_id: row
        for part in chunks(pairs)
        for row in Pair.objects.filter(thing_id__in=part).select_related("guest", "workshop")
    }
    skis: dict[UUID, list[UUID]] = {pair: [] for pair in pairs}
    for part in chunks(pairs):
        for ski, pair in (
            Ski.objects.filter(pair_id__in=part).order_by("side").values_list("thing_id", "pair")
        ):
            skis[pair].append(ski)
    meant = set(found.skis)
    names = named([*pairs, *(ski for own in skis.values() for ski in own)])
    days = _handed_over(pairs)
    return [
        Owner(
            pair=names[pair],
            skis=tuple(names[ski] for ski in skis[pair] if ski in meant),
            whole=all(ski in meant for ski in skis[pair]),
            guest=getattr(rows[pair].guest, "name", ""),
            contact=getattr(rows[pair].guest, "contact", ""),
            workshop=getattr(rows[pair].workshop, "name", ""),
            handed_over_on=days.get(pair),
            here=any(ski in found.back for ski in skis[pair]),
        )
        for pair in pairs
    ]


def _handed_over(pairs: Iterable[UUID]) -> dict[UUID, date]:
    found: dict[UUID, date] = {}
    for part in chunks(pairs):
        rows = Line.objects.filter(
            thing_id__in=part, event__step="handed over", event__skipped__isnull=True
        ).order_by("event__sort")
        for pair, at in rows.values_list("thing_id", "event__at"):
            found[pair] = timezone.localdate(at)
    return found


def made(found: Reach, thing: UUID) -> tuple[list[Named], int]:
    """The cups and cut parts made of a thing, the first of them by name, and how many there are."""
    ids = [
        id
        for part in chunks(found.others)
        for id in Thing.objects.filter(id__in=part)
        .exclude(kind__in=(Kind.PACKAGE, Kind.LOT))
        .values_list("id", flat=True)
        if id != thing
    ]
    return list(named(sorted(ids)[:SHOWN]).values()), len(ids)


def siblings(thing: UUID) -> list[Named]:
    """One level up and over: other things of its kind that were made of what it was made of."""
    kind = _kinds([thing]).get(thing)
    sources = _beside(_events([thing], role__in=trace.MADE), role=Role.INPUT)
    made = _beside(_events(sources, role=Role.INPUT), role__in=trace.MADE, thing__kind=kind)
    return sorted(named(made - {thing}).values(), key=lambda row: row.id)


def _events(things: Iterable[UUID], **line: object) -> set[UUID]:
    """The live events with such a line on one of these things."""
    return {
        event
        for part in chunks(things)
        for event in Line.objects.filter(thing_id__in=part, event__skipped__isnull=True, **line).values_list(
            "event_id", flat=True
        )
    }


def _beside(events: Iterable[UUID], **line: object) -> set[UUID]:
    """The things on such lines of these events."""
    return {
        thing
        for part in chunks(events)
        for thing in Line.objects.filter(event_id__in=part, **line).values_list("thing_id", flat=True)
    }


@dataclass(frozen=True, slots=True)
class Shared:
    """One thing that all chosen skis share, and how many skis have it in all."""

    thing: Named
    skis: int


def shared(chosen: Sequence[Sequence[UUID]]) -> list[Shared]:
    """What every one of these groups of skis has in it or went through: what the fewest skis have, first.

    A pair is one group of two: it has what either of its skis has.
    """
    sets = [_has(group) for group in chosen]
    common = set.intersection(*sets) if sets else set()
    names = named(common)
    skis = _skis_of_each(common)
    rows = [Shared(names[id], skis[id]) for id in common]
    return sorted(rows, key=lambda row: (row.skis, row.thing.kind, row.thing.id))


def _skis_of_each(things: Iterable[UUID]) -> dict[UUID, int]:
    """How many skis `reach` finds from each of these things; no more statements for many than for few."""
    kinds = _kinds(things)
    exposing = [id for id, kind in kinds.items() if kind in EXPOSES]
    every = trace.forward_each(id for id in kinds if id not in set(exposing))
    skis = set(_of_kind({*every, *(thing for own in every.values() for thing in own)}, Kind.SKI))
    return {id: len(skis & {id, *own}) for id, own in every.items()} | _exposed_to_each(exposing)


def _exposed_to_each(things: Sequence[UUID]) -> dict[UUID, int]:
    by = Line.objects.filter(thing_id__in=list(things), role=Role.BY, event__skipped__isnull=True)
    of: dict[UUID, list[UUID]] = {}
    for event, thing in by.values_list("event_id", "thing_id"):
        of.setdefault(event, []).append(thing)
    found: dict[UUID, set[UUID]] = {thing: set() for thing in things}
    for part in chunks(of):
        rows = Line.objects.filter(event_id__in=part, role=Role.OBSERVED, thing__kind=Kind.SKI)
        for event, ski in rows.values_list("event_id", "thing_id"):
            for thing in of[event]:
                found[thing].add(ski)
    return {thing: len(skis) for thing, skis in found.items()}


def _has(skis: Sequence[UUID]) -> set[UUID]:
    pressed = _events(skis, role=Role.OBSERVED, event__step="pressed")
    return {*trace.back(skis).things, *_beside(pressed, role=Role.BY)}
