"""What comes back to the season's shop: five pairs of one jug, and a few others that share nothing.

With dice of its own, so that what happens beside it stays as it is.
"""

import random
from collections.abc import Callable
from functools import partial
from typing import Any
from uuid import UUID

from inventory.actions import places, skis_back, stock
from inventory.actions.by import Done
from inventory.compute.units import Amount, Base
from inventory.management.season.agenda import SEED
from inventory.management.season.building import Booked, Building

POURED = -300  # the day the suspect jug was poured into two smaller ones
POURED_MG = 150_000


class Returning:
    """Plans it into the agenda, by the workshops as they are booked."""

    def __init__(self, building: Building) -> None:
        self.building, self.agenda, self.data = building, building.agenda, building.data
        self.dice = random.Random(SEED + 4)  # noqa: S311 - a story, no secret
        self.backs: dict[int, UUID] = {}

    def plan(self) -> None:
        """The pouring, each return on its day, and what was found and done about it."""
        at = self.agenda.moment
        self.agenda.plan(at(POURED, "15:00"), self._pour)
        for number, row in enumerate(self.data["returns"]):
            self.agenda.plan(at(row["day"], "16:00"), partial(self._log, number, row))
            if "look" in row:
                self.agenda.plan(at(row["day"] + 1, "10:00"), partial(self._look, number, row["look"]))
            if "answer" in row:
                self.agenda.plan(at(row["day"] + 2, "10:00"), partial(self._answer, number, row["answer"]))

    def _do(self, action: Callable[..., Done], who: str, **values: Any) -> Done:
        agenda = self.agenda
        theirs, agenda.dice = agenda.dice, self.dice
        try:
            return agenda.do(action, who, **values)
        finally:
            agenda.dice = theirs

    def _pour(self) -> None:
        """A rest of the suspect jug goes aboard each trailer, and is forgotten there."""
        (jug,) = self.building.stocking.packages["TH-2466"]
        standing = next(each for each in self.building.shelf.packages if each.id == jug)
        for spot in (("Stoat", "zone 1"), ("Ptarmigan", "zone 3")):
            amount = Amount(POURED_MG, Base.MG)
            small = self._do(stock.split_package, "odd", package=jug, amount=amount).thing
            self._do(places.move, "odd", things=[small], to=self.building.stocking.places[spot])
            standing.left -= POURED_MG

    def _pair(self, row: dict[str, Any]) -> Booked:
        shop = next(shop for shop in self.building.workshops if shop.row["day"] == row["workshop"])
        return shop.pairs[row["pair"]]

    def _log(self, number: int, row: dict[str, Any]) -> None:
        skis = [self._pair(row).skis[side] for side in row["skis"]]
        seen = skis_back.Failed(
            failure=row["failure"],
            observed=row["observed"],
            came_on=self.agenda.day(row["day"]),
            zone=row.get("zone", ""),
            part=row.get("part", ""),
            from_tip_mm=row.get("from_tip_mm"),
            days_used=row.get("days_used"),
        )
        spot = self.building.stocking.places[(self.data["store"]["name"], "shelves")]
        done = self._do(skis_back.log_return, "sunniva", skis=skis, seen=seen, place=spot)
        self.backs[number] = done.thing

    def _look(self, number: int, look: dict[str, Any]) -> None:
        self._do(skis_back.inspect_return, "odd", back=self.backs[number], **look)

    def _answer(self, number: int, answer: dict[str, Any]) -> None:
        values = {key: value for key, value in answer.items() if key != "send"}
        self._do(skis_back.answer_return, "ragna", back=self.backs[number], **values)
        if answer.get("send"):
            self._do(skis_back.send_back, "ragna", back=self.backs[number])
