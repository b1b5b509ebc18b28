"""WRITE workshops, seats, guests and pairs with their build spec. Personal data: on guests' cards only."""

from collections.abc import Mapping
from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.closing import check_workshop_open
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute import build_spec
from inventory.compute.codes import Kind
from inventory.errors import Refused, say
from inventory.models import Guest, Pair, Seat, Ski, Workshop
from inventory.queries import builds as read
from inventory.queries import erased

MOST_SEATS = 60  # common practice, no source


@happening
def plan_workshop(
    act: Act,
    /,
    *,
    name: str,
    starts_on: date,
    ends_on: date,
    venue: str = "",
    capacity: int | None = None,
    access: str = "",
    opens_min: int | None = None,
    closes_min: int | None = None,
    hands: int | None = None,
    circuits: list[list[object]] | None = None,
) -> None:
    """Plan a workshop, and say what there is at its venue as far as it is known.

    Afterwards: seats and pairs can be booked on it, no more seats than it has.
    Refused: workshop.dates_reversed, workshop.capacity, workshop.hours.
    """
    workshop = act.id("workshop")
    cards.save(
        act,
        Workshop,
        workshop,
        name=name,
        starts_on=starts_on,
        ends_on=ends_on,
        venue=venue,
        capacity=capacity,
        access=access,
        opens_min=opens_min,
        closes_min=closes_min,
        hands=hands,
        circuits=circuits,
    )
    _check_workshop(workshop)
    act.things.append(workshop)


@happening
def change_workshop(act: Act, /, *, workshop: UUID, changes: Mapping[str, object]) -> None:
    """Change a workshop's name, days, seats, what there is at its venue, or cancel it.

    Afterwards: its card says so, and its history what it said before.
    Refused: card.unknown, workshop.dates_reversed, workshop.capacity, workshop.too_small, workshop.hours.
    """
    cards.edit(act, Workshop, workshop, changes)
    row = _check_workshop(workshop)
    booked = read.booked(workshop)
    if "capacity" in changes and row.capacity is not None and booked > row.capacity:
        raise Refused(
            "workshop.too_small",
            say(
                "{booked} seats are booked; the workshop would have {seats}.",
                booked=booked,
                seats=row.capacity,
            ),
            say("Take seats back first, or leave as many as are booked."),
        )


def _check_workshop(workshop: UUID) -> Workshop:
    row = Workshop.objects.get(id=workshop)
    if row.ends_on < row.starts_on:
        raise Refused(
            "workshop.dates_reversed",
            say(
                "The workshop would end on {end}, before it starts on {start}.",
                end=row.ends_on,
                start=row.starts_on,
            ),
            say("Swap the dates."),
        )
    if row.capacity is not None and not 1 <= row.capacity <= MOST_SEATS:
        raise Refused(
            "workshop.capacity",
            say("{seats} is no number of seats for a workshop.", seats=row.capacity),
            say("Enter 1 to {most}, or leave it empty while it is not known.", most=MOST_SEATS),
        )
    if row.opens_min is not None and row.closes_min is not None and row.closes_min <= row.opens_min:
        raise Refused(
            "workshop.hours",
            say(
                "The venue would close at {closes}, not after it opens at {opens}.",
                closes=f"{row.closes_min // 60:02d}:{row.closes_min % 60:02d}",
                opens=f"{row.opens_min // 60:02d}:{row.opens_min % 60:02d}",
            ),
            say("Enter both times again."),
        )
    return row


@happening
def book_seat(
    act: Act,
    /,
    *,
    workshop: UUID,
    name: str,
    age_band: str = "",
    size: str = "",
    contact: str = "",
    consent: bool | None = None,
    waiting: bool = False,
) -> None:
    """Book a seat for a new guest, or put the guest on the wait list.

    Afterwards: one seat fewer is open. What was said of the guest is on the guest's card only.
    Refused: card.unknown, seat.full, guest.no_name, workshop.closed.
    """
    guest = _new_guest(act, name=name, age_band=age_band, size=size, contact=contact, consent=consent)
    act.things.append(_seat(act, workshop, guest, "wait list" if waiting else "booked"))
    act.things.append(guest)


@happening
def book_again(act: Act, /, *, workshop: UUID, guest: UUID, waiting: bool = False) -> None:
    """Book a seat for a guest whose card there is.

    Afterwards: one seat fewer is open.
    Refused: card.unknown, seat.full, seat.twice, workshop.closed.
    """
    if not Guest.objects.filter(id=guest).exists():
        raise _unknown()
    act.things.append(_seat(act, workshop, guest, "wait list" if waiting else "booked"))


@happening
def change_seat(act: Act, /, *, seat: UUID, state: str) -> None:
    """Give a seat back, or book it for the guest on the wait list.

    Afterwards: the seat is open again, or taken. The guest's pair stays as it is.
    Refused: card.unknown, seat.full, seat.state, workshop.closed.
    """
    row = Seat.objects.filter(id=seat).first()
    if row is None:
        raise _unknown()
    if state not in Seat.STATES:
        raise Refused(
            "seat.state", say("A seat is never {state}.", state=state), say("Choose one of the list.")
        )
    if state == "booked" and row.state != "booked":
        _check_open(row.workshop_id)
    cards.save(act, Seat, seat, state=state)


