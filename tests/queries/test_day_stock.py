"""What the day sheet says of the stock's age: by what was read, by what is assumed, and of how many."""

from datetime import date, timedelta

import pytest

from inventory.actions import builds
from inventory.compute.codes import Kind
from inventory.compute.reasons import Level
from inventory.queries import day
from tests.make import Shop
from tests.queries.warm import hot, read, stood

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 30)


@pytest.fixture(autouse=True)
def _near(shop: Shop) -> None:
    """A workshop is not far, so that the sheet speaks of no off-season."""
    first = TODAY + timedelta(days=28)
    shop.do(builds.plan_workshop, name="Kvitskard", starts_on=first, ends_on=first)


def test_day_sheet_when_a_jug_aged_past_its_time_in_warmth_says_it_is_an_estimate(shop):
    """In date by its label for half a year; the same jug in a store nobody read is gathered."""
    stood(shop, "V-1", hot(shop))
    (note,) = day.notes(TODAY)
    assert (note.level, note.page) == (Level.LOOK, "care-age")
    assert "past its time by the warmth it stood in: an estimate" in str(note.sentence)
    trailer = shop.place(Kind.TRAILER, "Stoat 2")
    for number in ("V-2", "V-3"):
        stood(shop, number, trailer)
    _, assumed = day.notes(TODAY)
    assert str(assumed.sentence).startswith("2 packages may be older than their dates say: nobody read")
    assert len(assumed.codes) == 2


def test_day_sheet_when_a_cool_store_was_read_says_nothing_of_age(shop):
    """The same jug, kept at the temperature of its label, is as old as its date says."""
    store = shop.place(Kind.STORE, "Loft")
    read(shop, store, 20.0)
    stood(shop, "V-1", store)
    assert day.notes(TODAY) == []
