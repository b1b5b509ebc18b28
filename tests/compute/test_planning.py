"""The season's plan: orders, dates, packs, costs, reasons, and what is refused."""

import dataclasses
from datetime import date, timedelta

import pytest

from inventory.compute.choose import KEEPS, Lot
from inventory.compute.planning import Costs, Material
from inventory.compute.reasons import Given, Level
from inventory.compute.suppliers import Closed, Supplier
from tests.compute.season_plans import (
    FIRST,
    TODAY,
    codes,
    needs,
    offer,
    plan,
    text,
)


def test_plan_orders_by_the_last_day_that_leaves_the_lead_time():
    """Load 13 May 2026, 3 days to put away, 21 days lead: receive 10 May, order by 19 April (by hand)."""
    (order,) = plan(Material(needs([12]), offers=(offer(),))).orders
    assert (order.supplier, order.order_by, order.receive_on) == ("S", date(2026, 4, 19), date(2026, 5, 10))
    assert not order.late
    (line,) = order.lines
    assert (line.packs, line.amount, line.needed, line.rest) == (2, 20, 12, 8)
    assert (line.cents_a_pack, line.cents, order.goods_cents) == (100, 200, 200)
    assert line.usable_through is None


def test_plan_of_an_order_that_is_too_late_says_so_and_does_not_move_it():
    """A day after the last day to order the date stays, and the workshop it is too late for is named."""
    material = Material(needs([10, 10]), offers=(offer(),))
    due = plan(material, today=date(2026, 4, 19))
    late = plan(material, today=date(2026, 4, 20))
    assert not due.orders[0].late
    assert due.verdict.level is Level.FINE
    order = late.orders[0]
    assert order.late
    assert order.order_by == date(2026, 4, 19)
    assert order.earliest == date(2026, 5, 11)
    assert order.lines[0].late_for == ("W0",)
    assert order.lines[0].covers == ("W0", "W1")
    assert late.verdict.level is Level.STOP
    assert text(late.verdict.reasons, "planning.late") == (
        "Had to be ordered by 2026-04-19; ordered today it comes in on 2026-05-11, too late for W0."
    )


def test_plan_counts_the_supplier_s_open_days():
    """Closed at weekends and for a fortnight, the order is due earlier, and both days are open ones."""
    shut = Supplier(
        "S", closed=(Closed(date(2026, 4, 20), date(2026, 5, 3)),), closed_weekdays=frozenset({5, 6})
    )
    (order,) = plan(Material(needs([10]), offers=(offer(lead=5),)), suppliers=(shut,)).orders
    assert order.receive_on == date(2026, 5, 8)
    assert order.order_by == date(2026, 4, 17)


def test_plan_buys_what_lots_do_not_cover_in_date():
    """Lots for all, by totals; by their dates 2 are short in the later workshop, and 2 pass unused."""
    material = Material(
        needs([8, 8], apart=100),
        lots=(Lot("A", 10, date(2026, 6, 30)), Lot("B", 6, KEEPS)),
        offers=(offer(pack=5),),
    )
    answer = plan(material)
    (line,) = answer.orders[0].lines
    assert (line.covers, line.needed, line.packs) == (("W1",), 2, 1)
    (one,) = answer.materials
    assert (one.planned, one.short, one.bought, one.left, one.lost) == (16, 2, 5, 3, 0)
    assert "A passes its date on 2026-06-30 with" in text(one.verdict.reasons, "planning.expires")
    assert one.verdict.level is Level.LOOK


def test_plan_with_enough_in_date_orders_nothing():
    """Lots that cover every workshop need no order and no offer; the plan costs nothing."""
    answer = plan(Material(needs([8, 8]), lots=(Lot("A", 16, KEEPS),)))
    assert answer.orders == ()
    assert answer.cost.total_cents == 0
    assert codes(answer.materials[0].verdict.reasons) == ["planning.enough"]
    (one,) = answer.materials
    assert one.offer is None
    assert (one.bought, one.left, one.lost, one.short) == (0, 0, 0, 0)


