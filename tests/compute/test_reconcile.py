"""A lot reckoned up: every unit is somewhere, and shares add up."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.reconcile import Became, reckon
from tests.make import refused

amounts = st.integers(-(10**9), 10**10)


def test_reckon_of_the_hardener_lot_of_the_help_page_leaves_nothing_unexplained():
    """4,000 g came; by hand: 2,500 in stock, 39 in a cup, 1,429 drawn, 20 spilt, 12 less at a count."""
    became = {
        Became.STOCK: 2_500_000,
        Became.BATCHES: 39_000,
        Became.TAKEN: 1_429_000,
        Became.WASTE: 20_000,
        Became.COUNTED: 12_000,
    }
    found = reckon(received=4_000_000, became=became)
    assert found.unexplained == 0
    assert {share.became: share.percent for share in found.shares if share.amount} == {
        Became.STOCK: 62.5,
        Became.BATCHES: 1.0,
        Became.TAKEN: 35.7,
        Became.WASTE: 0.5,
        Became.COUNTED: 0.3,
    }
    assert reckon(received=4_000_001, became=became).unexplained == 1


@given(st.integers(0, 10**10), st.dictionaries(st.sampled_from(list(Became)), amounts))
def test_reckon_adds_up_to_the_last_unit_and_to_a_hundred_per_cent(received, became):
    """Amounts to what was received, shares to 100.0, each within a tenth of its true value."""
    found = reckon(received=received, became=became)
    assert sum(share.amount for share in found.shares) == received
    if received:
        assert sum(share.tenths for share in found.shares) == 1000
        for share in found.shares:
            assert abs(share.tenths - share.amount * 1000 / received) <= 1


def test_reckon_when_nothing_was_received_has_no_shares():
    """Found at a count, without a delivery."""
    found = reckon(received=0, became={Became.STOCK: 5})
    assert found.unexplained == -5
    assert {share.percent for share in found.shares} == {None}


def test_reckon_when_less_than_nothing_was_received_is_refused():
    """No delivery takes away."""
    with refused("reconcile.received", "−1"):
        reckon(received=-1, became={})


@pytest.mark.parametrize("parts", [3, 7])
def test_reckon_gives_what_is_left_over_to_the_largest_remainders(parts):
    """Thirds and sevenths: no share is more than a tenth off, and they still add up."""
    kinds = [kind for kind in Became if kind is not Became.UNEXPLAINED][:parts]
    found = reckon(received=parts, became=dict.fromkeys(kinds, 1))
    assert sorted({share.tenths for share in found.shares if share.amount}) == sorted(
        {1000 // parts, -(-1000 // parts)}
    )
