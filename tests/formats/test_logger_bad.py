"""Logger files that cannot be read, or not believed, each beside one that differs by one fact.

Outside: what a common digital sensor gives without power (85.0 °C) and a reader without its sensor (-127 °C):
from memory.
"""

import io
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.errors import Refused
from inventory.formats.logger import (
    LINES_MOST,
    Fault,
    Hints,
    Log,
    Told,
    Unit,
    as_text,
    find_shape,
    recalled,
    remembered,
)
from inventory.formats.sheets_cells import DayOrder
from tests.formats.logs import CELSIUS, PLAIN, UTC, every, look, moment, read, text, values

ROOT = Path(__file__).resolve().parents[2]


def refused(name: str, content: str, hints: Hints | None = None) -> str:
    with pytest.raises(Refused) as caught:
        read(content, hints=hints)
    assert caught.value.code == name
    return str(caught.value)


def rows(*temperatures: object, unit: str = "°C") -> str:
    """Readings a minute apart."""
    moments = every(1, len(temperatures), moment(2026, 1, 13, 10))
    lines = (f"{at:%Y-%m-%d %H:%M},{value}" for at, value in zip(moments, temperatures, strict=True))
    return text(f"Time,Core ({unit})", *lines)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("logger.no_readings", text("Time,Bay (°C)")),
        ("logger.no_readings", text("just words", "and more; of them")),
        ("logger.no_readings", text("2026-01-13,20.5", "2026-01-14,20.6")),
        ("logger.no_readings", text("1,20.5", "2,20.6")),
        ("logger.no_values", text("Time,Remark", "2026-01-13 10:00,door open")),
        ("logger.no_values", text("Time,Humidity (%)", "2026-01-13 10:00,40")),
        ("logger.no_values", text("2026-01-13 10:00" + ";1.5" * 33)),
        ("logger.columns", text("Time,Bay (°C)", "2026-01-13 10:00,20,5", "2026-01-13 10:10,21,0")),
        ("logger.columns", text("2026-01-13 10:00,20,5", "2026-01-13 10:10,21,0")),
        ("logger.decimal_mark", text("Time;A (°C);B (°C)", "2026-01-13 10:00;20,5;1.5")),
        ("logger.temperature_unit", text("Time,Bay", "2026-01-13 10:00,20.5")),
        ("logger.temperature_unit", text("°C or °F", "Time,Bay", "2026-01-13 10:00,20.5")),
        ("logger.pressure_unit", text("Time,Core (°C),Pressure", "2026-01-13 10:00,20.5,5")),
        ("logger.day_order", text("Time,Bay (°C)", "01/02/2026 10:00,20.5")),
        ("logger.day_order", text("Time,Bay (°C)", "13/01/2026 10:00,20.5", "01/13/2026 10:00,20.5")),
        ("logger.newest_first", text("Time,Bay (°C)", "2026-01-13 10:10,1", "2026-01-13 10:00,2")),
        ("logger.broken", PLAIN + '"2026-01-13 10:30:00,1\n'),
    ],
)
def test_find_shape_when_the_file_leaves_it_open_asks(name: str, content: str) -> None:
    """No times, no values, two readings of one line: said with what would help. A plain file passes."""
    assert len(read(PLAIN)[0]) == 3
    assert refused(name, content).count(".") >= 2


@pytest.mark.parametrize(
    ("content", "hints", "first"),
    [
        (text("Time,Bay", "2026-01-13 10:00,68"), Hints(temperature=Unit.FAHRENHEIT), (20.0,)),
        (text("Time,Core (°C),Pressure", "2026-01-13 10:00,20.5,5"), Hints(pressure=Unit.BAR), (20.5, 500.0)),
        (text("Time,Bay (°C)", "01/02/2026 10:00,20.5"), Hints(day_order=DayOrder.MDY), (20.5,)),
        (text("2026-01-13 10:00" + ";1.5" * 32), CELSIUS, (1.5,) * 32),
        (text("Time;A (°C);B (°C)", "2026-01-13 10:00;20,5;1,5"), None, (20.5, 1.5)),
        (text("2026-01-13 10:00,20.5,5", "2026-01-13 10:10,21,0"), CELSIUS, (20.5, 5.0)),
    ],
)
def test_find_shape_when_the_open_fact_is_said_reads_on(
    content: str, hints: Hints | None, first: tuple[float, ...]
) -> None:
    """The same files with what was missing."""
    assert values(content, hints=hints)[0] == first


def test_log_when_no_line_fits_what_is_remembered_is_refused() -> None:
    """Another logger's file, or one of another program; its own next file passes."""
    shape = look(PLAIN).shape
    other = text("Date;Clock;Bay (°C)", "13.01.2026;10:00;20,5")
    assert len(read(PLAIN, shape=shape)[0]) == 3
    for content in (other, "", "x\n" * 5_000):
        with pytest.raises(Refused) as caught:
            read(content, shape=shape)
        assert caught.value.code == "logger.other_shape"


