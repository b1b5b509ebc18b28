"""Plans as jobs: strips in sheets, offcuts and packages in order, what is kept, and the bound by area."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.compute.cutting.jobs import There, planned
from inventory.compute.cutting.taken import Size, Some, taken
from inventory.compute.reasons import Basis, Given
from inventory.errors import Refused

NONE = Given(0, Basis.MEASURED)
SAW = Given(3, Basis.MEASURED)


def jobs(wanted, length, there=(), offcuts=(), kerf=NONE, keep=300):
    return planned(
        pieces=[Some(size, count) for size, count in wanted.items()],
        length=length,
        there=there,
        offcuts=offcuts,
        kerf_mm=kerf,
        keep_from_mm=keep,
    )


def test_planned_when_four_strips_lie_side_by_side_needs_a_sheet_for_four():
    """600 mm across takes 4 × 147 with a kerf of 3 (4 × 147 + 3 × 3 = 597), and 148 only thrice: by hand."""
    sheet = Size(2000, 600)
    four = jobs({Size(1900, 147): 8}, sheet, [There("A", sheet, 5)], kerf=SAW)
    assert (four.across, four.whole, four.at_best, four.to_buy) == (4, 2, 2, 0)
    three = jobs({Size(1900, 148): 8}, sheet, [There("A", sheet, 5)], kerf=SAW)
    assert (three.across, three.whole, three.at_best) == (3, 3, 3)


def test_planned_takes_packages_in_their_order_and_says_what_is_to_buy():
    """Two of A, one of B, two to buy: five sticks of two pieces each."""
    stick = Size(2000)
    found = jobs({Size(1000): 10}, stick, [There("A", stick, 2), There("B", stick, 1)])
    assert [(job.code, job.lengths) for job in found.jobs] == [("A", 2), ("B", 1), ("", 2)]
    assert [row.count for job in found.jobs for row in job.pieces] == [4, 2, 4]
    assert found.to_buy == 2


def test_planned_uses_an_offcut_first_and_keeps_what_is_left_of_a_sheet():
    """An offcut of 1,000 × 310 gives two strips; a sheet with a strip free keeps the rest beside it."""
    sheet = Size(2000, 600)
    found = jobs({Size(900, 150): 2, Size(1900, 150): 2}, sheet, [There("A", sheet, 1)],
                 [There("F", Size(1000, 310))])  # fmt: skip
    first, second = found.jobs
    assert (first.code, first.each_mm) == ("F", (900, 900))
    assert (second.code, second.each_mm, second.offcuts) == ("A", (1900, 1900), (Size(2000, 300),))


def test_planned_when_a_piece_is_wider_than_the_sheet_is_refused():
    """601 of 600 mm; 600 passes."""
    with pytest.raises(Refused) as caught:
        jobs({Size(900, 601): 1}, Size(2000, 600))
    assert caught.value.code == "cutting.too_wide"
    assert jobs({Size(900, 600): 1}, Size(2000, 600)).whole == 1


sizes = st.tuples(st.integers(100, 2000), st.integers(40, 250))


@given(
    wanted=st.dictionaries(sizes, st.integers(1, 6), min_size=1, max_size=4),
    kerf=st.integers(0, 4),
    offcuts=st.lists(sizes, max_size=3),
)
@settings(max_examples=60)
def test_planned_gives_every_piece_never_beats_the_bound_and_each_job_can_be_recorded(wanted, kerf, offcuts):
    """No piece is missing; area says at least so many (definition); what is kept and cut fits into each."""
    sheet = Size(2000, 600)
    ends = [There(f"F{number}", Size(*size)) for number, size in enumerate(offcuts)]
    found = jobs(
        {Size(*size): count for size, count in wanted.items()},
        sheet, [There("A", sheet, 100)], ends, Given(kerf, Basis.MEASURED),
    )  # fmt: skip
    cut = {}
    for job in found.jobs:
        for row in job.pieces:
            cut[row.size.length_mm] = cut.get(row.size.length_mm, 0) + row.count
        assert taken(
            source=job.size, lengths=job.lengths, pieces=job.pieces, offcuts=job.offcuts, kerf_mm=kerf
        ).lost >= 0  # fmt: skip
    lengths = {}
    for (length, _), count in wanted.items():
        lengths[length] = lengths.get(length, 0) + count
    assert cut == lengths
    assert found.at_best <= found.whole
    if not offcuts:
        area = sum(length * width * count for (length, width), count in wanted.items())
        assert found.at_best >= math.ceil(area / ((2000 + kerf) * (600 + kerf)))
