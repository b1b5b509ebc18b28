"""READ one ski beside the others of its workshop and of its cups: fact by fact, what differs is marked.

Who recorded what is told to owners only, and never marked: a difference is no blame.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.compute.steps import Role
from inventory.errors import Sentence, say
from inventory.models import Event, Line, Pair, Ski
from inventory.queries import trace
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named, people
from inventory.queries.ledger import chunks
from inventory.queries.skis_back.exposures import Books

MOST = 60  # skis beside it

_NUMBERS: Mapping[str, Sentence] = {
    "mix": say("mix error"),
    "minutes": say("laid up after mixing"),
    "surface": say("coldest surface at the mix"),
    "coldest": say("highest reading of the coldest probe"),
}


def _told(key: str, values: Sequence[float]) -> Sentence | str:
    """Some values of a fact with their unit: the one there is, or from which to which."""
    low, high = min(values, default=None), max(values, default=None)
    if low is None:
        return ""
    if key == "mix":
        return _span(say("{low:g} %", low=low), say("{low:g} % to {high:g} %", low=low, high=high))
    if key == "minutes":
        return _span(say("{low:g} min", low=low), say("{low:g} min to {high:g} min", low=low, high=high))
    return _span(say("{low:g} °C", low=low), say("{low:g} °C to {high:g} °C", low=low, high=high))


def _span(one: Sentence, several: Sentence) -> Sentence:
    return one if several.values["low"] == several.values["high"] else several


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact: what the ski has, what the others have, and whether it stands apart."""

    name: str
    named: Sentence | None
    own: Sentence | str
    others: Sentence | str
    apart: bool


@dataclass(frozen=True, slots=True)
class Beside:
    """A ski beside the others. `people`: who recorded mix, lay-up and press, for owners."""

    ski: Named
    others: tuple[Named, ...]
    left_out: int
    facts: tuple[Fact, ...]
    people: tuple[str, ...]


def beside(ski: UUID) -> Beside | None:
    """One ski beside those of its workshop and cups; None for what is no ski of a pair."""
    row = Ski.objects.filter(thing_id=ski).select_related("pair").first()
    if row is None or row.pair is None:
        return None
    others = _others(row, row.pair)
    books = Books([ski, *others[:MOST]])
    rows = {one: _of(one, books) for one in (ski, *others[:MOST])}
    verdicts = _verdicts(rows)
    _read_probes(rows, books)
    own = rows.pop(ski)
    facts = [*_numbers(own, rows), *_sets(own, rows), _verdict(verdicts, ski)]
    names = named([ski, *others[:MOST]])
    return Beside(
        names[ski],
        tuple(names[one] for one in others[:MOST]),
        max(0, len(others) - MOST),
        tuple(fact for fact in facts if fact.own or fact.others),
        _people(ski, books),
    )


def _others(row: Ski, pair: Pair) -> list[UUID]:
    """The other skis of its workshop, then those that share a cup with it."""
    found: dict[UUID, None] = {}
    if pair.workshop_id:
        same = Ski.objects.filter(pair__workshop_id=pair.workshop_id).order_by("pair_id", "side")
        found |= dict.fromkeys(same.values_list("thing_id", flat=True))
    walk = trace.back([row.thing_id]).things
    cups = [
        step.thing_id
        for step in Line.objects.filter(thing_id__in=walk, thing__kind=Kind.RESIN_BATCH, role__in=trace.MADE)
    ]
    made = set(trace.forward(cups).things) if cups else set()
    shared = Ski.objects.filter(thing_id__in=list(made)).order_by("pair_id", "side")
    found |= dict.fromkeys(shared.values_list("thing_id", flat=True))
    found.pop(row.thing_id, None)
    return list(found)


@dataclass(slots=True)
class _Own:
    """What one ski has: numbers by fact, and words by fact."""

    numbers: dict[str, list[float]]
    words: dict[str, set[str]]


def _of(ski: UUID, books: Books) -> _Own:
    own = _Own({key: [] for key in _NUMBERS}, {})
    for thing in books.all_of(ski):
        name, label = books.names[thing], books.labels.get(thing)
        if name.kind is Kind.LOT and label:
            own.words.setdefault(f"{label.purpose or label.material} lot", set()).add(
                label.number or name.code
            )
        elif name.kind is Kind.RESIN_BATCH:
            own.words.setdefault("resin batch", set()).add(name.code)
            _mix(thing, ski, books, own)
    for event, bys in books.pressed.get(ski, ()):
        for by in bys:
            name = books.names[by]
            if name.kind is not Kind.PRESS_CYCLE:
                own.words.setdefault(name.kind.value, set()).add(name.name or name.code)
        own.words.setdefault("turn in the press that day", set()).add(str(books.turns[event.id]))
    return own


