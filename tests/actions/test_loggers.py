"""Logger files kept with a place: what ages by them, what is said of them, what changes nothing."""

import math
import os
import threading
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from scipy import integrate

from inventory.actions import books, loggers, materials, places, stock
from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.compute.units import Base
from inventory.formats.logger import Hints, Unit, remembered
from inventory.models import Event, Logger, Paper
from inventory.queries import ages, logged, papers, warmth
from inventory.queries import loggers as read
from tests.make import day, grams, refused

pytestmark = pytest.mark.django_db
H = timedelta(hours=1)
START = datetime(2026, 6, 1, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _own_folder(settings, tmp_path):
    settings.DATA_FOLDER = tmp_path


@pytest.fixture
def house(shop):
    """From 31 May: a trailer, a store, and in the trailer a jug of resin to be kept at 15 to 25 °C."""
    shop.at = START - 24 * H
    trailer, store = shop.place(Kind.TRAILER, "Wren"), shop.place(Kind.STORE, "the Barn")
    facts = {"stored_from_c": 15.0, "stored_to_c": 25.0}
    resin = shop.do(materials.make_material, key="r", name="Resin", base=Base.MG, facts=facts).thing
    jug = shop.do(
        stock.receive_lot,
        material=resin,
        number="N",
        packages=[grams(1000)],
        expires_on=day("2028-11-30"),
        place=trailer,
    ).things[-1]
    return {"trailer": trailer, "store": store, "jug": jug, "resin": resin}


def file_of(celsius, *, start=START, minutes=20, number="TT-0042"):
    lines = [f"Serial number,{number}", "Time,Bay (°C)"] if number else ["Time,Bay (°C)"]
    lines += [
        f"{start + timedelta(minutes=minutes) * row:%Y-%m-%d %H:%M:%S},{value}"
        for row, value in enumerate(celsius)
    ]
    return "\n".join(lines).encode()


def looked(content, place, now, **more):
    sha256 = loggers.put_aside([content], now=now)
    asked = read.Asked(place=place, sha256=sha256, zone="UTC", **more)
    return asked, read.look(asked, now)


def keep(shop, content, place, **more):
    asked, found = looked(content, place, shop.at, **more)
    log = loggers.written(asked, found, remembered(found.shape))
    try:
        return shop.do(loggers.keep_log, log=log)
    finally:
        loggers.settle(log)


def test_age_is_charged_by_the_log_while_it_was_inside(shop, house):
    """Ten days at a swing of 20 to 38 °C, the jug out of the trailer after five: it is charged five of them.

    Outside: scipy.integrate.simpson over the same points, at the label's 25 °C where it is warmer; the store
    at 20 °C and the day before at 25 °C count one day a day.
    """
    rows = np.arange(10 * 72 + 1)
    celsius = np.round(29 + 9 * np.sin(rows / 72 * 2 * np.pi), 1)
    shop.do(places.edit_place, place=house["trailer"], changes={"assumed_c": 25.0})
    shop.do(places.edit_place, place=house["store"], changes={"assumed_c": 20.0})
    shop.at = START + 5 * 24 * H
    shop.do(places.move, things=[house["jug"]], to=house["store"])
    shop.at = START + 10 * 24 * H
    keep(shop, file_of(celsius), house["trailer"])
    rates = np.maximum(1.0, np.exp(10_000 * (1 / 298.15 - 1 / (celsius + 273.15))))[: 5 * 72 + 1]
    outside = integrate.simpson(rates, x=np.arange(5 * 72 + 1) / 72)
    age = ages.age_of(house["jug"], shop.at)
    assert age.used_days - 6 == pytest.approx(outside, rel=0.08)
    assert age.used_days - 6 > outside
    assert age.used_days < 6 + rates.max() * 5
    assert age.assumed_days == pytest.approx(6, abs=0.01)


def test_same_file_again_changes_nothing(shop, house):
    """One event, one paper, one logger, the same age; the first time wrote all of them."""
    shop.at = START + 60 * H
    content = file_of([38.0] * 150)
    keep(shop, content, house["trailer"])
    first = ages.age_of(house["jug"], shop.at).used_days
    counts = [Event.objects.count(), Paper.objects.count(), Logger.objects.count()]
    _, found = looked(content, house["trailer"], shop.at)
    assert found.known
    keep(shop, content, house["trailer"])
    assert [Event.objects.count(), Paper.objects.count(), Logger.objects.count()] == counts
    assert ages.age_of(house["jug"], shop.at).used_days == pytest.approx(first, abs=1e-3)


def test_overlapping_files_count_each_hour_once(shop, house):
    """A file of two days and one of the second and third: as one file of all three."""
    shop.at = START + 80 * H
    celsius = [30 + row % 5 for row in range(3 * 72 + 1)]
    keep(shop, file_of(celsius[: 2 * 72 + 1]), house["trailer"])
    keep(shop, file_of(celsius[72:], start=START + 24 * H), house["trailer"])
    found = logged.hours_of([house["trailer"]])[house["trailer"]]
    assert sum(hour.seconds for hour in found) == 72 * 3600
    assert len({hour.hour for hour in found}) == len(found)


def test_undone_log_counts_no_more_and_may_come_again(shop, house):
    """One undo takes all its hours back; kept again they count again."""
    shop.at = START + 60 * H
    content = file_of([38.0] * 150)
    before = ages.age_of(house["jug"], shop.at).assumed_days
    done = keep(shop, content, house["trailer"])
    assert ages.age_of(house["jug"], shop.at).assumed_days < before - 1
    shop.do(books.undo, token=done.token, reason="another trailer's")
    assert ages.age_of(house["jug"], shop.at).assumed_days == pytest.approx(before, abs=0.01)
    keep(shop, content, house["trailer"])
    assert ages.age_of(house["jug"], shop.at).assumed_days < before - 1


def test_format_is_remembered_with_the_logger(shop, house):
    """The first file's unit was said by a person; the next of the same logger needs no word."""
    shop.at = START + 60 * H
    bare = b"\n".join(f"{START + row * H:%Y-%m-%d %H:%M:%S},{80 + row % 3}".encode() for row in range(40))
    with refused("logger.temperature_unit"):
        looked(bare, house["trailer"], shop.at)
    keep(shop, bare, house["trailer"], name="by the door", hints=Hints(temperature=Unit.FAHRENHEIT))
    row = Logger.objects.get()
    assert (row.name, row.place_id) == ("by the door", house["trailer"])
    _, found = looked(bare.replace(b",81", b",95"), house["trailer"], shop.at, logger=row.id)
    assert found.kept.highest_c == 35.0


def test_other_loggers_file_is_said_and_the_right_ones_is_not(shop, house):
    """Logger TT-0042 hung in the trailer: its file in the store stops, in the trailer it does not."""
    shop.at = START + 60 * H
    keep(shop, file_of([20.0] * 60), house["trailer"])
    _, wrong = looked(file_of([21.0] * 60), house["store"], shop.at)
    _, right = looked(file_of([21.0] * 60), house["trailer"], shop.at)
    assert wrong.stops
    assert "Logger TT-0042 hung in Wren" in str(wrong.notes[0].sentence)
    assert not right.stops
    mine = Logger.objects.get().id
    _, other = looked(file_of([21.0] * 60, number="TT-0077"), house["trailer"], shop.at, logger=mine)
    assert other.stops


def test_file_of_last_year_a_dead_sensor_and_a_gap_are_said(shop, house):
    """Each is a sentence; a file without any of them says nothing of the kind."""
    shop.at = START + 400 * 24 * H
    _, old = looked(file_of([20.0, 21.0] * 30), house["trailer"], shop.at)
    assert "days old" in " ".join(str(note.sentence) for note in old.notes)
    shop.at = START + 60 * H
    celsius = [20.0] * 30 + [85.0] * 40 + [21.0] * 40
    _, broken = looked(file_of(celsius), house["trailer"], shop.at)
    told = " ".join(str(note.sentence) for note in broken.notes)
    assert "40 values" in told
    assert "No reading from" in told
    assert broken.kept.highest_c == 21.0
    _, whole = looked(file_of([20.0, 21.0] * 50), house["trailer"], shop.at)
    assert [note for note in whole.notes if note.level > Level.FINE] == []
    with refused("hours.none", "readings 0 can be believed", "50 values", "85.0 °C at once"):
        looked(file_of([85.0] * 50), house["trailer"], shop.at)
    with refused("hours.none", "readings 1 can be believed; it takes two"):
        looked(file_of([20.0]), house["trailer"], shop.at)


def test_one_wrong_date_that_loses_much_of_a_file_has_to_be_sure_and_one_at_its_end_is_told(shop, house):
    """The same line 20 days ahead, early in a file and as its last but one: what it loses is what counts."""
    shop.at = START + 60 * 24 * H
    rows = file_of([20.0, 21.0] * 90 + [38.0] * 20).decode().splitlines()
    wrong = f"{START + 20 * 24 * H:%Y-%m-%d %H:%M:%S},20.0"
    _, early = looked("\n".join([*rows[:100], wrong, *rows[100:]]).encode(), house["trailer"], shop.at)
    assert early.told.readings == early.kept.readings + early.kept.left_out == 201
    (note,) = [note for note in early.notes if "left out" in str(note.sentence)]
    assert "102 readings of up to 38.0 °C" in str(note.sentence)
    assert early.stops
    _, late = looked("\n".join([*rows[:-1], wrong, rows[-1]]).encode(), house["trailer"], shop.at)
    assert "1 reading of 38.0 °C" in " ".join(str(note.sentence) for note in late.notes)
    assert not late.stops


def test_file_of_days_to_come_is_refused(shop, house):
    """Read as month and day it would be of next year; up to an hour a logger's clock may be fast."""
    shop.at = START + 5 * H
    with refused("loggers.ahead", "has not come"):
        looked(file_of([20.0] * 100), house["trailer"], shop.at)
    assert looked(file_of([20.0] * 15), house["trailer"], shop.at)[1].kept.readings == 15


def test_reading_that_is_left_off_writes_nothing_and_begins_anew(shop, house):
    """Left after the second word of how far it is: nothing is in the books, and the whole can be read."""
    shop.at = START + 60 * 24 * H
    content = file_of([20.0 + row % 9 for row in range(40_000)], minutes=2)
    asked = read.Asked(place=house["trailer"], sha256=loggers.put_aside([content], now=shop.at), zone="UTC")
    before = Event.objects.count()
    walk = read.steps(asked, shop.at)
    first, second = next(walk), next(walk)
    assert 0 < first.percent < second.percent < 100
    assert 0 < first.lines < second.lines
    walk.close()
    with pytest.raises(StopIteration):
        next(walk)
    assert Event.objects.count() == before
    assert read.look(asked, shop.at).kept.readings == 40_000


def test_file_that_is_too_large_is_refused_and_leaves_nothing(shop, house, settings, monkeypatch):
    """The limit is on bytes; one less is put aside."""
    monkeypatch.setattr(loggers, "FILE_MOST", 100)
    with refused("loggers.large"):
        loggers.put_aside([b"x" * 60, b"x" * 41], now=shop.at)
    assert list((settings.DATA_FOLDER / "looked").iterdir()) == []
    assert loggers.put_aside([b"x" * 60, b"x" * 40], now=shop.at)


def test_file_looked_at_long_ago_is_gone_and_a_fresh_one_is_not(shop, house):
    """What lies aside is cleared after a day, when the next file comes; no name leads out of the folder."""
    now = datetime.now(UTC)
    old = loggers.put_aside([file_of([20.0] * 9)], now=now)
    assert read.aside(old).exists()
    loggers.put_aside([b"y"], now=now + timedelta(days=2))
    with refused("loggers.gone"):
        read.look(read.Asked(place=house["trailer"], sha256=old, zone="UTC"), shop.at)
    with refused("loggers.gone"):
        read.aside("../secret")


def test_zone_and_column_are_checked(shop, house):
    """A fixed offset, a name, and what is neither; a column that the file has, and one it has not."""
    shop.at = START + 60 * H
    content = file_of([20.0] * 50)
    sha256 = loggers.put_aside([content], now=shop.at)
    at = {}
    for zone in ("UTC", "UTC+1", "Europe/Oslo"):
        asked = read.Asked(place=house["trailer"], sha256=sha256, zone=zone)
        at[zone] = read.look(asked, shop.at).kept.first_at
    assert (at["UTC"] - at["UTC+1"], at["UTC"] - at["Europe/Oslo"]) == (H, 2 * H)
    with refused("loggers.zone"):
        read.zone_of("Middle/Earth")
    with refused("loggers.probe", "Core"):
        looked(content, house["trailer"], shop.at, probe="Core")
    assert looked(content, house["trailer"], shop.at, probe="Bay")[1].probe == "Bay"
    pressures = content.replace("Bay (°C)".encode(), b"Line (bar)")
    with refused("loggers.probe", "only pressures"):
        looked(pressures, house["trailer"], shop.at)


def test_log_in_what_no_thermometer_hangs_in_is_refused_and_leaves_no_file_among_papers(
    shop, house, settings
):
    """A jug is no place; the trailer is. Refused, the file still lies aside; kept, it lies there no more."""
    shop.at = START + 60 * H
    with refused("care.no_place"):
        keep(shop, file_of([20.0] * 50), house["jug"])
    assert files(settings) == ["looked"]
    keep(shop, file_of([20.0] * 50), house["trailer"])
    assert files(settings) == ["papers"]


def files(settings):
    """In which folders the one file lies."""
    folder = settings.DATA_FOLDER
    return sorted(path.relative_to(folder).parts[0] for path in folder.rglob("*") if path.is_file())


def test_log_refused_while_another_phone_keeps_the_same_file_leaves_that_one_its_file(shop, house, settings):
    """Both laid it; one is refused before or after the other is written: the file is there once."""
    shop.at = START + 60 * H
    for celsius, refused_first in ((20.0, True), (21.0, False)):
        asked, found = looked(file_of([celsius] * 50), house["trailer"], shop.at)
        log = loggers.written(asked, found, remembered(found.shape))
        twin = loggers.written(asked, found, remembered(found.shape))
        if refused_first:
            loggers.settle(twin)
        shop.do(loggers.keep_log, log=log)
        loggers.settle(log)
        if not refused_first:
            loggers.settle(twin)
        assert papers.path(log.sha256).exists()
        assert not read.aside(log.sha256).exists()
    assert files(settings) == ["papers"] * 2


def test_many_phones_that_look_at_once_meet_no_file_that_another_cleared(shop, settings):
    """Old files aside, and four hands that put one aside each: every hash is there, and nothing old."""
    now = datetime.now(UTC)
    long_ago = (now - timedelta(days=2)).timestamp()
    for number in range(60):
        os.utime(read.aside(loggers.put_aside([b"old %d" % number], now=now)), (long_ago, long_ago))
    found, start = [], threading.Barrier(4)

    def hand(number):
        start.wait(timeout=60)
        found.append(loggers.put_aside([b"new %d" % number], now=now))

    hands = [threading.Thread(target=hand, args=(number,)) for number in range(4)]
    for each in hands:
        each.start()
    for each in hands:
        each.join()
    assert len(set(found)) == 4
    assert {file.name for file in (settings.DATA_FOLDER / "looked").iterdir()} == set(found)


def test_beyond_names_what_lay_there_meanwhile(shop, house):
    """Two days at 38 °C above a limit of 25: the jug that lay there, not the one that came after."""
    shop.at = START + 60 * H
    keep(shop, file_of([38.0] * (2 * 72 + 1)), house["trailer"])
    late = shop.do(
        stock.receive_lot, material=house["resin"], number="M", packages=[grams(10)], place=house["trailer"]
    ).things[-1]
    shop.at = START + 70 * H
    found = warmth.beyond(now=shop.at, since=START - 24 * H)
    assert [row.package for row in found] == [house["jug"]]
    assert late not in {row.package for row in found}
    assert found[0].above_h == pytest.approx(48)
    assert "38.0 °C" in str(warmth.notes(shop.at)[0].sentence)


def test_beyond_names_where_the_bin_stood_then_and_not_where_it_stands_now(shop, house):
    """The jug's bin was in the hot trailer for two days, and has been in the cool store since."""
    bin_ = shop.place(Kind.BIN, "bin 3", house["trailer"])
    shop.do(places.move, things=[house["jug"]], to=bin_)
    shop.at = START + 48 * H
    shop.do(places.move, things=[bin_], to=house["store"])
    shop.at = START + 60 * H
    keep(shop, file_of([38.0] * (2 * 72 + 1)), house["trailer"])
    keep(shop, file_of([20.0] * (36 + 1), start=START + 48 * H, number="TT-0043"), house["store"])
    (row,) = warmth.beyond(now=shop.at, since=START - 24 * H)
    assert (row.place, row.place_name) == (bin_, "Wren, bin 3")
    assert "in Wren, bin 3, up to 38.0 °C" in str(warmth.notes(shop.at)[0].sentence)
    (row,) = warmth.beyond(now=shop.at, since=START - 24 * H, place=house["trailer"])
    assert row.place_name == "Wren"


def test_log_of_mild_days_raises_no_alarm(shop, house):
    """At 20 °C nothing stood beyond 15 to 25."""
    shop.at = START + 60 * H
    keep(shop, file_of([20.0] * 145), house["trailer"])
    assert warmth.beyond(now=shop.at, since=START - 24 * H) == []
    assert warmth.notes(shop.at) == []


def test_beyond_asks_as_often_for_ten_packages_as_for_one(shop, house):
    """The same few statements however much lies there."""
    shop.at = START + 60 * H
    keep(shop, file_of([38.0] * 145), house["trailer"])
    with CaptureQueriesContext(connection) as one:
        assert len(warmth.beyond(now=shop.at, since=START)) == 1
    for number in range(9):
        shop.at = START - H
        shop.do(
            stock.receive_lot,
            material=house["resin"],
            number=f"M{number}",
            packages=[grams(10)],
            place=house["trailer"],
        )
    shop.at = START + 60 * H
    with CaptureQueriesContext(connection) as ten:
        assert len(warmth.beyond(now=shop.at, since=START)) == 10
    assert len(ten) == len(one)


def test_picture_has_the_extremes_of_the_file_and_the_year_before(shop, house):
    """Two summers: two drawings on one scale, each with its own lowest and highest."""
    shop.at = START + 30 * 24 * H
    keep(shop, file_of([20.0, 36.5, 25.0] * 60), house["trailer"])
    shop.at = START + 395 * 24 * H
    keep(shop, file_of([12.0, 31.0] * 60, start=START + 370 * 24 * H), house["trailer"])
    found = warmth.picture(house["trailer"], now=shop.at, span=timedelta(days=91))
    assert [(panel.curve.lowest_c, panel.curve.highest_c) for panel in found.panels] == [
        (12.0, 31.0),
        (20.0, 36.5),
    ]
    assert found.panels[0].curve.marks == found.panels[1].curve.marks
    assert math.isclose(sum(month.measured_h for month in found.months), 119 / 3, rel_tol=1e-3)
