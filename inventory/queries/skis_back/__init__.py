"""READ skis that came back: each return as one row, told from its events. Knows no suspect and no recall.

A flat number of statements however many returns there are.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from uuid import UUID

from django.db.models import Q
from django.utils import timezone

from inventory.compute.codes import Kind
from inventory.compute.skis_back import SERVICE
from inventory.models import Event, Line, Note, Pair, Ski, State
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named, people
from inventory.queries.ledger import chunks
from inventory.queries.things import place_words

STEPS = (
    "returned",
    "return tied",
    "return inspected",
    "return answered",
    "repaired",
    "serviced",
    "sent back",
)
MOST_FOUND = 40


@dataclass(frozen=True, slots=True)
class Said:
    """One event of a return: what, when, who, its facts and its words. `erased`: the words were."""

    step: str
    at: datetime
    who: str
    facts: Mapping[str, object]
    note: str
    erased: bool


@dataclass(frozen=True, slots=True)
class Back:
    """One return. `unknown`: nobody knows yet which ski it is; `place` None: not put away."""

    id: UUID
    skis: tuple[Named, ...]
    came_on: date
    failure: str
    observed: str
    zone: str = ""
    part: str = ""
    from_tip_mm: int | None = None
    days_used: int | None = None
    unknown: bool = False
    cause: str = ""
    suspected: str = ""
    checks: Mapping[str, str] = field(default_factory=dict)
    answer: str = ""
    reason: str = ""
    cost: int | None = None
    replaced_by: UUID | None = None
    services: tuple[str, ...] = ()
    gone_on: date | None = None
    pair: Named | None = None
    guest: str = ""
    workshop: str = ""
    handed_over_on: date | None = None
    place: UUID | None = None
    where: str = ""
    told: tuple[Said, ...] = ()

    @property
    def waits_for(self) -> str:
        """What comes next: tie, inspect, answer, send back; empty once it is gone."""
        if self.gone_on is not None:
            return ""
        if self.unknown:
            return "tie"
        if self.failure != SERVICE and not self.cause:
            return "inspect"
        if self.failure != SERVICE and not self.answer:
            return "answer"
        return "service" if self.failure == SERVICE and not self.services else "send back"


@dataclass(frozen=True, slots=True)
class Out:
    """One ski that was handed over, as the search by guest, workshop or artwork finds it."""

    ski: Named
    pair: Named
    guest: str
    workshop: str
    chose: str
    artwork: bool
    handed_over_on: date
    here: bool


def handed_over_on(ski: UUID) -> date | None:
    """The day a ski was handed over; None when it never was."""
    return _handed_over([ski]).get(ski)


def _handed_over(skis: Iterable[UUID]) -> dict[UUID, date]:
    found: dict[UUID, date] = {}
    for part in chunks(dict.fromkeys(skis)):
        rows = Line.objects.filter(
            thing_id__in=part, event__step="handed over", event__skipped__isnull=True
        ).order_by("event__sort")
        for ski, at in rows.values_list("thing_id", "event__at"):
            found[ski] = timezone.localdate(at)
    return found


def here_since(ski: UUID) -> date | None:
    """Since when a ski is back here; None while it is with its owner, or never left."""
    row = (
        Event.objects.filter(lines__thing_id=ski, skipped__isnull=True)
        .filter(Q(step__in=("returned", "sent back")) | Q(step="return tied", facts__ski=str(ski)))
        .order_by("-sort", "-machine", "-id")
        .first()
    )
    if row is None or row.step == "sent back":
        return None
    return date.fromisoformat(row.facts["came_on"]) if "came_on" in row.facts else timezone.localdate(row.at)


def back(id: UUID) -> Back | None:
    """One return, whole."""
    found = _rows(Event.objects.filter(facts__return=str(id)))
    return found[0] if found else None


def backs(*, words: str = "", failure: str = "", gone: bool | None = None) -> list[Back]:
    """Returns, the newest first. `words`: in a code, guest, workshop, place or what was seen."""
    rows = _rows(Event.objects.all())
    wanted = words.casefold().split()
    return [
        row
        for row in rows
        if (not failure or row.failure == failure)
        and (gone is None or (row.gone_on is not None) is gone)
        and all(word in _text(row) for word in wanted)
    ]


def back_of(ski: UUID) -> list[Back]:
    """The returns of one ski, the newest first."""
    chains = Event.objects.filter(step__in=STEPS, lines__thing_id=ski, skipped__isnull=True)
    ids = set(chains.values_list("facts__return", flat=True))
    return [row for row in _rows(Event.objects.filter(facts__return__in=sorted(ids))) if _is_of(row, ski)]


def _is_of(row: Back, ski: UUID) -> bool:
    return ski in {one.id for one in row.skis}


def _text(row: Back) -> str:
    codes = [one.code for one in row.skis] + [one.code.replace("-", "") for one in row.skis]
    return " ".join([*codes, row.guest, row.workshop, row.where, row.observed, row.failure]).casefold()


def _rows(events: object) -> list[Back]:
    """Returns of these events, told from each one's chain."""
    chains: dict[str, list[Event]] = {}
    found = events.filter(step__in=STEPS, skipped__isnull=True)  # type: ignore[attr-defined]
    for event in found.order_by("sort", "machine", "id"):
        if "return" in event.facts:  # a repair may be none of a return
            chains.setdefault(event.facts["return"], []).append(event)
    every = [event for chain in chains.values() for event in chain]
    said = _said(every)
    skis = _skis([chain[0].id for chain in chains.values()])
    rows = [_row(UUID(id), chain, skis, said) for id, chain in chains.items() if chain[0].step == "returned"]
    return sorted(_known(rows), key=lambda row: (row.came_on, row.id), reverse=True)


