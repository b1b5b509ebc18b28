"""READ the list of offcuts: what is left of pieces and still of use, by material and place."""

from dataclasses import dataclass
from uuid import UUID

from inventory.compute.codes import Kind
from inventory.queries import things, trace
from inventory.queries.cutting import Made, in_stock
from inventory.queries.stock_list import within


@dataclass(frozen=True, slots=True)
class Lying:
    """An offcut on the list: what it is, where it lies, and whether it or its lot is on hold."""

    made: Made
    where: str
    held: bool


def offcuts(*, material: UUID | None = None, place: UUID | None = None) -> list[Lying]:
    """The offcuts there are, by material and place, the longest first; of one material, in one place.

    A flat number of statements.
    """
    rows = [row for row in in_stock(Kind.OFFCUT) if material in (None, row.material.id)]
    if place is not None:
        there = set(within([place]))
        rows = [row for row in rows if row.place in there]
    words = things.place_words()
    held = trace.on_hold()
    found = [
        Lying(row, words.get(row.place, "") if row.place else "", bool(held & {row.thing, row.lot}))
        for row in rows
    ]
    return sorted(found, key=lambda each: (each.made.material.name, each.where, -each.made.size.length_mm))
