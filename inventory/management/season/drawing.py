"""What the season's pairs are to be: the lay-up card of this winter, and widths."""

from functools import partial
from typing import Any
from uuid import UUID

from inventory.actions import builds, layups, materials
from inventory.management.season.building import LAST_BUILT, Building, Workshop

THIS_WINTER = -60  # its first workshop
CARD_MADE = -140  # before the first pair of this winter was booked


class Drawing:
    """Plans it into the agenda, by the workshops as they are booked."""

    def __init__(self, building: Building) -> None:
        self.building, self.agenda, self.data = building, building.agenda, building.data
        self.card: UUID | None = None

    def plan(self) -> None:
        """The card first; each pair's spec the evening its workshop is booked."""
        at = self.agenda.moment
        self.agenda.plan(at(CARD_MADE, "18:00"), self._make_card)
        for shop in self.building.workshops:
            day = shop.row["day"]
            if day < THIS_WINTER:
                continue
            self.agenda.plan(at(min(day - 70, -4), "21:00"), partial(self._specify, shop))

    def _make_card(self) -> None:
        stocking, cup = self.building.stocking, self.data["cup"]
        mix = {
            "resin_id": stocking.materials["resin"],
            "hardener_per_hundred": cup["hardener_per_hundred"],
        }
        self.agenda.do(materials.edit_material, "ragna", material=stocking.materials["hardener"], changes=mix)
        card = self.data["layup"]
        self.card = self.agenda.do(layups.make_layup, "ragna", name=card["name"], layers=card["layers"]).thing

    def _specify(self, shop: Workshop) -> None:
        """All pairs of this winter by its card; widths for those still to come."""
        for booked in shop.pairs:
            changes: dict[str, Any] = {"layup_id": self.card}
            if shop.row["day"] > LAST_BUILT:
                changes |= self.agenda.dice.choice(self.data["shapes"])
            self.agenda.do(builds.specify, "ragna", pair=booked.pair, changes=changes)
