"""WRITE trips: their days, their trailers, the workshops they go to. Knows nothing of what is loaded."""

from collections.abc import Mapping, Sequence
from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.compute.codes import Kind
from inventory.errors import Refused, say
from inventory.models import Trip, Workshop
from inventory.queries import ledger
from inventory.queries import trips as read


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
) -> None:
    """Plan a trip.

    Afterwards: the day sheet says whether it can leave, and why not.
    Refused: trip.no_name, trip.dates_reversed, trip.no_trailer, trip.not_a_trailer, trip.trailer_away,
    trip.no_workshop, trip.workshop_outside.
    """
    trip = act.id("trip")
    row = Trip(
        id=trip,
        name=name.strip(),
        leaves_on=leaves_on,
        back_on=back_on,
        trailers=_texts(trailers),
        workshops=_texts(workshops),
    )
    _check(row)
    fields = ("name", "leaves_on", "back_on", "trailers", "workshops")
    cards.save(act, Trip, trip, **{field: getattr(row, field) for field in fields})
    act.things.append(trip)


@happening
def change_trip(act: Act, /, *, trip: UUID, changes: Mapping[str, object]) -> None:
    """Change a trip's name, days, trailers or workshops.

    Afterwards: its card says so, and its history what it said before.
    Refused: card.unknown, and what planning it refuses.
    """
    kept = {
        field: _texts(value) if isinstance(value, list | tuple) else value for field, value in changes.items()
    }
    cards.edit(act, Trip, trip, kept)
    _check(Trip.objects.get(id=trip))


def _texts(ids: Sequence[object]) -> list[str]:
    return [str(id) for id in dict.fromkeys(ids)]


def _check(row: Trip) -> None:
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
    _check_trailers(row)
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
    for other in read.overlapping(row):
        taken = set(other.trailers) & set(row.trailers)
        if taken:
            raise Refused(
                "trip.trailer_away",
                say(
                    "{trailer} is away on {name} until {back}.",
                    trailer=read.trailer_name(UUID(min(taken))),
                    name=other.name,
                    back=other.back_on,
                ),
                say("Take another trailer, or other days."),
            )


def _check_workshops(row: Trip) -> None:
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
