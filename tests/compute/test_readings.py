"""Typed temperatures into stays: never cooler than what was read, never measured where nobody read."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.readings import Read, stays
from inventory.compute.reasons import Basis, Given
from inventory.compute.storage import check_stays
from tests.make import refused

START = datetime(2026, 7, 1, 8, 0, tzinfo=UTC)
HOT = Given(38.0, Basis.ASSUMED)
H = timedelta(hours=1)


def read(*readings, hours=48):
    return stays(readings=readings, starts=START, ends=START + hours * H, assumed_c=HOT)


def told(found):
    return [
        ((s.starts - START) / H, (s.ends - START) / H, s.celsius.value, s.celsius.basis) for s in found.stays
    ]


def test_stays_when_nobody_read_are_assumed_throughout():
    """No reading and one reading say nothing of the time between."""
    for readings in ((), (Read(START + H, 12.0),)):
        found = read(*readings)
        assert told(found) == [(0, 48, 38.0, Basis.ASSUMED)]
        assert (found.measured_h, found.assumed_h) == (0, 48)


def test_stays_when_the_thermometer_keeps_its_highest_count_that_since_the_reading_before():
    """A day apart: with the highest the day is measured at it, without it nobody knows."""
    plain = read(Read(START, 18.0), Read(START + 24 * H, 20.0))
    assert told(plain) == [(0, 48, 38.0, Basis.ASSUMED)]
    kept = read(Read(START, 18.0), Read(START + 24 * H, 20.0, highest_c=31.0))
    assert told(kept) == [(0, 24, 31.0, Basis.MEASURED), (24, 48, 38.0, Basis.ASSUMED)]


def test_stays_between_readings_up_to_six_hours_apart_are_the_hotter_of_both():
    """Six hours count, a minute more does not."""
    assert told(read(Read(START, 18.0), Read(START + 6 * H, 21.0)))[0] == (0, 6, 21.0, Basis.MEASURED)
    late = read(Read(START, 18.0), Read(START + 6 * H + timedelta(minutes=1), 21.0))
    assert late.measured_h == 0


def test_stays_reach_in_from_a_reading_before_the_span():
    """What was read the evening before counts from the start on."""
    found = read(Read(START - 4 * H, 15.0), Read(START + 20 * H, 16.0, highest_c=22.0))
    assert told(found)[0] == (0, 20, 22.0, Basis.MEASURED)


def test_stays_when_the_highest_is_below_what_was_read_before_take_the_hotter():
    """A thermometer set back late does not cool the night before."""
    found = read(Read(START, 30.0), Read(START + 24 * H, 20.0, highest_c=25.0))
    assert told(found)[0][2] == 30.0


@given(
    st.lists(st.tuples(st.integers(1, 600), st.floats(-30, 60), st.none() | st.floats(0, 30)), max_size=12)
)
def test_stays_fill_the_span_without_a_hole_and_add_up(rows):
    """Whatever was read: in order, from end to end, measured and assumed hours add up to the whole."""
    readings, at = [], START - 30 * H
    for minutes, celsius, above in rows:
        at += timedelta(minutes=minutes * 5)
        readings.append(Read(at, celsius, None if above is None else celsius + above))
    found = read(*readings)
    check_stays(found.stays)
    assert found.stays[0].starts == START
    assert found.stays[-1].ends == START + 48 * H
    assert all(a.ends == b.starts for a, b in zip(found.stays, found.stays[1:], strict=False))
    assert found.measured_h + found.assumed_h == pytest.approx(48)


def test_stays_of_readings_out_of_order_or_swapped_are_refused():
    """Each slip beside what is right."""
    with refused("readings.order"):
        read(Read(START + H, 12.0), Read(START + H, 13.0))
    with refused("readings.highest", "14", "21"):
        read(Read(START, 21.0, highest_c=14.0))
    with refused("storage.temperature"):
        read(Read(START, 2100.0))
    with refused("readings.span"):
        read(hours=0)
    read(Read(START, 14.0, highest_c=21.0), Read(START + H, 14.0))
