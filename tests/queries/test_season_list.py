"""A season's list: needs from booked pairs and open seats, stock in date, what is on order, what to buy."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import numpy
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions import builds, materials, orders, season, stock, suppliers, trips
from inventory.actions.orders import Packs
from inventory.compute.codes import Kind
from inventory.compute.reasons import Given, Level
from inventory.models import OrderLine, Season, Trip
from inventory.queries import season as seasons
from inventory.queries.readiness.reader import read
from inventory.queries.season import WhatIf
from inventory.queries.season import plan as season_plan
from inventory.queries.season.facts import list_fact
from inventory.queries.season.supply import last_days
from tests.make import grams, pieces
from tests.season_shop import plan

pytestmark = pytest.mark.django_db

TODAY = date(2026, 12, 1)


@pytest.fixture
def planned(shop):
    """Three workshops of two pairs, every seat booked; nothing in stock."""
    return plan(shop, TODAY)


def packs(planned, count):
    """Packs of 50 g of glue, as the supplier's offer has them."""
    return Packs(planned.shop.names["glue"], 50_000, count, 18_900, lead_days=10)


def listed(planned, today=TODAY, what_if=WhatIf.AS_SET):
    return season_plan.season_list(Season.objects.get(id=planned.season), today, what_if)


def sentences(answer):
    return [str(note.sentence) for note in answer.notes]


def test_needs_are_those_of_the_booked_pairs_and_one_spare_pair_a_workshop_on_the_road(planned):
    """6 pairs of 2 blanks and 10 g, and one spare pair that goes on from workshop to workshop (by hand)."""
    answer = listed(planned)
    blank, glue = answer.row("blank").plan, answer.row("glue").plan
    assert (blank.planned, blank.booked, blank.full) == (14, 14, 14)
    assert (glue.planned, glue.short, glue.bought) == (70_000, 70_000, 100_000)


def test_open_seats_are_planned_for_as_sure_as_set_and_what_if_asks_otherwise(shop):
    """4 open seats a workshop at 50 %: of Bin(12, 0.5) 8 cover 9 of 10 (binomial table: 0.927)."""
    planned = plan(shop, TODAY, seats=6, fill_percent=50)
    assert listed(planned).pairs.planned == 6 + 8
    assert listed(planned, what_if=WhatIf.FULL).pairs.planned == 18
    assert listed(planned, what_if=WhatIf.BOOKED).pairs.planned == 6
    needs = [listed(planned, what_if=each).row("blank").plan.planned for each in WhatIf]
    assert needs == [2 * 15, 2 * 19, 2 * 7]


def test_poisson_binomial_of_the_references_seats_comes_out_of_the_list(shop):
    """20 workshops of 4 seats at 60 %: 54 pairs cover 9 of 10, not 80 as the sum of each workshop's own
    (scipy.stats.binom.ppf(0.9, 80, 0.6) = 54; ppf(0.9, 4, 0.6) = 4)."""
    from scipy.stats import binom

    planned = plan(shop, TODAY, starts=tuple(range(30, 130, 5)), pairs=0, seats=4, fill_percent=60)
    pairs = listed(planned).pairs
    assert pairs.planned == binom.ppf(0.9, 80, 0.6) == 54
    assert sum(binom.ppf(0.9, 4, 0.6) for _ in range(20)) == 80


def test_stock_counts_only_as_far_as_it_is_in_date(planned):
    """100 g of glue are more than the 70 g needed; what passes its date before the third workshop is not."""
    shop = planned.shop
    shop.package("glue", grams(100), number="G-1", expires_on=planned.day(60))
    row = listed(planned).row("glue")
    assert row.plan.short == 20_000
    assert "passes its date" in str(row.plan.verdict.reasons[0].sentence)
    shop.package("glue", grams(20), number="G-2", expires_on=planned.day(200))
    assert listed(planned).row("glue").plan.short == 0


