"""The demo's last trip: it left, came home, and is on record."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from inventory.models import TripRecord
from inventory.queries import home, road
from tests.seasons import books, made

pytestmark = pytest.mark.own_books


@pytest.fixture
def opened(tmp_path_factory: pytest.TempPathFactory, django_db_blocker: object) -> Iterator[Path]:
    season = made(tmp_path_factory)
    with books(season, django_db_blocker):
        yield season


def test_last_trip_is_home_counted_and_on_record(opened):
    """It left and came home; what was opened is counted, waste weighed, words kept for the next."""
    (record,) = TripRecord.objects.select_related("trip")
    assert road.standing(record.trip_id).home_at is not None
    used = home.used(record.trip)
    assert used
    assert all(row.counted_at for row in used)
    assert home.waste(record.trip_id)["chemical"] > 0
    assert record.next_time
