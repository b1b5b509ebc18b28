"""Loggers' files through the pages, against general libraries over the very same files."""

import io
import re
from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas
import pytest
from scipy import integrate, optimize, special

from inventory.actions import places
from inventory.models import Tag
from inventory.queries import ages
from tests.actions.test_loggers import file_of, house
from tests.views.test_loggers import START, desk, fields, look, plain

__all__ = ["desk", "house"]
pytestmark = pytest.mark.django_db
SUMMER = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "ptarmigan-summer.csv"
K = 10_000.0  # USP 1160: 83.144 kJ/mol over 8.3144e-3 kJ/(mol K) (read)


def wave(days, minutes, low=20.0, high=38.0):
    """A swing a day, rounded as a logger writes it."""
    rows = np.arange(days * 1440 // minutes + 1)
    return np.round((low + high) / 2 + (high - low) / 2 * np.sin(rows * minutes / 1440 * 2 * np.pi), 1)


@pytest.mark.parametrize(
    ("content", "how", "stamp", "zone"),
    [
        (
            SUMMER.read_bytes(),
            {"sep": ";", "decimal": ",", "skiprows": 2, "usecols": [1, 2]},
            "%d.%m.%Y %H:%M",
            "Etc/GMT-1",
        ),
        (
            file_of(wave(9, 10)),
            {"sep": ",", "decimal": ".", "skiprows": 1},
            "%Y-%m-%d %H:%M:%S",
            "UTC",
        ),
    ],
    ids=["of the demo: decimal commas, numbered lines, winter time all year", "of a swing"],
)
def test_page_reads_a_file_as_a_general_library_does(desk, content, how, stamp, zone):
    """Outside: pandas.read_csv and to_datetime over the same bytes: how many, from when to when, how warm."""
    table = pandas.read_csv(io.BytesIO(content), **how)
    times = pandas.to_datetime(table.iloc[:, 0], format=stamp).dt.tz_localize(zone).dt.tz_convert("UTC")
    table, times = table[times < "2026-06-20"], times[times < "2026-06-20"]
    lines = content.splitlines(keepends=True)
    head = len(lines) - len(pandas.read_csv(io.BytesIO(content), **how))
    cut = b"".join(lines[: head + len(table)])
    said = "UTC+1" if zone == "Etc/GMT-1" else "UTC"
    told = plain(look(desk, cut, zone=said))
    found = re.search(r"([\d,]+) readings from (.*?) to (.*?), ([−\d.]+) °C to ([−\d.]+) °C", told)
    assert int(found[1].replace(",", "")) == len(table)
    celsius = table.iloc[:, -1]
    assert (float(found[4]), float(found[5])) == (celsius.min(), celsius.max())
    oslo = ZoneInfo("Europe/Oslo")
    for at, group in ((times.iloc[0], found[2]), (times.iloc[-1], found[3])):
        local = at.tz_convert(oslo)
        assert f"{local.day} {local:%b %Y}" in group
        assert f"{local:%H:%M}" in group


@pytest.mark.parametrize(("minutes", "within"), [(1, 0.03), (5, 0.08)])
def test_mean_kinetic_temperature_on_the_page_is_the_root_a_general_library_finds(desk, minutes, within):
    """Ten days of a swing from 20 to 38 °C: the one temperature at which as much would have happened.

    Outside: scipy.special.logsumexp and scipy.optimize.brentq over the same points, with the constants of
    USP 1160 (read).
    """
    celsius = wave(10, minutes)
    happened = special.logsumexp(-K / (celsius + 273.15), b=1 / len(celsius))
    outside = optimize.brentq(lambda c: -K / (c + 273.15) - happened, 20, 38)
    answer = look(desk, file_of(celsius, minutes=minutes))
    page = desk.post(f"/loggers/{desk.trailer}/keep/", fields(answer), follow=True)
    found = re.search(r"Jun 2026 .*?38\.0 °C .*? h .*?([\d.]+) °C", plain(page))
    assert outside - 0.01 <= float(found[1]) <= outside + within  # the hotter of two readings counts
    assert float(found[1]) > celsius.mean() + 1


@pytest.mark.parametrize(
    ("celsius", "published"), [((2, 2, 5, 8, 8, 8, 8), "6.25"), ((10, 10, 10, 50), "36.50")]
)
def test_mean_kinetic_temperature_on_the_page_is_the_published_one(desk, celsius, published):
    """Each reading held for a day, in a file of a line every two minutes.

    Outside: github.com/zelti/mkt (its README's example) and a test of github.com/kaushal234/validaide-mkt,
    36.5004 (both read).
    """
    answer = look(desk, file_of(np.repeat(celsius, 720), minutes=2))
    page = desk.post(f"/loggers/{desk.trailer}/keep/", fields(answer), follow=True)
    found = re.search(r"Jun 2026 .*?°C .*?°C .*? h .*?([\d.]+) °C", plain(page))
    assert found[1] == published


@pytest.mark.parametrize(("minutes", "within"), [(1, 0.01), (20, 0.03)])
def test_ageing_of_what_lay_there_is_the_integral_of_a_general_library(desk, shop, house, minutes, within):
    """Ten days of a swing from 27 to 38 °C above a label's 25 °C: days of shelf life used.

    Outside: scipy.integrate.simpson over the same points. The hotter of two readings charges a little more.
    """
    celsius = wave(10, minutes, 27.0, 38.0)
    trailer = Tag.objects.get(thing_id=house["trailer"]).code
    answer = look(desk, file_of(celsius, minutes=minutes), place=trailer)
    desk.post(f"/loggers/{trailer}/keep/", fields(answer))
    shop.do(places.edit_place, place=house["trailer"], changes={"assumed_c": 25.0})
    rates = np.exp(K * (1 / 298.15 - 1 / (celsius + 273.15)))
    outside = integrate.simpson(rates, x=np.arange(len(celsius)) * minutes / 1440)
    age = ages.age_of(house["jug"], START + timedelta(days=10))
    measured = age.used_days - age.assumed_days
    assert outside <= measured * (1 + 1e-3)
    assert measured == pytest.approx(outside, rel=within)