def test_stock_on_hold_and_stock_without_a_date_are_not_counted_and_named(planned):
    """The same package counts before it is held; glue has a date or is of an unknown one, a core has none."""
    shop = planned.shop
    package = shop.package("glue", grams(80), number="G-1", expires_on=planned.day(300))
    assert listed(planned).row("glue").plan.short == 0
    shop.do(stock.hold, things=[package], reason="thick")
    row = listed(planned).row("glue")
    assert row.plan.short == 70_000
    assert any("on hold" in str(reason.sentence) for reason in row.plan.verdict.reasons)
    shop.package("glue", grams(80), number="G-2")
    row = listed(planned).row("glue")
    assert row.plan.short == 70_000
    assert any("last day is unknown" in str(reason.sentence) for reason in row.plan.verdict.reasons)
    shop.package("blank", pieces(14), number="K-1")
    assert listed(planned).row("blank").plan.short == 0


def test_an_order_counts_from_the_day_it_is_promised_and_the_list_asks_for_the_rest(planned):
    """One pack of 50 g on the way: 20 g are left to buy; given up, all 70 g are again."""
    line = packs(planned, 1)
    order = planned.shop.do(orders.write_order, supplier=planned.supplier, lines=[line]).thing
    assert listed(planned).row("glue").plan.short == 20_000
    planned.shop.do(orders.give_up_order, order=order)
    assert listed(planned).row("glue").plan.short == 70_000


def test_an_order_that_comes_after_a_workshop_does_not_serve_it(planned):
    """Promised between the first and the second: the first's 3 pairs' worth stays open."""
    shop = planned.shop
    line = packs(planned, 2)
    order = shop.do(orders.write_order, supplier=planned.supplier, lines=[line]).thing
    shop.do(orders.send_order, order=order, promised_on=planned.day(40))
    assert listed(planned).row("glue").plan.short == 30_000
    shop.do(orders.edit_order, order=order, changes={"promised_on": planned.day(20)})
    assert listed(planned).row("glue").plan.short == 0


def test_an_overdue_order_is_named_and_not_counted_on_for_the_next_days(planned):
    """Promised yesterday: it is asked after, and taken to come in a week."""
    shop = planned.shop
    line = packs(planned, 2)
    order = shop.do(orders.write_order, supplier=planned.supplier, lines=[line]).thing
    shop.do(orders.send_order, order=order, promised_on=planned.day(5))
    later = listed(planned, today=planned.day(6))
    assert any("should have come by" in text for text in sentences(later))
    assert not any("should have come by" in text for text in sentences(listed(planned)))


def test_a_workshop_called_off_after_ordering_leaves_what_nobody_needs_named(planned):
    """Two packs on the way serve three workshops; with two of them called off one pack is too much."""
    shop = planned.shop
    shop.package("glue", grams(1), number="G-0", expires_on=planned.day(400))
    line = packs(planned, 2)
    shop.do(orders.write_order, supplier=planned.supplier, lines=[line])
    assert not any("serves no workshop" in text for text in sentences(listed(planned)))
    for workshop in planned.workshops[1:]:
        shop.do(builds.change_workshop, workshop=workshop, changes={"cancelled": True})
    assert any("serves no workshop" in text for text in sentences(listed(planned)))


@pytest.mark.parametrize(("count", "unneeded"), [(2, []), (3, ["80 g"])])
def test_what_comes_too_late_is_wanted_and_not_said_to_serve_no_workshop(planned, count, unneeded):
    """Ten days before the first; packs of 50 g come after its load day and before any new order.

    The first's 30 g are said to come too late; the others take 40 g. Of two packs 30 g stay over, less than
    a pack; of three 80 g do, and are named (worked by hand).
    """
    shop, today = planned.shop, planned.day(20)
    order = shop.do(orders.write_order, supplier=planned.supplier, lines=[packs(planned, count)]).thing
    shop.do(orders.send_order, order=order, promised_on=planned.day(31))
    answer = listed(planned, today=today)
    told = [str(reason.sentence) for reason in answer.row("glue").plan.verdict.reasons]
    assert any("30 g for Hut 1" in text and "comes too late" in text for text in told)
    idle = [note.sentence.values for note in answer.notes if "serves no workshop" in str(note.sentence)]
    assert [str(values["amount"]) for values in idle] == unneeded


