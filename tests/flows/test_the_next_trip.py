"""The demo's next trip, walked to its end: two phones load it, 38 °C on the road, home again, and a factor.

The five reasons are cured on its pages; the days that are still to come are acts with a clock of their own.
Outside: scipy integrates what 38 °C does to a can while it is inside.
"""

import math
import shutil
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from uuid import UUID

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from scipy.integrate import quad

from inventory.actions import count, loggers, places, road, usage
from inventory.compute.reasons import Level
from inventory.compute.units import Amount
from inventory.formats.logger import remembered
from inventory.models import Event, Logger, Package, Place, Revision, State, Trip
from inventory.queries import ages, day_road, home, readiness, trips, warmth
from inventory.queries import loading as walks
from inventory.queries import loggers as loggers_read
from inventory.queries import usage as read
from inventory.queries.notes import Note
from inventory.queries.readiness.materials import allotted
from inventory.queries.readiness.reader import read as facts_of
from shop.folder import read_mark
from tests.make import refused, token
from tests.management.running import run
from tests.next_trip import Aboard, Hands, build, cure_by_taps, move_rack, place, receive_edge, receive_sheet
from tests.reading import Client
from tests.seasons import books, made

pytestmark = pytest.mark.own_books

HOT_C, LABEL_C = 38.0, 27.0  # the second stands on the resin's card
LOST = {"resin": 80_000, "edge": 2_500}  # beside what was written down: in the drum, under the bench


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory)


@pytest.fixture
def ragna(season: Path, tmp_path: Path, django_db_blocker: object, settings: object) -> Iterator[Client]:
    """The season in a folder of its own, to write in; its owner at her phone."""
    folder = tmp_path / "own-demo"
    shutil.copytree(season, folder)
    settings.DATA_FOLDER = folder
    with books(folder, django_db_blocker):
        client = Client()
        client.force_login(User.objects.get(username="ragna"), "django.contrib.auth.backends.ModelBackend")
        yield client


@pytest.fixture
def hands(season: Path, ragna: Client) -> Hands:
    today = date.fromisoformat(read_mark(season).made)
    return Hands(today, timezone.make_aware(datetime.combine(today, time(20))))


def against(row: Trip, on: date) -> list[str]:
    return [note.code for note in readiness.answer(row, on).reasons if note.level >= Level.UNKNOWN]


def told_of_sheets(row: Trip, on: date) -> list[Note]:
    """The fifth pair's sheets came, and no package holds them yet."""
    return [note for note in readiness.answer(row, on).reasons if note.code == "ready.sheet_unbooked"]


def told(hands: Hands) -> str:
    """What the day sheet says of trips that left."""
    return " ".join(str(note.sentence) for note in day_road.notes(hands.at))


def next_there(row: Trip) -> UUID:
    """The next trip to the same place."""
    later = Trip.objects.filter(name=row.name, leaves_on__gt=row.leaves_on)
    return later.earliest("leaves_on").id


def load_from_two_phones(hands: Hands, row: Trip) -> None:
    """One phone sends as it scans. The other has no signal: its half is sent from the road.

    Backwards, and each scan twice; its last line the first phone ticked as well.
    """
    lines = [line.thing.id for stop in walks.walk(row).stops for line in stop.lines]
    half = (len(lines) + 1) // 2
    early, late = lines[:half], lines[half:]
    hands.at = hands.clock(3, "06:30")
    kept: list[tuple[UUID, UUID, datetime]] = []
    for turn in range(half):
        hands.do(road.load, trip=row.id, thing=early[turn])
        if turn < len(late):
            kept.append((token(), late[turn], hands.at))
    hands.do(road.load, trip=row.id, thing=late[-1])
    left = walks.walk(row).count
    assert left == len(late) - 1
    hands.do(road.depart, trip=row.id, left_behind=left, against=len(against(row, hands.at.date())))
    hands.at = hands.clock(3, "08:00")
    for again in (False, True):
        for token_, thing, at in reversed(kept):
            done = road.load(hands.by("Sunniva Lid", at=at, token_=token_), trip=row.id, thing=thing)
            assert done.again is again
    assert walks.walk(row).count == 0
    moved = Event.objects.filter(step="moved", facts__trip=str(row.id), skipped__isnull=True)
    once = Counter(moved.values_list("lines__thing_id", flat=True))
    assert set(once) == set(lines)
    assert once.pop(late[-1]) == 2, "both phones said so, one of them late: one place"
    assert set(once.values()) == {1}