@pytest.mark.parametrize(
    "change",
    [
        {"separator": "x"},
        {"decimal_mark": ""},
        {"probes": []},
        {"probes": [{"at": -1, "name": "A", "unit": "°C"}]},
        {"probes": [{"at": 1, "name": "A", "unit": "K"}]},
        {"probes": 5},
        {"day_at": True},
        {"time_at": "1"},
        {"day_order": "week first"},
    ],
)
def test_recalled_when_the_memory_is_damaged_is_refused(change: dict[str, object]) -> None:
    """One field wrong or missing."""
    kept = remembered(look(PLAIN).shape)
    assert recalled(kept) == look(PLAIN).shape
    for damaged in ({**kept, **change}, {key: value for key, value in kept.items() if key not in change}, {}):
        with pytest.raises(Refused) as caught:
            recalled(damaged)
        assert caught.value.code == "logger.shape"


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("logger.empty", b""),
        ("logger.empty", b" \r\n"),
        ("logger.kind", b"PK\x03\x04 a workbook"),
        ("logger.kind", b"\xd0\xcf\x11\xe0 an old one"),
        ("logger.kind", b"%PDF-1.7"),
        ("logger.kind", b"2026-01-13 10:00\0"),
    ],
)
def test_as_text_when_the_file_is_no_text_is_refused(name: str, data: bytes) -> None:
    """By its first bytes; text passes."""
    assert as_text(io.BytesIO(PLAIN.encode())).read() == PLAIN
    with pytest.raises(Refused) as caught:
        as_text(io.BytesIO(data))
    assert caught.value.code == name


def test_log_when_a_line_has_no_end_is_refused() -> None:
    """A line of 10,000 characters is no reading; one a little shorter is skipped."""
    assert read(PLAIN + "x" * 9_990 + "\n")[1].skipped == 1
    refused("logger.kind", PLAIN + "x" * 10_000 + "\n")


class Endless(io.StringIO):
    """A file that goes on and on, without being kept anywhere."""

    def __init__(self, lines: int) -> None:
        super().__init__()
        self._made = self._numbered(lines)

    @staticmethod
    def _numbered(lines: int) -> Iterator[str]:
        yield "Time,Bay (°C)\n"
        for number in range(lines - 1):
            yield f"2026-01-13 10:00:{number % 60:02},20\n"

    def readline(self, size: int | None = -1) -> str:  # type: ignore[override]
        return next(self._made, "")


def test_log_when_there_are_too_many_lines_is_refused() -> None:
    """Split it by date. With a limit of 1,000, 1,000 lines pass and 1,001 do not."""
    shape = look(PLAIN).shape
    assert len(list(Log(Endless(1_000), shape, zone=UTC, lines_most=1_000))) == 999
    with pytest.raises(Refused) as caught:
        list(Log(Endless(1_001), shape, zone=UTC, lines_most=1_000))
    assert caught.value.code == "logger.too_long"
    assert "1000 lines" in str(caught.value)
    assert LINES_MOST == 5_000_000


def faults(told: Told) -> dict[Fault, int]:
    return {each.fault: each.count for each in told.faults}


@pytest.mark.parametrize(
    ("temperatures", "unit", "believed", "counted"),
    [
        ([85.0, 85.0, 85.0], "°C", [None] * 3, {Fault.POWER: 3}),
        ([20.0, 85.0, 20.5], "°C", [20.0, None, 20.5], {Fault.POWER: 1}),
        ([84.5, 85.0, 85.0, 85.5], "°C", [84.5, 85.0, 85.0, 85.5], {}),
        ([20.0, 85.1, 20.5], "°C", [20.0, 85.1, 20.5], {}),
        ([68.0, 185.0, 69.8], "°F", [20.0, None, 21.0], {Fault.POWER: 1}),
        ([84.2, 85.0, 86.0], "°F", [29.0, 29.4444, 30.0], {}),
        ([20.0, -127, -127.0], "°C", [20.0, None, None], {Fault.LINE: 2}),
        ([68.0, -196.6], "°F", [20.0, None], {Fault.LINE: 1}),
        ([20.0, -100.0, -100.1], "°C", [20.0, -100.0, None], {Fault.RANGE: 1}),
        ([20.0, 3276.7, 999.9, 500.0], "°C", [20.0, None, None, 500.0], {Fault.RANGE: 2}),
    ],
)
def test_log_when_a_sensor_is_broken_reads_nothing_and_counts(
    temperatures: list[float], unit: str, believed: list[float | None], counted: dict[Fault, int]
) -> None:
    """85.0 at once and -127 are of sensors that measure nothing; a press that comes to 85.0 is believed."""
    readings, told = read(rows(*temperatures, unit=unit))
    assert [reading.values[0] for reading in readings] == believed
    assert faults(told) == counted
    assert all(each.probe == "Core" for each in told.faults)


