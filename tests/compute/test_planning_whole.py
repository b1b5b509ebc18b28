"""The season's plan as a whole: beside simpler plans, what it costs, what is refused."""

import dataclasses
import math
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.compute.choose import KEEPS, Lot
from inventory.compute.planning import Costs, Material, plan_season
from inventory.compute.reasons import Basis, Given
from inventory.compute.suppliers import Supplier
from inventory.compute.units import Base
from tests.benchmarks.bench_planning import generated, planned, programme
from tests.compute.season_plans import (
    TODAY,
    needs,
    offer,
    plan,
    refused,
    text,
)


def test_plan_stands_beside_two_simple_ones():
    """Freight 900: for each workshop 3 freights, at once 1; the plan costs no more than either (by hand)."""
    supplier = Supplier("S", freight_cents=900, order_cents=10)
    answer = plan(Material(needs([10, 10, 10]), offers=(offer(),)), suppliers=(supplier,))
    assert (answer.in_time.orders, answer.in_time.total_cents) == (3, 300 + 3 * 910)
    assert (answer.at_once.orders, answer.at_once.total_cents) == (1, 300 + 910)
    assert answer.cost == answer.at_once
    assert text(answer.verdict.reasons, "planning.beside") == (
        "This plan costs 1210 cents in 1 orders; for each workshop what it lacks would cost 3030 "
        "cents, everything at once 1210 cents."
    )


def test_plan_of_the_textbook_lots_costs_what_the_book_says():
    """Snyder and Shen, example 3.9 (read second-hand): 4 periods, 500 an order, 2 a unit and period: 1380,
    ordering 210, 0, 150, 0.

    Here a period is 73 days, a unit costs 10.00, and a year on the shelf its price: 2.00 a unit and period.
    """
    book = Costs(Given(1.0), Given(0.0), Given(0))
    rows = needs([90, 120, 80, 70], apart=73, days=0)
    material = Material(rows, offers=(offer(pack=1, prices=((1, 1_000),)),))
    answer = plan(material, suppliers=(Supplier("S", freight_cents=50_000),), costs=book)
    assert answer.cost.total_cents - answer.cost.goods_cents == 138_000
    assert [(order.lines[0].covers[0], order.lines[0].amount) for order in answer.orders] == [
        ("W0", 210),
        ("W2", 150),
    ]


def test_plan_amounts_are_told_in_usual_units():
    """12 000 000 mg is said as 12 kg."""
    answer = plan(Material(needs([12_000_000], base=Base.MG), offers=(offer(pack=5_000_000),)))
    reasons = answer.orders[0].lines[0].reasons
    assert text(reasons, "planning.covers").startswith("Needed for W0 beyond the lots")
    assert text(reasons, "planning.packs") == "3 packs of 5 kg are 3 kg more than that."


def test_plan_unfolds_inputs_with_their_basis():
    """Lead time and life are from the data sheet, put away is assumed; the need's own inputs come along."""
    answer = plan(Material(needs([12]), offers=(offer(life=90),), margin_days=Given(2)))
    line = {item.name: (item.value, item.basis) for item in answer.orders[0].lines[0].how.inputs}
    assert line["lead time"] == (21, Basis.DATA_SHEET)
    assert line["life after receipt"] == (90, Basis.DATA_SHEET)
    assert line["put away"] == (3, Basis.ASSUMED)
    assert line["needed"][0] == 12
    whole = {item.name: item.value for item in answer.how.inputs}
    assert (whole["materials"], whole["suppliers"], whole["workshops"]) == (1, 1, 1)
    assert {item.name: item.value for item in answer.materials[0].how.inputs}["margin"] == 2
    assert answer.materials[0].how.rule.startswith("Through each workshop")


@settings(deadline=None, max_examples=25)
@given(st.integers(0, 10_000))
def test_plan_of_an_invented_season_adds_up(seed):
    """Bought = short - unmet + left + lost; orders sum to the costs; no simple plan is cheaper."""
    materials, suppliers = generated(seed, materials=6, suppliers=2, workshops=6)
    answer = planned(materials, suppliers)
    for one in answer.materials:
        unmet = sum(each.amount for each in one.unmet)
        assert one.bought == one.short - unmet + one.left + one.lost
        lines = [line for order in answer.orders for line in order.lines if line.material == one.material]
        assert sum(line.amount for line in lines) == one.bought
        assert all(line.amount == line.needed + line.rest for line in lines)
    assert answer.cost.goods_cents == sum(order.goods_cents for order in answer.orders)
    assert answer.cost.goods_cents == sum(line.cents for order in answer.orders for line in order.lines)
    assert answer.cost.freight_cents == sum(order.freight_cents for order in answer.orders)
    assert answer.cost.handling_cents == sum(order.handling_cents for order in answer.orders)
    assert answer.cost.orders == len(answer.orders)
    slack = len(materials)
    assert answer.cost.total_cents <= min(answer.in_time.total_cents, answer.at_once.total_cents) + slack
    assert [order.order_by for order in answer.orders] == sorted(order.order_by for order in answer.orders)
    for order in answer.orders:
        assert order.order_by <= order.receive_on


