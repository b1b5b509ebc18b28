"""READ what every delivered ski is made of and went through, as factors that suspects are counted by.

Knows events and cards; nobody's name, and nothing of who failed. A repair is no cause of what it repaired,
and is left out.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from typing import Any
from uuid import UUID

from django.utils import timezone

from inventory.compute import damp
from inventory.compute.codes import Kind
from inventory.compute.reasons import Basis, Given
from inventory.compute.steps import Role
from inventory.compute.suspects import Delivered, Factor
from inventory.models import Event, Line, Ski, State
from inventory.queries import trace
from inventory.queries.dossier.facts import Label, Named
from inventory.queries.dossier.names import labels, named
from inventory.queries.ledger import chunks

PAUSE_DAYS, LONGEST_DAYS = 60, 365  # between seasons nothing is handed over; none is longer than a year

Bands = tuple[tuple[float, str], ...]
_MIX: Bands = ((0.01, "up to 1 %"), (0.02, "1 % to 2 %"), (0.05, "2 % to 5 %"), (9e9, "above 5 %"))
_MINUTES: Bands = (
    (10, "up to 10 min"),
    (20, "10 to 20 min"),
    (40, "20 to 40 min"),
    (9e9, "above 40 min"),
)
_OPEN: Bands = ((7, "up to 7 days"), (30, "7 to 30 days"), (90, "30 to 90 days"), (9e9, "above 90 days"))
_AGE: Bands = ((180, "up to 6 months"), (365, "6 to 12 months"), (9e9, "above 12 months"))
_BAY: Bands = ((15, "below 15 °C"), (20, "15 to 20 °C"), (25, "20 to 25 °C"), (9e9, "above 25 °C"))
_SPREAD: Bands = ((3, "below 3 K"), (5, "3 to 5 K"), (10, "5 to 10 K"), (9e9, "above 10 K"))
_PURPOSES = (
    *("resin", "hardener", "blank", "wood", "edge", "base", "glass"),
    *("sidewall", "rubber", "top", "glue"),
)
_OWN = (
    *("mix error", "press day", "turn in the press that day", "laid up after mixing", "bay"),
    "surface above the dew point",
)
WORDS = (  # every kind of factor and every band, for translation
    *_OWN,
    *(f"{purpose} {what}" for purpose in _PURPOSES for what in ("lot", "package", "open for", "made")),
    *(name for bands in (_MIX, _MINUTES, _OPEN, _AGE, _BAY, _SPREAD) for _, name in bands),
    *(f"{name} before" for _, name in _AGE),
)


@dataclass(frozen=True, slots=True)
class Exposed:
    """Delivered skis and the factors they share; `things` leads from kind and code to the thing."""

    delivered: tuple[Delivered, ...]
    factors: tuple[Factor, ...]
    things: Mapping[tuple[str, str], UUID]


def _day(value: date) -> str:
    return f"{value.day} {value:%b %Y}"


def seasons(days: Iterable[date]) -> dict[date, str]:
    """The season of each day on which something was handed over, named by its first day.

    A season ends with a pause of 60 days, and after a year at the latest: south of the equator too.
    """
    found: dict[date, str] = {}
    first = last = None
    for day in sorted(set(days)):
        paused = last is None or (day - last).days >= PAUSE_DAYS
        if first is None or paused or (day - first).days >= LONGEST_DAYS:
            first = day
        last = day
        found[day] = f"from {_day(first)}"
    return found


def band(value: float, bands: Bands) -> str:
    """The band a value falls into; each reaches up to its number and includes it."""
    return next(name for most, name in bands if value <= most)


def exposed() -> Exposed:
    """Every ski that was handed over, and every factor that any of them has."""
    rows = _delivered()
    books = Books([row.thing_id for row, _ in rows])
    factors: dict[tuple[str, str], dict[str, None]] = {}
    things: dict[tuple[str, str], UUID] = {}
    for row, _ in rows:
        for kind, code, thing in books.of(row):
            factors.setdefault((kind, code), {})[str(row.thing_id)] = None
            if thing is not None:
                things[kind, code] = thing
    season = seasons(day for _, day in rows)
    return Exposed(
        tuple(Delivered(str(row.thing_id), str(row.pair_id), season[day]) for row, day in rows),
        tuple(Factor(code, kind, tuple(skis)) for (kind, code), skis in factors.items()),
        things,
    )


def _delivered() -> list[tuple[Ski, date]]:
    lines = Line.objects.filter(
        event__step="handed over", event__skipped__isnull=True, thing__kind=Kind.SKI
    ).order_by("event__sort")
    days = {ski: timezone.localdate(at) for ski, at in lines.values_list("thing_id", "event__at")}
    found = []
    for part in chunks(days):
        rows = Ski.objects.filter(thing_id__in=part, pair__isnull=False).select_related("pair__workshop")
        found += [(row, days[row.thing_id]) for row in rows]
    # both skis of a pair belong to the season in which the first was handed over
    first: dict[UUID | None, date] = {}
    for row, day in found:
        first[row.pair_id] = min(day, first.get(row.pair_id, day))
    return [(row, first[row.pair_id]) for row, _ in found]


Found = tuple[str, str, UUID | None]


class Books:
    """What happened to these skis and to what went into them, read once."""

    def __init__(self, skis: list[UUID]) -> None:
        walk = trace.back(skis)
        self.events = _events(walk.events)
        self.sources: dict[UUID, list[tuple[UUID, UUID]]] = {}  # of a thing: source and event
        for step in walk.steps:
            if self.events[step.event].step != "repaired":
                self.sources.setdefault(step.made, []).append((step.source, step.event))
        self.names: dict[UUID, Named] = named(walk.things)
        self.labels: dict[UUID, Label] = labels(walk.things)
        self.opened: dict[UUID, datetime | None] = {}
        for part in chunks(walk.things):
            self.opened.update(
                State.objects.filter(thing_id__in=part, opened_at__isnull=False).values_list(
                    "thing_id", "opened_at"
                )
            )
        self.pressed = _pressed(skis)
        self.turns = _turns(self.pressed)
        self.names |= named({by for rows in self.pressed.values() for _, bys in rows for by in bys})
        self._below: dict[UUID, tuple[UUID, ...]] = {}

    def of(self, ski: Ski) -> Iterable[Found]:
        """Every factor of one ski, once."""
        id = ski.thing_id
        found: dict[Found, None] = {}
        workshop = ski.pair.workshop if ski.pair else None
        if workshop:
            found["workshop", f"{workshop.name}, {_day(workshop.starts_on)}", None] = None
        for thing in self.all_of(id):
            found |= dict.fromkeys(self._thing(thing))
        for event, bys in self.pressed.get(id, ()):
            found |= dict.fromkeys(self._cycle(event, bys))
        found |= dict.fromkeys(self._lay_up(id))
        return found

    def all_of(self, thing: UUID) -> tuple[UUID, ...]:
        """Everything a thing is made of."""
        if thing not in self._below:
            found: dict[UUID, None] = {}
            for source, _ in self.sources.get(thing, ()):
                found[source] = None
                found |= dict.fromkeys(self.all_of(source))
            self._below[thing] = tuple(found)
        return self._below[thing]

    def _thing(self, thing: UUID) -> Iterable[Found]:
        name, label = self.names[thing], self.labels.get(thing)
        if name.kind is Kind.LOT and label:
            yield f"{label.purpose or label.material} lot", label.number or name.code, thing
        elif name.kind is Kind.PACKAGE and label:
            yield f"{label.purpose or label.material} package", name.code, thing
        else:
            yield name.kind.value, name.code, thing
        if name.kind is Kind.RESIN_BATCH:
            yield from self._mix(thing)

    def _mix(self, batch: UUID) -> Iterable[Found]:
        """How a cup was mixed, by bands: its error, the air, how long and how old its parts were."""
        for source, event_id in self.sources.get(batch, ()):
            event = self.events[event_id]
            if "ratio_error" in event.facts:
                yield "mix error", band(abs(event.facts["ratio_error"]), _MIX), None
            yield from _air(event.facts.get("air"))
            label, opened = self.labels.get(source), self.opened.get(source)
            if label is None:
                continue
            if opened is not None and opened <= event.at:
                yield f"{label.purpose} open for", band((event.at - opened).days, _OPEN), None
            if label.made_on is not None:
                days = (timezone.localdate(event.at) - label.made_on).days
                yield f"{label.purpose} made", f"{band(days, _AGE)} before", None

    def _cycle(self, event: Event, bys: list[UUID]) -> Iterable[Found]:
        for by in bys:
            name = self.names[by]
            code = f"“{name.name}” ({name.code})" if name.name else name.code
            yield name.kind.value, code, by
        yield "press day", _day(timezone.localdate(event.at)), None
        yield "turn in the press that day", str(self.turns[event.id]), None

    def _lay_up(self, ski: UUID) -> Iterable[Found]:
        for source, event_id in self.sources.get(ski, ()):
            mixed = [self.events[event].at for _, event in self.sources.get(source, ())]
            if self.names[source].kind is Kind.RESIN_BATCH and mixed:
                minutes = (self.events[event_id].at - max(mixed)).total_seconds() / 60
                yield "laid up after mixing", band(max(minutes, 0), _MINUTES), None


def _events(ids: Iterable[Any]) -> dict[UUID, Event]:
    found: dict[UUID, Event] = {}
    for part in chunks(ids):
        found.update({row.id: row for row in Event.objects.filter(id__in=part)})
    return found


def _air(air: Mapping[str, Any] | None) -> Iterable[Found]:
    if not air:
        return
    yield "bay", band(air["air_c"], _BAY), None
    given: Callable[[float], Given[float]] = partial(Given, basis=Basis.MEASURED)
    dew = damp.dew_point(air_c=given(air["air_c"]), humidity_pct=given(air["humidity_pct"]))
    yield "surface above the dew point", band(air["surface_c"] - dew.celsius, _SPREAD), None


def _pressed(skis: Iterable[UUID]) -> dict[UUID, list[tuple[Event, list[UUID]]]]:
    """Per ski the closings it was in, each with cycle, press and mould."""
    events: dict[UUID, Event] = {}
    in_it: dict[UUID, list[UUID]] = {}
    for part in chunks(skis):
        rows = Line.objects.filter(
            thing_id__in=part, role=Role.OBSERVED, event__step="pressed", event__skipped__isnull=True
        ).select_related("event")
        for line in rows:
            events[line.event_id] = line.event
            in_it.setdefault(line.thing_id, []).append(line.event_id)
    bys: dict[UUID, list[UUID]] = {event: [] for event in events}
    for part in chunks(events):
        for event, thing in Line.objects.filter(event_id__in=part, role=Role.BY).values_list(
            "event_id", "thing_id"
        ):
            bys[event].append(thing)
    return {ski: [(events[event], bys[event]) for event in own] for ski, own in in_it.items()}


def _turns(pressed: Mapping[UUID, list[tuple[Event, list[UUID]]]]) -> dict[UUID, int]:
    """Which closing of its press that day each one was: the first, the second, ..."""
    every = {event.id: (event, tuple(bys[1:2])) for rows in pressed.values() for event, bys in rows}
    found: dict[UUID, int] = {}
    count: dict[object, int] = {}
    for event, press in sorted(every.values(), key=lambda row: row[0].sort):
        key = (press, timezone.localdate(event.at))
        count[key] = count.get(key, 0) + 1
        found[event.id] = count[key]
    return found