@happening
def change_guest(act: Act, /, *, guest: UUID, changes: Mapping[str, object]) -> None:
    """Change a guest's name, age band, contact or consent.

    Afterwards: the card says so. Its history keeps which fields were changed, and no values.
    Refused: card.unknown, guest.no_name, guest.erased.
    """
    if erased.is_gone(guest):
        raise Refused(
            "guest.erased",
            say("This guest was erased; nothing is kept of them any more."),
            say("Book a seat for a new guest."),
        )
    if "name" in changes:
        _check_name(str(changes["name"]))
    cards.edit(act, Guest, guest, changes)


@happening
def book_pair(
    act: Act,
    /,
    *,
    workshop: UUID | None,
    length_mm: int,
    guest: str = "",
    of: UUID | None = None,
    age_band: str = "",
    contact: str = "",
) -> None:
    """Book a pair: two skis, left and right, each with its own code, and whose they will be.

    Afterwards: the pair and both skis are born and have codes, so that tags can be printed before the lay-up.
    A guest without a seat in the workshop takes one. `of`: a guest whose card there is; age band and contact
    are a new one's.
    Refused: pair.length, seat.full, card.unknown, guest.no_name, workshop.closed.
    """
    build_spec.check_length(length_mm)
    if workshop is not None:
        check_workshop_open(workshop)
    if of is not None and not Guest.objects.filter(id=of).exists():
        raise _unknown()
    pair = act.born(Kind.PAIR)
    skis = [(side, act.born(Kind.SKI)) for side in ("left", "right")]
    act.record("put into use", outputs=[Entry(pair.id), *(Entry(ski.id) for _, ski in skis)])
    act.record("paired", parts=[Entry(ski.id) for _, ski in skis], whole=pair.id)
    person = of or _new_guest(act, name=guest, age_band=age_band, contact=contact)
    cards.save(act, Pair, pair.id, workshop_id=workshop, guest_id=person, length_mm=length_mm)
    for side, ski in skis:
        cards.save(act, Ski, ski.id, pair_id=pair.id, side=side)
    if workshop is not None and not read.seat_of(workshop, person, "booked"):
        waiting = read.seat_of(workshop, person, "wait list")
        if waiting:
            _check_open(workshop)
            cards.save(act, Seat, waiting.id, state="booked")
        else:
            _seat(act, workshop, person, "booked")


@happening
def specify(act: Act, /, *, pair: UUID, changes: Mapping[str, object]) -> None:
    """Say what a pair is to be: length, widths, camber, mount line, lay-up card, what the guest chose.

    Afterwards: the spec is drawn and its needs are computed; its history says what it said before.
    Refused: card.unknown, pair.widths, and what `compute.build_spec.shaped` refuses.
    """
    cards.edit(act, Pair, pair, changes)
    row = Pair.objects.get(thing_id=pair)
    build_spec.check_length(row.length_mm)
    if any(width is not None for width in (row.tip_mm, row.waist_mm, row.tail_mm)):
        spec = read.spec(row)
        if spec is None:
            raise Refused(
                "pair.widths",
                say("A spec needs all three widths: tip, waist and tail."),
                say("Enter all three, or none while they are not known."),
            )
        build_spec.shaped(spec=spec)


def _new_guest(act: Act, *, name: str, **more: object) -> UUID:
    _check_name(name)
    guest = act.id("guest")
    cards.save(act, Guest, guest, name=name, **more)
    return guest


def _check_name(name: str) -> None:
    if not name.strip():
        raise Refused("guest.no_name", say("The guest has no name."), say("Enter what the guest is called."))


def _seat(act: Act, workshop: UUID, guest: UUID, state: str) -> UUID:
    if not Workshop.objects.filter(id=workshop).exists():
        raise _unknown()
    check_workshop_open(workshop)
    if read.seat_of(workshop, guest, "booked", "wait list"):
        raise Refused(
            "seat.twice",
            say("This guest has a seat in this workshop, or waits for one."),
            say("Change that seat; a guest who builds two pairs needs one seat."),
        )
    if state == "booked":
        _check_open(workshop)
    seat = act.id("seat")
    cards.save(act, Seat, seat, workshop_id=workshop, guest_id=guest, state=state)
    return seat


def _check_open(workshop: UUID) -> None:
    """Refuse a seat where none is free, or where the workshop is closed: `seat.full`, `workshop.closed`."""
    check_workshop_open(workshop)
    row = Workshop.objects.get(id=workshop)
    if row.capacity is not None and read.booked(workshop) >= row.capacity:
        raise Refused(
            "seat.full",
            say("All {seats} seats of {name} are booked.", seats=row.capacity, name=row.name),
            say("Put the guest on the wait list, or take a seat back first."),
        )


def _unknown() -> Refused:
    return Refused(
        "card.unknown",
        say("There is no such card."),
        say("Open the list again; the card may be of a laptop whose books are not merged yet."),
    )
