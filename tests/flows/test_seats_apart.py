"""Seats, specs, lay-ups and artwork on two laptops that were apart."""

from uuid import UUID

from inventory.actions import artwork, builds, layups
from inventory.compute.artwork import Stage
from inventory.compute.units import Base
from inventory.models import Artwork, Guest, LayupCard, Pair, Revision, Seat
from inventory.queries import builds as read
from tests import laptops as room
from tests.make import day

WIDTHS = {"tip_mm": 130.0, "waist_mm": 98.0, "tail_mm": 120.0}


def test_seats_when_two_laptops_book_the_last_one_keeps_both_guests(laptops) -> None:
    """Nobody is lost: one more is booked than there are seats, and people settle it. Guests' cards travel
    whole, and leave no value in the history of either laptop.
    """
    found, shop = laptops("AB")
    days = {"starts_on": day("2027-02-05"), "ends_on": day("2027-02-05")}
    at: UUID = found["A"].do(builds.plan_workshop, shop.by(), name="Kvitskard", capacity=1, **days).thing
    room.meet(found["A"], found["B"], shop)
    for letter, name in (("A", "Ida"), ("B", "Jonas")):
        more = {"age_band": "12 to 17", "contact": f"parent of {name}", "consent": True}
        found[letter].do(builds.book_seat, shop.by(), workshop=at, name=name, **more)
    room.meet(found["A"], found["B"], shop)
    for laptop in found.values():
        with laptop.in_hand():
            assert read.booked(at) == 2
            guests = {(row.name, row.age_band, row.contact, row.consent) for row in Guest.objects.all()}
            assert guests == {(n, "12 to 17", f"parent of {n}", True) for n in ("Ida", "Jonas")}
            kept = Revision.objects.filter(card="guest")
            assert {value for row in kept for value in row.after.values()} == {None}
    room.right(*found.values())


def test_spec_when_one_laptop_draws_and_the_other_follows_artwork_has_both(laptops) -> None:
    """Different fields of different cards take nothing from each other."""
    found, shop = laptops("AB")
    with found["A"].in_hand():
        shop.material("glass", Base.MM2)
    pair: UUID = found["A"].do(builds.book_pair, shop.by(), workshop=None, guest="Ida", length_mm=1840).thing
    row = {"material": "glass", "kind": "sheet", "plies": 2, "extent": "whole ski"}
    card: UUID = found["A"].do(layups.make_layup, shop.by(), name="Triax", layers=[row]).thing
    room.meet(found["A"], found["B"], shop)
    found["A"].do(builds.specify, shop.by(), pair=pair, changes=WIDTHS | {"layup_id": card})
    found["B"].do(artwork.plan_artwork, shop.by(), pair=pair, printer_days=14, bleed_mm=4)
    found["B"].do(artwork.mark_artwork, shop.by(), pair=pair, stage=Stage.CAME, on=day("2026-11-29"))
    found["A"].do(artwork.plan_artwork, shop.by(), pair=pair, printer_days=14, bleed_mm=4)
    room.meet(found["A"], found["B"], shop)
    for laptop in found.values():
        with laptop.in_hand():
            kept = Pair.objects.get(thing_id=pair)
            assert (kept.waist_mm, kept.layup_id) == (98.0, card)
            assert LayupCard.objects.get().layers == [row]
            art = Artwork.objects.get(pair_id=pair)
            assert (art.printer_days, art.came_on) == (14, day("2026-11-29"))
            assert not Seat.objects.exists()
    room.right(*found.values())
