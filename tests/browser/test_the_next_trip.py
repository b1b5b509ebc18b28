"""The demo's next trip from two phones: loaded, one without signal for half the list; driven, home, a factor.

Outside: the browser's own switch for the signal; axe for every page of the way.
"""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from inventory.compute.codes import Code
from inventory.compute.units import Base
from inventory.models import Event, Trip
from inventory.queries import home, loading, trips
from shop.folder import read_mark
from tests.browser.conftest import PHONE
from tests.browser.demo_served import copied, served, signed_in
from tests.management.running import run
from tests.next_trip import (
    Aboard,
    Hands,
    build,
    code,
    cure_by_taps,
    move_rack,
    place,
    receive_edge,
    receive_sheet,
)
from tests.seasons import books, made

pytestmark = [pytest.mark.browser, pytest.mark.own_books]

LESS_MG = 80_000
PER = {Base.MG: 1000, Base.MM: 1000, Base.MM2: 1_000_000, Base.PIECE: 1}
TYPED = {Base.MG: "{:.4f} g", Base.MM: "{:.4f} m", Base.MM2: "{:.6f} m2", Base.PIECE: "{:.0f}"}


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory)


@dataclass
class World:
    """The demo's next trip, its five reasons cured, and who walks it."""

    trip: Trip
    hands: Hands
    one: Page
    two: Page


@pytest.fixture
def world(
    season: Path, tmp_path: Path, django_db_blocker: Any, settings: Any, browser: Browser
) -> Iterator[World]:
    folder = copied(season, tmp_path)
    settings.DATA_FOLDER = folder
    today = date.fromisoformat(read_mark(season).made)
    with books(folder, django_db_blocker):
        client = Client()
        client.force_login(User.objects.get(username="ragna"), "django.contrib.auth.backends.ModelBackend")
        row = trips.next_trip(today)
        cure_by_taps(client, row)
        move_rack(client, "zone 3")
        receive_edge(client)
        receive_sheet(client)
        with served(folder) as address:
            phones = [signed_in(browser, address, name, PHONE) for name in ("Ragna", "Odd")]
            yield World(row, Hands(today), *phones)
            for page in phones:
                page.context.close()


def scan(page: Page, text: str) -> None:
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def all_sent(page: Page) -> None:
    expect(page.locator("[data-waits]")).to_be_hidden(timeout=20_000)


def looked_at(page: Page) -> None:
    """Nothing that axe complains of, no wider than the phone, and no label wider than its button."""
    found = Axe().run(page).response["violations"]
    assert [f"{rule['id']}: {node['html'][:200]}" for rule in found for node in rule["nodes"]] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    wide = "[...document.querySelectorAll('button')].filter((one) => one.scrollWidth > one.clientWidth + 1)"
    assert page.evaluate(f"{wide}.map((one) => one.textContent)") == []


def test_next_trip_is_loaded_driven_used_counted_and_teaches_on_two_phones(world: World) -> None:
    """What the flow test books by acts is tapped here; the books end as they must."""
    load(world)
    leave_and_arrive(world.two)
    aboard = build(world.hands, world.trip)
    log_the_heat(world.two)
    come_home(world)
    count(world)
    weigh(world.one)
    learn(world)
    assert_books(world.trip, aboard)


def load(world: World) -> None:
    """Each phone its half, and one line both; the second has no signal for its own."""
    one, two = world.one, world.two
    things = [line.thing.id for stop in loading.walk(world.trip).stops for line in stop.lines]
    codes = [code(thing) for thing in things]
    half = (len(codes) + 1) // 2
    for page in (one, two):
        page.goto(f"/trips/{world.trip.id}/trip/")
        page.get_by_role("link", name="Load by scanning").click()
        expect(page.locator("[data-left]")).to_have_text(str(len(codes)))
    two.context.set_offline(True)
    for turn in range(half):
        scan(one, codes[turn])
        scan(two, codes[-1 - turn])
    all_sent(one)
    expect(one.locator("[data-left]")).to_have_text(str(len(codes) - half))
    expect(two.locator("[data-waits]")).to_contain_text(str(half))
    expect(one.get_by_text("All of the list is aboard")).to_be_hidden()
    two.context.set_offline(False)
    all_sent(two)
    expect(two.locator("[data-left]")).to_have_text("0")
    looked_at(two)
    rows = Event.objects.filter(step="moved", facts__trip=str(world.trip.id), skipped__isnull=True)
    moved = Counter(rows.values_list("lines__thing_id", flat=True))
    assert moved == Counter(things)


