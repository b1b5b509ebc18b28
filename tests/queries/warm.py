"""Packages that stood in the heat for half a year, and the thermometer that says so."""

from datetime import date, timedelta
from uuid import UUID

from inventory.actions import care, stock
from inventory.compute.codes import Kind
from tests.make import Shop, grams

LONG, HALF_A_YEAR = date(2027, 6, 1), timedelta(days=182)


def read(shop: Shop, place: UUID, highest: float) -> None:
    """A thermometer there kept this highest from half a year ago to now."""
    for ago, kept in ((HALF_A_YEAR, None), (timedelta(0), highest)):
        by = shop.by(at=shop.at - ago)
        shop.do(care.record_reading, by=by, place=place, celsius=min(highest, 30.0), highest_c=kept)


def hot(shop: Shop) -> UUID:
    """A trailer that had 38 °C."""
    if "hot" not in shop.names:
        shop.names["hot"] = shop.place(Kind.TRAILER, "Ptarmigan")
        read(shop, shop.names["hot"], 38.0)
    return shop.names["hot"]


def stood(shop: Shop, number: str, place: UUID, amount: float = 500) -> UUID:
    """A package of varnish that stood there for half a year, and is in date by its label."""
    return shop.do(
        stock.receive_lot,
        by=shop.by(at=shop.at - HALF_A_YEAR),
        material=shop.material("varnish", grams(1).base),
        number=number,
        packages=[grams(amount)],
        expires_on=LONG,
        place=place,
    ).things[-1]
