"""The last trip that is over: it left, came home, was counted and weighed, and is on record."""

import random
from collections.abc import Callable
from functools import partial
from typing import Any
from uuid import UUID

from inventory.actions import road, trips, usage
from inventory.actions.by import Done
from inventory.compute.units import Amount, Base
from inventory.management.season.agenda import SEED
from inventory.management.season.building import LAST_BUILT, Building, Workshop
from inventory.models import Trailer, Trip
from inventory.queries import home, trip_plan

WORDS = {
    "saved_us": "The spare bladder: the old one lost air in the second cycle.",
    "failed": "One blanket stayed off; nobody looked at the coldest probe.",
    "next_time": "Read every probe aloud at closing. A second scale for the hardener. The can rack behind "
    "the axle from the start: by the list the nose is heavy.",
}
WASTE_SHARE = 12  # of what was taken out, one part in so many came home as chemical waste
SCALE_MG, NOSE_SCALE_MG = 20_000_000, 1_000_000  # what one count of the road scale, and of the nose scale, is
BESIDE_MG = (14_000_000, 31_000_000)  # what each trailer weighs beyond what was entered: straps, mud, snow
BESIDE_NOSE_MG = 2_000_000
ENDS_SHARE = 20  # of what was cut off a length, one part in so many more went as short ends nobody wrote down


class Homing:
    """Plans the trip around the last workshop that was built, which loads and unloads by itself."""

    def __init__(self, building: Building) -> None:
        self.building, self.agenda = building, building.agenda
        self.trip: UUID | None = None
        self.weights: list[tuple[UUID, int, int]] = []  # mass and nose weight of each trailer, leaving
        self.dice = random.Random(SEED + 2)  # noqa: S311 - a story, no secret

    def _do(self, action: Callable[..., Done], who: str, /, **values: Any) -> Done:
        """One act with dice of its own, so that the rest of the season falls as it does without this trip."""
        agenda = self.agenda
        agenda.dice, kept = self.dice, agenda.dice
        try:
            return agenda.do(action, who, **values)
        finally:
            agenda.dice = kept

    def plan(self) -> None:
        """Planned days before; left the evening before, home the day after."""
        shop = [shop for shop in self.building.workshops if shop.row["day"] < LAST_BUILT][-1]
        day, at = shop.row["day"], self.agenda.moment
        for offset, clock, what in (
            (-4, "20:00", partial(self._plan, shop)),
            (-1, "17:30", partial(self._weigh, "leaving")),
            (-1, "18:00", self._depart),
            (-1, "21:00", self._arrive),
            (2, "15:00", self._home),
            (2, "15:30", partial(self._weigh, "home")),
            (2, "17:00", self._count),
            (2, "18:00", self._record),
        ):
            self.agenda.plan(at(day + offset, clock), what)

    def _plan(self, shop: Workshop) -> None:
        day, spots = shop.row["day"], self.building.stocking.places
        self.trip = self._do(
            trips.plan_trip,
            "ragna",
            name=shop.row["venue"],
            leaves_on=self.agenda.day(day - 1),
            back_on=self.agenda.day(day + 2),
            trailers=[spots[(row["name"],)] for row in self.building.data["trailers"]],
            workshops=[shop.id],
        ).thing

    def _weigh(self, when: str) -> None:
        """Both trailers on the public scale, in its own steps: near what was entered, and never the same.

        The load was shifted by hand until no nose was over its plate, which the list does not know.
        """
        assert self.trip is not None, "planned days before"  # noqa: S101 - for the type checker
        if not self.weights:
            row = Trip.objects.get(id=self.trip)
            plates = {plate.thing_id: plate.nose_mg or 0 for plate in Trailer.objects.all()}
            for (id, mass, nose), beside in zip(
                trip_plan.plan(row, row.leaves_on)["masses"], BESIDE_MG, strict=True
            ):
                trailer = UUID(id)
                shown = min(nose + BESIDE_NOSE_MG, plates[trailer] - NOSE_SCALE_MG)
                self.weights.append((trailer, _read(mass + beside, SCALE_MG), _read(shown, NOSE_SCALE_MG)))
        lighter = SCALE_MG if when == "home" else 0
        weights = [(id, mass - lighter, nose - lighter // 10) for id, mass, nose in self.weights]
        self._do(
            road.weigh_load,
            "odd",
            trip=self.trip,
            when=when,
            weights=weights,
            mass_doubt_mg=SCALE_MG,
            nose_doubt_mg=NOSE_SCALE_MG,
        )

    def _depart(self) -> None:
        self._do(road.depart, "ragna", trip=self.trip)

    def _arrive(self) -> None:
        self._do(road.arrive, "odd", trip=self.trip)

    def _home(self) -> None:
        self._do(road.come_home, "odd", trip=self.trip)

    def _count(self) -> None:
        """Lengths hold less than the books say, all else as much; part of the liquids came home as waste."""
        assert self.trip is not None, "planned days before"  # noqa: S101 - for the type checker
        counts = []
        for row in home.used(Trip.objects.get(id=self.trip)):
            ends = min(row.left, row.taken // ENDS_SHARE) if row.base is Base.MM else 0
            counts.append((row.package, Amount(row.left - ends, row.base)))
            self.building.shelf.lose(row.package, ends)
        self._do(road.count_home, "sunniva", trip=self.trip, counts=counts)
        taken = home.liquids_taken_mg(Trip.objects.get(id=self.trip))
        self._do(road.weigh_waste, "sunniva", trip=self.trip, sort="chemical", mass_mg=taken // WASTE_SHARE)
        self._do(road.weigh_waste, "sunniva", trip=self.trip, sort="other", mass_mg=3_400_000)

    def _record(self) -> None:
        self._do(usage.record_trip, "ragna", trip=self.trip, **WORDS)


def _read(mg: int, step: int) -> int:
    """What a scale shows that counts in steps."""
    return round(mg / step) * step
