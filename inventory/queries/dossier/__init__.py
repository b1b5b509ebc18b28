"""READ everything known of one thing: what it is made of, went through and went into, and where it is.

The same frozen rows for the screen and for `manage.py trace`. Knows ledger and cards; no guest, no face.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime
from uuid import UUID

from inventory.compute.codes import Code, Kind, read
from inventory.compute.fold import State
from inventory.compute.steps import Role
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say
from inventory.models import Event, Line, Note, Ski, Tag, Thing
from inventory.queries import as_of as at_moment
from inventory.queries import ledger, machine, trace
from inventory.queries.as_of import AsOf, Seen
from inventory.queries.dossier import events as told
from inventory.queries.dossier import names
from inventory.queries.dossier.facts import Dossier, Doubt, Exposure, Link, Named, Stop

PLACES_DEEP = 6  # loose thing, bin, zone, trailer or store, yard, and one to spare


def thing_of(text: str) -> UUID:
    """The thing a code answers for, as typed or scanned.

    Refuses: code.empty, code.length, code.letter_u, code.characters, code.check, code.kind, tag.unknown,
    tag.other_laptop, tag.not_met_since, tag.blank
    """
    code = read(text)
    tag = ledger.tag_of(code.text)
    if tag is None and code.machine not in {machine.letter for machine in ledger.machines()}:
        raise Refused(
            "tag.other_laptop",
            say("{code} is of a laptop that these books have never met.", code=code.shown),
            say("Merge that laptop's books, or check that the tag is of this shop."),
        )
    met = machine.last_met(code.machine) if tag is None else None
    if met is not None:
        raise Refused(
            "tag.not_met_since",
            say(
                "{code} was issued by laptop {letter}, last met {date}; it is not in these books.",
                code=code.shown,
                letter=code.machine,
                date=met.date(),
            ),
            say("Merge that laptop's books again: it was recorded there since, or never."),
        )
    if tag is None:
        raise Refused(
            "tag.unknown",
            say("{code} is not in the books.", code=code.shown),
            say("If another laptop tied it to something, merge its books; otherwise record the thing."),
        )
    if tag.thing_id is None:
        raise Refused(
            "tag.blank",
            say("{code} was printed and is on nothing yet.", code=code.shown),
            say("Record the thing it is to stick on, with this code."),
        )
    return tag.thing_id


def dossier_of(text: str, *, as_of: AsOf | None = None) -> Dossier:
    """Everything known of the thing that a code answers for. Refuses as `thing_of`."""
    found = dossier(thing_of(text), as_of=as_of)
    assert found is not None, "a tag names a thing that is not there"  # noqa: S101 - a foreign key says so
    return found


def dossier(thing: UUID, *, most_events: int = 200, as_of: AsOf | None = None) -> Dossier | None:
    """Everything known of one thing, now or as of a moment; None when there is no such thing.

    A few statements, and two for each level of the walk.
    """
    seen = at_moment.seen(as_of)
    row = Thing.objects.filter(id=thing).first()
    if row is None:
        return None
    state = seen.states([thing]).get(thing)
    parts = _parts(thing) if row.kind == Kind.PAIR else []
    roots = [thing, *parts]
    made, used = seen.back(roots), seen.forward(roots)
    rows = told.rows(thing, most_events + 1, seen)
    place = _place_path(state, seen)
    whole = names.pairs_of([thing]).get(thing)
    exposures = _exposures(roots, seen)
    exposed = _exposed(thing, seen)
    holds = seen.holds(thing)
    mentioned = {
        *roots,
        *place,
        *exposed,
        *([whole] if whole else []),
        *(on for on, _ in holds),
        *(id for step in (*made.steps, *used.steps) for id in (step.made, step.source)),
        *(line.thing_id for lines in exposures.values() for line in lines),
    }
    pairs = names.pairs_of(used.things)
    known = names.named(mentioned | set(pairs.values()))
    base = Base(row.base) if row.base else None
    return Dossier(
        thing=known[thing],
        codes=_codes(thing),
        born=state is not None,
        label=names.labels([thing]).get(thing),
        parts=tuple(known[part] for part in parts),
        whole=known[whole] if whole else None,
        left=_amount(state.amount if state and state.value is not None else None, base),
        short=_amount(state.short if state and state.short else None, base),
        opened_at=at_moment.opened(state),
        handed_over_at=_handed_over(thing, seen),
        place=tuple(known[place_] for place_ in place),
        made_of=_links(made, roots, known, label_of="source"),
        exposures=_tell(exposures, roots, known),
        went_into=_links(used, roots, known, label_of="made", pairs=pairs),
        exposed=tuple(known[id] for id in exposed),
        events=told.tell(rows[:most_events], seen),
        more_events=len(rows) > most_events,
        holds=_stops(holds, known),
        doubts=tuple(
            Doubt(doubt.id, doubt.trouble, _amount(doubt.amount or None, base))
            for doubt in seen.doubts(thing)
        ),
        as_of=as_of,
    )


def _parts(pair: UUID) -> list[UUID]:
    """The two skis of a pair, left before right."""
    return list(Ski.objects.filter(pair_id=pair).order_by("side").values_list("thing_id", flat=True))


def _codes(thing: UUID) -> tuple[str, ...]:
    codes = Tag.objects.filter(thing_id=thing).order_by("code").values_list("code", flat=True)
    return tuple(Code(code).shown for code in codes)


def _amount(value: int | None, base: Base | None) -> Amount | None:
    return Amount(value, base) if value is not None and base else None


def _place_path(state: State | None, seen: Seen) -> list[UUID]:
    """The places a thing lies in, innermost first."""
    path: list[UUID] = []
    place = state.place if state else None
    while place is not None and place not in path and len(path) < PLACES_DEEP:
        path.append(place)
        around = seen.states([place]).get(place)
        place = around.place if around else None
    return path


def _handed_over(thing: UUID, seen: Seen) -> datetime | None:
    lines = Line.objects.filter(thing_id=thing).values("event_id")
    rows = Event.objects.filter(seen.live(), id__in=lines, step="handed over")
    return rows.order_by("-sort").values_list("at", flat=True).first()


def _links(
    walk: trace.Walk,
    roots: list[UUID],
    known: Mapping[UUID, Named],
    *,
    label_of: str,
    pairs: Mapping[UUID, UUID] | None = None,
) -> tuple[Link, ...]:
    """The steps of a walk with names, labels and moments, nearest first."""
    near, far = ("made", "source") if label_of == "source" else ("source", "made")
    levels = dict.fromkeys(roots, 0)
    for step in walk.steps:  # in the order found: level by level
        levels.setdefault(getattr(step, far), levels[getattr(step, near)] + 1)
    labels = names.labels(getattr(step, label_of) for step in walk.steps)
    kinds = ledger.kinds({step.source for step in walk.steps})
    events = _events(step.event for step in walk.steps)
    found = []
    for step in walk.steps:
        base = kinds[step.source][1]
        pair = (pairs or {}).get(step.made)
        found.append(
            Link(
                made=known[step.made],
                of=known[step.source],
                amount=_amount(step.amount, Base(base) if base else None),
                event=step.event,
                step=events[step.event].step,
                at=events[step.event].at,
                level=levels[getattr(step, near)] + 1,
                label=labels.get(getattr(step, label_of)),
                pair=known[pair] if pair else None,
            )
        )
    return tuple(found)


def _events(ids: Iterable[UUID]) -> dict[UUID, Event]:
    return {
        row.id: row for part in ledger.chunks(dict.fromkeys(ids)) for row in Event.objects.filter(id__in=part)
    }


def _exposures(things: list[UUID], seen: Seen) -> dict[Event, list[Line]]:
    """Live events by which something was applied to these things, oldest first, with all their lines."""
    events = (
        Event.objects.filter(seen.live(), lines__thing_id__in=things, lines__role=Role.OBSERVED)
        .filter(
            id__in=Line.objects.filter(role=Role.BY, event__lines__thing_id__in=things).values("event_id")
        )
        .distinct()
        .order_by("sort", "machine", "id")
    )
    found: dict[Event, list[Line]] = {event: [] for event in events}
    by_id = {event.id: event for event in found}
    for line in Line.objects.filter(event_id__in=list(by_id)).order_by("position"):
        found[by_id[line.event_id]].append(line)
    return found


def _tell(
    exposures: Mapping[Event, list[Line]], roots: list[UUID], known: Mapping[UUID, Named]
) -> tuple[Exposure, ...]:
    notes = dict(
        Note.objects.filter(id__in=[event.note for event in exposures if event.note]).values_list(
            "id", "text"
        )
    )
    return tuple(
        Exposure(
            thing=known[line.thing_id],
            by=tuple(known[other.thing_id] for other in lines if other.role == Role.BY),
            event=event.id,
            step=event.step,
            at=event.at,
            facts=event.facts,
            note=notes.get(event.note, "") if event.note else "",
        )
        for event, lines in exposures.items()
        for line in lines
        if line.role == Role.OBSERVED and line.thing_id in roots
    )


def _exposed(thing: UUID, seen: Seen) -> list[UUID]:
    """What a cycle, press or mould was applied to, in order.

    Asked in parts: a database without statistics reads every event for one question inside another.
    """
    by = Line.objects.filter(thing_id=thing, role=Role.BY).values_list("event_id", flat=True)
    found: list[tuple[int, int, UUID]] = []
    for part in ledger.chunks(dict.fromkeys(by)):
        sorts = dict(Event.objects.filter(seen.live(), id__in=part).values_list("id", "sort"))
        lines = Line.objects.filter(event_id__in=list(sorts), role=Role.OBSERVED)
        rows = lines.values_list("event_id", "position", "thing_id")
        found += [(sorts[event], position, thing) for event, position, thing in rows]
    return list(dict.fromkeys(thing for *_, thing in sorted(found)))


def _stops(holds: list[tuple[UUID, Event]], known: Mapping[UUID, Named]) -> tuple[Stop, ...]:
    notes = dict(
        Note.objects.filter(id__in=[event.note for _, event in holds if event.note]).values_list("id", "text")
    )
    who = names.people(event.who for _, event in holds)
    return tuple(
        Stop(
            hold=event.id,
            on=known[on],
            at=event.at,
            who=who.get(event.who, "") if event.who else "",
            reason=notes.get(event.note, "") if event.note else "",
        )
        for on, event in holds
    )
