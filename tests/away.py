"""A shop about to leave: a yard with a store, a trailer of two zones, a workshop, and a trip there."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from inventory.actions import builds, trips
from inventory.actions.by import By, Done
from inventory.actions.shop import change_shop
from inventory.compute.codes import Kind
from inventory.models import Trip
from tests.make import Shop


def plan(shop: Shop, **more: Any) -> Shop:
    """Everything by name: yard, store, trailer, zone, zone 2, workshop, trip."""
    names = shop.names
    names["yard"] = yard = shop.place(Kind.YARD, "the yard")
    names["store"] = shop.place(Kind.STORE, "the barn", yard)
    names["trailer"] = trailer = shop.place(Kind.TRAILER, "Wren", yard)
    names["zone"] = shop.place(Kind.ZONE, "zone 1", trailer)
    names["zone 2"] = shop.place(Kind.ZONE, "zone 2", trailer)
    today = shop.at.date()
    names["workshop"] = workshop = shop.do(
        builds.plan_workshop,
        name="High hut",
        starts_on=today + timedelta(4),
        ends_on=today + timedelta(5),
        capacity=more.pop("capacity", 2),
    ).thing
    names["trip"] = another(shop, 3, 6, trailer, [workshop], **more)
    return shop


def another(
    shop: Shop,
    leaves: int,
    back: int,
    trailer: UUID,
    workshops: list[UUID],
    name: str = "High hut",
    **more: Any,
) -> UUID:
    """A trip of so many days from now."""
    today = shop.at.date()
    return shop.do(
        trips.plan_trip,
        name=name,
        leaves_on=today + timedelta(leaves),
        back_on=today + timedelta(back),
        trailers=[trailer],
        workshops=workshops,
        **more,
    ).thing


def settle(by: By, **values: Any) -> Done:
    """What the shop carries in reserve."""
    return change_shop(by, **values)


def trip(shop: Shop) -> Trip:
    """The trip as it is now."""
    return Trip.objects.get(id=shop.names["trip"])
