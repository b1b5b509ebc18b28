"""READ everything the answer before a trip is made of, once: a fixed number of statements, whatever there is.

What is supposed is applied here, so that no room knows whether a trailer stays or is only supposed to.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime, time
from uuid import UUID

from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.timezone import get_current_timezone

from inventory.compute import expiry
from inventory.compute.codes import Kind
from inventory.compute.fold import Trouble
from inventory.models import (
    Disagreement,
    Equipment,
    Event,
    Hold,
    Listed,
    Machine,
    Material,
    Package,
    Paper,
    Person,
    Shop,
    Trip,
)
from inventory.queries import ages, coming, cutting, equipment, factors, orders, road, season, trace
from inventory.queries.ledger import code_in, moment
from inventory.queries.missing import missing
from inventory.queries.readiness import weighed
from inventory.queries.readiness.booked import workshops_of
from inventory.queries.readiness.facts import (
    Facts,
    Packed,
    Piece,
    Supposing,
    WorkshopOf,
)
from inventory.queries.readiness.places import Where, cars_of, places_of_all, shown, trailers_of
from inventory.queries.season import supply

SHEET = "safety data sheet"
AGES = frozenset({"resin", "hardener", "glue"})  # by warmth; steel and wood do not


def read(trip: Trip, today: date, supposing: Supposing | None = None) -> Facts:
    """Everything, as it will be when the trip leaves."""
    supposed = supposing or Supposing()
    places = places_of_all()
    trailers = trailers_of(trip, places, supposed)
    lines = list(_open_lines(trip, today))
    own = {row.thing_id: row for row in lines if row.trip_id == trip.id}
    away = _away(trip)
    where = Where(places, [each.id for each in trailers], cars_of(trailers), own, missing(), away)
    materials = {row.id: row for row in Material.objects.order_by("name")}
    placed = orders.orders()
    ours, cancelled, earlier = workshops_of(trip, today, supposed)
    return Facts(
        today=today,
        trip=trip,
        shop=Shop.objects.first() or Shop(),
        supposing=supposed,
        trailers=trailers,
        workshops=ours,
        cancelled=cancelled,
        earlier=earlier,
        places=places,
        materials=materials,
        packages=_aged(_packages(where, lines, trip), materials, today),
        equipment=_equipment(where),
        people={row.id: row for row in Person.objects.order_by("name")},
        sheets=frozenset(Paper.objects.filter(what=SHEET, withdrawn=False).values_list("about", flat=True)),
        listed=tuple(own.values()),
        last_days=_last_days(trip, ours),
        ordered=coming.on_order(placed, orders.seen(placed), today),
        twice=_twice(trip, lines, own),
        accepted=factors.accepted(),
        met_on=_met(),
        backed_up_on=_backed_up(),
        weighed=weighed.leaving(trip, where),
        away=away,
        moved_apart=frozenset(
            Disagreement.objects.filter(trouble=Trouble.MOVED_APART, settled_by=None).values_list(
                "subject", flat=True
            )
        ),
    )


def _away(trip: Trip) -> dict[UUID, Trip]:
    """By trailer or tow car the other trip that has it on the road on this one's load day."""
    day = trip.loads_on or trip.leaves_on
    rows = list(Trip.objects.filter(leaves_on__lte=day, back_on__gt=day, cancelled=False).exclude(id=trip.id))
    home = set(
        Event.objects.filter(
            step=road.HOME, facts__trip__in=[str(row.id) for row in rows], skipped__isnull=True
        ).values_list("facts__trip", flat=True)
    )
    return {
        UUID(vehicle): row
        for row in rows
        if str(row.id) not in home
        for vehicle in (*row.trailers, *(car for car, _ in row.tows.values()))
        if vehicle
    }


def _open_lines(trip: Trip, today: date) -> "QuerySet[Listed]":
    """The open lines of every trip that is not over by its card, and of this one, which may be late."""
    rows = Listed.objects.filter(Q(trip__back_on__gte=today) | Q(trip=trip.id), ended=False)
    return rows.filter(trip__cancelled=False).select_related("trip")