def test_plan_says_what_is_short_for_booked_pairs_alone():
    """Two totals beside each other: planned 20, booked 12, 15 on the shelf; short 5 and 0."""
    answer = plan(Material(needs([10, 10], booked=[6, 6]), lots=(Lot("A", 15, KEEPS),), offers=(offer(),)))
    (one,) = answer.materials
    assert (one.planned, one.booked, one.full) == (20, 12, 22)
    assert (one.short, one.short_booked) == (5, 0)


def test_plan_does_not_order_in_one_go_what_would_pass_its_date():
    """A glue of 60 days for workshops 10 weeks apart: two orders, and the first line says why."""
    dear = Supplier("S", freight_cents=5_000)
    answer = plan(Material(needs([5, 5], apart=70), offers=(offer(life=60),)), suppliers=(dear,))
    first, second = answer.orders
    assert [line.covers for order in (first, second) for line in order.lines] == [("W0",), ("W1",)]
    assert first.lines[0].usable_through == date(2026, 5, 10) + timedelta(60)
    assert text(first.lines[0].reasons, "planning.shelf_life") == (
        "Not in one go: what comes in for W0 is usable through 2026-07-09, and W1 goes on to 2026-07-24."
    )
    assert answer.materials[0].lost == 5
    assert "passes its date unused" in text(answer.materials[0].verdict.reasons, "planning.lost")
    one = plan(Material(needs([5, 5], apart=70), offers=(offer(life=80),)), suppliers=(dear,))
    assert len(one.orders) == 1


def test_plan_takes_the_margin_off_the_life():
    """75 days reach the second workshop; with a day of margin they do not."""
    facts = {"needed": needs([5, 5], apart=70), "offers": (offer(life=75),)}
    assert len(plan(Material(**facts)).orders) == 1
    assert len(plan(Material(**facts, margin_days=Given(1))).orders) == 2


def test_plan_orders_in_one_go_for_a_price_break_and_says_so():
    """4 packs at 100 or 5 at 70: five are bought; with a break that saves nothing four are."""
    pays = plan(Material(needs([20, 20]), offers=(offer(prices=((1, 100), (5, 70))),)))
    assert pays.orders[0].lines[0].packs == 5
    assert text(pays.orders[0].lines[0].reasons, "planning.price_break") == (
        "From 5 packs on a pack costs 70 cents instead of 100 cents: ordering more in one go costs less."
    )
    plain = plan(Material(needs([20, 20]), offers=(offer(prices=((1, 100), (5, 100))),)))
    assert sum(line.packs for order in plain.orders for line in order.lines) == 4


def test_plan_orders_later_what_costs_less_later_and_says_so():
    """Without freight each workshop's need comes for itself: keeping it on the shelf would cost more."""
    holding = Costs(Given(0.5), Given(0.92), Given(3))
    answer = plan(Material(needs([10, 10]), offers=(offer(),)), costs=holding)
    assert [order.lines[0].covers for order in answer.orders] == [("W0",), ("W1",)]
    assert "From W1 on it comes with a later order" in text(
        answer.orders[0].lines[0].reasons, "planning.later"
    )
    freight = plan(
        Material(needs([10, 10]), offers=(offer(),)),
        suppliers=(Supplier("S", freight_cents=900),),
        costs=holding,
    )
    assert [order.lines[0].covers for order in freight.orders] == [("W0", "W1")]


def test_plan_says_why_there_are_more_packs_than_needed():
    """Packs, the least packs of an offer, and a supplier's least order each have their sentence."""
    least = plan(Material(needs([10]), offers=(offer(least_packs=3),)))
    assert (
        text(least.orders[0].lines[0].reasons, "planning.least_packs") == "The least order of it is 3 packs."
    )
    assert text(least.orders[0].lines[0].reasons, "planning.packs").startswith("3 packs of 10")
    order = plan(Material(needs([10]), offers=(offer(),)), suppliers=(Supplier("S", least_cents=400),))
    assert order.orders[0].goods_cents == 400
    assert "up to S's least order of 400 cents" in text(
        order.orders[0].lines[0].reasons, "planning.least_order"
    )
    exact = plan(Material(needs([10]), offers=(offer(),)))
    assert codes(exact.orders[0].lines[0].reasons) == ["planning.covers"]
    assert "Needed for W0 beyond" in text(exact.orders[0].lines[0].reasons, "planning.covers")


