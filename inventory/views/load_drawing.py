"""A trailer from the side as points of a drawing: coupling, axle, zones with their masses. Has no address."""

from dataclasses import dataclass

from inventory.compute.units import Amount, Base
from inventory.queries.readiness.masses import Loaded

WIDE, MARGIN, FLOOR, TALLEST = 720.0, 40.0, 150.0, 96.0


@dataclass(frozen=True, slots=True)
class Box:
    """A zone: as tall as it is heavy, where its middle lies."""

    name: str
    mass: Amount
    x: str
    y: str
    width: str
    height: str
    label_x: str
    label_y: str
    anchor: str  # of two side by side the labels lean apart


@dataclass(frozen=True, slots=True)
class SidePicture:
    """Coupling on the left. `boxes` only of zones whose place is known."""

    axle: str
    front: str
    back: str
    boxes: tuple[Box, ...]


def side_picture(found: Loaded) -> SidePicture | None:
    """The trailer from the side; None where its axle or no zone has a place."""
    card = found.trailer.card
    places = [(place, zone.behind_mm) for place, zone in found.trailer.zones if zone.behind_mm is not None]
    if card.axle_mm is None or not places:
        return None
    ends = max([card.floor_to_mm or 0, card.axle_mm, *(behind for _, behind in places)]) + 300
    scale = (WIDE - 2 * MARGIN) / ends
    masses = {place.id: sum(each.mass_mg for each in found.in_zone(place.id)) for place, _ in places}
    heaviest = max(masses.values()) or 1
    width = min(80.0, (WIDE - 2 * MARGIN) / (len(places) + 2))
    beside = {behind: [place.id for place, other in places if other == behind] for _, behind in places}

    def x(behind_mm: float) -> float:
        return MARGIN + behind_mm * scale

    boxes = []
    for place, behind in places:
        height = max(4.0, TALLEST * masses[place.id] / heaviest)
        row = beside[behind]
        own = width / len(row)  # zones side by side share the width
        left = x(behind) - width / 2 + own * row.index(place.id)
        label_x, anchor = _label(left, own, row.index(place.id), len(row))
        boxes.append(
            Box(
                place.name,
                Amount(masses[place.id], Base.MG),
                f"{left:.1f}",
                f"{FLOOR - height:.1f}",
                f"{own:.1f}",
                f"{height:.1f}",
                f"{label_x:.1f}",
                f"{FLOOR - height - 6:.1f}",
                anchor,
            )
        )
    return SidePicture(
        f"{x(card.axle_mm):.1f}", f"{x(card.floor_from_mm or 0):.1f}", f"{x(ends - 300):.1f}", tuple(boxes)
    )


def _label(left: float, width: float, index: int, of: int) -> tuple[float, str]:
    """Where a box's label stands, and how: above its middle; the outer two of several lean outwards."""
    if of > 1 and index == 0:
        return left + width - 3, "end"
    if of > 1 and index == of - 1:
        return left + 3, "start"
    return left + width / 2, "middle"
