"""Workshops, seats, guests and build specs: what is kept, and what is refused beside what is not."""

from typing import Any
from uuid import UUID

import pytest

from inventory.actions import builds
from inventory.compute.build_steps import AgeBand
from inventory.models import Guest, Pair, Revision, Seat, Workshop
from inventory.queries import builds as read
from tests.make import Shop, day, refused

WIDTHS = {"tip_mm": 130.0, "waist_mm": 98.0, "tail_mm": 120.0}


def workshop(shop: Shop, capacity: int | None = 2, **more: Any) -> UUID:
    values = {"name": "Kvitskard", "starts_on": day("2026-12-04"), "ends_on": day("2026-12-05")} | more
    return shop.do(builds.plan_workshop, capacity=capacity, **values).thing


def seat(shop: Shop, at: UUID, name: str = "Ida", **more: Any) -> tuple[UUID, UUID]:
    done = shop.do(builds.book_seat, workshop=at, name=name, **more)
    return done.things[0], done.things[1]


def test_plan_workshop_when_venue_and_seats_are_given_keeps_them(shop: Shop) -> None:
    """A workshop has a venue and a number of seats."""
    found = Workshop.objects.get(id=workshop(shop, 6, venue="The old sawmill"))
    assert (found.venue, found.capacity) == ("The old sawmill", 6)


@pytest.mark.parametrize("capacity", [0, 61])
def test_plan_workshop_when_seats_are_no_number_for_one_is_refused(shop: Shop, capacity: int) -> None:
    """1 to 60."""
    workshop(shop, 1)
    workshop(shop, 60)
    with refused("workshop.capacity", str(capacity)):
        workshop(shop, capacity)


def test_plan_workshop_when_it_ends_before_it_starts_is_refused(shop: Shop) -> None:
    """The same day is a day; the day before is none."""
    workshop(shop, ends_on=day("2026-12-04"))
    with refused("workshop.dates_reversed", "2026-12-03"):
        workshop(shop, ends_on=day("2026-12-03"))


def test_book_seat_when_all_are_booked_is_refused_and_the_wait_list_is_not(shop: Shop) -> None:
    """The last seat is taken; the next guest waits."""
    at = workshop(shop, 2)
    seat(shop, at, "Ida")
    seat(shop, at, "Jonas")
    with refused("seat.full", "2", "Kvitskard"):
        seat(shop, at, "Tuva")
    seat(shop, at, "Tuva", waiting=True)
    assert [(row.state, row.guest.name) for row in read.seats(at)] == [
        ("booked", "Ida"),
        ("booked", "Jonas"),
        ("wait list", "Tuva"),
    ]


def test_book_pair_when_all_seats_are_booked_is_refused_for_a_guest_without_one(shop: Shop) -> None:
    """A guest with a seat builds a pair; a new guest has no seat left."""
    at = workshop(shop, 1)
    _, guest = seat(shop, at)
    shop.do(builds.book_pair, workshop=at, of=guest, length_mm=1840)
    assert read.booked(at) == 1
    with refused("seat.full"):
        shop.pair("Jonas", workshop=at)


def test_book_pair_when_its_guest_is_on_the_wait_list_takes_the_open_seat(shop: Shop) -> None:
    """The seat that waited is booked; no second one is made."""
    at = workshop(shop, 1)
    _, guest = seat(shop, at, waiting=True)
    shop.do(builds.book_pair, workshop=at, of=guest, length_mm=1840)
    assert [row.state for row in read.seats(at)] == ["booked"]


def test_change_seat_when_one_is_given_back_lets_the_next_in(shop: Shop) -> None:
    """Refused while full; booked once a seat was given back."""
    at = workshop(shop, 1)
    first, _ = seat(shop, at)
    second, _ = seat(shop, at, "Tuva", waiting=True)
    with refused("seat.full"):
        shop.do(builds.change_seat, seat=second, state="booked")
    shop.do(builds.change_seat, seat=first, state="given back")
    shop.do(builds.change_seat, seat=second, state="booked")
    assert Seat.objects.get(id=second).state == "booked"
    with refused("seat.state", "sold"):
        shop.do(builds.change_seat, seat=second, state="sold")


