"""What comes along and what is short: against a maximum flow, on 200 trips made by chance.

Outside check: networkx' maximum flow from packages to needs.
"""

from datetime import date, timedelta
from itertools import count
from random import Random
from uuid import UUID

import pytest

from inventory.compute.reasons import How
from inventory.models import Material, Shop, Trip, Workshop
from inventory.queries.readiness import materials as readiness_materials
from inventory.queries.readiness.facts import Facts, Packed, Spot, WorkshopOf
from inventory.queries.readiness.needs import Wanted
from tests.max_flow import most

TODAY = date(2026, 12, 1)
EDGE = Material(id=UUID(int=9), key="edge", name="Edge", base="mm", purpose="edge")
TRIP = Trip(id=UUID(int=8), name="High hut", leaves_on=date(2026, 12, 10), back_on=date(2026, 12, 20))
HOW = How("", "")


def generated(dice: Random) -> tuple[Facts, list[Wanted]]:
    """Packages aboard or at home, dated, held or set aside; workshops of this trip and before it."""
    ids = count(100)
    packages = tuple(
        Packed(
            UUID(int=next(ids)),
            "",
            UUID(int=1),
            "",
            EDGE.id,
            dice.randint(1, 50),
            Spot(aboard=dice.random() < 0.5, goes_in=UUID(int=2)),
            TODAY + timedelta(dice.randint(5, 25)) if dice.random() < 0.8 else None,
            held=dice.random() < 0.15,
            set_aside=dice.choice((0, 0, 0, 5)),
        )
        for _ in range(dice.randint(1, 9))
    )
    wants = []
    for own in [False] * dice.randint(0, 2) + [True] * dice.randint(1, 3):
        first = TODAY + timedelta(dice.randint(2, 8) if not own else dice.randint(9, 18))
        row = Workshop(id=UUID(int=next(ids)), name="", starts_on=first, ends_on=first)
        wants.append(Wanted(WorkshopOf(row), own, EDGE.id, dice.randint(1, 80), first, 1, 0, 0, HOW))
    facts = Facts(today=TODAY, trip=TRIP, shop=Shop(), materials={EDGE.id: EDGE}, packages=packages)
    return facts, wants


@pytest.mark.parametrize("seed", range(200))
def test_met_covers_as_much_as_a_maximum_flow(seed: int) -> None:
    """Of all trips together; and, where no earlier trip has a claim, of what comes along."""
    facts, wants = generated(Random(seed))
    met = readiness_materials._met(EDGE, wants, facts.packages, facts)
    own = [want for want in wants if want.own]
    needed = sum(want.amount for want in own)
    earlier = [want for want in wants if not want.own]
    # earlier needs come first, so what is left for this trip is the whole flow less what they get at most
    assert met.needed == needed
    assert needed - met.short == most(facts.packages, wants) - most(facts.packages, earlier)
    if not earlier:
        assert met.comes == most(facts.packages, own, coming=True)
    assert met.comes + sum(amount for _, amount in met.take) <= needed
