"""Suspects among returned skis: gate, adjustment, aliases, words, and that chance alone rarely accuses."""

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import hypergeom

from inventory.compute import chance
from inventory.compute.chance import Stratum
from inventory.compute.suspects import Band, Delivered, Factor, Unit, judge
from inventory.errors import Refused


def pairs(count, season, first=0):
    return [
        Delivered(f"{season}-{place}{side}", f"{season}-{place}", season)
        for place in range(first, first + count)
        for side in "LR"
    ]


def skis(season, places, sides="LR"):
    return [f"{season}-{place}{side}" for place in places for side in sides]


def look(delivered, back, factors, **kwargs):
    return judge(failure="delamination", delivered=delivered, returned=back, factors=factors, **kwargs)


def words(suspect):
    return " ".join(map(str, suspect.sentences))


def test_judge_of_the_worked_example_counts_within_the_season():
    """3 of the 4 from the 20 pairs with R7, 1 from the 40 others: about 1 time in 9, and 3.2 % to 38 %.

    0.10345 by hand, (C(20,3) 40 + C(20,4)) / C(60,4) (computed); the new season's 90 pairs do not accuse the
    old lot, as the pooled 0.00755 would.
    """
    delivered = [*pairs(60, "2024"), *pairs(90, "2025")]
    back = skis("2024", [0, 1, 2, 30], "L")
    answer = look(delivered, back, [Factor("R7", "resin lot", skis("2024", range(20)))])
    (line,) = answer.lines
    assert line.chance == line.adjusted == pytest.approx(0.10345, abs=5e-6)
    assert line.band is Band.CHANCE
    assert (line.delivered, line.exposed, line.returned, line.returned_exposed) == (60, 20, 4, 3)
    assert words(line) == (
        "3 of the 4 pairs returned with delamination came from the 20 pairs with resin lot R7; "
        "1 from the 40 other pairs of the same seasons. "
        "If nothing made a difference, it would stand out this much about 1 time in 9. "
        "This could well be chance; it is no all-clear. "
        "Of the 20 pairs with it, 3 were reported failed: "
        "a reported failure rate of 3.2 % to 38 % is plausible."
    )


def test_judge_of_a_factor_that_one_ski_has_speaks_of_one():
    """A cup that went into one ski, which came back: no "1 skis", no "1 were"."""
    back = skis("2024", [0, 1, 2, 30], "L")
    (line,) = look(pairs(60, "2024"), back, [Factor("RA2S-WF2V", "resin batch", ["2024-0L"])]).lines
    assert "came from the one ski with resin batch RA2S-WF2V; 3 from the 119 other skis" in words(line)
    assert "The one ski with it was reported failed: a reported failure rate of" in words(line)
    alone = look(pairs(60, "2024"), ["2024-0L"], [Factor("R7", "resin lot", skis("2024", range(20)))])
    assert "The one pair returned with delamination came from the 20 of 60 pairs" in words(alone.lines[0])
    assert str(alone.sentences[0]).startswith("1 pair came back with delamination: not enough")


@pytest.mark.parametrize(
    ("exposed", "for_5", "for_1"),
    [(8, 2, 2), (16, 2, 3), (20, 2, 3), (40, 3, 4), (60, 4, 5), (75, 5, 7), (100, 8, 11)],
)
def test_smallest_chance_says_how_many_returns_are_needed(exposed, for_5, for_1):
    """Of 150 pairs: returns, all from the lot, before 0.05 and 0.01 can be reached at all.

    Computed; equal to scipy's hypergeometric point.
    """
    for bar, needed in ((0.05, for_5), (0.01, for_1)):
        enough = chance.luck(strata=[Stratum(150, exposed, needed, 0)]).smallest
        short = chance.luck(strata=[Stratum(150, exposed, needed - 1, 0)]).smallest
        assert enough <= bar < short
        assert enough == pytest.approx(hypergeom(150, exposed, needed).pmf(needed), rel=1e-9)


