"""READ where everything stands and what of it leaves: places, trailers and cars, the loading list."""

from collections.abc import Collection, Iterable, Mapping
from collections.abc import Set as AbstractSet
from uuid import UUID

from inventory.compute.codes import Code, Kind
from inventory.models import Listed, Person, Place, TowCar, Trailer, Trip, Zone
from inventory.queries.ledger import code_in
from inventory.queries.readiness.facts import PlaceOf, Spot, Supposing, TrailerOf

_DEEP = 6


def places_of_all() -> dict[UUID, PlaceOf]:
    """Every place, tow cars too."""
    rows = Place.objects.filter(thing__state__isnull=False).select_related("thing__state")
    return {
        row.thing_id: PlaceOf(
            row.thing_id,
            Kind(row.thing.kind),
            row.name,
            shown(row.code),
            row.thing.state.place_id,
            row.assumed_c,
        )
        for row in rows.annotate(code=code_in())
    }


def shown(code: str | None) -> str:
    """A code as printed; nothing where there is none."""
    return Code(code).shown if code else ""


def trailers_of(trip: Trip, places: Mapping[UUID, PlaceOf], supposed: Supposing) -> tuple[TrailerOf, ...]:
    """The trip's trailers, without one that is supposed to stay."""
    ids = [UUID(text) for text in trip.trailers if UUID(text) != supposed.without]
    cards = Trailer.objects.in_bulk(ids)
    zones = Zone.objects.in_bulk([id for id, place in places.items() if place.kind is Kind.ZONE])
    cars = TowCar.objects.in_bulk()
    people = Person.objects.in_bulk()
    found = []
    for id in ids:
        car, driver = (_id(text) for text in trip.tows.get(str(id), ("", "")))
        own = [place for place in places.values() if place.inside == id and place.kind is Kind.ZONE]
        place = places.get(id)
        found.append(
            TrailerOf(
                id,
                place.code if place else "",
                place.name if place else "",
                cards.get(id) or Trailer(thing_id=id),
                tuple(
                    (zone, zones.get(zone.id) or Zone(thing_id=zone.id))
                    for zone in sorted(own, key=lambda zone: zone.name)
                ),
                cars.get(car) if car else None,
                places[car].code if car and car in places else "",
                people.get(driver) if driver else None,
            )
        )
    return tuple(found)


def _id(text: str) -> UUID | None:
    return UUID(text) if text else None


def cars_of(trailers: Iterable[TrailerOf]) -> list[UUID]:
    """The cars that draw these trailers."""
    return [each.car.thing_id for each in trailers if each.car is not None]


class Where:
    """Where anything lies, from what it lies in directly."""

    def __init__(
        self,
        places: Mapping[UUID, PlaceOf],
        trailers: Iterable[UUID],
        cars: Iterable[UUID],
        lines: Mapping[UUID, Listed],
        missing: AbstractSet[UUID] = frozenset(),
        away: Collection[UUID] = (),
    ) -> None:
        self.places, self.lines, self.missing, self.away = places, lines, missing, away
        self.ours = {*trailers, *cars}
        self._chains: dict[UUID | None, tuple[UUID, ...]] = {None: ()}

    def chain(self, place: UUID | None) -> tuple[UUID, ...]:
        """A place and all it stands in, innermost first."""
        if place is not None and place not in self._chains:
            found: list[UUID] = []
            at: UUID | None = place
            while at is not None and at not in found and len(found) < _DEEP:
                found.append(at)
                at = self.places[at].inside if at in self.places else None
            self._chains[place] = tuple(found)
        return self._chains[place]

    def spot(self, thing: UUID, place: UUID | None) -> Spot:
        """Where a thing lies, and where it leaves."""
        chain = self.chain(place)
        vehicle = next((at for at in chain if self._kind(at) in (Kind.TRAILER, Kind.TOW_CAR)), None)
        if not self.missing.isdisjoint((thing, *chain)):
            return Spot(chain, vehicle, missing=True)
        aboard = vehicle in self.ours
        if not aboard and vehicle in self.away:
            return Spot(chain, vehicle, away=True)
        line = next((self.lines[at] for at in (thing, *chain) if at in self.lines), None)
        if aboard:
            zone = next((at for at in chain if self._kind(at) is Kind.ZONE), None)
            return Spot(chain, vehicle, True, line, vehicle, zone)
        if line is None:
            return Spot(chain, vehicle)
        into = self.chain(line.zone_id)
        goes_in = next((at for at in into if at in self.ours), None)
        zone = next((at for at in into if self._kind(at) is Kind.ZONE), None) if goes_in else None
        return Spot(chain, vehicle, False, line, goes_in, zone)

    def words(self, chain: Iterable[UUID]) -> str:
        """A chain of places in words, innermost first: "bin 7, shelves, the Loft"; without the yard."""
        known = [self.places[id] for id in chain if id in self.places]
        return ", ".join(place.name for place in known if place.kind is not Kind.YARD) or (
            known[0].name if known else ""
        )

    def _kind(self, place: UUID) -> Kind | None:
        return self.places[place].kind if place in self.places else None