def leave_and_arrive(page: Page) -> None:
    page.get_by_role("link", name="All of the list is aboard: leave").click()
    looked_at(page)
    page.get_by_role("button", name="We are leaving").click()
    page.get_by_role("button", name="We have arrived").click()
    expect(page.get_by_text("Arrived.")).to_be_visible()
    looked_at(page)


def log_the_heat(page: Page) -> None:
    """38 °C for thirty hours in the trailer in which the resin lay: looked at, kept, and said."""
    page.get_by_role("link", name="How warm it was in Ptarmigan").click()
    page.get_by_role("link", name="A logger's file").click()
    end = timezone.now()
    starts = end - timedelta(hours=30)
    rows = ["Serial number;TT-0042", "No.;Time;Temperature (°C);Humidity (%)"]
    for n in range(30 * 3):
        at = (starts + timedelta(minutes=20 * n)).astimezone(timezone.get_fixed_timezone(60))
        rows.append(f"{n + 1};{at:%d.%m.%Y %H:%M};38,0;31")
    file = {"name": "road.csv", "mimeType": "text/csv", "buffer": "\n".join(rows).encode()}
    page.get_by_label("The logger's file").set_input_files(file)
    page.get_by_role("button", name="Look at it").click()
    expect(page.get_by_text("90 readings")).to_be_visible()
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("highest 38 °C").first).to_be_visible()
    expect(page.get_by_text(re.compile("Tindbrand resin")).first).to_be_visible()
    looked_at(page)


def come_home(world: World) -> None:
    """Home; what lies in the trailer is carried to the shelf, place first, by the second phone."""
    world.one.goto(f"/trips/{world.trip.id}/trip/")
    world.one.get_by_role("link", name="Home again").click()
    world.one.get_by_role("button", name="We are home").click()
    page = world.two
    page.goto(f"/road/{world.trip.id}/home/")
    looked_at(page)
    page.get_by_role("link", name="Many scans in a row").click()
    bins = [each for each in home.still_aboard(world.trip).unload if each.kind.rank]
    scan(page, code(place("shelves", "the Loft").thing_id))
    for each in bins:
        scan(page, each.code)
    all_sent(page)
    assert not [each for each in home.still_aboard(world.trip).unload if each.kind.rank]


def count(world: World) -> None:
    """As the books say, but for 80 g of resin that nobody wrote down."""
    page, less = world.one, LESS_MG
    rows = home.used(world.trip)
    for row in rows:
        left = row.left
        if less and row.material_key == "resin" and left > less:
            left, less = left - less, 0
        field = page.get_by_role("textbox", name=Code(row.code).shown)
        field.fill(TYPED[row.base].format(left / PER[row.base]))
    page.get_by_role("button", name="These are counted").click()
    expect(page.get_by_text("Nothing waits to be counted.")).to_be_visible()
    assert less == 0


def weigh(page: Page) -> None:
    for sort, mass in (("chemical", "310 g"), ("all else", "2.9 kg")):
        page.get_by_role("link", name="Weigh the waste").click()
        page.get_by_label(sort).check()
        page.get_by_label("It weighs").fill(mass)
        page.get_by_role("button", name="Record").click()
    looked_at(page)


def learn(world: World) -> None:
    """From home to the record, from there to the factor: accepted, and taken back."""
    page = world.one
    page.get_by_role("link", name="What the trip was like").click()
    page.get_by_label("What to change next time").fill("A lamp over the scale.")
    looked_at(page)
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("Kept.")).to_be_visible()
    page.get_by_role("link", name="What the trips teach").click()
    looked_at(page)
    resin = page.get_by_role("region", name=re.compile("Tindbrand resin"))
    resin.get_by_role("button", name=re.compile("^Accept")).click()
    expect(page.get_by_text(re.compile("Accepted: 1\\.[0-9]{3}, from 10 pairs"))).to_be_visible()
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_text("Taken back: needs are reckoned as is usual.")).to_be_visible()
    expect(resin.get_by_role("listitem").filter(has_text="Ragna Quill")).to_have_count(2)


def assert_books(row: Trip, aboard: Aboard) -> None:
    """What is gone is what was taken and what was missing at the count, and every derived row is the fold."""
    gone: Counter[str] = Counter()
    for each in home.used(row):
        gone[each.material_key] += each.gone
    assert gone == Counter(aboard.taken) + Counter(resin=LESS_MG)
    said = run("check_ledger")
    assert said.code == 0, said.out