def test_seats_above_those_there_are_are_planned_for_and_named(planned):
    """Two laptops booked the last seat: both pairs are planned for."""
    from inventory.models import Workshop

    assert not any("there are; all" in text for text in sentences(listed(planned)))
    Workshop.objects.filter(id=planned.workshops[0]).update(capacity=1)
    answer = listed(planned)
    assert any("beyond the 1 there are" in text for text in sentences(answer))
    assert answer.pairs.booked == 6


def test_what_is_not_known_is_said(shop):
    """Seats nobody counted; a pair without a spec; no price; no lead time: each in a sentence."""
    planned = plan(shop, TODAY, seats=None)
    shop.do(builds.book_pair, workshop=planned.workshops[0], guest="Ida", length_mm=1800)
    shop.do(suppliers.edit_offer, offer=planned.offers["glue"], changes={"prices": [], "lead_days": None})
    answer = listed(planned)
    told = " ".join(sentences(answer))
    for words in ("How many seats", "taken for a usual one", "No price of Glue", "20 open days"):
        assert words in told, words
    assert answer.row("glue").unpriced
    assert not answer.row("blank").unpriced
    lead = answer.row("glue").sold[0].lead
    assert (lead.planned.value, lead.orders) == (20, 0)


def test_two_offers_of_one_pack_are_both_looked_at_and_the_cheaper_is_taken(planned):
    """The same pack from two suppliers: by price; when the cheap one is sold no more, the other."""
    other = planned.shop.do(materials.make_supplier, name="Bukkeli", facts={"freight": 20_000}).thing
    cheap = planned.offer("glue", 50_000, other, prices=[[1, 15_000]], lead_days=10)
    assert listed(planned).row("glue").plan.offer.supplier == "Bukkeli"
    planned.shop.do(suppliers.edit_offer, offer=cheap, changes={"ended": True})
    assert listed(planned).row("glue").plan.offer.supplier == "Ulvsnipa Harpiks"


def test_a_supplier_closed_all_month_makes_the_order_earlier(planned):
    """Closed for the weeks before the first workshop: the last day to order lies before them."""
    before = listed(planned).orders[0].order_by
    closed = [[planned.day(5).isoformat(), planned.day(26).isoformat()]]
    planned.shop.do(suppliers.edit_supplier, supplier=planned.supplier, changes={"closed": closed})
    order = listed(planned).orders[0]
    assert order.order_by < planned.day(5) < before
    assert order.late


def test_a_decision_by_hand_is_followed_and_says_what_it_costs(planned):
    """Three packs for two cost one more; one costs less and leaves 20 g short; empty undoes it."""
    rule = {"season": planned.season, "material": planned.shop.names["glue"]}
    planned.shop.do(season.rule, **rule, packs=3)
    more = listed(planned).row("glue")
    assert (more.plan.bought, more.by_hand_cents, more.by_hand_short) == (150_000, 18_900, 0)
    planned.shop.do(season.rule, **rule, packs=1)
    less = listed(planned).row("glue")
    assert (less.plan.bought, less.by_hand_cents, less.by_hand_short) == (50_000, -18_900, 20_000)
    planned.shop.do(season.rule, **rule, packs=0)
    none = listed(planned).row("glue")
    assert (none.plan.bought, none.by_hand_short) == (0, 70_000)
    planned.shop.do(season.rule, **rule)
    again = listed(planned).row("glue")
    assert (again.plan.bought, again.ruling) == (100_000, None)


