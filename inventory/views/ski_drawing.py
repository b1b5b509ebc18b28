"""A pair's ski as points of a drawing, tip on the left. Has no address; the markup is in parts/ski.html."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from inventory.errors import Refused
from inventory.queries import builds, layups
from inventory.queries.layups import Drawn

WIDE, MARGIN = 720.0, 20.0
STRETCH = 4.0  # heights of the side view; along and across are in one scale


@dataclass(frozen=True, slots=True)
class Across:
    """A line across the ski with its width in words."""

    x: str
    top: str
    bottom: str
    width_mm: float
    label_y: str


@dataclass(frozen=True, slots=True)
class SkiPicture:
    """Points and places as SVG takes them. `side`: layers from the base up, each with its name."""

    height: str
    outline: str
    across: tuple[Across, ...]
    mount_x: str
    mount_top: str
    mount_bottom: str
    base: str
    side: tuple[tuple[str, str], ...]
    names: tuple[str, ...]


def drawn(pair: Any) -> dict[str, object]:
    """What a page needs to draw a pair; with a refusal where the spec makes no ski any more."""
    try:
        shaped = builds.shaped(pair)
    except Refused as refused:
        return {"refused": refused}
    if shaped is None:
        return {}
    found = layups.drawn(pair, shaped)
    return {
        "radius": shaped.radius,
        "verdict": shaped.verdict,
        "drawn": found,
        "refused": found.refused,
        "ski": picture(found, pair.mount_mm),
    }


def picture(drawn: Drawn, mount_mm: float | None) -> SkiPicture:
    """The drawing of a ski: from above and, with a lay-up, from the side."""
    plan, side = drawn.plan, drawn.side
    scale = (WIDE - 2 * MARGIN) / plan.length_mm
    half = plan.width_mm / 2 * scale
    middle = 30 + half

    def x(along: float) -> float:
        return MARGIN + (plan.length_mm - along) * scale

    def points(line: Iterable[tuple[float, float]], at: float, stretch: float = 1.0) -> str:
        return " ".join(f"{x(along):.1f},{at - up * scale * stretch:.1f}" for along, up in line)

    across = tuple(
        Across(
            f"{x(place):.1f}",
            f"{middle - half - 6:.1f}",
            f"{middle + half + 6:.1f}",
            round(2 * up, 1),
            f"{middle - half - 10:.1f}",
        )
        for _, (place, up), _ in plan.across
    )
    end = middle + half + 16
    floor = end + (side.height_mm * scale * STRETCH if side else 0)
    mount = "" if mount_mm is None else f"{x(plan.length_mm / 2 + mount_mm):.1f}"
    return SkiPicture(
        height=f"{floor + 12:.0f}",
        outline=points(plan.outline, middle),
        across=across,
        mount_x=mount,
        mount_top=f"{middle - half:.1f}",
        mount_bottom=f"{middle + half:.1f}",
        base=points(side.base, floor, STRETCH) if side else "",
        side=tuple((name, points(line, floor, STRETCH)) for name, line in side.layers) if side else (),
        names=tuple(dict.fromkeys(name for name, _ in side.layers)) if side else (),
    )
