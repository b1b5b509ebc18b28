"""READ where the things of a reach lie: what is left of each, where, and the trip that takes it next.

Knows places, trailers and trips; which things are meant, its callers say.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Q

from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.models import Place, State, Thing, Trip
from inventory.queries.dossier.facts import Named
from inventory.queries.dossier.names import named
from inventory.queries.ledger import chunks
from inventory.queries.things import place_words


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of one thing, where, on which trailer, and the next trip that takes it.

    `amount` None: it is counted by itself, as a ski is. `where` empty: not put away.
    """

    thing: Named
    amount: Amount | None
    where: str
    trailer: str
    trip: str
    trip_id: UUID | None
    leaves_on: date | None


def left(things: Iterable[UUID], today: date) -> list[Left]:
    """What is left of these things and where, the largest first; a cup of another day is hard: no stock."""
    hard = Q(kind=Kind.RESIN_BATCH) & ~Q(state__born__at__date=today)
    rows = [
        (id, base, amount)
        for part in chunks(things)
        for id, base, amount in Thing.objects.filter(id__in=part, balance__amount__gt=0, state__isnull=False)
        .exclude(hard)
        .values_list("id", "base", "balance__amount")
    ]
    rows.sort(key=lambda row: (-row[2], row[0]))
    return _lying({id: Amount(amount, Base(base)) for id, base, amount in rows}, today)


def shelf(things: Iterable[UUID], today: date) -> list[Left]:
    """These things as a hand goes to them: by place, what is not put away last."""
    amounts: dict[UUID, Amount | None] = {
        id: Amount(amount, Base(base)) if base and amount is not None else None
        for part in chunks(dict.fromkeys(things))
        for id, base, amount in Thing.objects.filter(id__in=part).values_list("id", "base", "balance__amount")
    }
    rows = _lying(amounts, today)
    return sorted(rows, key=lambda row: (not row.where, row.where, row.thing.kind, row.thing.code))


def _lying(amounts: Mapping[UUID, Amount | None], today: date) -> list[Left]:
    names, where = named(amounts), place_words()
    lies = {
        thing: place
        for part in chunks(amounts)
        for thing, place in State.objects.filter(thing_id__in=part).values_list("thing_id", "place_id")
    }
    aboard, trips = _trailers(), _next_trips(today)
    found = []
    for id, amount in amounts.items():
        place = lies.get(id)
        trailer, name = aboard.get(place, (None, "")) if place else (None, "")
        trip = trips.get(str(trailer)) if trailer else None
        found.append(
            Left(
                names[id],
                amount,
                where.get(place, "") if place else "",
                name,
                trip.name if trip else "",
                trip.id if trip else None,
                trip.leaves_on if trip else None,
            )
        )
    return found


def _trailers() -> dict[UUID, tuple[UUID, str]]:
    """The trailer that each place is, or lies in. A shop has a few hundred places."""
    names = dict(Place.objects.values_list("thing_id", "name"))
    inside = dict(State.objects.filter(thing_id__in=names).values_list("thing_id", "place_id"))
    trailers = set(Thing.objects.filter(kind=Kind.TRAILER).values_list("id", flat=True))
    found = {}
    for place in names:
        at: UUID | None = place
        for _ in range(6):
            if at is None or at in trailers:
                break
            at = inside.get(at)
        if at in trailers:
            found[place] = (at, names.get(at, ""))
    return found


def _next_trips(today: date) -> dict[str, Trip]:
    """The trip each trailer is on, or goes on next."""
    found: dict[str, Trip] = {}
    for trip in Trip.objects.filter(back_on__gte=today, cancelled=False).order_by("leaves_on", "name"):
        for trailer in trip.trailers:
            found.setdefault(trailer, trip)
    return found
