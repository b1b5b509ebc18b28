"""Which length to buy for the same pieces."""

import pytest

from inventory.compute.cutting.facts import Offcut, Piece, Stick
from inventory.compute.cutting.lengths import compare
from inventory.compute.reasons import Basis, Given
from inventory.errors import Refused

SAW = Given(3, Basis.MEASURED)
PIECES = [Piece(1800, 20), Piece(1650, 12)]


def test_compare_puts_the_cheapest_length_first_and_says_by_how_much():
    """4.0 m gives two pieces, 5.7 m three: three sticks at 31.00 beat the two-piece stick at 24.00."""
    sticks = [Stick("4.0 m", 4000, 2_400), Stick("5.7 m", 5700, 3_100)]
    result = compare(pieces=PIECES, sticks=sticks, kerf_mm=SAW)
    assert [row.stick.code for row in result.plans] == ["5.7 m", "4.0 m"]
    first, second = result.plans
    assert (first.bought, second.bought) == (11, 16)
    more = second.cost_cents - first.cost_cents
    assert more == 16 * 2_400 - 11 * 3_100
    assert str(result.reasons[0].sentence) == f"5.7 m is the cheapest length; 4.0 m costs {more} more cents."


def test_compare_without_prices_goes_by_the_length_bought():
    """Without prices the least bought millimetres come first."""
    result = compare(pieces=PIECES, sticks=[Stick("4.0 m", 4000), Stick("5.7 m", 5700)], kerf_mm=SAW)
    assert [row.stick.code for row in result.plans] == ["5.7 m", "4.0 m"]
    assert "4.0 m takes 1300 mm more" in str(result.reasons[0].sentence)


def test_compare_at_the_same_cost_takes_what_loses_less_then_the_code():
    """Equal cost: less lost first; all equal: by code, so that the order is always the same."""
    lose = compare(
        pieces=[Piece(900, 2)],
        sticks=[Stick("b", 1000, 5), Stick("a", 1990, 10)],
        kerf_mm=SAW,
        keep_from_mm=150,
    )
    assert [row.stick.code for row in lose.plans] == ["a", "b"]
    assert lose.plans[0].lost_mm < lose.plans[1].lost_mm
    same = compare(pieces=[Piece(900, 2)], sticks=[Stick("b", 1000, 5), Stick("a", 1000, 5)], kerf_mm=SAW)
    assert [row.stick.code for row in same.plans] == ["a", "b"]


def test_compare_leaves_out_what_is_too_short_and_says_so():
    """A length equal to the longest piece takes part, one millimetre less does not."""
    sticks = [Stick("exact", 1800), Stick("short", 1799), Stick("long", 4000)]
    result = compare(pieces=PIECES, sticks=sticks, kerf_mm=SAW)
    assert {row.stick.code for row in result.plans} == {"exact", "long"}
    assert result.too_short == (sticks[1],)
    assert "Short is too short" in str(result.reasons[-1].sentence)
    assert {item.name: item.value for item in result.how.inputs} == {"lengths": 3, "too short": 1}


def test_compare_of_one_length_has_nothing_to_say():
    """One length is one plan, offcuts and what is kept taken along."""
    result = compare(
        pieces=[Piece(900, 3)],
        sticks=[Stick("S", 2000)],
        kerf_mm=SAW,
        offcuts=[Offcut("A", 950)],
        keep_from_mm=100,
    )
    assert result.reasons == ()
    assert result.plans[0].bought == 1
    assert result.plans[0].lost_mm == 47


@pytest.mark.parametrize(
    ("code", "kwargs"),
    [
        ("cutting.no_sticks", {"sticks": []}),
        ("cutting.some_prices", {"sticks": [Stick("A", 4000, 1), Stick("B", 4000)]}),
        ("cutting.repeated", {"sticks": [Stick("A", 4000), Stick("A", 5000)]}),
        ("cutting.unnamed", {"sticks": [Stick("", 4000)]}),
        ("cutting.too_long", {"sticks": [Stick("A", 1000), Stick("B", 1799)]}),
        ("cutting.no_pieces", {"pieces": []}),
        ("cutting.length", {"pieces": [Piece(-1, 1)]}),
        ("cutting.count", {"pieces": [Piece(1, 0)]}),
    ],
)
def test_compare_when_nothing_can_be_compared_is_refused(code, kwargs):
    """Two priced lengths compare; none, one without a price, or all too short do not."""
    facts = {"pieces": PIECES, "sticks": [Stick("A", 4000, 1), Stick("B", 4000, 2)], "kerf_mm": SAW}
    assert len(compare(**facts).plans) == 2
    with pytest.raises(Refused) as caught:
        compare(**facts | kwargs)
    assert caught.value.code == code
