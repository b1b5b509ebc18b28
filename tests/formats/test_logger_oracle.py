"""Logger files read beside a general library of tables: the same moments, the same values.

Outside: pandas.read_csv and pandas.to_datetime with tz_localize over the same bytes.
"""

import io
import random
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pandas
import pytest

from inventory.formats.logger import Hints, Log, Unit, find_shape

OSLO = ZoneInfo("Europe/Oslo")


def ours(text, zone, hints=None):
    shape = find_shape(io.StringIO(text, newline=""), hints).shape
    return list(Log(io.StringIO(text, newline=""), shape, zone=zone))


def made(count, start, minutes, zone, stamp, number, head):
    """A file of a random walk, as a logger writes it in its zone."""
    dice, celsius, lines = random.Random(count), 18.0, [head]
    for row in range(count):
        celsius = round(max(-20, min(45, celsius + dice.uniform(-0.6, 0.6))), 1)
        at = (start + timedelta(minutes=minutes * row)).astimezone(zone)
        lines.append(f"{at.strftime(stamp)}{number(celsius)}")
    return "\n".join(lines) + "\n"


CASES = {
    "commas and dots, UTC": (
        (UTC, "%Y-%m-%d %H:%M:%S", lambda c: f",{c}", "Time,Temperature (°C)"),
        {"sep": ",", "decimal": "."},
        "%Y-%m-%d %H:%M:%S",
    ),
    "semicolons and decimal commas, over both changes of the clocks": (
        (OSLO, "%d.%m.%Y %H:%M", lambda c: f";{c}".replace(".", ","), "Tid;Temperature (°C)"),
        {"sep": ";", "decimal": ","},
        "%d.%m.%Y %H:%M",
    ),
    "tabs, day and clock apart": (
        (OSLO, "%Y/%m/%d\t%H:%M:%S", lambda c: f"\t{c}", "Date\tTime\tTemp °C"),
        {"sep": "\t", "decimal": "."},
        "%Y/%m/%d %H:%M:%S",
    ),
}


@pytest.mark.parametrize("case", CASES, ids=str)
def test_log_reads_what_a_general_library_reads(case):
    """A year at every 20 minutes: each moment in UTC and each value."""
    (zone, stamp, number, head), how, form = CASES[case]
    text = made(26_000, datetime(2025, 9, 1, tzinfo=UTC), 20, zone, stamp, number, head)
    table = pandas.read_csv(io.StringIO(text), **how)
    times = table.iloc[:, 0] if table.shape[1] == 2 else table.iloc[:, 0] + " " + table.iloc[:, 1]
    moments = pandas.to_datetime(times, format=form)
    moments = moments.dt.tz_localize(zone, ambiguous="infer").dt.tz_convert("UTC")
    found = ours(text, zone)
    assert [reading.at for reading in found] == list(moments.dt.to_pydatetime())
    assert [reading.values[0] for reading in found] == table.iloc[:, -1].tolist()


def test_log_of_fahrenheit_is_what_a_general_library_gives_after_the_same_formula():
    """NIST SP 811, appendix B: t/°C = (t/°F - 32) / 1.8."""
    text = made(
        2_000, datetime(2026, 1, 1, tzinfo=UTC), 5, UTC, "%m/%d/%Y %H:%M", lambda c: f",{c + 50}", "Time,T"
    )
    table = pandas.read_csv(io.StringIO(text))
    found = ours(text, UTC, Hints(temperature=Unit.FAHRENHEIT))
    wanted = (table["T"] - 32) / 1.8
    assert [reading.values[0] for reading in found] == pytest.approx(wanted.tolist(), abs=1e-4)
