"""Press cycles of the season with a logger's file: opened when the file's press was, and judged by it."""

from datetime import datetime, timedelta
from functools import partial
from uuid import UUID

from django.conf import settings
from django.utils import timezone

from inventory.actions import pressing
from inventory.actions.pressing import Logged
from inventory.compute.press import lists as press_lists
from inventory.formats import logger
from inventory.management.season.agenda import Agenda
from inventory.queries import cycles

FOLDER = settings.BASE_DIR / "fixtures" / "press"
BEFORE, AFTER = timedelta(minutes=10), timedelta(minutes=15)  # of each file: before closing, after opening
NOT_JUDGED = "with-a-gap"


def read(name: str, closed_at: datetime) -> tuple[Logged, datetime]:
    """A file as if its press had been closed then; and when it was opened."""
    with (FOLDER / f"{name}.csv").open("rb") as file:
        text = logger.as_text(file)
        look = logger.find_shape(text)
        text.seek(0)
        rows = list(logger.Log(text, look.shape, zone=timezone.get_default_timezone()))
    first, probes = rows[0].at, list(enumerate(look.shape.probes))
    log = Logged(
        starts=closed_at - BEFORE,
        at_s=tuple((row.at - first).total_seconds() for row in rows),
        probes_c={
            probe.name: tuple(row.values[at] for row in rows)
            for at, probe in probes
            if not probe.unit.is_pressure
        },
        kpa=next(tuple(row.values[at] for row in rows) for at, probe in probes if probe.unit.is_pressure),
    )
    return log, closed_at + (rows[-1].at - first) - BEFORE - AFTER


def plan(agenda: Agenda, cycle: UUID, name: str) -> None:
    """Open the press, add the log, and judge by it where it says enough."""
    row = cycles.one(cycle)
    assert row is not None, "the cycle was just recorded"  # noqa: S101 - for the type checker
    log, opened_at = read(name, row.closed_at)
    checked = [item.key for item in press_lists.OPENING]
    agenda.plan(opened_at, partial(agenda.do, pressing.open_press, "ragna", cycle=cycle, checked=checked))
    later = opened_at + timedelta(minutes=20)
    agenda.plan(later, partial(agenda.do, pressing.read_log, "ragna", cycle=cycle, log=log))
    if name != NOT_JUDGED:
        judged = later + timedelta(minutes=5)
        agenda.plan(judged, partial(agenda.do, pressing.judge_by_log, "ragna", cycle=cycle))