def test_holm_when_more_lines_are_compared_asks_more_of_each():
    """4 of 4 from 20 of 150 pairs is 0.007 over 30 lines, and 0.072 over 300 (computed by hand)."""
    bare = chance.luck(strata=[Stratum(150, 20, 4, 4)]).chance
    assert chance.holm(chances=[bare, *[0.9] * 29])[0] == pytest.approx(0.007, abs=5e-4)
    assert chance.holm(chances=[bare, *[0.9] * 299])[0] == pytest.approx(0.072, abs=5e-4)


@pytest.mark.parametrize(
    ("lots", "compared", "band"), [(30, 30, Band.UNLIKELY), (209, 209, Band.LOOK), (210, 0, Band.TOO_FEW)]
)
def test_judge_gates_with_the_adjusted_bar(lots, compared, band):
    """4 of 4 from 20 of 150: unlikely among 30 such lots, a look among 209; among 210 nothing can tell."""
    source = random.Random(4)
    delivered, back = pairs(150, "2024"), skis("2024", range(4), "L")
    factors = [Factor("R7", "lot", skis("2024", range(20)))] + [
        Factor(f"F{place}", "lot", skis("2024", source.sample(range(150), 20))) for place in range(lots - 1)
    ]
    answer = look(delivered, back, factors)
    line = next(line for line in answer.lines if line.factor.code == "R7")
    assert answer.compared == compared
    assert line.band is band
    if compared:
        expected = compared * math.comb(20, 4) / math.comb(150, 4)
        assert line.adjusted == pytest.approx(expected, rel=1e-9)


def test_judge_leaves_out_what_could_never_reach_the_bar():
    """A lot in one pair of 150 can never show anything with 4 returns; it neither counts nor has a chance."""
    factors = [
        Factor("R7", "lot", skis("2024", range(20))),
        *(Factor(f"one{place}", "lot", skis("2024", [place])) for place in range(30)),
    ]
    answer = look(pairs(150, "2024"), skis("2024", range(4), "L"), factors)
    assert answer.compared == 1
    assert answer.lines[0].factor.code == "R7"
    assert answer.lines[0].adjusted == answer.lines[0].chance
    for line in answer.lines[1:]:
        assert line.band is Band.TOO_FEW
        assert line.chance is None
        assert line.adjusted is None
        assert "time in" not in words(line)
        assert "not enough returns to tell" in words(line)


def test_judge_with_two_returned_pairs_compares_nothing():
    """Two returns, four skis of two pairs, tell nothing; the third pair makes a comparison."""
    delivered = pairs(150, "2024")
    factors = [Factor("R7", "lot", skis("2024", range(8)))]
    answer = look(delivered, skis("2024", [0, 1]), factors)
    assert (answer.compared, answer.pairs_returned) == (0, 2)
    assert answer.lines[0].band is Band.TOO_FEW
    assert answer.lines[0].adjusted is None
    assert "not enough returns to tell" in str(answer.sentences[0])
    more = look(delivered, skis("2024", [0, 1, 2], "L"), factors)
    assert more.lines[0].band is Band.UNLIKELY
    assert "3 pairs came back with delamination; 1 of 1 things that pairs share could be compared" in str(
        more.sentences[0]
    )


def test_judge_of_a_factor_that_is_the_season_says_so():
    """A factor in all of one season cannot be told apart from the season; it has no chance."""
    delivered = [*pairs(20, "2024"), *pairs(20, "2025")]
    factors = [
        Factor("2024", "season", skis("2024", range(20))),
        Factor("M2", "mould", skis("2024", range(19))),
    ]
    answer = look(delivered, skis("2024", range(5), "L"), factors)
    season = next(line for line in answer.lines if line.factor.kind == "season")
    assert season.band is Band.SEASON
    assert season.adjusted is None
    assert "cannot be told apart from the season" in words(season)
    assert answer.lines[0].factor.code == "M2" or answer.compared == 0