def test_book_again_when_the_guest_has_a_seat_there_is_refused(shop: Shop) -> None:
    """Once in each workshop."""
    first, second = workshop(shop), workshop(shop, name="Lynghaug")
    _, guest = seat(shop, first)
    shop.do(builds.book_again, workshop=second, guest=guest)
    with refused("seat.twice"):
        shop.do(builds.book_again, workshop=first, guest=guest)


def test_change_workshop_when_fewer_seats_than_booked_is_refused(shop: Shop) -> None:
    """As many as are booked may stay."""
    at = workshop(shop, 3)
    seat(shop, at, "Ida")
    seat(shop, at, "Jonas")
    shop.do(builds.change_workshop, workshop=at, changes={"capacity": 2})
    with refused("workshop.too_small", "2"):
        shop.do(builds.change_workshop, workshop=at, changes={"capacity": 1})


def test_guest_when_edited_leaves_no_value_in_the_history(shop: Shop) -> None:
    """The card holds the contact; revisions and events hold field names only."""
    at = workshop(shop)
    _, guest = seat(shop, at, "Ida", age_band=AgeBand.YOUTH, contact="+47 000 00 000", consent=True)
    shop.do(builds.change_guest, guest=guest, changes={"contact": "by her mother"})
    row = Guest.objects.get(id=guest)
    assert (row.age_band, row.contact, row.consent) == ("12 to 17", "by her mother", True)
    kept = Revision.objects.filter(card="guest", card_id=guest).order_by("number")
    every = {"name", "age_band", "size", "contact", "consent"}
    assert [set(edit.after) for edit in kept] == [every, {"contact"}]
    assert all(value is None for edit in kept for value in (*edit.before.values(), *edit.after.values()))


def test_guest_without_a_name_is_refused(shop: Shop) -> None:
    """Blanks are no name; one letter of any script is one."""
    at = workshop(shop)
    seat(shop, at, "م")
    with refused("guest.no_name"):
        seat(shop, at, "  ")


@pytest.mark.parametrize("length", [699, 2301, 40])
def test_book_pair_when_the_length_is_no_skis_is_refused(shop: Shop, length: int) -> None:
    """700 to 2300 mm."""
    shop.pair(length_mm=700)
    shop.pair(length_mm=2300)
    with refused("pair.length", str(length)):
        shop.pair(length_mm=length)


def test_specify_when_widths_make_a_ski_keeps_the_spec(shop: Shop) -> None:
    """All of the spec on the pair's card."""
    pair, *_ = shop.pair()
    changes = WIDTHS | {"camber_mm": 4.0, "mount_mm": -40.0, "chose": "oak veneer"}
    shop.do(builds.specify, pair=pair, changes=changes)
    row = Pair.objects.get(thing_id=pair)
    assert {name: getattr(row, name) for name in changes} == changes
    assert read.shaped(row) is not None


@pytest.mark.parametrize(
    ("code", "changes"),
    [
        ("pair.width", {"waist_mm": 20.0}),
        ("pair.width", {"tip_mm": 260.0}),
        ("outline.no_sidecut", {"waist_mm": 125.0}),
        ("pair.widths", {"waist_mm": None}),
        ("pair.camber", {"camber_mm": 80.0}),
        ("pair.mount", {"mount_mm": -700.0}),
        ("pair.length", {"length_mm": 40}),
        ("outline.reach", {"shovel_mm": 1700.0}),
    ],
)
def test_specify_when_one_number_makes_no_ski_is_refused_and_nothing_is_kept(
    shop: Shop, code: str, changes: dict[str, object]
) -> None:
    """The good spec stands beside each."""
    pair, *_ = shop.pair()
    shop.do(builds.specify, pair=pair, changes=WIDTHS)
    with refused(code):
        shop.do(builds.specify, pair=pair, changes=changes)
    assert Pair.objects.get(thing_id=pair).waist_mm == 98.0