def _packages(where: Where, lines: Iterable[Listed], trip: Trip) -> tuple[Packed, ...]:
    """Everything that holds something, wherever it is."""
    holds = trace.on_hold()
    elsewhere: Counter[UUID] = Counter()
    whole: set[UUID] = set()
    for line in lines:
        if line.trip_id != trip.id:
            elsewhere[line.thing_id] += line.amount or 0
            if line.amount is None:
                whole.add(line.thing_id)
    rows = (
        Package.objects.filter(thing__balance__amount__gt=0, thing__state__isnull=False)
        .annotate(code=code_in())
        .order_by("thing_id")
        .values_list(
            "thing_id",
            "code",
            "lot_id",
            "lot__number",
            "lot__material_id",
            "thing__balance__amount",
            "thing__state__place_id",
            "expires_on",
            "extended_through",
            "thing__state__opened_at",
            "lot__material__opened_life_days",
            "tare_mg",
        )
    )
    found = []
    for id, code, lot, number, material, left, place, expires, extended, opened_at, life, tare in rows:
        opened = timezone.localtime(opened_at).date() if opened_at else None
        spot = where.spot(id, place)
        found.append(
            Packed(
                id=id,
                code=shown(code),
                lot=lot,
                number=number,
                material=material,
                left=left,
                spot=spot,
                through=expiry.last_day(
                    expires_on=expires,
                    opened_on=opened,
                    opened_life_days=life,
                    extended_through=extended,
                ),
                opened_on=opened,
                held=bool({id, lot} & holds),
                set_aside=left if whole & {id, *spot.chain} else min(left, elsewhere[id]),
                tare_mg=tare,
            )
        )
    found += _made_here(where, holds, whole, elsewhere)
    return tuple(found)


def _made_here(
    where: Where, holds: set[UUID], whole: set[UUID], elsewhere: Mapping[UUID, int]
) -> Iterator[Packed]:
    """Cut batches and glued-up blanks: as good as a package. An offcut may be too short for any pair."""
    for row in cutting.in_stock(Kind.CUT_BATCH, Kind.CORE_BLANK):
        spot = where.spot(row.thing, row.place)
        elsewhere_left = min(row.left, elsewhere.get(row.thing, 0))
        yield Packed(
            id=row.thing,
            code=shown(row.code),
            lot=row.lot or row.thing,
            number="",
            material=row.material.id,
            left=row.left,
            spot=spot,
            through=None,
            held=bool({row.thing, row.lot} & holds),
            set_aside=row.left if whole & {row.thing, *spot.chain} else elsewhere_left,
        )


def _aged(
    packages: tuple[Packed, ...], materials: Mapping[UUID, Material], today: date
) -> tuple[Packed, ...]:
    """The same with their age by warmth, of what ages by it and is not past its date yet."""
    evening = datetime.combine(today, time.max, tzinfo=get_current_timezone())
    ageing = {id for id, row in materials.items() if row.purpose in AGES or row.chemistry}
    asked = [
        each.id for each in packages if each.material in ageing and each.through and each.through >= today
    ]
    known = ages.ages_of(asked, evening) if asked else {}
    return tuple(
        replace(each, aged_through=known[each.id].age.forecast, over=known[each.id].read)
        if each.id in known
        else each
        for each in packages
    )


def _equipment(where: Where) -> tuple[Piece, ...]:
    holds = set(Hold.objects.filter(thing__equipment__isnull=False).values_list("thing_id", flat=True))
    dues: dict[UUID, list[equipment.Due]] = {}
    for due in equipment.inspections():
        dues.setdefault(due.equipment, []).append(due)
    rows = Equipment.objects.filter(thing__state__isnull=False).select_related("thing__state")
    return tuple(
        Piece(
            row,
            Kind(row.thing.kind),
            shown(row.code),
            where.spot(row.thing_id, row.thing.state.place_id),
            row.thing_id in holds,
            tuple(dues.get(row.thing_id, ())),
        )
        for row in rows.annotate(code=code_in()).order_by("name", "thing_id")
    )


def _last_days(trip: Trip, ours: Iterable[WorkshopOf]) -> dict[UUID, date]:
    """The last day to order each material for the trip, by the rule of the season it is in."""
    first = min((each.row.starts_on for each in ours), default=trip.leaves_on)
    put_away = season.put_away(season.season_of(first))
    return supply.last_days(load_on=trip.loads_on or trip.leaves_on, put_away=put_away)


def _twice(trip: Trip, lines: Iterable[Listed], own: Mapping[UUID, Listed]) -> tuple[tuple[UUID, str], ...]:
    """What is listed here and, as a whole, for another trip that is away on one of the same days."""
    return tuple(
        (line.thing_id, line.trip.name)
        for line in lines
        if line.trip_id != trip.id
        and line.amount is None
        and line.thing_id in own
        and line.trip.leaves_on < trip.back_on
        and line.trip.back_on > trip.leaves_on
    )


def _backed_up() -> date | None:
    """When these books were last backed up."""
    here = Machine.objects.filter(here=True).first()
    return timezone.localdate(here.backed_up_at) if here and here.backed_up_at else None


def _met() -> dict[str, date | None]:
    """When this laptop's books last took in each of the others'."""
    machines = list(Machine.objects.order_by("letter"))
    here = next((row for row in machines if row.here), None)
    last: dict[str, date] = {}
    rows = Event.objects.filter(step="met", machine__in=[here.id] if here else []).order_by("-clock")
    for clock, facts in rows.values_list("clock", "facts"):
        for other in facts["known"]:
            last.setdefault(other, timezone.localtime(moment(clock)).date())
    return {row.letter: last.get(str(row.id)) for row in machines if not row.here}
