"""A shop before its season: a lay-up card, workshops with booked and open seats, offers, a season."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from inventory.actions import builds, layups, materials, season, suppliers
from inventory.compute.units import Base
from tests.make import Shop

SHAPE = {"tip_mm": 124.0, "waist_mm": 92.0, "tail_mm": 112.0}
LAYERS = [
    {"material": "blank", "kind": "piece", "plies": 1, "extent": "whole ski", "loss": 1.0},
    {"material": "glue", "kind": "piece", "plies": 10_000, "extent": "once a pair", "loss": 1.0},
]
"""A pair takes exactly 2 core blanks and 10 g of glue, so that a test can be reckoned in the head."""


@dataclass
class Planned:
    """What was made: the shop, its season, workshops, supplier, offers by material."""

    shop: Shop
    today: date
    season: UUID
    workshops: list[UUID]
    supplier: UUID
    offers: dict[str, UUID]
    layup: UUID

    def day(self, offset: int) -> date:
        return self.today + timedelta(offset)

    def book(self, at: int, guest: str) -> UUID:
        """A guest's pair with its spec."""
        pair = self.shop.do(builds.book_pair, workshop=self.workshops[at], guest=guest, length_mm=1800).thing
        self.shop.do(builds.specify, pair=pair, changes={"layup_id": self.layup, **SHAPE})
        return pair

    def offer(self, purpose: str, pack: int, supplier: UUID | None = None, **facts: Any) -> UUID:
        """One more offer."""
        return self.shop.do(
            suppliers.make_offer,
            supplier=supplier or self.supplier,
            material=self.shop.names[purpose],
            pack=pack,
            facts=facts,
        ).thing


def plan(
    shop: Shop,
    today: date,
    *,
    starts: tuple[int, ...] = (30, 50, 70),
    pairs: int = 2,
    seats: int | None = 2,
    freight: int | None = 20_000,
    **facts: Any,
) -> Planned:
    """Workshops so many days from today, each with so many booked pairs of one shape and so many seats."""
    for purpose, base in (("blank", Base.PIECE), ("glue", Base.MG)):
        shop.material(purpose, base)
    layup = shop.do(layups.make_layup, name="Touring", layers=LAYERS).thing
    supplier = shop.do(materials.make_supplier, name="Ulvsnipa Harpiks", facts={"freight": freight}).thing
    workshops = [
        shop.do(
            builds.plan_workshop,
            name=f"Hut {number}",
            starts_on=today + timedelta(start),
            ends_on=today + timedelta(start + 1),
            capacity=seats,
        ).thing
        for number, start in enumerate(starts, 1)
    ]
    made = shop.do(
        season.make_season,
        name="Winter",
        starts_on=today - timedelta(10),
        ends_on=today + timedelta(max(starts, default=0) + 10),
        facts=facts,
    ).thing
    found = Planned(shop, today, made, workshops, supplier, {}, layup)
    for at in range(len(workshops)):
        for number in range(pairs):
            found.book(at, f"Guest {at}{number}")
    found.offers["blank"] = found.offer("blank", 10, prices=[[1, 50_000]], lead_days=10)
    found.offers["glue"] = found.offer("glue", 50_000, prices=[[1, 18_900]], lead_days=10)
    return found