@pytest.mark.parametrize("seed", [3, 5, 8, 13])
def test_plan_of_a_small_season_costs_what_an_integer_programme_finds(seed):
    """Within 1 % of scipy's integer programme, which may use lots in any order; never below its bound."""
    materials, suppliers = generated(seed, materials=6, suppliers=2, workshops=6)
    found = least = 0.0
    for supplier in suppliers:
        sold = [one for one in materials if one.offers[0].supplier == supplier.code]
        best, bound = programme(supplier, sold).solved(20)
        found, least = found + best, least + bound
    total = planned(materials, suppliers).cost.total_cents
    assert least - len(materials) <= total <= 1.01 * found


@pytest.mark.parametrize(
    ("code", "change"),
    [
        ("planning.days", {"today": datetime(2026, 1, 5)}),
        ("planning.days", {"today": "2026-01-05"}),
        ("planning.days", {"today": date(1899, 12, 31)}),
        ("planning.days", {"today": date(3000, 1, 1)}),
        ("planning.no_material", {"materials": []}),
        ("planning.unnamed", {"materials": [Material(needs([1], " "))]}),
        ("planning.repeated", {"materials": [Material(needs([1])), Material(needs([1]))]}),
        ("planning.workshops", {"materials": [Material(needs([1])), Material(needs([1, 2], "edge"))]}),
        ("planning.workshops", {"materials": [Material(needs([]))]}),
        ("planning.unknown_supplier", {"materials": [Material(needs([1]), offers=(offer("X"),))]}),
        ("planning.pack", {"materials": [Material(needs([1]), offers=(offer(pack=0),))]}),
        ("planning.prices", {"materials": [Material(needs([1]), offers=(offer(prices=()),))]}),
        ("planning.margin", {"materials": [Material(needs([1]), margin_days=Given(-1))]}),
        ("planning.supplier", {"suppliers": [Supplier("")]}),
        ("planning.repeated", {"suppliers": [Supplier("S"), Supplier("S")]}),
        ("planning.currency", {"suppliers": [Supplier("S", currency="NOK"), Supplier("T", currency="USD")]}),
        ("planning.holding", {"costs": Costs(holding_a_year=Given(1.01))}),
        ("planning.holding", {"costs": Costs(holding_a_year=Given(math.nan))}),
        ("planning.carried", {"costs": Costs(carried=Given(-0.1))}),
        ("planning.carried", {"costs": Costs(carried=Given(1.1))}),
        ("planning.put_away", {"costs": Costs(put_away_days=Given(-1))}),
        ("choose.amount", {"materials": [Material(needs([-1]))]}),
        (
            "choose.twice",
            {"materials": [Material(needs([1]), lots=(Lot("A", 1, KEEPS), Lot("A", 1, KEEPS)))]},
        ),
    ],
)
def test_plan_when_its_parts_do_not_fit_is_refused(code, change):
    """Costs at their ends and one currency are a plan; what does not fit together is refused."""
    facts = {
        "today": TODAY,
        "materials": [Material(needs([1]), offers=(offer(),))],
        "suppliers": [Supplier("S", currency="NOK"), Supplier("T", currency="NOK")],
        "costs": Costs(Given(1), Given(0), Given(0)),
    }
    assert plan_season(**facts).currency == "NOK"
    assert plan_season(**facts | {"today": date(1900, 1, 1)}).orders[0].late is False
    assert plan_season(**facts | {"today": date(2999, 1, 1)}).orders[0].late is True
    refused(code, lambda: plan_season(**facts | change))


def test_plan_of_workshops_out_of_order_is_refused():
    """Needs come by load day; the other way round, or with reversed days, they are refused."""
    rows = needs([1, 2]).rows
    assert plan(Material(dataclasses.replace(needs([1, 2]), rows=rows), offers=(offer(),))).orders
    swapped = dataclasses.replace(needs([1, 2]), rows=rows[::-1])
    refused("planning.unsorted", lambda: plan(Material(swapped, offers=(offer(),))))
    back = dataclasses.replace(rows[1], last_on=rows[1].load_on - timedelta(1))
    reversed_days = dataclasses.replace(needs([1, 2]), rows=(rows[0], back))
    refused("planning.unsorted", lambda: plan(Material(reversed_days, offers=(offer(),))))
    far = dataclasses.replace(rows[1], last_on=date(3000, 1, 1))
    too_far = dataclasses.replace(needs([1, 2]), rows=(rows[0], far))
    assert "3000" in refused("planning.days", lambda: plan(Material(too_far, offers=(offer(),))))


def test_plan_names_what_is_there_twice():
    """The one that is twice is named, not the first."""
    twice = [Material(needs([1], code), offers=(offer(),)) for code in ("resin", "edge", "edge")]
    assert "Edge is twice among the materials" in refused("planning.repeated", lambda: plan(*twice))