def test_every_line_adds_up_to_its_order_and_every_order_to_the_plan(planned):
    """Reckoned again with decimal.Decimal from the printed prices alone."""
    planned.offer("blank", 4, prices=[[1, 22_050], [3, 21_990]], lead_days=3)
    fact = list_fact(listed(planned), TODAY)
    assert {line.material for order in fact.orders for line in order.lines} == {"blank", "glue"}
    total = Decimal(0)
    for order in fact.orders:
        lines = sum((Decimal(line.price) / 100 * line.packs for line in order.lines), start=Decimal(0))
        assert lines == Decimal(order.goods) / 100
        total += lines + Decimal(order.freight) / 100 + Decimal(order.work) / 100
        assert Decimal(order.total) / 100 == lines + Decimal(order.freight + order.work) / 100
    cost = fact.plan
    spent = Decimal(cost.goods + cost.freight + cost.work) / 100
    assert total == spent
    assert Decimal(cost.total) / 100 == spent + Decimal(cost.shelf) / 100 - Decimal(cost.worth) / 100
    assert cost.total <= min(fact.for_each_workshop.total, fact.all_at_once.total)


def test_workshops_needs_add_up_to_the_materials(planned):
    """Column by column, and bought is needed, left and lost."""
    planned.shop.package("blank", pieces(5), number="K-1")
    found = listed(planned).rows
    assert [row.card.key for row in found] == ["blank", "glue"]
    for row in found:
        rows = row.planned.needed.rows
        assert sum(each.planned for each in rows) == row.plan.planned
        assert sum(row.plan.net.uncovered) == row.plan.short
        assert row.plan.bought == row.plan.short + row.plan.left + row.plan.lost


def test_a_week_later_names_the_workshops_it_is_then_late_for(planned):
    """Ordered on its last day it is in time; a week later it is late for the first workshop, and says so."""
    by = listed(planned).row("glue").lines[0][1].order_by
    on_the_day = listed(planned, today=by).row("glue")
    assert on_the_day.lines[0][1].late_for == ()
    assert on_the_day.later_late[0].startswith("Hut 1")
    assert listed(planned, today=by - timedelta(20)).row("glue").later_late == ()


def test_skis_that_are_laid_up_need_nothing_more(planned):
    """What a ski took is out of stock already: counting it again would buy it twice."""
    from inventory.actions import press
    from inventory.models import Ski

    shop = planned.shop
    blanks = shop.package("blank", pieces(4), number="K-1")
    before = listed(planned).row("blank").plan.booked
    for left, ski in enumerate(Ski.objects.filter(pair__workshop=planned.workshops[0])[:2], 1):
        shop.do(press.lay_up, ski=ski.thing_id, inputs=[(blanks, pieces(1))])
        assert listed(planned).row("blank").plan.booked == before - left


def test_an_empty_season_says_what_is_missing(shop):
    """No workshop; then one without a lay-up card anywhere."""
    made = shop.do(season.make_season, name="Winter", starts_on=TODAY, ends_on=TODAY + timedelta(60)).thing
    row = Season.objects.get(id=made)
    empty = season_plan.season_list(row, TODAY)
    assert (empty.plan, empty.notes[0].level) == (None, Level.UNKNOWN)
    shop.do(
        builds.plan_workshop,
        name="Hut",
        starts_on=TODAY + timedelta(30),
        ends_on=TODAY + timedelta(31),
        capacity=3,
    )
    bare = season_plan.season_list(row, TODAY)
    assert bare.plan is None
    assert any("What a pair needs is not known" in str(note.sentence) for note in bare.notes)


def test_the_list_asks_as_many_statements_with_ten_workshops_as_with_one(shop):
    """Workshops, pairs, materials' packages and orders may grow; the statements do not."""

    def count(planned):
        with CaptureQueriesContext(
            connection,
        ) as caught:
            listed(planned)
        return len(caught)

    planned = plan(shop, TODAY, starts=(30,), pairs=1)
    line = packs(planned, 1)
    shop.do(orders.write_order, supplier=planned.supplier, lines=[line])
    shop.package("blank", pieces(1), number="K-0")
    one = count(planned)
    for number in range(10):
        workshop = shop.do(
            builds.plan_workshop,
            name="Hut",
            starts_on=planned.day(30 + number),
            ends_on=planned.day(31 + number),
            capacity=3,
        ).thing
        planned.workshops.append(workshop)
        planned.book(-1, f"More {number}")
        shop.do(orders.write_order, supplier=planned.supplier, lines=[replace(line, packs=number + 1)])
        shop.package("blank", pieces(1), number=f"K-{number}")
    assert OrderLine.objects.count() == 11
    assert count(planned) == one


