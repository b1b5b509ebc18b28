"""Strips from sheets."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.compute.cutting.sheets import Sheet, Strip, plan_sheets
from inventory.compute.reasons import Basis, Given
from inventory.errors import Refused

SAW = Given(3, Basis.MEASURED)
BASE = Sheet("base", 2000, 1200, 9_000)


def test_plan_sheets_of_long_strips_is_bounded_by_the_cut_through_the_middle():
    """0.15 m strips, 1.9 m long, from 1.2 x 2 m: 7 across with 3 mm kerf, so 16 take 3 sheets."""
    result = plan_sheets(pieces=[Strip(1900, 150, 16)], sheet=BASE, kerf_mm=SAW)
    assert (result.sheets, result.at_best) == (3, 3)
    assert result.cost_cents == 27_000
    assert len(result.across.cuts[0].pieces_mm) == 7
    assert "no plan needs fewer" in str(result.reasons[0].sentence)


def test_plan_sheets_puts_short_pieces_end_to_end():
    """Two of 990 mm share a strip of 2000 mm (990 + 3 + 990), three of 660 mm with 15 mm kerf do not."""
    result = plan_sheets(pieces=[Strip(990, 100, 8)], sheet=BASE, kerf_mm=SAW)
    assert [(width, rows.bought) for width, rows in result.along] == [(100, 4)]
    assert result.sheets == result.at_best == 1
    wide = plan_sheets(pieces=[Strip(660, 100, 3)], sheet=BASE, kerf_mm=Given(15, Basis.MEASURED))
    assert wide.along[0][1].bought == 2


def test_plan_sheets_of_several_widths_keeps_them_apart():
    """Each width has its own strips, narrow first; equal pieces are added up."""
    rows = [Strip(900, 130, 2), Strip(900, 90, 4), Strip(900, 90, 1)]
    result = plan_sheets(pieces=rows, sheet=BASE, kerf_mm=SAW)
    assert [(width, rows.bought) for width, rows in result.along] == [(90, 3), (130, 1)]
    assert sorted(result.across.cuts[0].pieces_mm) == [90, 90, 90, 130]


def test_plan_sheets_above_the_bound_says_both():
    """Short pieces that waste each strip: by area fewer sheets would do, and the answer says so."""
    result = plan_sheets(pieces=[Strip(1000, 600, 4)], sheet=Sheet("S", 2000, 1200), kerf_mm=SAW)
    assert (result.sheets, result.at_best) == (4, 2)
    assert f"At best {result.at_best} sheets; this plan takes {result.sheets}." == str(
        result.reasons[0].sentence
    )
    assert result.cost_cents is None


@given(
    st.lists(
        st.tuples(st.integers(1, 2000), st.integers(1, 1200), st.integers(1, 12)), min_size=1, max_size=5
    ),
    st.sampled_from([0, 1, 3, 3.2]),
)
@settings(deadline=None)
def test_plan_sheets_never_beats_its_bound_and_cuts_every_piece(rows, kerf):
    """Area is never broken, and all pieces come out of the strips of their width."""
    result = plan_sheets(
        pieces=[Strip(*row) for row in rows], sheet=BASE, kerf_mm=Given(kerf, Basis.MEASURED)
    )
    assert result.at_best <= result.sheets
    area = sum(length * width * count for length, width, count in rows)
    assert math.ceil(area / (2000 * 1200)) <= result.sheets
    for width, along in result.along:
        cut = sum(len(row.pieces_mm) * row.times for row in along.cuts)
        assert cut == sum(count for _, wide, count in rows if wide == width)
    strips = sum(len(row.pieces_mm) * row.times for row in result.across.cuts)
    assert strips == sum(along.bought for _, along in result.along)


def test_plan_sheets_that_fit_exactly_are_not_rounded_up():
    """Four quarters without kerf are one sheet, by plan and by bound; a tenth of kerf makes it two."""
    quarter = [Strip(1000, 600, 4)]
    exact = plan_sheets(pieces=quarter, sheet=BASE, kerf_mm=Given(0, Basis.MEASURED))
    assert (exact.sheets, exact.at_best) == (1, 1)
    tenth = plan_sheets(pieces=quarter, sheet=BASE, kerf_mm=Given(0.1, Basis.MEASURED))
    assert tenth.sheets > 1
    facts = {item.name: item.value for item in exact.how.inputs}
    assert facts == {"pieces": 4, "sheet length": 2000, "sheet width": 1200, "kerf": 0}


@pytest.mark.parametrize(
    ("code", "rows", "sheet"),
    [
        ("cutting.no_pieces", [], BASE),
        ("cutting.too_wide", [Strip(100, 1201, 1)], BASE),
        ("cutting.too_long", [Strip(2001, 100, 1)], BASE),
        ("cutting.length", [Strip(100, 0, 1)], BASE),
        ("cutting.length", [Strip(0, 100, 1)], BASE),
        ("cutting.count", [Strip(100, 100, 0)], BASE),
        ("cutting.unnamed", [Strip(100, 100, 1)], Sheet("", 2000, 1200)),
        ("cutting.length", [Strip(100, 100, 1)], Sheet("S", 0, 1200)),
        ("cutting.price", [Strip(100, 100, 1)], Sheet("S", 2000, 1200, -1)),
    ],
)
def test_plan_sheets_when_something_is_impossible_is_refused(code, rows, sheet):
    """A piece as large as the sheet comes out of it; one millimetre more does not."""
    assert plan_sheets(pieces=[Strip(2000, 1200, 1)], sheet=BASE, kerf_mm=SAW).sheets == 1
    with pytest.raises(Refused) as caught:
        plan_sheets(pieces=rows, sheet=sheet, kerf_mm=SAW)
    assert caught.value.code == code
