"""Which moment a logger's line means, where clocks are set forward and back.

Outside: zoneinfo turns moments into local times; days on which clocks change are those of the IANA database.
"""

from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.errors import Refused
from inventory.formats.logger import Hints
from inventory.formats.logger_clock import clock_of, day_of, orders_of, split_stamp
from inventory.formats.sheets_cells import DayOrder
from tests.formats.logs import every, look, moment, read, text

OSLO = ZoneInfo("Europe/Oslo")
ZONES = ["Europe/Oslo", "America/Denver", "Australia/Lord_Howe", "Asia/Kathmandu", "America/St_Johns", "UTC"]


def local(moments: list[datetime], zone: ZoneInfo, form: str = "%Y-%m-%d %H:%M:%S") -> str:
    """What a logger whose clock follows a zone would write."""
    rows = (f"{at.astimezone(zone).strftime(form)},20.5" for at in moments)
    return text("Time,T1 (°C)", *rows)


@pytest.mark.parametrize("minutes", [10, 20, 30, 60])
@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("season", [(2026, 3), (2026, 4), (2026, 10), (2026, 11)])
def test_log_when_clocks_change_gives_the_moments_back(
    minutes: int, zone: str, season: tuple[int, int]
) -> None:
    """A whole month around each change, by way of local times and back; also half an hour's change."""
    moments = every(minutes, 31 * 24 * 60 // minutes, moment(*season, 1))
    readings, told = read(local(moments, ZoneInfo(zone)), zone=ZoneInfo(zone))
    assert [reading.at for reading in readings] == moments
    assert told.repeated == 0


@settings(max_examples=40)
@given(
    start=st.datetimes(datetime(2000, 1, 1), datetime(2090, 1, 1)).map(lambda at: at.replace(microsecond=0)),
    zone=st.sampled_from(ZONES),
    minutes=st.sampled_from([1, 7, 15, 59, 60]),
)
def test_log_gives_any_day_back(start: datetime, zone: str, minutes: int) -> None:
    """Two days from anywhere in ninety years."""
    moments = every(minutes, 2_880 // minutes, start.replace(tzinfo=UTC))
    content = local(moments, ZoneInfo(zone))
    assert [reading.at for reading in read(content, zone=ZoneInfo(zone))[0]] == moments


def test_log_when_an_hour_comes_twice_tells_it_apart_by_order() -> None:
    """25 October 2026 in Oslo: 02:00 to 03:00 twice. Two lines of one minute are not the second hour."""
    rows = ("01:30", "02:00", "02:30", "02:00", "02:30", "03:00")
    content = text("Time,T1 (°C)", *(f"2026-10-25 {row},{number}" for number, row in enumerate(rows)))
    readings, _ = read(content, zone=OSLO)
    assert [reading.at for reading in readings] == every(30, 6, moment(2026, 10, 24, 23, 30))
    quick = text(
        "Time,T1 (°C)", *(f"2026-10-25 {row}" for row in ("02:10,1", "02:10,2", "02:11,3", "02:11,4"))
    )
    readings, _ = read(quick, zone=OSLO)
    assert {reading.at.hour for reading in readings} == {0}


def test_log_when_a_pause_comes_before_the_hour_that_comes_twice_is_not_misled() -> None:
    """After six hours without a reading, the next one ten minutes on is still of the first hour."""
    moments = [*every(10, 4, moment(2026, 10, 24, 18)), *every(10, 20, moment(2026, 10, 25, 0))]
    readings, _ = read(local(moments, OSLO), zone=OSLO)
    assert [reading.at for reading in readings] == moments


def test_log_when_the_file_has_an_hour_that_is_skipped_is_refused() -> None:
    """29 March 2026 in Oslo has no 02:30: the logger keeps one time, and a fixed offset reads it."""
    rows = ("01:30", "02:00", "02:30", "03:00")
    content = text("Time,T1 (°C)", *(f"2026-03-29 {row},{number}" for number, row in enumerate(rows)))
    with pytest.raises(Refused) as caught:
        read(content, zone=OSLO)
    assert caught.value.code == "logger.zone"
    assert "02:00 on 2026-03-29" in str(caught.value)
    readings, _ = read(content, zone=timezone(timedelta(hours=1)))
    assert [reading.at for reading in readings] == every(30, 4, moment(2026, 3, 29, 0, 30))
    skipping = text("Time,T1 (°C)", *(f"2026-03-29 {row},1" for row in ("01:30", "03:00", "03:30")))
    assert [r.at for r in read(skipping, zone=OSLO)[0]] == every(30, 3, moment(2026, 3, 29, 0, 30))


@pytest.mark.parametrize(
    ("written", "hour", "minute"),
    [
        ("12:05 AM", 0, 5),
        ("12:05 PM", 12, 5),
        ("1:05 pm", 13, 5),
        ("11:59 a.m.", 11, 59),
        ("00:05", 0, 5),
        ("23:59:59", 23, 59),
    ],
)
def test_clock_of_when_it_is_a_time_reads_it(written: str, hour: int, minute: int) -> None:
    """Twelve and twenty-four hours."""
    stamp = clock_of(written)
    assert stamp is not None
    assert (stamp[0] // timedelta(hours=1), stamp[0] // timedelta(minutes=1) % 60) == (hour, minute)


@pytest.mark.parametrize(
    "written", ["24:00", "13:00 PM", "0:30 AM", "10:60", "10:00:60", "10", "10:0", "", "١٠:٠٠"]
)
def test_clock_of_when_it_is_none_says_so(written: str) -> None:
    """Beside it, one minute earlier is a time."""
    assert clock_of("23:59") is not None
    assert clock_of(written) is None


@pytest.mark.parametrize(
    ("written", "orders"),
    [
        ("2026-01-02", {DayOrder.YMD}),
        ("13/01/2026", {DayOrder.DMY}),
        ("01/13/2026", {DayOrder.MDY}),
        ("01/02/2026", {DayOrder.DMY, DayOrder.MDY}),
        ("01.02.03", {DayOrder.YMD, DayOrder.DMY, DayOrder.MDY}),
        ("31-12-26", {DayOrder.YMD, DayOrder.DMY}),
        ("31-12-99", {DayOrder.DMY}),
        ("31 Dec 2026", {DayOrder.DMY}),
        ("31 Foo 2026", set()),
        ("2026-02-30", set()),
        ("01/02/1970", set()),
        ("01/02-2026", set()),
    ],
)
def test_orders_of_when_a_day_is_written_knows_what_it_can_be(written: str, orders: set[DayOrder]) -> None:
    """All orders that give a day, and none for what is no day or one before loggers."""
    assert set(orders_of([written])) == orders


@given(st.dates(datetime(1990, 1, 1).date(), datetime(2099, 12, 31).date()), st.sampled_from("-/."))
def test_day_of_agrees_with_strftime(day, mark) -> None:  # type: ignore[no-untyped-def]
    """Outside: datetime writes, in three orders and with the month's name."""
    forms = {DayOrder.YMD: "%Y-%m-%d", DayOrder.DMY: "%d-%m-%Y", DayOrder.MDY: "%m-%d-%Y"}
    for order, form in forms.items():
        assert day_of(day.strftime(form).replace("-", mark), order) == day
        assert day_of(day.strftime("%d %b %Y"), order) == day


@pytest.mark.parametrize(
    "written",
    ["2026-01-02 10:00", "2026-01-02T10:00", "2026-01-02, 10:00", "2026-01-02  10:00"],
)
def test_split_stamp_when_day_and_clock_are_in_one_cell_parts_them(written: str) -> None:
    """Whatever stands between."""
    assert split_stamp(written) == ("2026-01-02", "10:00")


def test_look_when_times_are_twelve_hours_and_days_short_finds_the_order() -> None:
    """Short years in any order, once a midnight shows it."""
    rows = ("01-02-03 11:40 PM", "01-02-03 11:50 PM", "01-02-04 12:00 AM")
    content = text("Time,T1 (°C)", *(f"{row},20" for row in rows))
    assert look(content).shape.day_order is DayOrder.YMD
    assert read(content)[0][0].at == moment(2001, 2, 3, 23, 40)
    assert read(content, hints=Hints(day_order=DayOrder.YMD))[0][2].at == moment(2001, 2, 4)
