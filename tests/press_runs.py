"""Press cycles for tests, by the same actions as the screens; and the press logs of fixtures/press."""

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

from django.utils import timezone

from inventory.actions import press, pressing
from inventory.actions.pressing import Logged
from inventory.compute.press import lists as press_lists
from inventory.formats import logger
from inventory.queries import cycles
from tests import bench_world
from tests.bench_world import World
from tests.make import grams

FOLDER = Path(__file__).resolve().parents[1] / "fixtures" / "press"
HEATED = [item.key for item in press_lists.CLOSING_HEATED]
SEEN = [item.key for item in press_lists.OPENING]
BLADDERS = {"bladders_mm": [[2100.0, 160.0]], "heated": True, "holds_c": 70.0, "takes_pairs": 1}


def machine(world: World, name: str = "Press 1", **facts: Any) -> UUID:
    """A press that is in order for 275 kPa at 70 °C."""
    return bench_world.rated_press(world.shop, name, **{**BLADDERS, **facts})


def laid_up(world: World, guest: str = "Ida") -> tuple[UUID, UUID]:
    """Two skis out of one cup."""
    _, left, right = world.pair(guest)
    cup = world.cup(left, right)
    for ski in (left, right):
        world.shop.do(press.lay_up, ski=ski, inputs=[(cup, grams(80))])
    return left, right


def closing(world: World, on: UUID, skis: tuple[UUID, ...], **more: Any) -> dict[str, Any]:
    """What `close_press` takes for a heated cycle that is in order."""
    settings = {"set_kpa": 275.0, "set_c": 70.0, "minutes": 120.0}
    seen = {"heated": True, "watcher": world.shop.crew, "checked": HEATED}
    return {"press": on, "skis": list(skis), "mould": None, **settings, **seen, **more}


def closed(world: World, on: UUID, skis: tuple[UUID, ...], **more: Any) -> UUID:
    """A press closed now; the cycle."""
    return world.shop.do(pressing.close_press, **closing(world, on, skis, **more)).things[0]


def fixture(name: str, closed_at: datetime) -> tuple[Logged, float]:
    """A log of fixtures/press as if its press was closed then; and the minutes until it was opened."""
    with (FOLDER / f"{name}.csv").open("rb") as file:
        text = logger.as_text(file)
        look = logger.find_shape(text)
        text.seek(0)
        rows = list(logger.Log(text, look.shape, zone=timezone.get_current_timezone()))
    pressures = [at for at, probe in enumerate(look.shape.probes) if probe.unit.is_pressure]
    first, last = rows[0].at, rows[-1].at
    log = Logged(
        starts=closed_at - timedelta(minutes=10),
        at_s=tuple((row.at - first).total_seconds() for row in rows),
        probes_c={
            probe.name: tuple(row.values[at] for row in rows)
            for at, probe in enumerate(look.shape.probes)
            if at not in pressures
        },
        kpa=tuple(row.values[pressures[0]] for row in rows),
    )
    return log, (last - first).total_seconds() / 60 - 25


def run(world: World, cycle: UUID, name: str, *, log_first: bool = False) -> None:
    """Open the press when the fixture's was, and add its log."""
    from inventory.queries import cycles

    row = cycles.one(cycle)
    assert row is not None
    log, minutes = fixture(name, row.closed_at)
    world.shop.at = row.closed_at + timedelta(minutes=minutes)
    world.shop.do(pressing.open_press, cycle=cycle, checked=SEEN)
    world.shop.at += timedelta(minutes=20)
    world.shop.do(pressing.read_log, cycle=cycle, log=log)


def long_log(world: World, cycle: UUID, points: int = 5_000) -> None:
    """So many readings, with one spike up and one down that no drawing may lose."""
    row = cycles.one(cycle)
    curve = [20 + 50 * min(1.0, at / 600) for at in range(points)]
    curve[3_333], curve[2_222] = 79.5, 52.25
    log = Logged(
        starts=row.closed_at,
        at_s=tuple(float(at * 5) for at in range(points)),
        probes_c={"Tip": tuple(curve), "Middle": tuple(value + 2 for value in curve)},
        kpa=tuple(275.0 if at != 4_000 else 281.75 for at in range(points)),
    )
    world.shop.at = row.closed_at + timedelta(seconds=5 * points)
    world.shop.do(pressing.open_press, cycle=cycle, checked=SEEN)
    world.shop.do(pressing.read_log, cycle=cycle, log=log)
