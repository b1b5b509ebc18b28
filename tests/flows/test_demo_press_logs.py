"""Trouble 5 of the demo season: three press logs of its last workshop, what each comes to; its presses."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from django.utils import timezone

from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.models import Equipment, Event, Line, Pair, Workshop
from inventory.queries import cycles, pressing
from shop.folder import read_mark
from tests.seasons import books, made

pytestmark = pytest.mark.own_books


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory)


@pytest.fixture
def opened(season: Path, django_db_blocker: object) -> Iterator[None]:
    with books(season, django_db_blocker):
        yield


def test_last_workshop_has_three_logs_with_their_three_verdicts(opened: None, season: Path) -> None:
    """Reached late and passes; too cold and does not; a gap that decides is not judged, nor on record."""
    today = date.fromisoformat(read_mark(season).made)
    last = Workshop.objects.filter(starts_on__lt=today).order_by("-starts_on").first()
    skis = Pair.objects.filter(workshop=last).values("skis__thing_id")
    events = Event.objects.filter(step="pressed", lines__thing_id__in=skis).values("id")
    lines = Line.objects.filter(event_id__in=events, thing__kind="press cycle")
    rows = [cycles.one(id) for id in set(lines.values_list("thing_id", flat=True))]
    told = {
        str(cycles.judged(row, timezone.now()).verdict.outcome): cycles.verdict_on_record(row.id)
        for row in rows
        if row.opened_at
    }
    assert told == {"passes": True, "does not pass": False, "cannot be judged": None}


def test_each_press_is_in_order_for_its_usual_set_points_and_not_beyond_its_valve(opened: None, season: Path):
    """What a helper needs to close one in the demo: ratings, a relief valve, a frame, an inspection."""
    today = date.fromisoformat(read_mark(season).made)
    presses = list(Equipment.objects.filter(thing__kind=Kind.PRESS))
    assert len(presses) == 2
    for row in presses:
        machine = pressing.machine(row.thing_id)
        levels = [
            pressing.order(
                machine, set_kpa=kpa, set_c=row.holds_c, on=today, heated=True, watcher_named=True
            ).verdict.level
            for kpa in (275.0, 430.0)
        ]
        assert (levels[0] < Level.UNKNOWN, levels[1]) == (True, Level.STOP)
