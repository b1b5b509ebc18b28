"""Exact chances from counts: published tables, scipy, whole-number arithmetic, and what is refused."""

import itertools
import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import fisher_exact, hypergeom

from inventory.compute import chance
from inventory.compute.chance import Stratum
from inventory.errors import Refused


def exact(count, rows):
    """P(at least count) over the strata, in whole numbers."""
    ways, all_ways = [1], 1
    for row in rows:
        others = row.delivered - row.exposed
        here = [
            math.comb(row.exposed, x) * math.comb(others, row.returned - x)
            for x in range(min(row.exposed, row.returned) + 1)
        ]
        out = [0] * (len(ways) + len(here) - 1)
        for place, before in enumerate(ways):
            for x, more in enumerate(here):
                out[place + x] += before * more
        ways, all_ways = out, all_ways * math.comb(row.delivered, row.returned)
    return Fraction(sum(ways[count:]), all_ways)


@st.composite
def strata(draw, most=60, seasons=4):
    """Possible counts of one to four seasons."""
    rows = []
    for _ in range(draw(st.integers(1, seasons))):
        delivered = draw(st.integers(1, most))
        exposed = draw(st.integers(0, delivered))
        returned = draw(st.integers(0, min(delivered, 25)))
        low, high = max(0, returned + exposed - delivered), min(exposed, returned)
        rows.append(Stratum(delivered, exposed, returned, draw(st.integers(low, high))))
    return rows


@pytest.mark.parametrize(
    ("row", "expected", "source"),
    [
        (Stratum(8, 4, 4, 4), 1 / 70, "Fisher's tea tasting, 4 of 4 (recomputed in whole numbers)"),
        (Stratum(8, 4, 4, 3), 17 / 70, "Fisher's tea tasting: 0.2429 at online.stat.psu.edu/stat504 (read)"),
        (
            Stratum(16, 9, 10, 8),
            0.0244755245,
            "[[8, 2], [1, 5]] one-sided: scipy fisher_exact docstring (read)",
        ),
        (
            Stratum(180, 117, 105, 74),
            0.0483122101,
            "[[74, 31], [43, 32]] greater: scipy boschloo docstring (read)",
        ),
    ],
)
def test_luck_when_published_gives_the_printed_chance(row, expected, source):
    """Rows printed elsewhere come out, to the last printed digit."""
    assert chance.luck(strata=[row]).chance == pytest.approx(expected, abs=6e-11), source


def test_luck_when_stratified_no_longer_blames_the_old_lot():
    """An old lot looks guilty in the pool (0.00755), and is not within its season (0.10345).

    60 old pairs with all 20 of the lot, 4 returned, 3 from the lot; 90 new pairs, none back yet. By hand:
    (C(20,3) 40 + C(20,4)) / C(60,4) (computed).
    """
    pooled = chance.luck(strata=[Stratum(150, 20, 4, 3)])
    within = chance.luck(strata=[Stratum(60, 20, 4, 3), Stratum(90, 0, 0, 0)])
    assert pooled.chance == pytest.approx(0.00755, abs=5e-6)
    assert within.chance == pytest.approx(
        (math.comb(20, 3) * 40 + math.comb(20, 4)) / math.comb(60, 4), rel=1e-12
    )
    assert within.chance == pytest.approx(0.10345, abs=5e-6)


@settings(deadline=None)
@given(strata(seasons=1))
def test_luck_when_one_season_equals_scipy(rows):
    """One season is the plain hypergeometric tail and Fisher's one-sided exact test (scipy as oracle)."""
    row = rows[0]
    got = chance.luck(strata=rows)
    tail = hypergeom(row.delivered, row.exposed, row.returned).sf(row.returned_exposed - 1)
    assert got.chance == pytest.approx(tail, rel=1e-9)
    a, b = row.returned_exposed, row.returned - row.returned_exposed
    c = row.exposed - a
    table = [[a, b], [c, row.delivered - a - b - c]]
    assert got.chance == pytest.approx(fisher_exact(table, alternative="greater")[1], rel=1e-9)


@settings(deadline=None)
@given(strata())
def test_luck_when_seasons_add_up_equals_whole_numbers(rows):
    """Within 1e-9 (relative) of integer arithmetic, and so is the smallest possible chance."""
    got = chance.luck(strata=rows)
    observed = sum(row.returned_exposed for row in rows)
    most = sum(min(row.exposed, row.returned) for row in rows)
    assert got.chance == pytest.approx(float(exact(observed, rows)), rel=1e-9)
    assert got.smallest == pytest.approx(float(exact(most, rows)), rel=1e-9)
    assert got.smallest <= got.chance * (1 + 1e-9)


@settings(deadline=None)
@given(strata())
def test_luck_when_more_come_back_exposed_never_grows(rows):
    """The chance falls, or stays, with each further returned ski that has the factor; from none it is 1."""
    spreads = [chance.spread(row.delivered, row.exposed, row.returned) for row in rows]
    most = sum(min(row.exposed, row.returned) for row in rows)
    tail = [chance.chance_at_least(count, spreads) for count in range(most + 1)]
    assert tail[0] == 1
    assert all(later <= earlier for earlier, later in itertools.pairwise(tail))