def log_the_heat(hands: Hands, until: datetime) -> loggers_read.Looked:
    """The trailer's logger: every 20 minutes 38 °C, from leaving until then; looked at and kept."""
    trailer = Place.objects.get(name="Ptarmigan")
    (logger,) = Logger.objects.filter(place_id=trailer.thing_id)
    starts = hands.clock(3, "06:00")
    rows = ["Serial number;TT-0042", "Written in;UTC+01:00, no summer time"]
    rows.append("No.;Time;Temperature (°C);Humidity (%)")
    zone = loggers_read.zone_of(logger.zone)
    for n in range(int((until - starts) / timedelta(minutes=20)) + 1):
        at = (starts + n * timedelta(minutes=20)).astimezone(zone)
        rows.append(f"{n + 1};{at:%d.%m.%Y %H:%M};38,0;31")
    sha256 = loggers.put_aside(["\n".join(rows).encode()], now=timezone.now())
    asked = loggers_read.Asked(place=trailer.thing_id, sha256=sha256, zone=logger.zone, logger=logger.id)
    looked = loggers_read.look(asked, hands.at)
    assert not looked.stops
    hands.do(loggers.keep_log, log=loggers.written(asked, looked, remembered(looked.shape)))
    return looked


def unload(hands: Hands, row: Trip) -> None:
    """Place first, then bin after bin, as the page of many scans sends them."""
    shelves = place("shelves", "the Loft")
    bins = [each.id for each in home.still_aboard(row).unload if each.kind.rank]
    assert len(bins) == 8
    for each in bins:
        hands.do(places.move, things=[each], to=shelves.thing_id)
    assert not [each for each in home.still_aboard(row).unload if each.kind.rank]


def count_what_was_opened(hands: Hands, row: Trip) -> None:
    """Of resin and edge less is found than the books say, else as much; never above what was loaded."""
    rows = home.used(row)
    waits = {each.package: each for each in rows if each.counted_at is None}
    lost, counts = dict(LOST), []
    for each in waits.values():
        less = min(lost.get(each.material_key, 0), each.left)
        lost[each.material_key] = lost.get(each.material_key, 0) - less
        counts.append((each.package, Amount(each.left - less, each.base)))
    assert not any(lost.values())
    first = next(iter(waits.values()))
    with refused("road.above_loaded", "more than the"):
        hands.do(road.count_home, trip=row.id, counts=[(first.package, Amount(first.had + 1, first.base))])
    hands.do(road.count_home, trip=row.id, counts=counts)
    assert all(each.counted_at for each in home.used(row))


def inside_days(starts: datetime, ends: datetime) -> float:
    """Outside: label days at 38 °C by scipy's quadrature of the published rate (83.144 kJ/mol, USP 1160)."""
    label, hot = LABEL_C + 273.15, HOT_C + 273.15
    days, _ = quad(lambda _: math.exp(10_000 * (1 / label - 1 / hot)), 0, (ends - starts) / timedelta(days=1))
    return days


