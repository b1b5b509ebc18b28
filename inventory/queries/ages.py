"""READ how old stock really is: where each package stood since it came, and how warm it was there.

An estimate from what people read on thermometers; where nobody read, a place's assumed warmth counts, and the
answer says so. The reckoning is `compute.ageing`; nothing is computed here but where things stood when.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise
from uuid import UUID

from django.utils import timezone

from inventory.compute import ageing, readings
from inventory.compute.ageing import Age, Opened
from inventory.compute.codes import Kind
from inventory.compute.reasons import Basis, Given
from inventory.compute.steps import Role
from inventory.compute.storage import Stay
from inventory.models import Event, Line, Package, Place
from inventory.queries import ledger

SOURCE = "common practice, no source"
TRAILER_C = Given(40.0, Basis.ASSUMED, SOURCE)  # closed, in the sun
STORE_C = Given(30.0, Basis.ASSUMED, SOURCE)
LABEL_C = Given(25.0, Basis.ASSUMED, SOURCE)
_DEEP = 6


@dataclass(frozen=True, slots=True)
class Reading:
    """One temperature somebody read in a place."""

    place: UUID
    at: datetime
    celsius: float
    highest_c: float | None
    lowest_c: float | None


@dataclass(frozen=True, slots=True)
class Stood:
    """A stretch of time in one place and all that it stood in, innermost first."""

    starts: datetime
    ends: datetime
    places: tuple[UUID, ...]


def readings_of(places: Iterable[UUID]) -> list[Reading]:
    """What was read in these places, oldest first."""
    rows = Event.objects.filter(step="temperature read", where_id__in=list(places), skipped__isnull=True)
    found = []
    for place, at, facts in rows.order_by("at", "sort").values_list("where_id", "at", "facts"):
        if place is not None:
            found.append(Reading(place, at, facts["celsius"], facts.get("highest_c"), facts.get("lowest_c")))
    return found


def age_of(package: UUID, now: datetime) -> Age | None:
    """How old a package is by its warmth; None when it has no date, so that nobody can say.

    A fixed number of statements for each level of places and each pouring from one container to another.
    """
    row = (
        Package.objects.select_related("lot__material", "thing__state")
        .filter(thing_id=package, thing__state__isnull=False)
        .first()
    )
    expires = (row.extended_through or row.expires_on) if row else None
    if row is None or expires is None:
        return None
    stood = where_stood(package, now)
    return _reckon(row, expires, stood, timezone.localtime(now)) if stood else None


def _reckon(row: Package, expires: date, stood: Sequence[Stood], now: datetime) -> Age:
    places = {place for stretch in stood for place in stretch.places}
    warmth = _Warmth(places)
    stays: list[Stay] = []
    for stretch in stood:
        stays += warmth.stays(stretch)
    material, opened_at = row.lot.material, row.thing.state.opened_at
    warmest, life = material.stored_to_c, material.opened_life_days
    sheet = material.source or "the material's card"
    opened = None
    if opened_at is not None and row.extended_through is None:
        opened = Opened(
            max(opened_at, stood[0].starts),
            None if life is None else Given(float(life), Basis.DATA_SHEET, sheet),
        )
    return ageing.effective_age(
        received_at=stood[0].starts,
        expires_on=expires,
        label_c=LABEL_C if warmest is None else Given(warmest, Basis.DATA_SHEET, sheet),
        stays=stays,
        assumed_c=warmth.assumed(stood[-1].places),
        now=now,
        opened=opened,
    )


class _Warmth:
    """How warm these places are: what was read there, and what is assumed."""

    def __init__(self, places: set[UUID]) -> None:
        self.kinds = {place: kind for place, (kind, _) in ledger.kinds(places).items()}
        cards = Place.objects.filter(thing_id__in=places, assumed_c__isnull=False)
        self.said = dict(cards.values_list("thing_id", "assumed_c"))
        self.read: dict[UUID, dict[datetime, readings.Read]] = {}
        for row in readings_of(places):
            read = readings.Read(row.at, row.celsius, row.highest_c, row.lowest_c)
            self.read.setdefault(row.place, {})[row.at] = read

    def assumed(self, places: Sequence[UUID]) -> Given[float]:
        """What is assumed: as the innermost place says that says anything, else by what stands outermost."""
        said = next((self.said[place] for place in places if self.said.get(place) is not None), None)
        if said is not None:
            return Given(said, Basis.ASSUMED, "the place's card")
        trailer = any(self.kinds.get(place) is Kind.TRAILER for place in places)
        return TRAILER_C if trailer else STORE_C

    def stays(self, stretch: Stood) -> list[Stay]:
        """The stretch at what was read in the innermost place where anybody read, else as assumed."""
        assumed = self.assumed(stretch.places)
        for place in (*stretch.places, None):
            rows = list(self.read.get(place, {}).values()) if place else []
            found = readings.stays(readings=rows, starts=stretch.starts, ends=stretch.ends, assumed_c=assumed)
            if found.measured_h or place is None:
                return list(found.stays)
        return []


def where_stood(package: UUID, now: datetime) -> list[Stood]:
    """Where a package stood from its delivery on, and before it was poured, where what is in it stood."""
    lives = _lives(package, now)
    moves = _moves([thing for thing, _, _ in lives])
    found: list[Stood] = []
    for thing, starts, ends in lives:
        turns = {at for of in _above(thing, moves) for at, _ in moves.get(of, ()) if starts < at < ends}
        edges = [starts, *sorted(turns), ends]
        for begins, stops in pairwise(edges):
            if begins < stops:
                found.append(Stood(begins, stops, _chain(thing, begins, moves)))
    return found


def _lives(package: UUID, now: datetime) -> list[tuple[UUID, datetime, datetime]]:
    """The containers that held it, oldest first, each from when to when."""
    found: list[tuple[UUID, datetime, datetime]] = []
    thing, ends = package, now
    while True:
        birth = Line.objects.filter(thing_id=thing, role=Role.OUTPUT, event__skipped__isnull=True)
        line = birth.select_related("event").first()
        if line is None:
            return found
        born = min(line.event.at, ends)
        found.insert(0, (thing, born, ends))
        source = Line.objects.filter(event_id=line.event_id, role=Role.INPUT, event__step="split").first()
        if source is None or any(source.thing_id == held for held, _, _ in found):
            return found
        thing, ends = source.thing_id, born


_Moves = dict[UUID, list[tuple[datetime, UUID]]]


def _moves(things: Iterable[UUID]) -> _Moves:
    """When each of these things, and each place they ever lay in, was put where, in the order of time."""
    found: _Moves = {}
    level = list(dict.fromkeys(things))
    for _ in range(_DEEP):
        if not level:
            break
        lines = Line.objects.filter(thing_id__in=level, to_id__isnull=False, event__skipped__isnull=True)
        rows = lines.order_by("event__sort").values_list("thing_id", "event__at", "to_id")
        reached: dict[UUID, None] = {}
        for thing, at, to in rows:
            if to is not None:
                found.setdefault(thing, []).append((at, to))
                reached[to] = None
        level = [place for place in reached if place not in found]
    for own in found.values():
        own.sort(key=lambda move: move[0])
    return found


def _above(thing: UUID, moves: _Moves) -> set[UUID]:
    """The thing and every place it may have stood in."""
    found, level = {thing}, {thing}
    while level:
        level = {to for of in level for _, to in moves.get(of, ())} - found
        found |= level
    return found


def _chain(thing: UUID, at: datetime, moves: _Moves) -> tuple[UUID, ...]:
    """Where a thing stood at a moment, innermost first."""
    places: list[UUID] = []
    while len(places) < _DEEP:
        where = [to for moved, to in moves.get(thing, ()) if moved <= at]
        if not where or where[-1] in places:
            break
        thing = where[-1]
        places.append(thing)
    return tuple(places)