def test_log_when_a_pressure_reads_85_believes_it() -> None:
    """It is no temperature; a vacuum beyond all air is not believed."""
    readings, told = read(
        text("Time,P (kPa)", *(f"2026-01-13 10:0{at},{value}" for at, value in enumerate((85.0, -127.0))))
    )
    assert [reading.values[0] for reading in readings] == [85.0, None]
    assert faults(told) == {Fault.RANGE: 1}


def test_log_when_cells_are_no_numbers_counts_what_it_cannot_read() -> None:
    """Words for nothing are nothing; other words are counted, with the first moment."""
    content = rows(*[20.0] * 2_100, "NaN", "--", "Err", "", "inf", "2o.5", '"20,5"', "70 °F", "21 °C")
    readings, told = read(content)
    assert [reading.values[0] for reading in readings[-9:]] == [None] * 8 + [21.0]
    assert faults(told) == {Fault.RANGE: 1, Fault.UNREAD: 3}
    assert [each.first_at for each in told.faults if each.fault is Fault.UNREAD] == [readings[2_105].at]


def test_log_when_the_memory_is_measured_stays_small(tmp_path: Path) -> None:
    """200,000 lines in a process of its own take less than 20 MB more than 2,000."""
    program = (
        "import io, resource, sys\n"
        "from datetime import UTC\n"
        "from inventory.formats.logger import Log, as_text, find_shape\n"
        "def run(path):\n"
        "    with as_text(open(path, 'rb')) as file:\n"
        "        look = find_shape(file); file.seek(0)\n"
        "        return sum(1 for _ in Log(file, look.shape, zone=UTC))\n"
        "peak = lambda: resource.getrusage(resource.RUSAGE_SELF).ru_maxrss\n"
        "few = run(sys.argv[1]); before = peak(); many = run(sys.argv[2])\n"
        "print(few, many, (peak() - before) // 1000)\n"
    )
    sizes = (2_000, 200_000)
    for size in sizes:
        lines = (f"2026-01-{1 + at % 28:02} 10:{at // 60 % 60:02}:{at % 60:02},20.5\n" for at in range(size))
        (tmp_path / f"{size}.csv").write_text(
            "Time,Bay (°C)\n2025-12-31 10:00:00,20.5\n" + "".join(lines), "utf-8"
        )
    done = subprocess.run(
        [sys.executable, "-c", program, *(tmp_path / f"{size}.csv" for size in sizes)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    few, many, more_mb = map(int, done.stdout.split())
    assert (few, many) == (2_001, 200_001)
    assert more_mb < 20


def outcome(content: str, hints: Hints) -> Told | Refused:
    try:
        return read(content, hints=hints)[1]
    except Refused as refusal:
        return refusal


STAMPS = (
    "2026-01-13 10:00:00",
    "13.01.2026 10:00",
    "01/02/2026 10:00 PM",
    "2026-01-13T10:00:00Z",
    "31 Dec 2026 10:00",
)


@settings(max_examples=150)
@given(
    st.text(max_size=80)
    | st.text('0123456789;,\t-:./ \n"TZ°CF', max_size=120)
    | st.lists(
        st.tuples(st.sampled_from(STAMPS), st.sampled_from(";,\t"), st.text('0123456789.,-°C "', max_size=8)),
        max_size=8,
    ).map(lambda rows: "".join(f"{stamp}{mark}{rest}\n" for stamp, mark, rest in rows)),
    st.sampled_from([Hints(), CELSIUS, Hints(DayOrder.DMY, Unit.FAHRENHEIT, Unit.PSI)]),
)
def test_log_when_it_is_garbage_refuses_and_nothing_else(content: str, hints: Hints) -> None:
    """Never another error; what is read is counted."""
    found = outcome(content, hints)
    if isinstance(found, Refused):
        assert found.code.startswith("logger.")
    else:
        assert found.readings >= 1
        assert found.first_at is not None
        assert found.first_at >= moment(1990, 1, 1)


@settings(max_examples=60)
@given(st.binary(max_size=200))
def test_as_text_when_it_is_garbage_refuses_and_nothing_else(data: bytes) -> None:
    """Bytes of any kind."""
    try:
        with as_text(io.BytesIO(data)) as file:
            find_shape(file, CELSIUS)
        told = "read"
    except Refused as refusal:
        told = refusal.code
    assert told == "read" or told.startswith("logger.")
