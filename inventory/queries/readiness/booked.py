"""READ what is booked on a trip's workshops: pairs with their steps and shapes, and seats."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Prefetch, Q

from inventory.compute import build_spec
from inventory.errors import Refused
from inventory.models import Line, Pair, Seat, Ski, Trip, Workshop
from inventory.queries import bench, builds
from inventory.queries.ledger import code_in
from inventory.queries.readiness.facts import PairOf, SkiOf, Supposing, WorkshopOf
from inventory.queries.readiness.places import shown

_STEPS = {"laid up": "lay-up", "pressed": "press", "handed over": "hand-over"}


def workshops_of(
    trip: Trip, today: date, supposed: Supposing
) -> tuple[tuple[WorkshopOf, ...], tuple[Workshop, ...], tuple[WorkshopOf, ...]]:
    """This trip's, those of them that were cancelled, and those of other trips before its last one."""
    own = {UUID(text) for text in trip.workshops}
    until = trip.back_on
    rows = list(
        Workshop.objects.filter(Q(id__in=own) | Q(starts_on__gte=today, starts_on__lte=until)).order_by(
            "starts_on", "name"
        )
    )
    going = {
        UUID(text)
        for texts in Trip.objects.filter(back_on__gte=today, cancelled=False)
        .exclude(id=trip.id)
        .values_list("workshops", flat=True)
        for text in texts
    }
    last = max((row.starts_on for row in rows if row.id in own and not row.cancelled), default=until)
    wanted = [
        row
        for row in rows
        if not row.cancelled and (row.id in own or (row.id in going and row.starts_on <= last))
    ]
    pairs = _pairs([row.id for row in wanted])
    seats: dict[UUID, list[Seat]] = {}
    for seat in Seat.objects.filter(workshop__in=wanted).select_related("guest"):
        seats.setdefault(seat.workshop_id, []).append(seat)
    first = next((row.id for row in wanted if row.id in own), None)
    made = [
        _workshop(
            row,
            pairs.get(row.id, ()),
            seats.get(row.id, ()),
            supposed,
            supposed.guests if row.id == first else 0,
        )
        for row in wanted
    ]
    return (
        tuple(each for each in made if each.row.id in own),
        tuple(row for row in rows if row.id in own and row.cancelled),
        tuple(each for each in made if each.row.id not in own),
    )


def _workshop(
    row: Workshop, pairs: Iterable[PairOf], seats: Iterable[Seat], supposed: Supposing, more: int
) -> WorkshopOf:
    state = {seat.guest_id: seat for seat in seats}
    booked = [seat for seat in state.values() if seat.state == "booked"]
    own = tuple(
        replace(pair, seat=state[pair.row.guest_id].state, size=state[pair.row.guest_id].guest.size)
        if pair.row.guest_id in state
        else pair
        for pair in pairs
    )
    paired = {pair.row.guest_id for pair in own}
    free = max(0, row.capacity - len(booked)) if row.capacity is not None else 0
    return WorkshopOf(
        row,
        own,
        len(booked),
        free + more,
        tuple(sorted(seat.guest.size for seat in booked)),
        () if supposed.generator_only else row.circuits,
        sum(seat.guest_id not in paired for seat in booked),
    )


def _pairs(workshops: list[UUID]) -> dict[UUID, list[PairOf]]:
    """The pairs of these workshops, with what both skis have behind them."""
    skis = Ski.objects.annotate(code=code_in()).order_by("side")
    rows = (
        Pair.objects.filter(workshop_id__in=workshops, thing__state__isnull=False)
        .annotate(code=code_in())
        .select_related("layup", "artwork")
        .prefetch_related(Prefetch("skis", queryset=skis))
        .order_by("thing_id")
    )
    found: dict[UUID, list[PairOf]] = {}
    pairs = list(rows)
    done = _done(workshops)
    for row in pairs:
        found.setdefault(row.workshop_id, []).append(_pair(row, done))  # type: ignore[arg-type]
    return found


def _pair(row: Any, done: Mapping[UUID, frozenset[str]]) -> PairOf:
    shaped, refused = None, None
    try:
        spec = builds.spec(row)
        shaped = build_spec.shaped(spec=spec) if spec else None
    except Refused as error:
        refused = error
    skis = tuple(
        SkiOf(ski.thing_id, ski.side, shown(ski.code), done.get(ski.thing_id, frozenset()))
        for ski in row.skis.all()
    )
    return PairOf(
        row,
        shown(row.code),
        skis=skis,
        artwork=getattr(row, "artwork", None),
        shaped=shaped,
        refused=refused,
    )


def _done(workshops: list[UUID]) -> dict[UUID, frozenset[str]]:
    """Per ski the steps of the build card it has; a rejected ski's lay-up is none."""
    lines = Line.objects.filter(
        thing__ski__pair__workshop_id__in=workshops,
        event__step__in=("step done", *_STEPS),
        event__skipped__isnull=True,
    ).values_list("thing_id", "event__step", "event__facts")
    found: dict[UUID, set[str]] = {}
    for ski, step, facts in lines:
        found.setdefault(ski, set()).add(_STEPS.get(step) or facts.get("job", ""))
    for skis in bench.to_lay_up(workshops).values():
        for ski in (ski for ski, why in skis.items() if why == bench.REJECTED):
            found[ski] = (found.get(ski, set()) - {"lay-up"}) | {bench.REJECTED}
    return {ski: frozenset(steps) for ski, steps in found.items()}
