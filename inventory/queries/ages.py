"""READ how old stock really is: where each package stood since it came, and how warm it was there.

An estimate from what people read on thermometers; where nobody read, a place's assumed warmth counts, and the
answer says so. The reckoning is `compute.ageing`; nothing is computed here but where things stood when.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise
from uuid import UUID

from django.utils import timezone

from inventory.compute import ageing, hours, hours_fold, readings
from inventory.compute.ageing import Age, Opened
from inventory.compute.codes import Kind
from inventory.compute.hours_fold import Folded
from inventory.compute.reasons import Basis, Given
from inventory.compute.steps import Role
from inventory.compute.storage import Stay, fill_holes
from inventory.models import Event, Line, Package, Place
from inventory.queries import ledger, logged

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
    """How old a package is by its warmth; None when it has no date, so that nobody can say."""
    found = ages_of([package], now).get(package)
    return found.age if found else None


@dataclass(frozen=True, slots=True)
class Known:
    """A package's age. `measured`: somebody read how warm it stood; `read`: by that alone it is over."""

    age: Age
    measured: bool
    read: bool


def ages_of(packages: Iterable[UUID], now: datetime) -> dict[UUID, Known]:
    """How old packages are by their warmth; those without a date are left out.

    A fixed number of statements for each level of places and each pouring from one container to another,
    however many packages are asked for.
    """
    rows = [
        row
        for row in Package.objects.select_related("lot__material", "thing__state").filter(
            thing_id__in=list(packages), thing__state__isnull=False
        )
        if row.extended_through or row.expires_on
    ]
    stood = stood_of([row.thing_id for row in rows], now)
    warmth = Warmth({place for own in stood.values() for stretch in own for place in stretch.places})
    today = timezone.localtime(now)
    return {
        row.thing_id: _known(row, stood[row.thing_id], warmth, today) for row in rows if stood[row.thing_id]
    }


def _known(row: Package, stood: Sequence[Stood], warmth: "Warmth", now: datetime) -> Known:
    stays = [stay for stretch in stood for stay in warmth.stays(stretch, _label(row).value)]
    assumed = warmth.assumed(stood[-1].places)
    age = _reckon(row, stood, stays, assumed, now)
    read = [stay for stay in stays if stay.celsius.basis is Basis.MEASURED]
    over = bool(read) and age.forecast < now.date()
    over = over and _reckon(row, stood, read, _label(row), now).forecast < now.date()
    return Known(age, measured=bool(read), read=over)


def _label(row: Package) -> Given[float]:
    """The warmth its date is printed for."""
    warmest, sheet = row.lot.material.stored_to_c, row.lot.material.source or "the material's card"
    return LABEL_C if warmest is None else Given(warmest, Basis.DATA_SHEET, sheet)


def _reckon(
    row: Package, stood: Sequence[Stood], stays: Sequence[Stay], assumed: Given[float], now: datetime
) -> Age:
    material, opened_at = row.lot.material, row.thing.state.opened_at
    life = material.opened_life_days
    opened = None
    if opened_at is not None and opened_at <= now and row.extended_through is None:
        opened = Opened(
            max(opened_at, stood[0].starts),
            None
            if life is None
            else Given(float(life), Basis.DATA_SHEET, material.source or "the material's card"),
        )
    expires = row.extended_through or row.expires_on
    assert expires is not None  # noqa: S101 - asked for above
    return ageing.effective_age(
        received_at=stood[0].starts,
        expires_on=expires,
        label_c=_label(row),
        stays=stays,
        assumed_c=assumed,
        now=now,
        opened=opened,
    )