def _mix(batch: UUID, ski: UUID, books: Books, own: _Own) -> None:
    events = {event for _, event in books.sources.get(batch, ())}
    for event in (books.events[id] for id in events):
        if "ratio_error" in event.facts:
            own.numbers["mix"].append(round(100 * event.facts["ratio_error"], 1))
        if event.facts.get("air"):
            own.numbers["surface"].append(event.facts["air"]["surface_c"])
        laid = [books.events[id].at for source, id in books.sources.get(ski, ()) if source == batch]
        own.numbers["minutes"] += [round(_minutes(event.at, at)) for at in laid]


def _minutes(mixed: datetime, laid: datetime) -> float:
    return (laid - mixed).total_seconds() / 60


def _verdicts(rows: dict[UUID, _Own]) -> dict[UUID, str]:
    """The newest press verdict of each ski."""
    found: dict[UUID, str] = {}
    for part in chunks(rows):
        lines = Line.objects.filter(
            thing_id__in=part, role=Role.OBSERVED, event__step="judged", event__skipped__isnull=True
        ).order_by("event__sort")
        for ski, facts in lines.values_list("thing_id", "event__facts"):
            found[ski] = "passed" if facts.get("passed") else "did not pass"
    return found


def _read_probes(rows: Mapping[UUID, _Own], books: Books) -> None:
    """How warm the coldest probe of each closing ever was: the newest log counts, else what was typed."""
    cycles = {
        by
        for ski in rows
        for _, bys in books.pressed.get(ski, ())
        for by in bys
        if books.names[by].kind is Kind.PRESS_CYCLE
    }
    read: dict[UUID, list[Mapping[str, Any]]] = {}
    for part in chunks(cycles):
        lines = Line.objects.filter(
            thing_id__in=part, role=Role.OBSERVED, event__step="press read", event__skipped__isnull=True
        ).order_by("-event__sort")
        for cycle, facts in lines.values_list("thing_id", "event__facts"):
            read.setdefault(cycle, []).append(facts)
    coldest = {cycle: _coldest(facts) for cycle, facts in read.items()}
    for ski in rows:
        bys = [by for _, own in books.pressed.get(ski, ()) for by in own]
        rows[ski].numbers["coldest"] = [value for by in bys if (value := coldest.get(by)) is not None]


def _coldest(readings: Sequence[Mapping[str, Any]]) -> float | None:
    log = next((facts for facts in readings if "log" in facts), None)
    left_out = set(log.get("left_out", ())) if log else set()
    probes: dict[str, list[float]] = {}
    for name, column in log["log"]["probes_c"].items() if log else ():
        probes.setdefault(name, []).extend(value for value in column if value is not None)
    for facts in () if log else readings:
        for name, value in facts["probes_c"].items():
            probes.setdefault(name, []).extend([value] if value is not None else [])
    highest = [max(values) for name, values in probes.items() if values and name not in left_out]
    return round(min(highest), 1) if highest else None


def _numbers(own: _Own, others: Mapping[UUID, _Own]) -> Iterable[Fact]:
    for key, name in _NUMBERS.items():
        mine = own.numbers[key]
        rest = [value for row in others.values() for value in row.numbers[key]]
        apart = bool(mine and rest) and (max(mine) > max(rest) or min(mine) < min(rest))
        yield Fact(key, name, _told(key, mine), _told(key, rest), apart)


def _sets(own: _Own, others: Mapping[UUID, _Own]) -> Iterable[Fact]:
    """Apart: fewer than a quarter of the others have it. Each ski has cups of its own; they say nothing."""
    keys = dict.fromkeys([*own.words, *(key for row in others.values() for key in row.words)])
    for key in keys:
        mine = own.words.get(key, set())
        count = Counter(value for row in others.values() for value in row.words.get(key, ()))
        apart = key != "resin batch" and any(4 * count[value] < len(others) for value in mine)
        told = ", ".join(f"{value} ({times})" for value, times in count.most_common(4))
        more = len(count) - 4
        yield Fact(key, None, ", ".join(sorted(mine)), f"{told} …" if more > 0 else told, apart)


def _verdict(verdicts: Mapping[UUID, str], ski: UUID) -> Fact:
    mine = verdicts.get(ski, "")
    count = Counter(word for one, word in verdicts.items() if one != ski)
    told = ", ".join(f"{word} ({times})" for word, times in count.most_common())
    return Fact("press verdict", None, mine, told, bool(count) and count[mine] * 2 < sum(count.values()))


def _people(ski: UUID, books: Books) -> tuple[str, ...]:
    events: dict[UUID, Event] = {id: books.events[id] for _, id in books.sources.get(ski, ())}
    for thing in books.all_of(ski):
        if books.names[thing].kind is Kind.RESIN_BATCH:
            events |= {id: books.events[id] for _, id in books.sources.get(thing, ())}
    events |= {event.id: event for event, _ in books.pressed.get(ski, ())}
    who = people(event.who for event in events.values())
    told: Sequence[str] = [f"{event.step}: {who[event.who]}" for event in events.values() if event.who in who]
    return tuple(dict.fromkeys(told))