def test_next_trip_is_cured_loaded_driven_used_counted_and_teaches(ragna: Client, hands: Hands) -> None:
    """From five reasons to an accepted factor that is taken back; the books are right at the end."""
    row = trips.next_trip(hands.today)
    assert len(against(row, hands.today)) == 5
    cure_by_taps(ragna, row)
    move_rack(ragna, "zone 3")
    receive_edge(ragna)
    assert against(row, hands.today) == []
    (sheets,) = told_of_sheets(row, hands.today)
    assert sheets.cures[0].page == "stock-receive"
    receive_sheet(ragna)
    assert told_of_sheets(row, hands.today) == []

    load_from_two_phones(hands, row)
    hands.at = hands.clock(3, "09:30")
    hands.do(road.arrive, trip=row.id)
    assert "On the road to Kvitskard" in told(hands)
    aboard = build(hands, row)

    # 38 °C on the road, read out before the way home; the same file again changes nothing
    hands.at = hands.clock(4, "18:10")
    assert not log_the_heat(hands, hands.clock(4, "18:00")).known
    kept = Event.objects.count()
    assert log_the_heat(hands, hands.clock(4, "18:00")).known
    assert Event.objects.count() == kept
    beyond = {each.package: each for each in warmth.beyond(now=hands.at, since=hands.clock(3, "06:00"))}
    can = next(package for package in aboard.keys["resin"] if aboard.left[package])
    jug = Package.objects.get(lot__number="TH-2607").thing_id
    assert beyond[can].above_h == pytest.approx(36, abs=1)
    assert jug not in beyond

    hands.at = hands.clock(5, "15:00")
    hands.do(road.come_home, trip=row.id)
    hands.at = hands.clock(5, "16:00")
    unload(hands, row)
    unloaded = hands.at
    hands.at = hands.clock(6, "09:00")
    log_the_heat(hands, hands.clock(6, "08:00"))
    at_home = {each.package: each for each in warmth.beyond(now=hands.at, since=hands.clock(3, "06:00"))}
    hours = (unloaded - hands.clock(3, "06:00")) / timedelta(hours=1)
    assert at_home[can].above_h == pytest.approx(hours, abs=1.1), "while it was inside, and no longer"
    left = Package.objects.get(lot__number="TR-6381").thing_id  # lies loose in the trailer
    assert at_home[left].above_h > hours + 15
    starts, ends = hands.clock(3, "08:00"), hands.clock(5, "15:00")
    aged = ages.age_of(can, ends).used_days - ages.age_of(can, starts).used_days
    assert aged == pytest.approx(inside_days(starts, ends), rel=1e-6)

    count_what_was_opened(hands, row)
    found_missing(hands, row)
    with refused("road.waste_above"):
        hands.do(road.weigh_waste, trip=row.id, sort="chemical", mass_mg=90_000_000)
    hands.do(road.weigh_waste, trip=row.id, sort="chemical", mass_mg=310_000)
    hands.do(road.weigh_waste, trip=row.id, sort="other", mass_mg=2_900_000)
    assert home.waste(row.id) == {"chemical": 310_000, "other": 2_900_000}
    assert len(home.handed(row)) == 1
    assert "Home from Kvitskard" in told(hands)
    hands.do(usage.record_trip, trip=row.id, next_time="A lamp over the scale.")
    assert "Home from Kvitskard" not in told(hands)
    numbers = read.record(row.id).numbers
    assert (numbers["pairs"], numbers["left_behind"], numbers["against"]) == (5, 2, 0)
    assert numbers["scanned_late"] == 2, "both were aboard; their phone had no signal"
    assert read.last_time(trips.trip(next_there(row))).next_time == "A lamp over the scale."
    learn(ragna, hands, row, aboard)
    said = run("check_ledger")
    assert said.code == 0, said.out


def found_missing(hands: Hands, row: Trip) -> None:
    """A box of gloves is not in its bin at the count."""
    gloves = Package.objects.filter(lot__material__key="gloves", thing__balance__amount__gt=0).first()
    box = State.objects.get(thing_id=gloves.thing_id).place_id
    assert home.missing(row) == []
    hands.do(count.count_place, place=box, missing=[gloves.thing_id])
    assert [each.id for each in home.missing(row)] == [gloves.thing_id]


def learn(ragna: Client, hands: Hands, row: Trip, aboard: Aboard) -> None:
    """Two trips teach: offered by hand's own sum, accepted by a person, reckoned with, taken back."""
    taught = {each.name: each for each in read.taught(row)}
    offers = {each.material.key: each for each in read.offers()}
    resin = offers["resin"]
    (first, second) = resin.trips
    assert [(each.name, each.pairs) for each in resin.trips] == [("Hestlia", 5), ("Kvitskard", 5)]
    used = aboard.taken["resin"] + LOST["resin"]
    net = taught[resin.material.name].net
    assert taught[resin.material.name].used == used
    assert second.ratio == pytest.approx(used / net)
    raw = resin.offered.raw
    assert min(first.ratio, second.ratio) <= raw <= max(first.ratio, second.ratio)
    expected = 1.15 + 0.5 * (raw - 1.15)  # ten pairs: half the way from what is usual
    assert resin.offered.factor.expected == pytest.approx(expected)
    assert resin.news
    following = trips.next_trip(row.back_on + timedelta(1))
    before = needed(following, "resin")
    page = "/usage/factors/"
    posted = {"layup": str(resin.layup.id), "material": str(resin.material.id)}
    assert ragna.post("/usage/accept/", posted).status_code == 302
    assert f"{expected:.3f}" in ragna.get(page).content.decode()
    assert needed(following, "resin") == pytest.approx(before * expected / 1.15, rel=1e-4)
    assert ragna.post("/usage/drop/", posted).status_code == 302
    assert needed(following, "resin") == before
    history = Revision.objects.filter(card="usage factor")
    assert history.count() == 2


def needed(row: Trip, key: str) -> int:
    facts = facts_of(row, row.leaves_on)
    return next(met.needed for met in allotted(facts) if met.material.key == key)