def test_plan_puts_one_supplier_s_materials_into_one_order():
    """Two materials, one freight; the order is due when its longest lead time asks, each line its own."""
    supplier = Supplier("S", freight_cents=900, free_from_cents=10_000, order_cents=50)
    answer = plan(
        Material(needs([10], "resin"), offers=(offer(lead=21),)),
        Material(needs([20], "edge"), offers=(offer(lead=40),)),
        suppliers=(supplier,),
    )
    (order,) = answer.orders
    assert [line.material for line in order.lines] == ["resin", "edge"]
    assert order.order_by == min(line.order_by for line in order.lines) == date(2026, 3, 31)
    assert [line.order_by for line in order.lines] == [date(2026, 4, 19), date(2026, 3, 31)]
    assert (order.goods_cents, order.freight_cents, order.handling_cents) == (300, 900, 50)
    assert answer.cost.total_cents == 1_250
    free = dataclasses.replace(supplier, free_from_cents=300)
    cheaper = plan(
        Material(needs([10], "resin"), offers=(offer(),)),
        Material(needs([20], "edge"), offers=(offer(),)),
        suppliers=(free,),
    )
    assert cheaper.cost.freight_cents == 0


def test_plan_of_a_late_order_comes_in_with_its_slowest_line():
    """Sent today, the order is complete when the line with the longest lead time is there."""
    answer = plan(
        Material(needs([10], "resin"), offers=(offer(lead=21),)),
        Material(needs([20], "edge"), offers=(offer(lead=400),)),
        today=date(2026, 5, 1),
    )
    assert answer.orders[0].earliest == date(2026, 5, 1) + timedelta(400)
    assert [line.order_by for line in answer.orders[0].lines] == [date(2026, 4, 19), date(2025, 4, 5)]


def test_plan_says_of_each_line_which_workshop_comes_next():
    """Three orders: the first names the second workshop, which it would reach in date: it is for cost."""
    holding = Costs(Given(0.5), Given(0.92), Given(3))
    rows = needs([10, 10, 10], apart=35)
    answer = plan(Material(rows, offers=(offer(life=40),)), costs=holding)
    said = [text(order.lines[0].reasons, "planning.later") for order in answer.orders[:2]]
    assert [sentence.split()[1] for sentence in said] == ["W1", "W2"]
    assert codes(answer.orders[2].lines[0].reasons) == ["planning.covers"]
    shorter = plan(Material(rows, offers=(offer(life=39),)), costs=holding)
    assert "planning.shelf_life" in codes(shorter.orders[0].lines[0].reasons)


def test_plan_sorts_orders_by_the_day_they_are_due():
    """The soonest to order comes first, whoever delivers it."""
    answer = plan(
        Material(needs([10, 0], "resin"), offers=(offer("A", lead=10),)),
        Material(needs([0, 10], "edge"), offers=(offer("B", lead=60),)),
        suppliers=(Supplier("A"), Supplier("B")),
    )
    assert [order.supplier for order in answer.orders] == ["B", "A"]


def test_plan_chooses_the_offer_that_can_do_it_then_in_time_then_cheapest():
    """Cheapest of those in time; in time before cheap; one whose goods would pass last of all."""
    cheap, dear = offer("A", prices=((1, 90),), lead=10), offer("B", prices=((1, 100),), lead=5)
    suppliers = (Supplier("A"), Supplier("B"))

    def chosen(*offers, today=TODAY):
        answer = plan(Material(needs([10]), offers=offers), suppliers=suppliers, today=today)
        return answer.materials[0].offer

    assert chosen(dear, cheap) == cheap
    assert chosen(dear, cheap, today=date(2026, 4, 30)) == cheap
    assert chosen(dear, cheap, today=date(2026, 5, 1)) == dear
    short = dataclasses.replace(cheap, life_days=Given(3))
    assert chosen(short, dear) == dear
    bigger = dataclasses.replace(dear, pack=20)
    assert chosen(bigger, dear) == bigger


