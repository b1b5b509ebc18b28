"""Logger files of many shapes, against expectations made by hand and against csv.reader.

Outside: the standard library's csv and zoneinfo; degrees Fahrenheit and psi by NIST SP 811, appendix B
(t/°C = (t/°F - 32) / 1.8; 1 psi = 6.894757 kPa). pandas is not installed here: nothing is checked against it.
"""

import csv
import io
import json
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.errors import Refused
from inventory.formats.logger import (
    Hints,
    Log,
    Probe,
    Shape,
    Unit,
    as_text,
    find_shape,
    recalled,
    remembered,
)
from inventory.formats.sheets_cells import DayOrder
from tests.formats.logs import CELSIUS, PLAIN, every, look, moment, read, text, values

THREE = [
    (moment(2026, 1, 13, 10, 0), (20.5, 61.25)),
    (moment(2026, 1, 13, 10, 10), (21.0, 62.0)),
    (moment(2026, 1, 13, 10, 20), (-3.25, None)),
]
SHAPES = {
    "dot and comma": text(
        "Time,Bay (°C),Core (°C)",
        *("2026-01-13 10:00:00,20.5,61.25", "2026-01-13 10:10:00,21.0,62", "2026-01-13 10:20:00,-3.25,"),
    ),
    "semicolon and decimal comma": text(
        "Zeit;Bay °C;Core °C",
        *("13.01.2026 10:00;20,5;61,25", "13.01.2026 10:10;21,0;62,0", "13.01.2026 10:20;-3,25;--"),
    ),
    "tab, two columns of time": text(
        "Date\tClock\tBay [C]\tCore [C]",
        *(
            "13/01/2026\t10:00:00\t20.5\t61.25",
            "13/01/2026\t10:10:00\t21.0\t62",
            "13/01/2026\t10:20:00\t-3.25\tNaN",
        ),
    ),
    "month first, twelve hours, Fahrenheit": text(
        "Clock,Date,Bay (°F),Core (°F)",
        *(
            "10:00:00 AM,01/13/26,68.9,142.25",
            "10:10:00 AM,01/13/26,69.8,143.6",
            "10:20:00 AM,01/13/26,26.15,",
        ),
    ),
    "ISO with offset": text(
        "Timestamp,Bay (deg C),Core (deg C)",
        "2026-01-13T11:00:00+01:00,20.5,61.25",
        *("2026-01-13T10:10:00Z,21.0,62.0", "2026-01-13T12:20:00.000+02:00,-3.25,n/a"),
    ),
    "names of months, quotes, a counter, other columns": text(
        '"No";"Time";"Temp Bay (°C)";"Humidity (%)";"Temp Core (°C)";"Battery (V)"',
        '"1";"13 Jan 2026 10:00";"20.5";"41";"61.25";"3.1"',
        '"2";"13 Jan 2026 10:10";"21.0";"42";"62.0";"3.1"',
        '"3";"13 Jan 2026 10:20";"-3.25";"43";"OL";"3.1"',
    ),
    "lines before, units in cells, trailing separators": text(
        *("Logger export;;;", "Serial number: TT-0042;;;", "Interval: 10 min;;;", "", "Time;Bay;Core;"),
        *("2026-01-13 10:00:00;20.5 °C;61.25 °C;", "2026-01-13 10:10:00;21.0 °C;62.0 °C;"),
        "2026-01-13 10:20:00;−3.25 °C;---;",
    ),
    "unit said once for all": text(
        *("Unit: Celsius", "Serial: TT-0042", "Time,Bay,Core"),
        *("2026/1/13 10:00,20.5,61.25", "2026/1/13 10:10,21,62", "2026/1/13 10:20,-3.25,"),
    ),
}


@pytest.mark.parametrize("name", SHAPES)
def test_log_when_a_file_has_another_shape_gives_the_same_readings(name: str) -> None:
    """Eight ways to write the same three readings of two probes."""
    readings, told = read(SHAPES[name])
    assert [(reading.at, reading.values) for reading in readings] == THREE
    assert (told.readings, told.skipped, told.repeated, told.faults) == (3, 0, 0, ())
    assert (told.first_at, told.last_at) == (THREE[0][0], THREE[2][0])
    found = look(SHAPES[name])
    assert found.serial == told.serial == ("TT-0042" if "TT-0042" in SHAPES[name] else None)
    names = [probe.name for probe in found.shape.probes]
    assert names in (["Bay", "Core"], ["Temp Bay", "Temp Core"])


@pytest.mark.parametrize("name", SHAPES)
def test_shape_when_remembered_reads_the_next_file(name: str) -> None:
    """Through JSON and back it is the same small thing, and needs no look at the next file."""
    shape = look(SHAPES[name]).shape
    again = recalled(json.loads(json.dumps(remembered(shape))))
    assert again == shape
    assert hash(again) == hash(shape)
    assert read(SHAPES[name], shape=again)[0] == read(SHAPES[name])[0]


