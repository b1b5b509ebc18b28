"""Counting exposures by ski and by pair, season by season, and factors that are one line."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.compute.chance import Stratum
from inventory.compute.exposures import Delivered, Factor, Fleet, Unit, merged
from inventory.errors import Refused


def pairs(count, season, first=0):
    """Both skis of `count` pairs of one season."""
    return [
        Delivered(f"{season}-{place}{side}", f"{season}-{place}", season)
        for place in range(first, first + count)
        for side in "LR"
    ]


def skis(season, places, sides="LR"):
    return [f"{season}-{place}{side}" for place in places for side in sides]


BOTH = [*pairs(4, "2024"), *pairs(3, "2025")]


def refused(code, make):
    with pytest.raises(Refused) as caught:
        make()
    assert caught.value.code == code
    return str(caught.value)


def test_line_when_both_skis_of_each_pair_have_it_counts_pairs():
    """A factor that never differs inside a pair is counted by pair, in the seasons where it occurs."""
    fleet = Fleet(BOTH, ["2024-0L", "2024-0R", "2024-3L", "2025-1R"])
    line = fleet.line(Factor("R7", "resin lot", skis("2024", [0, 1])))
    assert line.unit is Unit.PAIR
    assert line.strata == (Stratum(4, 2, 2, 1),)
    assert line.also_by_pair is None
    assert fleet.pairs_returned == 3
    assert fleet.both_back


def test_line_when_one_pair_differs_counts_skis_and_the_pairs_beside_them():
    """One half-exposed pair makes the ski the unit; as both skis of a pair came back, the pairs count too."""
    fleet = Fleet(BOTH, ["2024-0L", "2024-0R", "2025-1R"])
    line = fleet.line(Factor("C3", "resin batch", [*skis("2024", [0]), "2024-1L", "2025-1R"]))
    assert line.unit is Unit.SKI
    assert line.strata == (Stratum(8, 3, 2, 2), Stratum(6, 1, 1, 1))
    assert line.also_by_pair == (Stratum(4, 2, 1, 1), Stratum(3, 1, 1, 1))


def test_line_when_no_pair_came_back_whole_counts_skis_only():
    """The same factor with single skis returned has no second count."""
    fleet = Fleet(BOTH, ["2024-0L", "2025-1R"])
    line = fleet.line(Factor("C3", "resin batch", [*skis("2024", [0]), "2024-1L"]))
    assert line.strata == (Stratum(8, 3, 1, 1),)
    assert line.also_by_pair is None
    assert not fleet.both_back


def test_line_of_a_lone_ski_counts_it_as_its_pair():
    """A ski delivered alone is a pair of one: having the factor, the whole pair has it."""
    fleet = Fleet([*BOTH, Delivered("spare", "P9", "2025")], ["spare"])
    line = fleet.line(Factor("R8", "resin lot", ["spare", *skis("2025", [0])]))
    assert line.unit is Unit.PAIR
    assert line.strata == (Stratum(4, 2, 1, 1),)


@settings(deadline=None)
@given(st.data())
def test_line_counts_equal_counting_by_hand(data):
    """Bit sets count what plain sets count, in any order of delivery."""
    delivered = data.draw(st.permutations([*BOTH, *pairs(5, "2023")]))
    names = [row.ski for row in delivered]
    back = data.draw(st.lists(st.sampled_from(names), unique=True))
    having = data.draw(st.lists(st.sampled_from(names), unique=True, min_size=1))
    line = Fleet(delivered, back).line(Factor("F", "lot", having))
    pair_of = {row.ski: row.pair for row in delivered}
    of = (lambda name: pair_of[name]) if line.unit is Unit.PAIR else (lambda name: name)
    expected = []
    for season in ("2023", "2024", "2025"):
        here = {of(row.ski) for row in delivered if row.season == season}
        exposed = here & {of(name) for name in having}
        returned = here & {of(name) for name in back}
        if exposed:
            expected.append(Stratum(len(here), len(exposed), len(returned), len(exposed & returned)))
    assert line.strata == tuple(expected)
    whole = {pair: {name in having for name in names if pair_of[name] == pair} for pair in pair_of.values()}
    halves = [pair for pair, answers in whole.items() if len(answers) == 2]
    assert line.unit is (Unit.SKI if halves else Unit.PAIR)


def test_is_season_when_a_factor_covers_whole_seasons_only():
    """All of 2024 and all of 2025 leave nothing to compare; all but one pair of 2025 does."""
    fleet = Fleet([*BOTH, *pairs(2, "2026")], [])
    whole = fleet.line(Factor("2024", "season", [*skis("2024", range(4)), *skis("2025", range(3))]))
    part = fleet.line(Factor("R", "lot", [*skis("2024", range(4)), *skis("2025", range(2))]))
    assert whole.is_season
    assert not part.is_season


def lines(*sets, back=()):
    fleet = Fleet(pairs(40, "2024"), list(back))
    return [fleet.line(Factor(f"F{place}", "lot", skis("2024", some))) for place, some in enumerate(sets)]


def shown(merged_lines):
    return [(line.factor.code, *(factor.code for factor in line.also)) for line in merged_lines]


def test_merged_when_skis_are_the_same_is_one_line():
    """Resin, press day and workshop with the same skis are one line; a fourth with others is its own."""
    got = merged(lines(range(5), range(5), range(5), range(5, 10)), 0.9)
    assert shown(got) == [("F0", "F1", "F2"), ("F3",)]


def test_merged_at_each_side_of_the_overlap():
    """Nine of ten in common is one line at 0.9; eight of nine is not; at 1 only the same skis are."""
    assert shown(merged(lines(range(10), range(9)), 0.9)) == [("F0", "F1")]
    assert shown(merged(lines(range(9), range(8)), 0.9)) == [("F0",), ("F1",)]
    assert shown(merged(lines(range(10), range(9), range(10)), 1)) == [("F0", "F2"), ("F1",)]


def test_merged_joins_the_nearest_leader_and_does_not_chain():
    """21 is like 20 and 20 is like 18, but 21 is not like 18: two lines, whatever comes first."""
    assert shown(merged(lines(range(18), range(20), range(21)), 0.9)) == [("F2", "F1"), ("F0",)]
    got = merged(lines(range(20), range(2, 22), range(1, 21)), 0.9)
    assert shown(got) == [("F0", "F2"), ("F1",)]
    nearer = merged(lines(range(20), range(1, 20), [*range(1, 20), 30]), 0.91)
    assert shown(nearer) == [("F0", "F1"), ("F2",)]
    nearest = merged(lines(range(22), range(2, 22), [*range(2, 21), 30]), 0.95)
    assert shown(nearest) == [("F0",), ("F1",), ("F2",)]


@settings(deadline=None)
@given(st.sets(st.integers(0, 39), max_size=10))
def test_merged_does_not_look_at_returns(back):
    """Who leads a line follows from who has the factor: led by what came back, it would be picked."""
    sets = (range(18), range(20), range(21), range(21, 40), range(22, 40))
    quiet = shown(merged(lines(*sets), 0.85))
    assert shown(merged(lines(*sets, back=skis("2024", back, "L")), 0.85)) == quiet


def test_merged_keeps_a_season_apart_from_what_nearly_is_one():
    """A lot in 39 of 40 pairs can be compared; the season it nearly fills cannot."""
    got = merged(lines(range(40), range(39)), 0.9)
    assert shown(got) == [("F0",), ("F1",)]
    assert [line.is_season for line in got] == [True, False]


def test_fleet_when_nothing_was_delivered_is_refused():
    """One delivered ski is a fleet; none is not."""
    assert Fleet(BOTH[:1], []).pairs_returned == 0
    assert "0 delivered" in refused("suspects.no_skis", lambda: Fleet([], []))


@pytest.mark.parametrize(
    "row", [Delivered("", "P1", "2024"), Delivered("S1", " ", "2024"), Delivered("S1", "P1", "")]
)
def test_fleet_when_a_name_is_empty_is_refused(row):
    """Ski, pair and season each need a code."""
    Fleet([*BOTH, Delivered("S1", "P1", "2024")], [])
    refused("suspects.unnamed", lambda: Fleet([*BOTH, row], []))


def test_fleet_when_a_ski_is_delivered_twice_is_refused():
    """The same ski in the list twice would count twice."""
    assert "2024-0L" in refused("suspects.repeated", lambda: Fleet([*BOTH, BOTH[0]], []))


def test_fleet_when_a_pair_is_in_two_seasons_is_refused():
    """Left in one season and right in the next cannot be counted by pair."""
    Fleet([*BOTH, Delivered("a", "P1", "2024"), Delivered("b", "P1", "2024")], [])
    rows = [*BOTH, Delivered("a", "P1", "2024"), Delivered("b", "P1", "2025")]
    text = refused("suspects.two_seasons", lambda: Fleet(rows, []))
    assert "P1" in text
    assert "2024 and 2025" in text


def test_fleet_when_a_returned_ski_is_unknown_or_twice_is_refused():
    """What came back has to be among what was delivered, once."""
    Fleet(BOTH, ["2024-0L"])
    assert "2019-0L" in refused("suspects.unknown_ski", lambda: Fleet(BOTH, ["2024-0L", "2019-0L"]))
    text = refused("suspects.repeated", lambda: Fleet(BOTH, ["2024-1L", "2024-0L", "2024-0L"]))
    assert "2024-0L is twice" in text


def test_line_when_a_factor_is_bad_is_refused():
    """A factor has a code, a kind and at least one ski, each once, each delivered."""
    fleet = Fleet(BOTH, [])
    fleet.line(Factor("F", "lot", ["2024-0L"]))
    refused("suspects.unnamed", lambda: fleet.line(Factor(" ", "lot", ["2024-0L"])))
    refused("suspects.unnamed", lambda: fleet.line(Factor("F", "", ["2024-0L"])))
    assert "lot F" in refused("suspects.no_exposure", lambda: fleet.line(Factor("F", "lot", [])))
    assert "lot F" in refused("suspects.repeated", lambda: fleet.line(Factor("F", "lot", ["2024-0L"] * 2)))
    assert "x9" in refused("suspects.unknown_ski", lambda: fleet.line(Factor("F", "lot", ["2024-0L", "x9"])))