class Warmth:
    """How warm these places are: what was read there, and what is assumed."""

    def __init__(self, places: set[UUID]) -> None:
        self.kinds = {place: kind for place, (kind, _) in ledger.kinds(places).items()}
        cards = Place.objects.filter(thing_id__in=places, assumed_c__isnull=False)
        self.said = dict(cards.values_list("thing_id", "assumed_c"))
        self.logged = logged.hours_of(places)
        self._folds: dict[tuple[UUID, float], Folded] = {}
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

    def stays(self, stretch: Stood, label_c: float) -> list[Stay]:
        """The stretch as it was measured, for a label; where nobody measured, as assumed."""
        known = self._known(stretch, label_c)
        return list(fill_holes(known, stretch.starts, stretch.ends, self.assumed(stretch.places)))

    def measured(self, stretch: Stood) -> list[Stay]:
        """What was measured of the stretch hour by hour, with holes where nobody did."""
        return self._known(stretch, None)

    def _known(self, stretch: Stood, label_c: float | None) -> list[Stay]:
        """Innermost place first, what a logger wrote before what people read; the others in the holes."""
        known: list[Stay] = []
        for place in stretch.places:
            own = list(self._wrote(place, stretch, label_c))
            rows = list(self.read.get(place, {}).values())
            if rows:
                found = readings.stays(
                    readings=rows, starts=stretch.starts, ends=stretch.ends, assumed_c=STORE_C
                )
                typed = [stay for stay in found.stays if stay.celsius.basis is Basis.MEASURED]
                own = readings.laid_under(own, typed) if own else typed
            known = readings.laid_under(known, own) if known else own
        return known

    def _wrote(self, place: UUID, stretch: Stood, label_c: float | None) -> Iterable[Stay]:
        found = self.logged.get(place)
        if not found:
            return ()
        if label_c is None:
            return hours.stays(found, starts=stretch.starts, ends=stretch.ends)
        key = place, label_c
        if key not in self._folds:
            self._folds[key] = hours_fold.fold(found, label_c)
        return self._folds[key].within(stretch.starts, stretch.ends)


def where_stood(package: UUID, now: datetime) -> list[Stood]:
    """Where a package stood from its delivery on, and before it was poured, where what is in it stood."""
    return stood_of([package], now)[package]


def told_where(package: UUID, now: datetime) -> list[tuple[Stood, str]]:
    """The same in words, each stretch by where its place stood then; what follows in one place is one."""
    found: list[Stood] = []
    for each in where_stood(package, now):
        if found and found[-1].places == each.places and found[-1].ends == each.starts:
            found[-1] = replace(found[-1], ends=each.ends)
        else:
            found.append(each)
    words = stood_words(found)
    return [(each, words[each]) for each in found]


def stood_words(stood: Iterable[Stood]) -> dict[Stood, str]:
    """Where each of these stretches was, from the outside in, as its places stood then."""
    wanted = list(stood)
    places = {place for each in wanted for place in each.places}
    names = dict(Place.objects.filter(thing_id__in=places).values_list("thing_id", "name"))
    return {
        each: ", ".join(filter(None, (names.get(place, "") for place in reversed(each.places))))
        for each in wanted
    }


def stood_of(packages: Iterable[UUID], now: datetime) -> dict[UUID, list[Stood]]:
    """The same of many packages."""
    lives = _lives(list(packages), now)
    moves = _moves({thing for own in lives.values() for thing, _, _ in own})
    return {package: list(_stretches(own, moves)) for package, own in lives.items()}


_Life = tuple[UUID, datetime, datetime]
_Moves = dict[UUID, list[tuple[datetime, UUID]]]


def _stretches(lives: Iterable[_Life], moves: _Moves) -> Iterator[Stood]:
    for thing, starts, ends in lives:
        turns = {at for of in _above(thing, moves) for at, _ in moves.get(of, ()) if starts < at < ends}
        for begins, stops in pairwise([starts, *sorted(turns), ends]):
            if begins < stops:
                yield Stood(begins, stops, _chain(thing, begins, moves))


def _lives(packages: Sequence[UUID], now: datetime) -> dict[UUID, list[_Life]]:
    """The containers that held each, oldest first, each from when to when."""
    found: dict[UUID, list[_Life]] = {package: [] for package in packages}
    held = {package: (package, now) for package in packages}
    while held:
        births = _births({thing for thing, _ in held.values()})
        sources = _poured_from({event for event, _ in births.values()})
        older: dict[UUID, tuple[UUID, datetime]] = {}
        for package, (thing, ends) in held.items():
            if thing not in births:
                continue
            event, at = births[thing]
            born = min(at, ends)
            found[package].insert(0, (thing, born, ends))
            source = sources.get(event)
            if source is not None and all(source != of for of, _, _ in found[package]):
                older[package] = (source, born)
        held = older
    return found


def _births(things: set[UUID]) -> dict[UUID, tuple[UUID, datetime]]:
    """The event that each came of, and when it was."""
    rows = Line.objects.filter(thing_id__in=things, role=Role.OUTPUT, event__skipped__isnull=True)
    return {thing: (event, at) for thing, event, at in rows.values_list("thing_id", "event_id", "event__at")}


def _poured_from(events: set[UUID]) -> dict[UUID, UUID]:
    """Of those events that are a pouring, what was poured from."""
    rows = Line.objects.filter(event_id__in=events, role=Role.INPUT, event__step="split")
    return dict(rows.values_list("event_id", "thing_id"))


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
