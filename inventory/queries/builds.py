"""READ workshops, seats and pairs with their build spec."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from inventory.compute import build_spec
from inventory.compute.build_spec import Shaped, Spec
from inventory.compute.outline.base import Tail
from inventory.models import Guest, LayupCard, Line, Pair, Seat, Ski, Workshop


def workshops() -> QuerySet[Workshop]:
    """Every workshop, newest first."""
    return Workshop.objects.order_by("-starts_on", "name")


def workshops_ahead(today: date) -> list[Workshop]:
    """The workshops that are not over, the nearest first."""
    return list(Workshop.objects.filter(ends_on__gte=today).order_by("starts_on", "name"))


def workshop(id: UUID) -> Workshop | None:
    """One workshop."""
    return Workshop.objects.filter(id=id).first()


def with_seats() -> QuerySet[Workshop]:
    """Every workshop, newest first, with `taken`: how many seats are booked."""
    return workshops().annotate(taken=Count("seats", filter=Q(seats__state="booked")))


def nearest(today: date, most: int) -> list[Workshop]:
    """Workshops with booked seats: those to come, the nearest first, then those that were, backwards."""
    rows = with_seats()
    to_come = list(rows.filter(ends_on__gte=today).order_by("starts_on", "name")[:most])
    return [*to_come, *rows.filter(ends_on__lt=today)[: most - len(to_come)]]


def pairs(workshop: UUID | None = None) -> QuerySet[Pair]:
    """Booked pairs with workshop, guest and skis; of one workshop when named."""
    rows = Pair.objects.filter(thing__state__isnull=False).select_related("workshop", "guest")
    rows = rows.prefetch_related("skis")
    if workshop is not None:
        rows = rows.filter(workshop_id=workshop)
    return rows.order_by("-workshop__starts_on", "thing_id")


def in_work() -> QuerySet[Pair]:
    """Booked pairs that were not handed over, the nearest workshop first."""
    over = Line.objects.filter(
        thing_id=OuterRef("thing_id"), event__step="handed over", event__skipped__isnull=True
    )
    return pairs().filter(~Exists(over)).order_by("workshop__starts_on", "thing_id")


def pairs_from(today: date) -> QuerySet[Pair]:
    """Booked pairs of workshops that have not begun, the nearest first."""
    rows = Pair.objects.filter(
        thing__state__isnull=False, workshop__starts_on__gte=today, workshop__cancelled=False
    )
    return rows.select_related("workshop").order_by("workshop__starts_on", "thing_id")


def pair(id: UUID) -> Pair | None:
    """One pair with its guest, workshop and lay-up card."""
    return _whole().filter(thing_id=id).first()


def pair_of(ski: UUID) -> Pair | None:
    """The pair of a ski."""
    return _whole().filter(skis__thing_id=ski).first()


def skis_of(pair: UUID) -> list[UUID]:
    """The skis of a pair, left and right."""
    return list(Ski.objects.filter(pair_id=pair).order_by("side").values_list("thing_id", flat=True))


def _whole() -> QuerySet[Pair]:
    return Pair.objects.select_related("workshop", "guest", "layup").prefetch_related("skis")


def booked(workshop: UUID) -> int:
    """How many seats of a workshop are booked."""
    return Seat.objects.filter(workshop_id=workshop, state="booked").count()


def seat_of(workshop: UUID, guest: UUID, *states: str) -> Seat | None:
    """A guest's seat in a workshop in one of these states."""
    return Seat.objects.filter(workshop_id=workshop, guest_id=guest, state__in=states).first()


def seat(id: UUID) -> Seat | None:
    """One seat with its guest and workshop."""
    return Seat.objects.filter(id=id).select_related("workshop", "guest").first()


def seats(workshop: UUID) -> list[Seat]:
    """The seats of a workshop with their guests: booked, waiting, given back, each by name."""
    rows = Seat.objects.filter(workshop_id=workshop).select_related("guest")
    return sorted(rows, key=lambda row: (Seat.STATES.index(row.state), row.guest.name))


def guests_beside(skis: Iterable[UUID]) -> set[UUID]:
    """The guests of the workshops of these skis or pairs, and those whose pairs they are."""
    wanted = list(skis)
    rows = Pair.objects.filter(Q(thing_id__in=wanted) | Q(skis__thing_id__in=wanted))
    found = set(rows.values_list("guest_id", "workshop_id"))
    workshops = {workshop for _, workshop in found if workshop}
    seats = Seat.objects.filter(workshop_id__in=workshops, state="booked").values_list("guest_id", flat=True)
    others = Pair.objects.filter(workshop_id__in=workshops).values_list("guest_id", flat=True)
    return {guest for guest in (*(owner for owner, _ in found), *seats, *others) if guest}


def guests_at_work() -> list[tuple[str, list[Guest]]]:
    """Guests with a pair in work or a seat beside one, by the workshop's name; empty: of no workshop."""
    rows = list(in_work())
    names = {row.workshop.id: row.workshop.name for row in rows if row.workshop}
    found: dict[str, dict[UUID, Guest]] = {}
    for row in rows:
        if row.guest:
            found.setdefault(row.workshop.name if row.workshop else "", {})[row.guest.id] = row.guest
    for seat in Seat.objects.filter(workshop_id__in=names, state="booked").select_related("guest"):
        found.setdefault(names[seat.workshop_id], {})[seat.guest_id] = seat.guest
    return [(name, sorted(own.values(), key=lambda guest: guest.name)) for name, own in found.items()]


def guest(id: UUID) -> Guest | None:
    """One guest's card."""
    return Guest.objects.filter(id=id).first()


def guests_of(workshops: Iterable[UUID]) -> list[Seat]:
    """Seats booked or waited for, with guest and workshop: whom a pair can be booked for."""
    rows = Seat.objects.filter(workshop_id__in=list(workshops), state__in=("booked", "wait list"))
    return list(rows.select_related("guest", "workshop").order_by("-workshop__starts_on", "guest__name"))


def layups(*, ended: bool = True) -> QuerySet[LayupCard]:
    """Every lay-up card by name; without those that are no longer built when asked."""
    rows = LayupCard.objects.order_by("ended", "name")
    return rows if ended else rows.filter(ended=False)


def layup(id: UUID) -> LayupCard | None:
    """One lay-up card."""
    return LayupCard.objects.filter(id=id).first()


def spec(row: Pair) -> Spec | None:
    """A pair's build spec; None while a width is not known."""
    if row.tip_mm is None or row.waist_mm is None or row.tail_mm is None:
        return None
    return Spec(
        length_mm=row.length_mm,
        tip_mm=row.tip_mm,
        waist_mm=row.waist_mm,
        tail_mm=row.tail_mm,
        shovel_mm=row.shovel_mm,
        tail_turn_mm=row.tail_turn_mm,
        tail=Tail(row.tail_shape),
        camber_mm=row.camber_mm,
        mount_mm=row.mount_mm,
    )


def shaped(row: Pair) -> Shaped | None:
    """The ski of a pair's spec; None while a width is not known. Refuses as `compute.build_spec.shaped`."""
    found = spec(row)
    return None if found is None else build_spec.shaped(spec=found)


def newest_workshop_of(guest: UUID) -> UUID | None:
    """The workshop a guest last had a seat in, or builds a pair in."""
    seat = Seat.objects.filter(guest_id=guest).order_by("-workshop__starts_on").first()
    pair = Pair.objects.filter(guest_id=guest, workshop__isnull=False).first()
    return seat.workshop_id if seat else pair.workshop_id if pair else None
