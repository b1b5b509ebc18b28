"""Lowest stock of steady materials: use while it is on the way, and a reserve."""

import math

import pytest
from scipy.stats import norm

from inventory.compute.lowest import SURE, lowest_stock
from inventory.compute.reasons import Given
from tests.compute.season_plans import refused


def test_reserve_is_that_of_the_textbooks_formula_with_scipys_normal():
    """s = mean x L + z sqrt(L s^2 + mean^2 s_L^2), Snyder and Shen chapter 4 (read second-hand); z of 95 of
    100 from scipy.stats.norm. Here by hand: weeks of 10 and 30, L = 2 weeks, spread half a week."""
    weeks = [10, 30] * 6
    found = lowest_stock(weeks=weeks, lead_days=Given(14), lead_spread_days=3.5)
    assert norm.ppf(0.95) == pytest.approx(SURE, abs=5e-4)
    assert found.amount == math.ceil(20 * 2 + SURE * math.sqrt(2 * 10**2 + 20**2 * 0.5**2))
    assert (found.a_week, found.weeks) == (20, 12)


def test_steady_use_and_sure_supplier_need_no_reserve():
    """Exactly what is used while it is on the way."""
    assert lowest_stock(weeks=[7] * 10, lead_days=Given(21), lead_spread_days=0.0).amount == 21


def test_too_few_weeks_or_no_use_say_nothing():
    """Eight weeks do."""
    assert lowest_stock(weeks=[7] * 7, lead_days=Given(21), lead_spread_days=0.0).amount is None
    assert lowest_stock(weeks=[0] * 20, lead_days=Given(21), lead_spread_days=0.0).amount is None
    assert lowest_stock(weeks=[7] * 8, lead_days=Given(21), lead_spread_days=0.0).amount == 21
    assert lowest_stock(weeks=[], lead_days=Given(21), lead_spread_days=0.0).amount is None


def test_what_cannot_be_is_refused():
    """Less than nothing in a week; a lead time beyond ten years; a spread that is no number."""
    refused("lowest.weeks", lambda: lowest_stock(weeks=[-1], lead_days=Given(1), lead_spread_days=0.0))
    refused("lowest.lead", lambda: lowest_stock(weeks=[1], lead_days=Given(9_999), lead_spread_days=0.0))
    refused("lowest.lead", lambda: lowest_stock(weeks=[1], lead_days=Given(1), lead_spread_days=float("nan")))
