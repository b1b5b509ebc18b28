"""What a season's list says when it is late, or when an offer that was decided on is gone."""

from datetime import date, timedelta

import pytest

from inventory.actions import orders, season, suppliers
from inventory.actions.orders import Packs
from inventory.models import Season
from inventory.queries.season import plan as season_plan
from inventory.queries.season.calendar import dates
from inventory.queries.season.notes import still
from tests.make import pieces
from tests.season_shop import plan

pytestmark = pytest.mark.django_db

TODAY = date(2026, 12, 1)


@pytest.fixture
def planned(shop):
    """Three workshops of two pairs; glue of 50 g and, from the same supplier, of 100 g."""
    found = plan(shop, TODAY)
    found.offers["more glue"] = found.offer("glue", 100_000, prices=[[1, 90_000]], lead_days=10)
    return found


def listed(today=TODAY):
    return season_plan.season_list(Season.objects.get(), today)


def of_glue(answer):
    """The packs that are bought, in g, and whether the list says that the decision cannot be followed."""
    row = answer.row("glue")
    told = any("that was decided on for Glue" in str(note.sentence) for note in answer.notes)
    return [(line.packs, row.plan.offer.pack // 1000) for _, line in row.lines], told


@pytest.mark.parametrize("change", [{"ended": True}, {"prices": []}], ids=["ended", "without a price"])
def test_decision_for_an_offer_that_cannot_be_taken_goes_by_the_others_and_says_so(planned, change):
    """70 g: two packs of 50 g; by hand one of 100 g; that one gone, two of 50 g again, and it is said."""
    assert of_glue(listed()) == ([(2, 50)], False)
    offer = planned.offers["more glue"]
    planned.shop.do(season.rule, season=planned.season, material=planned.shop.names["glue"], offer=offer)
    assert of_glue(listed()) == ([(1, 100)], False)
    planned.shop.do(suppliers.edit_offer, offer=offer, changes=change)
    assert of_glue(listed()) == ([(2, 50)], True)


def test_what_is_late_stands_on_today_in_the_calendar_and_what_is_not_on_its_own_day(planned):
    """The order to write and one that is written, each with the day it was to be sent by."""
    by = listed().orders[0].order_by
    of_season = {"season": planned.season, "order_by": by}
    line = Packs(planned.shop.names["blank"], 10, 1, 50_000, lead_days=10)
    planned.shop.do(orders.write_order, supplier=planned.supplier, lines=[line], **of_season)

    def asked(today):
        kinds = ("write-", "send-")
        return [each for each in dates(Season.objects.get(), today) if each.key.startswith(kinds)]

    early, late = asked(by), asked(by + timedelta(2))
    assert {each.key.partition("-")[0] for each in early} == {"write", "send"}
    assert {each.first for each in early} == {by}
    assert [each.key for each in late] == [each.key for each in early]
    assert {each.first for each in late} == {by + timedelta(2)}
    assert not any("was to be sent by" in str(each.title) for each in early)
    assert all("was to be sent by" in str(each.title) for each in late)


@pytest.mark.parametrize(
    ("there", "says"), [(1, "too little for a usual pair of Hut 1"), (2, "enough for 1 usual pair of Hut 1")]
)
def test_what_is_there_for_a_workshop_is_told_in_whole_pairs_or_as_too_little_for_one(planned, there, says):
    """A pair takes two cores; one core is enough for none."""
    planned.shop.package("blank", pieces(there), number="K-1")
    answer = listed(planned.day(25))
    row = answer.row("blank")
    told = [str(each) for each in still(row.plan, row.lines, row.sold, answer.ahead, row.a_pair)]
    (found,) = [text for text in told if text.startswith("What is there in date")]
    assert says in found


def test_late_says_what_can_still_be_done(planned):
    """Ten open days before a workshop in five: late, with the day it could come and what is there."""
    late, early = listed(planned.day(25)), listed()

    def told(answer):
        row = answer.row("blank")
        return [str(each) for each in still(row.plan, row.lines, row.sold, answer.ahead, row.a_pair)]

    assert any("comes in on" in text for text in told(late))
    assert any("Nobody else is known to sell it" in text for text in told(late))
    assert told(early) == []
