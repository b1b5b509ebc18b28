"""Small lots and needs whose days are numbers, for the tests of who gets what."""

from datetime import date, timedelta

from inventory.compute.choose import KEEPS, Lot, Need, who_gets_what
from inventory.compute.units import Base

START = date(2026, 1, 1)
FAR = START + timedelta(days=1_000)


def day(number):
    return START + timedelta(days=number)


def lot(key, amount, last, *, start=None, place="Loft", held=False):
    """A lot whose days are numbers; `last` None is unknown."""
    last_day = KEEPS if last == "keeps" else None if last is None else day(last)
    return Lot(key, amount, last_day, place, None if start is None else day(start), held)


def need(key, amount, load, last, *, trailers=(), reach=None):
    reach = None if reach is None else frozenset(reach)
    return Need(key, amount, day(load), day(last), frozenset(trailers), reach)


def choose(lots, needs, *, horizon=FAR, one_lot_each=False):
    return who_gets_what(lots=lots, needs=needs, base=Base.MG, horizon=horizon, one_lot_each=one_lot_each)