def test_plan_says_what_no_order_can_cover():
    """Nobody sells it, or its life is shorter than one workshop: it stays unmet, and stops the plan."""
    nobody = plan(Material(needs([10, 0, 5]), lots=(Lot("A", 4, KEEPS),)))
    assert [(one.workshop, one.amount) for one in nobody.materials[0].unmet] == [("W0", 6), ("W2", 5)]
    assert "11" in text(nobody.verdict.reasons, "planning.no_offer")
    assert nobody.verdict.level is Level.STOP
    short = plan(Material(needs([10]), offers=(offer(life=4),)))
    assert [(one.workshop, one.amount) for one in short.materials[0].unmet] == [("W0", 10)]
    assert short.orders == ()
    assert "fresh goods pass their date" in text(short.verdict.reasons, "planning.life_too_short")
    just = plan(Material(needs([10]), offers=(offer(life=5),)))
    assert just.materials[0].unmet == ()
    assert len(just.orders) == 1


def test_plan_buys_the_part_that_can_be_bought():
    """A longer workshop than the life reaches stays unmet; the others are bought."""
    rows = needs([10, 10]).rows
    longer = dataclasses.replace(rows[1], last_on=rows[1].last_on + timedelta(9))
    material = Material(dataclasses.replace(needs([10, 10]), rows=(rows[0], longer)), offers=(offer(life=6),))
    answer = plan(material)
    assert [one.workshop for one in answer.materials[0].unmet] == ["W1"]
    assert [line.covers for order in answer.orders for line in order.lines] == [("W0",)]


def test_plan_names_lots_that_were_not_counted():
    """A lot without a known last day, and one on hold, cover nothing and are named, if anything is short."""
    lots = (Lot("old", 50, None), Lot("held", 50, KEEPS, held=True), Lot("empty", 0, None))
    answer = plan(Material(needs([10]), lots=lots, offers=(offer(),)))
    reasons = answer.materials[0].verdict.reasons
    assert answer.materials[0].short == 10
    assert text(reasons, "planning.undated") == "Not counted, as their last day is unknown: old."
    assert text(reasons, "planning.held") == "Not counted, as they are on hold: held."
    enough = plan(Material(needs([10]), lots=(*lots, Lot("good", 10, KEEPS)), offers=(offer(),)))
    assert codes(enough.materials[0].verdict.reasons) == ["planning.enough"]


@pytest.mark.parametrize(("days_later", "packs"), [(0, 0), (1, 1)])
def test_what_is_on_its_way_too_late_is_not_ordered_again_unless_an_order_comes_sooner(days_later, packs):
    """A pack nobody else needs comes on the day a new one would be ready, or a day after that."""
    today = FIRST - timedelta(10)
    ready = FIRST + timedelta(21 - 10 + 3)  # lead time, put away
    coming = Lot("coming", 10, KEEPS, available_from=ready + timedelta(days_later))
    answer = plan(Material(needs([6]), lots=(coming,), offers=(offer(),)), today=today)
    (row,) = answer.materials
    assert sum(line.packs for order in answer.orders for line in order.lines) == packs
    assert [each.amount for each in row.unmet] == ([] if packs else [6])
    assert ("planning.on_its_way_late" in codes(row.verdict.reasons)) is not bool(packs)
    assert answer.verdict.level is Level.STOP


def test_what_is_on_its_way_for_a_later_workshop_does_not_stand_for_an_earlier_one():
    """Ten pieces come too late for the first and are all the second's: the first's are ordered, late."""
    today = FIRST - timedelta(10)
    coming = Lot("coming", 10, KEEPS, available_from=FIRST + timedelta(12))
    answer = plan(Material(needs([6, 10], apart=20), lots=(coming,), offers=(offer(),)), today=today)
    assert [line.packs for order in answer.orders for line in order.lines] == [1]
    assert answer.materials[0].unmet == ()