def test_judge_of_aliases_is_one_line_that_names_them():
    """Five pairs with one jug and one press day are one line; the two cannot be told apart."""
    same = skis("2024", range(5))
    factors = [
        Factor("H12", "hardener package", same),
        Factor("14 May", "press day", same),
        Factor("M1", "mould", skis("2024", range(10, 30))),
    ]
    answer = look(pairs(80, "2024"), skis("2024", range(4), "L"), factors)
    first = answer.lines[0]
    assert [factor.code for factor in first.also] == ["14 May"]
    assert "It cannot be told apart from press day 14 May." in words(first)
    assert first.band is Band.UNLIKELY
    assert len(answer.lines) == 2


def test_judge_by_ski_takes_the_more_cautious_count_when_whole_pairs_came_back():
    """Left skis of 12 pairs share a batch. Four whole pairs back, or four left skis: the first says less."""
    delivered = pairs(60, "2024")
    factor = [Factor("B4", "resin batch", [*skis("2024", range(12), "L"), "2024-12R"])]
    whole = look(delivered, skis("2024", range(4)), factor).lines[0]
    single = look(delivered, skis("2024", range(4), "L"), factor).lines[0]
    assert whole.unit is single.unit is Unit.SKI
    by_ski = chance.luck(strata=[Stratum(120, 13, 8, 4)]).chance
    by_pair = chance.luck(strata=[Stratum(60, 13, 4, 4)]).chance
    assert whole.chance == pytest.approx(max(by_ski, by_pair), rel=1e-9)
    assert single.chance == pytest.approx(chance.luck(strata=[Stratum(120, 13, 4, 4)]).chance, rel=1e-9)
    assert single.chance < whole.chance
    assert "by ski and by pair" in words(whole)
    assert "by ski and by pair" not in words(single)
    assert "13 skis with resin batch B4" in words(single)


def test_judge_by_ski_prunes_by_the_count_that_is_used():
    """What the pair count can never reach is left out, even when the ski count could reach it."""
    delivered = pairs(20, "2024")
    factor = [Factor("B4", "batch", [*skis("2024", range(7), "L"), "2024-7R"])]
    back = skis("2024", range(3))
    assert chance.luck(strata=[Stratum(40, 8, 6, 3)]).smallest <= 0.05
    assert chance.luck(strata=[Stratum(20, 8, 3, 3)]).smallest > 0.045
    answer = look(delivered, back, factor, bar=0.045)
    assert answer.compared == 0
    assert look(delivered, back, factor, bar=0.05).compared == 1


def ladder(counts):
    """One line whose adjusted chance is the chance of `counts`."""
    delivered, exposed, returned, both = counts
    back = skis("2024", [*range(both), *range(exposed, exposed + returned - both)], "L")
    return look(pairs(delivered, "2024"), back, [Factor("R7", "lot", skis("2024", range(exposed)))]).lines[0]


@pytest.mark.parametrize(
    ("counts", "band", "said"),
    [
        ((100, 20, 3, 3), Band.UNLIKELY, "1 time in 140"),
        ((60, 20, 4, 4), Band.UNLIKELY, "1 time in 100"),
        ((60, 20, 3, 3), Band.LOOK, "1 time in 30"),
        ((60, 20, 4, 3), Band.CHANCE, "1 time in 9"),
        ((60, 20, 4, 1), Band.CHANCE, "more often than not"),
        ((100, 12, 5, 1), Band.CHANCE, "about 1 time in 2."),
        ((100, 13, 5, 1), Band.CHANCE, "more often than not"),
        ((400, 15, 12, 12), Band.UNLIKELY, "1 time in 1000000000."),
    ],
)
def test_judge_says_band_and_odds_from_the_same_figure(counts, band, said):
    """The odds are rounded down, so that they never stand on the other side of the band's bar."""
    line = ladder(counts)
    assert line.band is band
    assert said in words(line)


