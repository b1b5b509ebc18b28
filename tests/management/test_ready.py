"""ready: in words and as data; its exit codes; the days to act on as a calendar file a library reads back."""

import json
from datetime import timedelta

import icalendar
import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.actions import people, trips
from inventory.models import Guest, Trip
from inventory.queries import ahead
from tests import away, make
from tests.architecture.test_docs import ROOT
from tests.management.running import run

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(db):
    """A trip in three days by this computer's clock."""
    return away.plan(make.Shop(at=timezone.now() - timedelta(hours=5)), capacity=1)


def test_ready_when_a_pair_has_no_shape_says_why_and_ends_with_one(shop):
    shop.pair(workshop=shop.names["workshop"])
    said = run("ready", "High hut")
    assert said.code == 1
    assert "High hut" in said.out
    assert "not ready" in said.out
    assert "has no shape yet" in said.out
    assert "Amount(" not in said.out
    assert run("ready", "next").out == said.out
    assert run("ready", "HIGH HUT").code == 1


def test_ready_when_no_trip_is_called_so_ends_with_two(shop):
    said = run("ready", "Low hut")
    assert (said.code, said.out) == (2, "")
    assert "No trip to come is called Low hut." in said.err


def test_ready_as_data_has_the_fields_that_the_help_page_lists_and_no_others(shop):
    shop.pair(workshop=shop.names["workshop"])
    page = (ROOT / "inventory/docs/what-ready-answers.md").read_text("utf-8")
    data = json.loads(run("ready", "next", "--json").out)
    for field in (*data, *data["reasons"][0]):
        assert f"`{field}`" in page
    assert data["against"] == sum(row["weight"] in ("stop", "unknown") for row in data["reasons"])
    assert data["answer"] == "not ready"
    assert all(row["code"].startswith("ready.") for row in data["reasons"])


def test_calendar_is_read_back_by_a_library_and_names_no_guest(shop, client):
    """Outside check: the `icalendar` library reads what was written, entry by entry."""
    shop.pair("Ida Ås-Quillfeather", workshop=shop.names["workshop"])
    people.give_way_in(person=shop.helper, username="sunniva", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="sunniva"))
    answer = client.get("/trips/calendar/")
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    read = icalendar.Calendar.from_ical(answer.content)
    found = {(event.decoded("dtstart"), str(event["summary"])) for event in read.walk("VEVENT")}
    row = Trip.objects.get()
    days = ahead.days(timezone.localdate())
    assert len(found) == len(days) > 3
    assert (row.leaves_on, "Leave for High hut.") in found
    assert {on for on, _ in found} == {day.on for day in days}
    assert Guest.objects.get().name not in answer.content.decode()
    assert len({str(event["uid"]) for event in read.walk("VEVENT")}) == len(days)


def test_ahead_when_a_trip_is_cancelled_leaves_it_out(shop):
    today = timezone.localdate()
    assert ahead.days(today)
    shop.do(trips.change_trip, trip=shop.names["trip"], changes={"cancelled": True})
    assert ahead.days(today) == []
    assert run("ready", "High hut").code == 2