def test_history_counts_seats_of_workshops_that_are_over(planned):
    """Two of two seats in each: 100 %, once they are over."""
    assert seasons.history(TODAY).percent is None
    over = seasons.history(planned.day(60))
    assert (over.workshops, over.seats, over.taken, over.percent) == (2, 4, 4, 100)


def test_what_skis_took_and_no_card_names_is_planned_by_that(planned):
    """One ski took 25 g of wax: a pair takes 50 g, so that six pairs and a spare one need 350 g."""
    from inventory.actions import press
    from inventory.models import Ski

    shop = planned.shop
    assert listed(planned).row("wax") is None
    wax = shop.package("wax", grams(100), number="X-1")
    _, left, _ = shop.pair(guest="Earlier")
    ski = Ski.objects.get(thing_id=left)
    shop.do(press.lay_up, ski=ski.thing_id, inputs=[(wax, grams(25))])
    assert listed(planned).row("wax").plan.planned == 7 * 50_000


@pytest.mark.parametrize("cover", ["tight", "usual", "ample", "full"])
def test_cover_in_plain_words_is_the_newsvendors_level_as_scipy_has_it(shop, cover):
    """Buy up to the smallest number with F(n) >= the level (Snyder and Shen, chapter 4, read second-hand), F
    of 12 open seats at 60 %: scipy.stats.binom.ppf."""
    from scipy.stats import binom

    planned = plan(shop, TODAY, seats=6, fill_percent=60, cover=cover)
    level = {"tight": 0.8, "usual": 0.9, "ample": 0.95, "full": 0.99}[cover]
    assert listed(planned).pairs.planned == 6 + binom.ppf(level, 12, 0.6)


@pytest.mark.parametrize(("set_days", "put_away"), [(None, 3), (0, 0), (7, 7)])
def test_trip_and_season_name_the_same_last_day_to_order(shop, set_days, put_away):
    """Over the closed days of Christmas. Outside check: numpy.busday_offset from the load day."""
    planned = plan(shop, TODAY, starts=(37,), put_away_days=set_days)
    first, last = date(2026, 12, 24), date(2027, 1, 1)
    closed = [[first.isoformat(), last.isoformat()]]
    shop.do(suppliers.edit_supplier, supplier=planned.supplier, changes={"closed": closed})
    loads_on = planned.day(35)
    trip = shop.do(
        trips.plan_trip,
        name="To Hut 1",
        leaves_on=planned.day(36),
        back_on=planned.day(39),
        loads_on=loads_on,
        trailers=[shop.place(Kind.TRAILER, "Stoat")],
        workshops=planned.workshops,
    ).thing
    facts = read(Trip.objects.get(id=trip), TODAY)
    holidays = numpy.arange(first, last + timedelta(1))
    expected = numpy.busday_offset(loads_on, -put_away, roll="backward", weekmask="1111111")
    expected = numpy.busday_offset(expected, -10, roll="backward", holidays=holidays).item()
    for name in ("blank", "glue"):
        (line,) = [line for order in listed(planned).orders for line in order.lines if line.material == name]
        assert (facts.last_days[shop.names[name]], line.order_by) == (expected, expected)


def test_trip_names_no_last_day_where_nobody_said_how_long_it_takes(planned):
    """With a lead time on the offer's card it does."""
    assert planned.shop.names["glue"] in last_days(load_on=planned.day(30), put_away=Given(3))
    planned.shop.do(suppliers.edit_offer, offer=planned.offers["glue"], changes={"lead_days": None})
    assert planned.shop.names["glue"] not in last_days(load_on=planned.day(30), put_away=Given(3))