@given(st.integers(1, 39), st.integers(3, 12), st.data())
@settings(deadline=None, max_examples=40)
def test_judge_words_and_band_agree(exposed, returned, data):
    """1 time in 100 or rarer is unlikely, in 20 or rarer worth a look, else chance; never a mix."""
    both = data.draw(st.integers(max(0, returned + exposed - 40), min(exposed, returned)))
    line = ladder((40, exposed, returned, both))
    if line.adjusted is None:
        assert line.band is Band.TOO_FEW
        return
    text = words(line)
    times = int(text.split("1 time in ")[1].split(".")[0]) if "1 time in " in text else 1
    assert times <= 1 / line.adjusted
    expected = Band.UNLIKELY if times >= 100 else Band.LOOK if times >= 20 else Band.CHANCE
    assert line.band is expected


def test_judge_when_nothing_is_wrong_accuses_in_few_histories():
    """30 lots without a cause: at most 5 % of histories may flag one after the adjustment, more before."""
    source = random.Random(7)
    delivered = pairs(150, "2024")
    factors = [
        Factor(f"F{place}", "lot", skis("2024", source.sample(range(150), source.choice([8, 20, 40]))))
        for place in range(30)
    ]
    flagged = raw = 0
    for _ in range(60):
        back = skis("2024", source.sample(range(150), source.randint(3, 6)), "L")
        answer = look(delivered, back, factors)
        flagged += any(line.band in (Band.UNLIKELY, Band.LOOK) for line in answer.lines)
        raw += any(line.chance is not None and line.chance <= 0.05 for line in answer.lines)
    assert flagged <= 4
    assert raw > 3 * max(flagged, 1)


def test_judge_when_a_lot_is_bad_finds_it():
    """A lot of 16 that fails at 30 % against 1 % is first in line in most histories."""
    source = random.Random(11)
    delivered = pairs(150, "2024")
    factors = [Factor("bad", "lot", skis("2024", range(16)))] + [
        Factor(f"F{place}", "lot", skis("2024", source.sample(range(150), 20))) for place in range(29)
    ]
    found = tried = 0
    for _ in range(40):
        back = [f"2024-{place}L" for place in range(150) if source.random() < (0.3 if place < 16 else 0.01)]
        if len(back) >= 3:
            tried += 1
            first = look(delivered, back, factors).lines[0]
            found += first.factor.code == "bad" and first.band in (Band.UNLIKELY, Band.LOOK)
    assert tried > 25
    assert found > 0.6 * tried


def test_judge_sorts_told_before_untold_and_small_before_large():
    """The least likely to be luck comes first; what cannot be told comes last."""
    factors = [
        Factor("a-one", "lot", skis("2024", [149])),
        Factor("b-half", "lot", skis("2024", range(2, 50))),
        Factor("c-bad", "lot", skis("2024", range(12))),
    ]
    answer = look(pairs(150, "2024"), skis("2024", range(4), "L"), factors)
    assert [line.factor.code for line in answer.lines] == ["c-bad", "b-half", "a-one"]


def test_judge_carries_cautions_and_how():
    """The caution stands beside every answer, and what a page unfolds names its inputs."""
    answer = look(
        pairs(30, "2024"), skis("2024", range(3), "L"), [Factor("R7", "lot", skis("2024", range(5)))]
    )
    assert "stop using them" in str(answer.caution)
    assert "trace" in str(answer.caution)
    assert "no all-clear" in str(answer.sentences[0])
    facts = {item.name: item.value for item in answer.how.inputs}
    assert facts["skis delivered"] == 60
    assert facts["pairs returned"] == 3
    assert facts["lines compared"] == 1
    line = {item.name: item.value for item in answer.lines[0].how.inputs}
    assert line["delivered with it"] == 5
    assert line["returned with it"] == 3
    assert answer.how.source == answer.lines[0].how.source


