"""Cut ahead for the next workshop: a batch of sidewalls with an offcut, and two core blanks glued up."""

from inventory.actions import cutting, materials, stock
from inventory.compute.cutting.taken import Size, Some
from inventory.compute.units import Amount, Base
from inventory.management.season.building import Building

OFFCUT_MM = 640
TRIM_MM = 10


class Cutting:
    """Plans what is cut and glued up into the agenda."""

    def __init__(self, building: Building) -> None:
        self.building, self.stocking = building, building.stocking
        self.agenda, self.shelf = building.agenda, building.shelf

    def plan(self) -> None:
        """Wood comes, is glued up a week later; sidewalls are cut two days before the trip is loaded."""
        self.agenda.plan(self.agenda.moment(-12, "10:00"), self._wood_comes_and_is_glued_up)
        self.agenda.plan(self.agenda.moment(-4, "10:00"), self._sidewalls_are_cut)

    def _wood_comes_and_is_glued_up(self) -> None:
        do, shelves = self.agenda.do, self.stocking.places[("the Loft", "shelves")]
        supplier = self.stocking.suppliers["kjerne"]
        facts = {"length_mm": 2000.0}
        wood, glue = (
            do(
                materials.make_material, "sunniva", key=key, name=name, base=base, purpose=purpose, facts=more
            ).thing
            for key, name, base, purpose, more in (
                ("poplar-strips", "Poplar strips, 20 mm", Base.MM, "wood", facts),
                ("board-glue", "Board glue", Base.MG, "glue", {"regulated": False}),
            )
        )
        strips, bottle = (
            do(
                stock.receive_lot, "odd", material=material, number=number, packages=[amount],
                supplier=supplier, place=shelves,
            ).things[-1]
            for material, number, amount in (
                (wood, "PS-31", Amount(40_000, Base.MM)),
                (glue, "BG-7", Amount(1_000_000, Base.MG)),
            )
        )  # fmt: skip
        do(
            cutting.glue_up, "ragna", blank=self.stocking.materials["blank"], count=2, length_mm=1900,
            wood=[(strips, Amount(22_800, Base.MM), 8.2)], glue=bottle, glue_amount=Amount(180_000, Base.MG),
        )  # fmt: skip

    def _sidewalls_are_cut(self) -> None:
        """Enough for two pairs, a little longer than the longest asks."""
        day = self.agenda.day(0)
        longest = max(self.stocking.data["lengths"]) * 3 // 4 + TRIM_MM
        need = 8 * longest + OFFCUT_MM + 9
        ((roll, _),) = self.shelf.take("sidewall", need, day, whole=True)
        self.agenda.do(
            cutting.cut, "ragna", source=roll.id, pieces=[Some(Size(longest), 8)],
            offcuts=[Size(OFFCUT_MM)], kerf_mm=1.0,
        )  # fmt: skip