def _said(events: list[Event]) -> dict[UUID, Said]:
    notes: dict[UUID, tuple[str, bool]] = {}
    for part in chunks(event.note for event in events if event.note):
        rows = Note.objects.filter(id__in=part).values_list("id", "text", "erased")
        notes.update({id: (text, erased) for id, text, erased in rows})
    who = people(event.who for event in events)
    return {
        event.id: Said(
            event.step,
            event.at,
            who.get(event.who, "") if event.who else "",
            event.facts,
            *(notes.get(event.note, ("", False)) if event.note else ("", False)),
        )
        for event in events
    }


def _skis(events: list[UUID]) -> dict[UUID, list[UUID]]:
    found: dict[UUID, list[UUID]] = {event: [] for event in events}
    for part in chunks(events):
        rows = Line.objects.filter(event_id__in=part).order_by("position")
        for event, thing in rows.values_list("event_id", "thing_id"):
            found[event].append(thing)
    return found


def _row(id: UUID, chain: list[Event], skis: Mapping[UUID, list[UUID]], said: Mapping[UUID, Said]) -> Back:
    """The first event of each kind opens, the newest of each kind counts."""
    first, newest = chain[0], {event.step: event for event in chain}
    ties = newest.get("return tied")
    own = [UUID(ties.facts["ski"])] if ties else skis[first.id]
    inspected, answered = newest.get("return inspected"), newest.get("return answered")
    gone = newest.get("sent back")
    asked = answered.facts if answered else {}
    return Back(
        id=id,
        skis=tuple(Named(ski, Kind.SKI) for ski in own),
        came_on=date.fromisoformat(first.facts["came_on"]),
        failure=first.facts["failure"],
        observed=said[first.id].note,
        zone=first.facts.get("zone", ""),
        part=first.facts.get("part", ""),
        from_tip_mm=first.facts.get("from_tip_mm"),
        days_used=first.facts.get("days_used"),
        cause=inspected.facts["cause"] if inspected else "",
        suspected=said[inspected.id].note if inspected else "",
        checks=inspected.facts["checks"] if inspected else {},
        answer=asked.get("answer", ""),
        reason=said[answered.id].note if answered else "",
        cost=asked.get("cost"),
        replaced_by=UUID(asked["pair"]) if "pair" in asked else None,
        services=tuple(key for event in chain if event.step == "serviced" for key in event.facts["done"]),
        gone_on=timezone.localdate(gone.at) if gone else None,
        told=tuple(said[event.id] for event in chain),
    )


def _known(rows: list[Back]) -> list[Back]:
    """The same rows with names, pairs, guests and places."""
    skis = [ski.id for row in rows for ski in row.skis]
    names, out = named(skis), _handed_over(skis)
    pairs = _pairs(skis)
    pair_names = named(pair.thing_id for pair in pairs.values())
    places = dict(State.objects.filter(thing_id__in=skis).values_list("thing_id", "place_id"))
    where = place_words()
    found = []
    for row in rows:
        ski = row.skis[0].id
        pair, place = pairs.get(ski), places.get(ski)
        found.append(
            replace(
                row,
                skis=tuple(names[one.id] for one in row.skis),
                unknown=pair is None,
                pair=pair_names[pair.thing_id] if pair else None,
                guest=pair.guest.name if pair and pair.guest else "",
                workshop=pair.workshop.name if pair and pair.workshop else "",
                handed_over_on=out.get(ski),
                place=place,
                where=where.get(place, "") if place else "",
            )
        )
    return found


def _pairs(skis: Iterable[UUID]) -> dict[UUID, Pair]:
    found: dict[UUID, Pair] = {}
    for part in chunks(dict.fromkeys(skis)):
        rows = Ski.objects.filter(thing_id__in=part).select_related("pair__guest", "pair__workshop")
        found.update({row.thing_id: row.pair for row in rows if row.pair is not None})
    return found


def find_out(words: str) -> list[Out]:
    """Skis that were handed over, by words of guest, workshop, length or what the guest chose; a few."""
    wanted = words.split()
    if not wanted:
        return []
    rows = Ski.objects.filter(pair__isnull=False).select_related(
        "pair__guest", "pair__workshop", "pair__artwork"
    )
    for word in wanted:
        fits = (
            Q(pair__guest__name__icontains=word)
            | Q(pair__workshop__name__icontains=word)
            | Q(pair__chose__icontains=word)
        )
        rows = rows.filter(fits | Q(pair__length_mm=int(word)) if word.isdecimal() else fits)
    gone = Line.objects.filter(event__step="handed over", event__skipped__isnull=True).values("thing_id")
    found = list(
        rows.filter(thing_id__in=gone).order_by("-pair__workshop__starts_on", "pair_id", "side")[:MOST_FOUND]
    )
    ids = [row.thing_id for row in found]
    names, days = named([*ids, *(row.pair_id for row in found if row.pair_id)]), _handed_over(ids)
    here = {ski.id for row in backs(gone=False) for ski in row.skis}
    return [
        Out(
            names[row.thing_id],
            names[pair.thing_id],
            pair.guest.name if pair.guest else "",
            pair.workshop.name if pair.workshop else "",
            pair.chose,
            bool(getattr(pair, "artwork", None) and pair.artwork.sha256),
            days[row.thing_id],
            row.thing_id in here,
        )
        for row in found
        if (pair := row.pair) is not None
    ]