def test_log_when_there_is_no_heading_numbers_the_probes() -> None:
    """Without a heading the unit is asked for; with it, the probes have numbers for names."""
    bare = text("2026-01-13 10:00:00;20,5;61,25", "2026-01-13 10:10:00;21,0;62,0")
    with pytest.raises(Refused) as caught:
        look(bare)
    assert caught.value.code == "logger.temperature_unit"
    shape = look(bare, CELSIUS).shape
    assert shape.probes == (Probe(1, "probe 1", Unit.CELSIUS), Probe(2, "probe 2", Unit.CELSIUS))
    assert values(bare, hints=CELSIUS) == [(20.5, 61.25), (21.0, 62.0)]
    assert values(bare, hints=Hints(temperature=Unit.FAHRENHEIT))[1] == (-6.1111, 16.6667)


@pytest.mark.parametrize(
    ("unit", "written", "kpa"),
    [
        ("bar", "5.5", 550.0),
        ("kPa", "550", 550.0),
        ("mbar", "5500", 550.0),
        ("psi", "80", 551.5806),
        ("MPa", "0.55", 550.0),
    ],
)
def test_log_when_a_press_is_logged_reads_pressures_beside_temperatures(
    unit: str, written: str, kpa: float
) -> None:
    """Outside: NIST SP 811. The columns of another kind are named as left out."""
    content = text(
        f"Time,Core (°C),Bladder pressure ({unit}),Battery (V)",
        *(f"2026-01-13 10:00:00,80.5,{written},3.1", f"2026-01-13 10:01:00,80.6,{written},3.1"),
    )
    found = look(content)
    assert [(probe.name, probe.unit) for probe in found.shape.probes] == [
        ("Core", Unit.CELSIUS),
        ("Bladder pressure", Unit(unit)),
    ]
    assert found.ignored == ("Battery (V)",)
    assert values(content)[0] == (80.5, pytest.approx(kpa, abs=1e-3))


def test_look_when_two_probes_share_a_name_tells_them_apart() -> None:
    """The second of a name gets a number; a column that is empty throughout is left out."""
    content = text("Time;Core °C;Core °C;Spare °C", "2026-01-13 10:00;1;2;", "2026-01-13 10:10;1;3;")
    assert [probe.name for probe in look(content).shape.probes] == ["Core", "Core (2)"]


def test_look_when_the_order_of_days_shows_over_a_midnight_finds_it() -> None:
    """05/06 is one of two days until the date changes in the middle of the night."""
    nights = {DayOrder.DMY: "06/06/2026", DayOrder.MDY: "05/07/2026"}
    for order, next_day in nights.items():
        rows = ("05/06/2026 23:40,20", "05/06/2026 23:50,20", f"{next_day} 00:00,20")
        assert look(text("Time,T1 (°C)", *rows)).shape.day_order is order
    with pytest.raises(Refused) as caught:
        look(text("Time,T1 (°C)", "05/06/2026 23:40,20", "05/06/2026 23:50,20"))
    assert caught.value.code == "logger.day_order"
    with pytest.raises(Refused):
        look(text("Time,T1 (°C)", "01/02/2026 12:00,20", "02/02/2026 12:00,20", "03/02/2026 12:00,20"))


def test_look_when_a_person_says_the_order_takes_it() -> None:
    """Said once, remembered in the shape; an order that is not possible is not taken."""
    content = text("Time,T1 (°C)", "05/06/2026 23:40,20", "05/06/2026 23:50,21")
    for order, day in ((DayOrder.DMY, (6, 5)), (DayOrder.MDY, (5, 6))):
        readings, _ = read(content, hints=Hints(day_order=order))
        assert (readings[0].at.month, readings[0].at.day) == day
    assert look(PLAIN, Hints(day_order=DayOrder.DMY)).shape.day_order is DayOrder.YMD


def test_log_when_lines_among_the_readings_are_none_skips_and_counts_them() -> None:
    """A second heading, a remark, half a line, an impossible time; empty lines do not count."""
    first, *rest = PLAIN.splitlines()
    content = text(
        first,
        rest[0],
        "",
        first,
        "paused by hand",
        "2026-01-13 10:0",
        "2026-01-13 25:00:00,1",
        "2026-02-31 10:00:00,1",
        *rest[1:],
    )
    readings, told = read(content)
    assert len(readings) == 3
    assert (told.skipped, told.first_skipped_line, told.lines) == (5, 4, 10)


def test_log_when_readings_are_missing_keeps_the_gap_as_it_is() -> None:
    """A pause is no reading and no invention: the moments say how long it was."""
    content = text("Time,T1 (°C)", "2026-01-13 10:00,20", "2026-01-13 10:10,", "2026-01-13 16:00,22")
    readings, _ = read(content)
    assert [reading.values[0] for reading in readings] == [20, None, 22]
    assert readings[2].at - readings[1].at == timedelta(hours=5, minutes=50)