def test_judge_with_nothing_returned_or_no_factor_answers():
    """No return and no factor are answers, not faults."""
    quiet = look(pairs(30, "2024"), [], [Factor("R7", "lot", skis("2024", range(5)))])
    assert quiet.lines[0].band is Band.TOO_FEW
    assert quiet.lines[0].rate.high == pytest.approx(0.5218237, abs=1e-6)
    assert look(pairs(30, "2024"), skis("2024", range(5), "L"), []).lines == ()


@pytest.mark.parametrize(
    ("code", "kwargs"),
    [
        ("suspects.bar", {"bar": 0.009}),
        ("suspects.bar", {"bar": 0.51}),
        ("suspects.bar", {"bar": math.nan}),
        ("suspects.alike", {"alike": 0.5}),
        ("suspects.alike", {"alike": 1.01}),
        ("suspects.alike", {"alike": math.inf}),
        ("suspects.confidence", {"confidence": 95}),
        ("suspects.confidence", {"confidence": 1.0}),
        ("suspects.confidence", {"confidence": 0.1}),
    ],
)
def test_judge_when_a_setting_is_impossible_is_refused(code, kwargs):
    """Settings at their bounds work; beyond them they are refused."""
    facts = (pairs(30, "2024"), skis("2024", range(3), "L"), [Factor("R7", "lot", skis("2024", range(5)))])
    assert look(*facts, bar=0.01, alike=0.51, confidence=0.5).lines
    assert look(*facts, bar=0.5, alike=1, confidence=0.9999).lines
    with pytest.raises(Refused) as caught:
        look(*facts, **kwargs)
    assert caught.value.code == code


def test_judge_when_a_factor_is_named_twice_is_refused():
    """Two factors of one kind and code would count one comparison twice; another kind may share the code."""
    one = Factor("7", "lot", skis("2024", range(5)))
    delivered = pairs(30, "2024")
    assert len(look(delivered, [], [one, Factor("7", "mould", skis("2024", [9]))]).lines) == 2
    with pytest.raises(Refused) as caught:
        look(delivered, [], [one, one])
    assert caught.value.code == "suspects.repeated"
    assert "Lot 7" in str(caught.value)


@pytest.mark.parametrize(
    ("delivered", "bar", "chance_of_it", "band", "said"),
    [
        (12, 0.25, 0.25, Band.LOOK, "1 time in 4."),
        (12, 0.2499, None, Band.TOO_FEW, "not enough returns"),
        (6, 0.5, 0.5, Band.LOOK, "1 time in 2."),
        (300, 0.05, 0.01, Band.UNLIKELY, "1 time in 100."),
        (299, 0.05, 3 / 299, Band.LOOK, "1 time in 99."),
    ],
)
def test_judge_at_each_side_of_a_bar(delivered, bar, chance_of_it, band, said):
    """One pair has it and came back, with two others: 3 / delivered by hand; a bar itself is within."""
    factor = Factor("R7", "lot", skis("2024", [0]))
    (line,) = look(pairs(delivered, "2024"), skis("2024", range(3), "L"), [factor], bar=bar).lines
    assert line.chance == (None if chance_of_it is None else pytest.approx(chance_of_it, rel=1e-12))
    assert line.band is band
    assert said in words(line)


def test_judge_says_the_plausible_rate_to_two_digits():
    """5 of 24: 7.13 % to 42.15 % (scipy.stats.beta) is said as 7.1 and 42."""
    back = skis("2024", range(5), "L")
    (line,) = look(pairs(60, "2024"), back, [Factor("R7", "lot", skis("2024", range(24)))]).lines
    assert "a reported failure rate of 7.1 % to 42 % is plausible" in words(line)


def test_judge_merges_from_nine_of_ten_unless_asked_otherwise():
    """Nine of ten pairs in common are one line by default, two lines at 0.95."""
    factors = [Factor("A", "lot", skis("2024", range(10))), Factor("B", "day", skis("2024", range(9)))]
    delivered, back = pairs(60, "2024"), skis("2024", range(4), "L")
    assert len(look(delivered, back, factors).lines) == 1
    assert len(look(delivered, back, factors, alike=0.95).lines) == 2
