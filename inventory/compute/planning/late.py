"""What is on its way too late for a workshop, when more of it would come no sooner."""

from collections.abc import Callable, Sequence
from datetime import date

from inventory.compute.choose import Lot
from inventory.compute.choose.facts import Rest


def on_its_way(
    *,
    rows: Sequence[tuple[int, int]],
    lots: Sequence[Lot],
    rests: Sequence[Rest],
    ready: Callable[[int], date | None],
) -> dict[int, int]:
    """Of the uncovered needs, what nobody should order again: as much is free and comes no later.

    Formula: workshop by workshop the rests of lots that are not here yet, and will be here by the day a new
        order for that workshop would be ready, where that is after its load day.
    Units: whole numbers of the material's base unit.
    Shapes: rows of (place of the workshop, amount); `ready` gives None where a new order comes in time.
    Source: common practice, no source: what comes too late is not bought twice.
    """
    left = {rest.lot: rest.amount for rest in rests}
    coming = [lot for lot in lots if lot.available_from is not None and not lot.held and left.get(lot.key)]
    found: dict[int, int] = {}
    for place, amount in rows:
        by = ready(place)
        for lot in coming if by is not None else ():
            if lot.available_from is not None and by is not None and lot.available_from <= by:
                taken = min(amount - found.get(place, 0), left[lot.key])
                left[lot.key] -= taken
                found[place] = found.get(place, 0) + taken
    return {place: amount for place, amount in found.items() if amount}
