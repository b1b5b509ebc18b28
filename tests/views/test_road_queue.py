"""What a phone's queue sends at loading, played back: faults, lost answers, minutes between the scans.

Outside: the order in which the scans were made, which the page never sends.
"""

from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.actions import loading, people
from inventory.models import State, Tag
from inventory.queries.books import differences
from tests import away
from tests.make import grams, token

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(shop, client):
    """A helper with a phone; four cans on the list for zone 1 of the trailer."""
    names = away.plan(shop).names
    names["cans"] = [shop.package("glue", grams(100), number=f"Q{n}", place=names["store"]) for n in range(4)]
    shop.do(loading.put_on_list, trip=names["trip"], things=names["cans"], zone=names["zone"])
    people.give_way_in(person=shop.helper, username="sunniva", password="a-long-one-for-tests")
    client.shop, client.names = shop, names
    sign_in(client)
    return client


def sign_in(desk):
    with time_machine.travel(desk.shop.at, tick=False):
        desk.force_login(User.objects.get(username="sunniva"), "django.contrib.auth.backends.ModelBackend")


def code(thing):
    return Tag.objects.get(thing_id=thing).code


class Queue:
    """As the script keeps it: the oldest first; what meets a fault goes behind the others, and says so."""

    def __init__(self, desk, now):
        self.desk, self.now, self.waiting = desk, now, []

    def scan(self, thing, to, faults, lost):
        data = {"token": str(token()), "do": "load", "code": code(thing), "to": code(to)}
        data["trip"] = str(self.desk.names["trip"])
        self.waiting.append({"data": data, "when": self.now, "faults": faults, "lost": lost, "again": False})
        self.pump()

    def pump(self):
        while self.waiting:
            item = self.waiting[0]
            if item["faults"]:
                self.waiting = [*self.waiting[1:], item | {"faults": item["faults"] - 1, "again": True}]
                return
            told = self.send(item)
            assert told.status_code == 200, told.content
            if item["lost"]:
                item["lost"] -= 1
                return
            self.waiting.pop(0)

    def send(self, item):
        same = [one for one in self.waiting if one["data"]["code"] == item["data"]["code"]]
        ago = round((self.now - item["when"]).total_seconds())
        more = {"ago": ago, "again": "1" if any(one["again"] for one in same) else ""}
        with time_machine.travel(self.now, tick=False):
            return self.desk.post(reverse("scan-send"), item["data"] | more)


@settings(max_examples=4, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    faults=st.lists(st.tuples(st.integers(0, 3), st.integers(0, 1)), min_size=10, max_size=10),
    step=st.sampled_from([timedelta(seconds=4), timedelta(minutes=7)]),
)
def test_queue_with_faults_and_lost_answers_ends_where_the_last_scan_of_each_thing_said(desk, faults, step):
    """Ten scans of four things into three places, seconds or minutes apart; each counts once."""
    names = desk.names
    spots = [names["zone"], names["zone 2"], names["trailer"]]
    sign_in(desk)
    queue = Queue(desk, desk.shop.at)
    wanted = {}
    for number, (fault, lost) in enumerate(faults):
        thing, to = names["cans"][number % 4], spots[(number * 2) % 3]
        wanted[thing] = names["zone"] if to == names["trailer"] else to  # of the whole, the zone of the list
        queue.now += step
        queue.scan(thing, to, fault, lost)
    while queue.waiting:
        queue.now += timedelta(seconds=3)
        queue.pump()
    assert dict(State.objects.filter(thing_id__in=wanted).values_list("thing_id", "place_id")) == wanted
    assert list(differences()) == []
    desk.shop.at = queue.now


def test_older_scan_that_is_sent_after_a_newer_one_moves_nothing_that_was_moved_since(desk):
    """Both within a minute, the older out of turn: it is on record before the newer, and the page says so."""
    names, (can, *_) = desk.names, desk.names["cans"]

    def send(to, **more):
        scan = {"token": str(token()), "do": "move", "code": code(can), "to": code(names[to])}
        return desk.post(reverse("scan-send"), scan | more).json()["said"]

    with time_machine.travel(desk.shop.at + timedelta(minutes=5), tick=False):
        assert send("zone 2", ago="5") == "Moved to zone 2."
        told = send("zone", ago="20", again="1")
        assert State.objects.get(thing_id=can).place_id == names["zone 2"]
        assert told == "Moved to zone 1. Moved again since, it lies in: the yard, Wren, zone 2."
        assert send("zone", ago="2") == "Moved to zone 1."  # in turn, it is the newest
        assert State.objects.get(thing_id=can).place_id == names["zone"]
