"""What a trip's card is refused for beside its days: cars, drivers, what is away, the way. Writes nothing."""

from uuid import UUID

from inventory.compute.codes import Kind
from inventory.errors import Refused, say
from inventory.models import Person, Trip
from inventory.queries import ledger
from inventory.queries import trips as read
from inventory.queries.loading import vehicles

COLDEST_C, WARMEST_C = -60.0, 70.0


def check_draws(row: Trip) -> None:
    """Refuse who and what cannot drive, and a way that cannot be.

    Refuses: trip.sort, trip.rules, trip.not_a_car, trip.car_twice, trip.away, trip.nobody, trip.crossing,
    trip.warmth
    """
    if row.sort not in Trip.SORTS:
        raise Refused(
            "trip.sort", say("A trip is never {sort}.", sort=row.sort), say("Choose one of the list.")
        )
    if row.rules not in Trip.RULES:
        raise Refused(
            "trip.rules",
            say("{rules} are no rules for goods known here.", rules=row.rules),
            say("Choose one of the list."),
        )
    _check_cars(row)
    _check_away(row)
    _check_people(row)
    strange = [name for name in row.crossings or () if name not in Trip.CROSSINGS]
    if strange:
        raise Refused(
            "trip.crossing",
            say("{name} is no crossing that rules of goods know.", name=strange[0]),
            say("Choose a ferry, a tunnel, both or neither."),
        )
    _check_warmth(row)


def _check_cars(row: Trip) -> None:
    cars = [UUID(pair[0]) for pair in row.tows.values() if pair[0]]
    kinds = ledger.kinds(cars)
    if any(id not in kinds or kinds[id][0] is not Kind.TOW_CAR for id in cars):
        raise Refused(
            "trip.not_a_car", say("What was chosen is no tow car."), say("Choose cars of the list.")
        )
    twice = next((id for id in cars if cars.count(id) > 1), None)
    if twice is not None:
        raise Refused(
            "trip.car_twice",
            say("{car} cannot draw two trailers.", car=read.trailer_name(twice)),
            say("Choose another car for one of them."),
        )


def _check_away(row: Trip) -> None:
    """Refuse a trailer or a car that is on another trip on one of these days."""
    ours = vehicles(row)
    for other in read.overlapping(row):
        taken = [id for id in vehicles(other) if id in ours]
        if taken:
            raise Refused(
                "trip.away",
                say(
                    "{thing} is away on {name} until {back}.",
                    thing=read.trailer_name(min(taken)),
                    name=other.name,
                    back=other.back_on,
                ),
                say("Take another one, or other days."),
            )


def _check_people(row: Trip) -> None:
    wanted = {pair[1] for pair in row.tows.values() if pair[1]} | set(row.watchers)
    known = {str(id) for id in Person.objects.filter(id__in=wanted).values_list("id", flat=True)}
    if wanted - known:
        raise Refused(
            "trip.nobody",
            say("Somebody who was chosen does not work here."),
            say("Choose people of the list."),
        )


def _check_warmth(row: Trip) -> None:
    for value in (row.bay_c, row.road_low_c, row.road_high_c):
        if value is not None and not COLDEST_C <= value <= WARMEST_C:
            raise Refused(
                "trip.warmth",
                say("{value} °C is not a temperature to expect.", value=value),
                say("Enter it again, and mind the unit."),
            )
    low, high = row.road_low_c, row.road_high_c
    if low is not None and high is not None and low > high:
        raise Refused(
            "trip.warmth",
            say("The coldest, {low} °C, would be warmer than the warmest, {high} °C.", low=low, high=high),
            say("Swap the two."),
        )