@settings(deadline=None)
@given(strata(), st.integers(1, 40))
def test_luck_when_a_season_has_no_exposure_or_no_return_ignores_it(rows, more):
    """A season with nothing to draw, or nothing to hit, changes nothing."""
    alone = chance.luck(strata=rows).chance
    assert chance.luck(strata=[*rows, Stratum(more, 0, more, 0)]).chance == pytest.approx(alone, rel=1e-12)
    assert chance.luck(strata=[*rows, Stratum(more, more, 0, 0)]).chance == pytest.approx(alone, rel=1e-12)


def test_luck_when_counts_are_huge_does_not_underflow():
    """From the lowest count the first term would be 0; built from the likeliest it is not."""
    row = Stratum(20_000, 10_000, 4_000, 2_100)
    assert math.comb(10_000, 4_000) / math.comb(20_000, 4_000) == 0
    tail = hypergeom(20_000, 10_000, 4_000).sf(2_099)
    assert chance.luck(strata=[row]).chance == pytest.approx(tail, rel=1e-6)
    assert chance.luck(strata=[row]).chance == pytest.approx(float(exact(2_100, [row])), rel=1e-9)


def test_luck_unfolds_each_season():
    """What a page unfolds names the counts of each season."""
    how = chance.luck(strata=[Stratum(60, 20, 4, 3), Stratum(90, 0, 1, 0)]).how
    assert [item.name for item in how.inputs] == ["season 1", "season 2"]
    assert [item.value for item in how.inputs] == ["3 of 20; 4 of 60", "0 of 0; 1 of 90"]
    assert "season" in how.rule
    assert how.source


@pytest.mark.parametrize(
    "row",
    [
        Stratum(10, 11, 1, 1),
        Stratum(10, 1, 11, 1),
        Stratum(10, 3, 2, 3),
        Stratum(10, 2, 3, 3),
        Stratum(10, 8, 7, 4),
        Stratum(10, -1, 2, 0),
        Stratum(10, 2, -1, 0),
        Stratum(10, 2, 3, -1),
        Stratum(10, 2.0, 3, 1),
        Stratum(10, 2, 3, math.nan),
        Stratum(True, 1, 1, 1),
    ],
)
def test_luck_when_counts_do_not_fit_is_refused(row):
    """Counts that cannot be are refused; ten delivered, eight with it, seven back, five both, can be."""
    assert 0 < chance.luck(strata=[Stratum(10, 8, 7, 5)]).chance <= 1
    with pytest.raises(Refused) as caught:
        chance.luck(strata=[row])
    assert caught.value.code == "suspects.counts"
    assert str(row.returned_exposed).replace("-", "−") in str(caught.value.sentence)


def test_luck_when_no_season_is_given_is_refused():
    """Nothing delivered is nothing to compare; one season is enough."""
    assert chance.luck(strata=[Stratum(1, 1, 1, 1)]).chance == 1
    with pytest.raises(Refused) as caught:
        chance.luck(strata=[])
    assert caught.value.code == "suspects.no_season"


def test_holm_of_the_worked_example_gives_its_two_rejections():
    """0.01, 0.04, 0.03, 0.005 at 0.05: the fourth and the first stand, the other two do not.

    Source: the worked example of the encyclopedia article on Holm's method (from memory); its adjusted values
    are 0.03, 0.06, 0.06, 0.02.
    """
    got = chance.holm(chances=[0.01, 0.04, 0.03, 0.005])
    assert got == pytest.approx([0.03, 0.06, 0.06, 0.02])


@settings(deadline=None)
@given(st.lists(st.floats(0, 1), max_size=12))
def test_holm_stays_between_the_chance_and_all_of_them_times_it(chances):
    """Never below the chance, never above count times it or 1, and in the same order."""
    got = chance.holm(chances=chances)
    for before, after in zip(chances, got, strict=True):
        assert before <= after <= min(1, len(chances) * before)
    order = sorted(range(len(chances)), key=chances.__getitem__)
    assert [got[place] for place in order] == sorted(got)
    for place in order[:1]:
        assert got[place] == min(1, len(chances) * chances[place])


@pytest.mark.parametrize("bad", [-0.01, 1.01, math.nan, math.inf])
def test_holm_when_a_chance_is_no_chance_is_refused(bad):
    """0 and 1 are chances, what is beyond is not."""
    assert chance.holm(chances=[0, 1]) == [0, 1]
    with pytest.raises(Refused) as caught:
        chance.holm(chances=[0.5, bad])
    assert caught.value.code == "suspects.probability"


@settings(deadline=None)
@given(st.lists(st.floats(1e-6, 1), min_size=1, max_size=15))
def test_could_reach_is_the_smallest_number_that_holds(smallest):
    """At most m lines come to bar / m, and with one less more than that would (Tarone 1990, from memory)."""

    def lines(count):
        return sum(1 for least in smallest if least * count <= 0.05)

    got = chance.could_reach(smallest, 0.05)
    assert lines(got) <= got
    assert all(lines(count) > count for count in range(1, got))


def test_could_reach_counts_a_line_that_reaches_the_bar_exactly():
    """Two lines at bar / 2 and at the bar: the second no longer reaches it when two are counted."""
    assert chance.could_reach([0.025, 0.05], 0.05) == 2
    assert chance.could_reach([0.0251, 0.06], 0.05) == 1
