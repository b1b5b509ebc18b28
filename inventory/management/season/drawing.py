"""What the season's pairs are to be: lay-up card, widths, printed top sheets; and who waits for a seat."""

import random
from functools import partial
from typing import Any
from uuid import UUID

from inventory.actions import artwork, build_steps, builds, layups, materials
from inventory.compute.artwork import Stage
from inventory.management.season.agenda import SEED
from inventory.management.season.building import LAST_BUILT, Building, Workshop

THIS_WINTER = -60  # its first workshop
CARD_MADE = -140  # before the first pair of this winter was booked


class Drawing:
    """Plans it into the agenda, by the workshops as they are booked."""

    def __init__(self, building: Building) -> None:
        self.building, self.agenda, self.data = building, building.agenda, building.data
        self.card: UUID | None = None
        self.dice = random.Random(SEED + 3)  # noqa: S311 - a story, no secret

    def plan(self) -> None:
        """The card first; each pair's spec the evening its workshop is booked."""
        at = self.agenda.moment
        self.agenda.plan(at(CARD_MADE, "18:00"), self._make_card)
        for shop in self.building.workshops:
            day = shop.row["day"]
            if day < THIS_WINTER:
                continue
            self.agenda.plan(at(min(day - 70, -4), "21:00"), partial(self._specify, shop))
            if "waiting" in shop.row:
                self.agenda.plan(at(-4, "22:00"), partial(self._wait, shop))
            if "printed" in shop.row:
                for stage, back in shop.row["printed"]["done"].items():
                    self.agenda.plan(at(back, "18:00"), partial(self._mark, shop, Stage(stage), back))

    def _make_card(self) -> None:
        stocking, cup = self.building.stocking, self.data["cup"]
        mix = {
            "resin_id": stocking.materials["resin"],
            "hardener_per_hundred": cup["hardener_per_hundred"],
        }
        self.agenda.do(materials.edit_material, "ragna", material=stocking.materials["hardener"], changes=mix)
        self.agenda.do(
            build_steps.change_step, "ragna", step="blank-glued", changes={"ended": True}
        )  # bought
        self.agenda.do(
            build_steps.add_step, "ragna", label="Tag held against the card", who="anyone", after="wax"
        )
        card = self.data["layup"]
        self.card = self.agenda.do(layups.make_layup, "ragna", name=card["name"], layers=card["layers"]).thing

    def _specify(self, shop: Workshop) -> None:
        """All pairs of this winter by its card, each with its widths.

        Those of pairs already built fall by dice of their own, and leave the dice of the rest alone.
        """
        dice = self.agenda.dice if shop.row["day"] > LAST_BUILT else self.dice
        for booked in shop.pairs:
            changes: dict[str, Any] = {"layup_id": self.card, **dice.choice(self.data["shapes"])}
            self.agenda.do(builds.specify, "ragna", pair=booked.pair, changes=changes)
        if "printed" in shop.row:
            values = {key: shop.row["printed"][key] for key in ("printer_days", "bleed_mm")}
            for booked in shop.pairs:
                self.agenda.do(
                    artwork.plan_artwork, "ragna", pair=booked.pair, wanted_colours="CMYK", **values
                )

    def _mark(self, shop: Workshop, stage: Stage, back: int) -> None:
        """One stage for every pair; the last pair's sheet is still at the printer."""
        late = stage in (Stage.HERE, Stage.CHECKED)
        for booked in shop.pairs[:-1] if late else shop.pairs:
            self.agenda.do(
                artwork.mark_artwork, "ragna", pair=booked.pair, stage=stage, on=self.agenda.day(back)
            )

    def _wait(self, shop: Workshop) -> None:
        """Guests who ask when every seat is booked."""
        assert shop.id, "the workshop is booked by now"  # noqa: S101 - for the type checker
        for name in shop.row["waiting"]:
            asked = {"name": name, "contact": self.building.contact_of(name), "waiting": True}
            self.agenda.do(builds.book_seat, "ragna", workshop=shop.id, **asked)
