"""The bench page: pairs, presses with forecasts, working times; and what its script fetches."""

import re
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.actions import laying, people, pressing
from inventory.queries import things
from tests import bench_world, press_runs
from tests.reading import Client

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop):
    shop.at = timezone.now() - timedelta(minutes=30)
    return bench_world.world(shop)


@pytest.fixture
def client(world) -> Client:
    people.give_way_in(person=world.shop.helper, username="sunniva", password="a-long-one-for-tests")
    found = Client()
    found.force_login(User.objects.get(username="sunniva"), "django.contrib.auth.backends.ModelBackend")
    return found


def text(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_bench_says_what_runs_and_its_board_says_the_same(world, client):
    """A cup's time, a press's forecast with who watches, and a ski of which two layers are laid."""
    shop = world.shop
    cycle = press_runs.closed(world, press_runs.machine(world), press_runs.laid_up(world, "Ola"))
    for _ in range(2):
        shop.at += timedelta(minutes=5)
        shop.do(pressing.read_press, cycle=cycle, probes_c={"1": 70.0, "2": 72.0})
    _, left, _ = world.pair("Ida")
    for what in ("base", "edge"):
        shop.do(laying.lay_layer, ski=left, thing=world.packages[what])
    shop.at = timezone.now() - timedelta(minutes=2)
    cup = things.codes_of([world.cup(left)])[0]
    for page in ("/bench/", "/bench/board/"):
        seen = text(client.get(page))
        assert "Schedule reached about" in seen
        assert "Watched by Odd Fether" in seen
        assert "left: 2 layers laid." in seen
        assert f"{cup[:4]}-{cup[4:]}" in seen
        assert "Ida" in seen
    whole = client.get("/bench/").content.decode()
    assert whole.count('class="cups"') == 1
    assert 'data-board="/bench/board/"' in whole
    assert "<html" not in client.get("/bench/board/").content.decode()


def test_board_asks_as_often_for_ten_pairs_as_for_one(world, client):
    """Pairs in work, some partly laid up."""

    def asked() -> int:
        client.get("/bench/board/")
        with CaptureQueriesContext(connection) as caught:
            client.get("/bench/board/")
        return len(caught)

    def add(name: str) -> None:
        _, left, _ = world.pair(name)
        world.shop.do(laying.lay_layer, ski=left, thing=world.packages["base"])

    add("Ida")
    one = asked()
    for number in range(9):
        add(f"Guest {number}")
    assert asked() == one