def test_log_when_lines_stand_twice_gives_one_and_when_the_clock_goes_back_all() -> None:
    """The same line is given once; another reading of that moment or an earlier one is given."""
    content = text(
        "Time,T1 (°C)",
        *(f"2026-01-13 {row}" for row in ("10:00,1", "10:00,1", "10:10,2", "10:10,3", "09:00,4")),
    )
    readings, told = read(content)
    assert [reading.values[0] for reading in readings] == [1, 2, 3, 4]
    assert told.repeated == 1


def test_told_when_asked_on_the_way_says_how_far() -> None:
    """Progress while reading; stopping early costs nothing."""
    log = Log(io.StringIO(PLAIN), look(PLAIN).shape, zone=UTC)
    next(iter(log))
    assert (log.told().lines, log.told().readings) == (2, 1)
    assert log.told().last_at == moment(2026, 1, 13, 10)


@pytest.mark.parametrize("letters", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_as_text_when_letters_differ_reads_the_same(letters: str) -> None:
    """Also a unit of another alphabet's degree sign; the file can be read from its beginning again."""
    with as_text(io.BytesIO(PLAIN.replace("\n", "\r\n").encode(letters))) as file:
        found = find_shape(file)
        file.seek(0)
        readings = list(Log(file, found.shape, zone=UTC))
    assert found == look(PLAIN)
    assert readings == read(PLAIN)[0]


@pytest.mark.parametrize("sign", ["Z", "+00:00", "+01:00", "-0930", ""])
def test_log_when_a_line_says_its_offset_needs_no_zone(sign: str) -> None:
    """Outside: datetime's own `fromisoformat`. Without an offset, the zone passed in counts."""
    zone = timezone(timedelta(hours=5))
    stamp = "2026-06-01T12:00:00"
    readings, _ = read(text("Time,T1 (°C)", f"{stamp}{sign},20", f"2026-06-01T12:10:00{sign},20"), zone=zone)
    parsed = datetime.fromisoformat(stamp + sign)
    assert readings[0].at == (parsed if parsed.tzinfo else parsed.replace(tzinfo=zone))
    assert readings[0].at.tzinfo is UTC


@settings(max_examples=60)
@given(
    start=st.datetimes(datetime(2000, 1, 1), datetime(2090, 1, 1)).map(lambda at: at.replace(microsecond=0)),
    rows=st.lists(
        st.tuples(st.none() | st.decimals(-99, 400, places=2), st.none() | st.decimals(-99, 400, places=2)),
        min_size=3,
        max_size=30,
    ).filter(lambda rows: all(any(row[at] is not None for row in rows) for at in (0, 1))),
    form=st.sampled_from(
        ["%Y-%m-%d %H:%M:%S", "%d.%m.%Y %H:%M:%S", "%m/%d/%Y %I:%M:%S %p", "%d %b %Y %H:%M:%S"]
    ),
    separator=st.sampled_from(";\t"),
    comma=st.booleans(),
)
def test_log_reads_what_csv_reader_reads(start, rows, form, separator, comma) -> None:  # type: ignore[no-untyped-def]
    """Outside: csv.reader and `strptime` on the same lines; rows 50 minutes apart, so that days pass."""
    moments = every(50, len(rows), start.replace(tzinfo=UTC))
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=separator)
    writer.writerow(["Time", "A (°C)", "B (°C)"])
    for at, row in zip(moments, rows, strict=True):
        cells = ["" if value is None else str(value) for value in row]
        writer.writerow([at.strftime(form), *(cell.replace(".", ",") if comma else cell for cell in cells)])
    order = {"%Y": DayOrder.YMD, "%m": DayOrder.MDY}.get(form[:2], DayOrder.DMY)
    readings, told = read(out.getvalue(), hints=Hints(day_order=order))
    expected = []
    for stamp, *cells in list(csv.reader(io.StringIO(out.getvalue(), newline=""), delimiter=separator))[1:]:
        numbers = tuple(float(cell.replace(",", ".")) if cell else None for cell in cells)
        expected.append((datetime.strptime(stamp, form).replace(tzinfo=UTC), numbers))
    believed = [
        tuple(
            None if value == 85.0 and got is None else value
            for value, got in zip(row, reading.values, strict=True)
        )
        for (_, row), reading in zip(expected, readings, strict=True)
    ]
    assert [reading.at for reading in readings] == [at for at, _ in expected]
    assert [reading.values for reading in readings] == believed
    assert told.skipped == 0


def test_shape_is_small_and_frozen() -> None:
    """It is compared and kept, never changed."""
    shape = look(PLAIN).shape
    assert shape == Shape(",", 0, None, DayOrder.YMD, ".", (Probe(1, "Bay", Unit.CELSIUS),))
    with pytest.raises(AttributeError):
        shape.separator = ";"  # type: ignore[misc]
