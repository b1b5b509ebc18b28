"""What is made ready for the season's next trip: cars, sheets, cores, the loading list; what is amiss.

What is amiss is measured by the answer's own needs, so that it is that much whatever the dice did before.
"""

import io
from functools import partial
from uuid import UUID

from PIL import Image, ImageDraw

from inventory.actions import build_steps, loading, papers, places, stock
from inventory.compute.codes import Kind
from inventory.compute.units import Amount, Base
from inventory.management.season.building import LAST_BUILT, Building, Workshop
from inventory.queries import trips
from inventory.queries.readiness import materials as readiness_materials
from inventory.queries.readiness import reader

CARS_BOUGHT = -794
SHEETS_KEPT = -95
SHEET = "Invented for the demo season: no data sheet of anything."


class Leaving:
    """Plans it into the agenda."""

    def __init__(self, building: Building) -> None:
        self.building, self.stocking = building, building.stocking
        self.agenda, self.data = building.agenda, building.data

    def plan(self) -> None:
        """Cars and papers long before; the rest in the last days before today."""
        at = self.agenda.moment
        nearest = next(shop for shop in self.building.workshops if shop.row["day"] > LAST_BUILT)
        for day, clock, what in (
            (CARS_BOUGHT, "09:00", self._cars_are_bought),
            (SHEETS_KEPT, "09:00", self._sheets_are_kept),
            (-3, "08:00", self._edge_is_bent),
            (-2, "08:00", partial(self._cores_are_profiled, nearest)),
            (-1, "18:00", self._hardener_for_spring_is_set_apart),
            (-1, "19:00", self._list_is_written),
        ):
            self.agenda.plan(at(day, clock), what)

    def _cars_are_bought(self) -> None:
        """Each with what its papers and plates say, and what it weighed as it drives."""
        yard = self.stocking.places[(self.data["yard"],)]
        for row in self.data["cars"]:
            car = self.agenda.do(
                places.make_place, "ragna", kind=Kind.TOW_CAR, name=row["name"], inside=yard
            ).thing
            self.stocking.places[(row["name"],)] = car
            self.agenda.do(places.edit_place, "ragna", place=car, changes=row["card"])

    def _sheets_are_kept(self) -> None:
        """A safety data sheet with each material that needs one: all of them one invented page."""
        picture = Image.new("L", (620, 120), 255)
        ImageDraw.Draw(picture).text((20, 50), SHEET, fill=0)
        out = io.BytesIO()
        picture.save(out, "PNG")
        file = papers.keep(out.getvalue(), what="safety data sheet", title=SHEET)
        for key in self.data["sheets"]:
            self.agenda.do(papers.attach, "sunniva", about=self.stocking.materials[key], file=file)

    def _edge_is_bent(self) -> None:
        """What is left after it lasts for all pairs of the next trip but one."""
        needed, pairs = self._needed("edge")
        coils = sorted(
            (each for each in self.building.shelf.packages if each.material == "edge" and each.left),
            key=lambda each: -each.left,
        )
        spoilt = sum(each.left for each in coils) - needed + needed // pairs
        for coil in coils:
            part = min(coil.left, max(0, spoilt))
            if part:
                self.agenda.do(
                    stock.write_off,
                    "sunniva",
                    thing=coil.id,
                    amount=Amount(part, Base.MM),
                    reason="Fell off the shelf; bent.",
                )
                coil.left -= part
                spoilt -= part

    def _needed(self, key: str) -> tuple[int, int]:
        """What the next trip needs of a material, and for how many pairs, open seats and spares."""
        today = self.agenda.day(-3)
        row = trips.next_trip(today)
        assert row is not None, "the trips are planned by now"  # noqa: S101 - for the type checker
        facts = reader.read(row, today)
        met = next(met for met in readiness_materials.allotted(facts) if met.material.key == key)
        return met.needed, sum(want.pairs + want.open_seats + want.spares for want in met.wants)

    def _cores_are_profiled(self, shop: Workshop) -> None:
        for booked in shop.pairs:
            self.agenda.do(
                build_steps.record_step,
                "odd",
                things=[booked.pair],
                step="profiled",
                doer=self.agenda.people["odd"],
            )

    def _hardener_for_spring_is_set_apart(self) -> None:
        """All but the jug that passes its date the day before the lay-up stays in the Loft."""
        short = set(self.stocking.packages[self.data["special_lots"]["short_hardener"]["number"]])
        jugs = [
            each.id
            for each in self.building.shelf.packages
            if each.material == "hardener" and each.left and each.id not in short
        ]
        self.agenda.do(places.move, "odd", things=jugs, to=self._store("shelves"))

    def _store(self, name: str) -> UUID:
        return self.stocking.places[(self.data["store"]["name"], name)]

    def _list_is_written(self) -> None:
        """Every bin that travels and is not aboard yet, with its zone; then what travels loose."""
        row = trips.next_trip(self.agenda.day(0))
        assert row is not None, "the trips are planned by now"  # noqa: S101 - for the type checker
        spots = self.stocking.places
        for name, zone in self.data["travel"].items():
            if name not in self.data["begun"]:
                self.agenda.do(
                    loading.put_on_list,
                    "odd",
                    trip=row.id,
                    things=[spots[(name,)]],
                    zone=spots[("Ptarmigan", zone)],
                    why="Every workshop needs it.",
                )
