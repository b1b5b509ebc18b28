"""The demo's last trip: it left, came home, and is on record."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from inventory.models import Trailer, TripRecord
from inventory.queries import home, road, trip_numbers, usage
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


def test_last_trips_weights_stand_planned_against_actual_and_below_the_plates(opened):
    """Both trailers, by the list and on the scale, leaving and home: near it, not it; lighter back home."""
    (record,) = TripRecord.objects.all()
    lines = trip_numbers.shown(record.numbers).weights
    assert [line.name for line in lines] == ["Stoat", "Ptarmigan"]
    for line in lines:
        listed, left, back = (mass.value for mass in line.masses)
        assert 0 < abs(left - listed) < 60_000_000
        assert back < left
        assert None not in line.noses
    plates = [plate.nose_mg for plate in Trailer.objects.order_by("-nose_mg")]
    assert all(line.noses[1].value < plate for line, plate in zip(lines, plates, strict=True))


def test_last_trip_is_a_first_one_that_teaches_and_one_offers_no_factor(opened):
    """All of its card that was used teaches, each from its five pairs; a second trip is waited for."""
    (record,) = TripRecord.objects.select_related("trip")
    found = {each.name: each for each in usage.taught(record.trip)}
    silent = {name for name, each in found.items() if each.why_not}
    assert silent == {"Edge glue, thin", "Mixing cups, 0.4 l"}  # no card names them
    assert {each.pairs for each in found.values()} == {5}
    rows = usage.offers()
    assert len(rows) == len(found) - len(silent) == 9
    assert all((row.offered.trips, row.offered.factor, row.news) == (1, None, False) for row in rows)
    assert all(1 <= row.offered.raw < 1.5 for row in rows), "nobody puts more into a ski than is gone"
