"""Getting away: the season's next trip from its five reasons to ready, by the pages' own forms."""

import re
import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.contrib.auth.models import User

from inventory.compute.reasons import Level
from inventory.queries import ahead, day, readiness, trips
from inventory.queries.notes import Answer, Note
from inventory.queries.readiness.materials import allotted
from inventory.queries.readiness.needs import wanted
from inventory.queries.readiness.reader import read
from shop.folder import read_mark
from tests.management.running import run
from tests.max_flow import most
from tests.next_trip import cure_by_taps, move_rack, receive_edge
from tests.reading import Client
from tests.seasons import books, made

pytestmark = pytest.mark.own_books

FIVE = ["ready.load_over", "ready.mould", "ready.not_on_list", "ready.sheet", "ready.short"]


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory)


@pytest.fixture
def own(season: Path, tmp_path: Path, django_db_blocker: object) -> Iterator[None]:
    """The season in a folder of its own, to write in."""
    folder = tmp_path / "own-demo"
    shutil.copytree(season, folder)
    with books(folder, django_db_blocker):
        yield


@pytest.fixture
def today(season: Path) -> date:
    return date.fromisoformat(read_mark(season).made)


@pytest.fixture
def ragna(own: None, settings: object) -> Client:
    client = Client()
    client.force_login(User.objects.get(username="ragna"), "django.contrib.auth.backends.ModelBackend")
    return client


def answer(today: date) -> Answer:
    row = trips.next_trip(today)
    assert row is not None
    return readiness.answer(row, today)


def against(today: date) -> list[Note]:
    return [note for note in answer(today).reasons if note.level >= Level.UNKNOWN]


def codes(today: date) -> list[str]:
    return sorted(note.code for note in against(today))


@pytest.mark.usefixtures("own")
def test_next_trip_goes_from_five_reasons_to_ready_and_notices_the_sixth(ragna: Client, today: date) -> None:
    """Each is put right where its reason leads; in zone 4 the rack lies beside clothing, in zone 3 not."""
    row = trips.next_trip(today)
    page = f"/trips/{row.id}/trip/"
    assert codes(today) == FIVE
    assert run("ready", "next").code == 1
    assert "Not ready: 5 reasons." in str(day.notes(today)[0].sentence)
    for each in against(today):
        assert each.cures, each.sentence
    told = re.sub(r"<[^>]+>|\s+", " ", ragna.get(page).content.decode())
    assert "Too little Tindbrand hardener, slow, by 666 g: 966 g are needed" in re.sub(r"\s+", " ", told)
    assert "Set 666 g aside" in told

    cure_by_taps(ragna, row)
    assert codes(today) == ["ready.load_over", "ready.short"]

    move_rack(ragna, "zone 4")
    assert codes(today) == ["ready.short", "ready.stow_beside"]
    move_rack(ragna, "zone 3")
    assert codes(today) == ["ready.short"]

    receive_edge(ragna)
    assert codes(today) == []
    assert "Ready" in ragna.get(page).content.decode()
    said = run("ready", "next")
    assert (said.code, "ready." in said.out) == (0, True)
    assert "Ready, by what was entered." in " ".join(str(note.sentence) for note in day.notes(today))


@pytest.mark.usefixtures("own")
def test_what_if_asks_the_same_and_changes_nothing(ragna: Client, today: date) -> None:
    """A trailer that stays takes all that is in it along; asked plainly again, nothing was saved."""
    row = trips.next_trip(today)
    page = f"/trips/{row.id}/trip/"
    (stoat, _) = row.trailers
    before = ragna.get(page).content.decode()
    supposed = ragna.get(page, {"without": stoat, "guests": "1", "colder": "5", "generator": "on"})
    text = supposed.content.decode()
    assert "nothing of this is saved" in text
    assert "No press comes along." in text
    again = ragna.get(page).content.decode()
    assert re.sub(r'value="[^"]{64}"|value="[0-9a-f-]{36}"', "", again) == re.sub(
        r'value="[^"]{64}"|value="[0-9a-f-]{36}"', "", before
    )


@pytest.mark.usefixtures("own")
def test_allocation_on_the_season_agrees_with_a_maximum_flow(today: date) -> None:
    """Outside check: networkx, material by material, for each of the next trips with those before it."""
    compared = 0
    for row in ahead.trips(today):
        facts = read(row, today)
        wants = wanted(facts)
        for met in allotted(facts):
            own = [want for want in wants if want.material == met.material.id]
            earlier = [want for want in own if not want.own]
            packages = [each for each in facts.packages if each.material == met.material.id]
            if any(each.through is None for each in packages) and met.material.passes:
                continue  # undated: nobody can say
            gone = today - timedelta(1)
            flow = most(packages, own, gone_by=gone) - most(packages, earlier, gone_by=gone)
            assert met.needed - met.short == flow, (row.name, met.material.key)
            compared += 1
    assert compared > 30
