"""WRITE trips: their days, their trailers, the workshops they go to. Knows nothing of what is loaded."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from inventory.actions import cards
from inventory.actions.draws import check_draws
from inventory.actions.ledger import Act, happening
from inventory.actions.loading import line_id
from inventory.compute.codes import Kind
from inventory.errors import Refused, say
from inventory.models import Listed, Trip, Workshop
from inventory.queries import ledger, loading


@happening
def plan_trip(
    act: Act,
    /,
    *,
    name: str,
    leaves_on: date,
    back_on: date,
    trailers: Sequence[UUID],
    workshops: Sequence[UUID],
    sort: str = "workshop",
    rules: str = "",
    loads_on: date | None = None,
    tows: Mapping[str, Sequence[str]] | None = None,
    bay_c: float | None = None,
    heated: bool | None = None,
    road_low_c: float | None = None,
    road_high_c: float | None = None,
    crossings: Sequence[str] | None = None,
    watchers: Sequence[UUID] = (),
) -> None:
    """Plan a trip: its days, what drives and who, where to, how warm it is expected there and on the way.

    Afterwards: the day sheet says whether it can leave, and why not.
    Refused: trip.no_name, trip.sort, trip.rules, trip.dates_reversed, trip.load_day, trip.no_trailer,
    trip.not_a_trailer, trip.not_a_car, trip.car_twice, trip.away, trip.nobody, trip.no_workshop,
    trip.workshop_outside, trip.crossing, trip.warmth.
    """
    _plan(
        act,
        {
            "name": name.strip(),
            "sort": sort,
            "rules": rules,
            "loads_on": loads_on,
            "leaves_on": leaves_on,
            "back_on": back_on,
            "trailers": trailers,
            "workshops": workshops,
            "tows": dict(tows or {}),
            "bay_c": bay_c,
            "heated": heated,
            "road_low_c": road_low_c,
            "road_high_c": road_high_c,
            "crossings": crossings,
            "watchers": watchers,
        },
    )


def _plan(act: Act, fields: Mapping[str, object]) -> UUID:
    trip = act.id("trip")
    kept = _kept(fields)
    check(Trip(id=trip, **kept))
    cards.save(act, Trip, trip, **kept)
    act.things.append(trip)
    return trip


@happening
def change_trip(act: Act, /, *, trip: UUID, changes: Mapping[str, object]) -> None:
    """Change what a trip's card says, or cancel the trip.

    Afterwards: its card says so, and its history what it said before.
    Refused: card.unknown, and what planning it refuses.
    """
    cards.edit(act, Trip, trip, _kept(changes))
    row = Trip.objects.get(id=trip)
    if not row.cancelled:
        check(row)


@happening
def copy_trip(act: Act, /, *, trip: UUID, name: str, leaves_on: date, workshops: Sequence[UUID]) -> None:
    """Plan the next trip as one before it: the same trailers, cars, drivers, days and way.

    Afterwards: its list has the bins and the equipment that were on the other's list, and its page shows what
    was to be changed and the other's numbers, once those are recorded. What of packages was set aside is not
    copied: the next pairs need their own.
    Refused: card.unknown, and what planning it refuses.
    """
    old = cards.there(Trip, trip)
    assert isinstance(old, Trip)  # noqa: S101 - for the type checker
    fields = {field: getattr(old, field) for field in _COPIED}
    away = old.back_on - old.leaves_on
    before = old.leaves_on - old.loads_on if old.loads_on else None
    fields |= {
        "name": name.strip(),
        "loads_on": leaves_on - before if before is not None else None,
        "leaves_on": leaves_on,
        "back_on": leaves_on + away,
        "workshops": workshops,
        "planned_as_id": old.id,
    }
    new = _plan(act, fields)
    for line in loading.to_copy(old.id):
        cards.save(
            act,
            Listed,
            line_id(new, line.thing_id),
            trip_id=new,
            thing_id=line.thing_id,
            zone_id=line.zone_id,
            why=line.why,
        )


def _kept(fields: Mapping[str, object]) -> dict[str, Any]:
    """As the card keeps them: ids as text."""
    return {
        field: _texts(value) if isinstance(value, list | tuple) else value for field, value in fields.items()
    }


def _texts(ids: Sequence[object]) -> list[str]:
    return [str(id) for id in dict.fromkeys(ids)]


_COPIED = (
    "sort",
    "rules",
    "trailers",
    "tows",
    "bay_c",
    "heated",
    "road_low_c",
    "road_high_c",
    "crossings",
    "watchers",
)


def check(row: Trip) -> None:
    """Refuse a trip that cannot be: see `plan_trip`."""
    if not row.name:
        raise Refused("trip.no_name", say("The trip has no name."), say("Enter where it goes."))
    if row.back_on < row.leaves_on:
        raise Refused(
            "trip.dates_reversed",
            say(
                "The trip would be back on {back}, before it leaves on {leave}.",
                back=row.back_on,
                leave=row.leaves_on,
            ),
            say("Swap the dates."),
        )
    if row.loads_on is not None and row.loads_on > row.leaves_on:
        raise Refused(
            "trip.load_day",
            say(
                "Load day would be {load}, after it leaves on {leave}.",
                load=row.loads_on,
                leave=row.leaves_on,
            ),
            say("Load before it leaves, or leave the load day empty."),
        )
    _check_trailers(row)
    check_draws(row)
    _check_workshops(row)


def _check_trailers(row: Trip) -> None:
    if not row.trailers:
        raise Refused(
            "trip.no_trailer", say("No trailer goes on this trip."), say("Choose at least one trailer.")
        )
    wanted = [UUID(trailer) for trailer in row.trailers]
    kinds = ledger.kinds(wanted)
    if any(id not in kinds or kinds[id][0] is not Kind.TRAILER for id in wanted):
        raise Refused(
            "trip.not_a_trailer", say("What was chosen is no trailer."), say("Choose trailers of the list.")
        )


def _check_workshops(row: Trip) -> None:
    if not row.workshops and row.sort == "supply run":
        return
    if not row.workshops:
        raise Refused(
            "trip.no_workshop", say("The trip goes to no workshop."), say("Choose at least one workshop.")
        )
    found = list(Workshop.objects.filter(id__in=row.workshops))
    if len(found) < len(row.workshops):
        raise Refused(
            "trip.no_workshop",
            say("A workshop of this trip is not in these books."),
            say("Choose workshops of the list."),
        )
    for workshop in found:
        if workshop.starts_on < row.leaves_on or workshop.ends_on > row.back_on:
            raise Refused(
                "trip.workshop_outside",
                say(
                    "{name} is from {start} to {end}; the trip leaves on {leave} and is back on {back}.",
                    name=workshop.name,
                    start=workshop.starts_on,
                    end=workshop.ends_on,
                    leave=row.leaves_on,
                    back=row.back_on,
                ),
                say("Leave earlier, come back later, or leave the workshop out."),
            )
