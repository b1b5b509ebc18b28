"""A shop whose materials, lay-up card and presses say what the bench asks for. All products are invented."""

from dataclasses import dataclass, field
from datetime import timedelta
from uuid import UUID

from inventory.actions import builds, equipment, layups, materials, press
from inventory.compute.build_steps import AgeBand
from inventory.compute.codes import Kind
from inventory.compute.damp import Air
from inventory.compute.units import Amount, Base
from inventory.models import Ski
from tests.make import Shop, day, grams, metres, pieces

DRY = Air(air_c=20.0, humidity_pct=45.0, surface_c=18.0, fuel_heater=False)
SHEET = {
    "hardener_per_hundred": 30.0,
    "largest_cup_mg": 200_000,
    "pot_life_min": 40.0,
    "pot_life_at_c": 20.0,
    "pot_life_cup_mg": 100_000,
    "cure_points": [[60, 4], [70, 2], [80, 1]],
}
LAYERS = (
    {"material": "base", "kind": "strip", "plies": 1, "extent": "whole ski"},
    {"material": "edge", "kind": "strip", "plies": 1, "extent": "edge, partial"},
    {"material": "glass", "kind": "sheet", "plies": 1, "extent": "whole ski"},
    {"material": "blank", "kind": "piece", "plies": 1, "extent": "whole ski"},
    {"material": "resin", "kind": "taken up by fabric", "plies": 2, "extent": "whole ski", "g_m2": 750,
     "hardener": "hardener"},
    {"material": "top", "kind": "piece", "plies": 1, "extent": "whole ski"},
)  # fmt: skip
RATED = {"ratings": [[60.0, 450.0], [100.0, 400.0]], "relief_kpa": 390.0, "frame_kn": 250.0}


@dataclass
class World:
    """What is on the bench: packages by material, a workshop, its pairs, a press with what belongs to it."""

    shop: Shop
    workshop: UUID
    layup: UUID
    packages: dict[str, UUID]
    pairs: list[tuple[UUID, UUID, UUID]] = field(default_factory=list)

    def pair(self, guest: str = "Ida", band: str = AgeBand.ADULT) -> tuple[UUID, UUID, UUID]:
        """A booked pair with a spec: pair, left, right."""
        shop = self.shop
        who = shop.do(builds.book_seat, workshop=self.workshop, name=guest, age_band=band, contact="").things[
            1
        ]
        pair = shop.do(builds.book_pair, workshop=self.workshop, of=who, length_mm=1840).thing
        spec = {"tip_mm": 130.0, "waist_mm": 98.0, "tail_mm": 120.0, "camber_mm": 6.0, "layup_id": self.layup}
        shop.do(builds.specify, pair=pair, changes=spec)
        skis = dict(Ski.objects.filter(pair_id=pair).values_list("side", "thing_id"))
        self.pairs.append((pair, skis["left"], skis["right"]))
        return self.pairs[-1]

    def cup(self, *skis: UUID, resin_g: float = 130, hardener_g: float = 39, **more: object) -> UUID:
        """A cup for these skis."""
        values = {"resin": self.packages["resin"], "hardener": self.packages["hardener"], "skis": list(skis)}
        weights = {"resin_mg": round(resin_g * 1000), "hardener_mg": round(hardener_g * 1000)}
        return self.shop.do(press.record_mix, **values, **weights, air=DRY, **more).thing


def world(shop: Shop) -> World:
    """A bench ready for a workshop."""
    amounts = {
        "resin": grams(5000), "hardener": grams(2000), "base": metres(50), "edge": metres(60),
        "glass": Amount(40_000_000, Base.MM2), "blank": pieces(12), "top": pieces(12),
    }  # fmt: skip
    packages = {key: shop.package(key, amount, f"{key}-1") for key, amount in amounts.items()}
    shop.do(
        materials.edit_material,
        material=shop.names["hardener"],
        changes={**SHEET, "resin_id": shop.names["resin"]},
    )
    days = {"starts_on": day("2026-11-30"), "ends_on": day("2026-12-01")}
    workshop = shop.do(builds.plan_workshop, name="Kvitskard", capacity=None, **days).thing
    layup = shop.do(layups.make_layup, name="Touring", layers=LAYERS).things[0]
    return World(shop, workshop, layup, packages)


def rated_press(shop: Shop, name: str = "Press 1", **facts: object) -> UUID:
    """A press with plates, inspected, and a mould that takes a 184."""
    machine = shop.do(equipment.make_equipment, kind=Kind.PRESS, name=name, facts={**RATED, **facts}).thing
    shop.do(
        equipment.plan_inspection, equipment=machine, what="gauge", who="crew", every_months=24,
        last_on=shop.at.date() - timedelta(days=345),
    )  # fmt: skip
    return machine
