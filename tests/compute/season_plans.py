"""What the tests of a season's plan share: needs, offers, a plan, and how its reasons are read."""

from datetime import date, timedelta

import pytest

from inventory.compute.demand_facts import Needed, WorkshopNeed
from inventory.compute.planning import Costs, plan_season
from inventory.compute.reasons import Basis, Given, How
from inventory.compute.suppliers import Offer, Supplier
from inventory.compute.units import Base
from inventory.errors import Refused

TODAY = date(2026, 1, 5)
FIRST = date(2026, 5, 13)
HOW = How("counted", "the test")
ONE = (Supplier("S"),)
SHELF_FREE = Costs(Given(0.0), Given(1.0), Given(3))


def needs(amounts, code="resin", base=Base.PIECE, apart=7, days=2, booked=None):
    rows = tuple(
        WorkshopNeed(
            f"W{place}",
            FIRST + timedelta(place * apart),
            FIRST + timedelta(place * apart + days),
            amount,
            amount if booked is None else booked[place],
            amount + 1,
        )
        for place, amount in enumerate(amounts)
    )
    return Needed(code, base, rows, 0.9, HOW)


def offer(supplier="S", pack=10, prices=((1, 100),), lead=21, life=None, least_packs=1):
    return Offer(
        supplier,
        pack,
        prices,
        Given(lead, Basis.DATA_SHEET),
        None if life is None else Given(life, Basis.DATA_SHEET),
        least_packs,
    )


def plan(*materials, suppliers=ONE, today=TODAY, costs=SHELF_FREE):
    return plan_season(today=today, materials=materials, suppliers=suppliers, costs=costs)


def codes(reasons):
    return [reason.code for reason in reasons]


def text(reasons, code):
    return next(str(reason.sentence) for reason in reasons if reason.code == code)


def refused(code, job):
    with pytest.raises(Refused) as caught:
        job()
    assert caught.value.code == code
    return str(caught.value.sentence)
