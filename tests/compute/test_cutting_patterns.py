"""The parts of a cutting plan, each against trying all or against scipy."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from inventory.compute.cutting.patterns import (
    MOST_PATTERNS,
    fewest,
    first_fit,
    full_patterns,
    fullest,
    lengths,
    prices,
    repeat_fullest,
    rounded,
    used,
    value,
)


@st.composite
def jobs(draw, sizes=4, most=5):
    """A length, falling sizes that fit into it, and counts, some of them 0."""
    length = draw(st.integers(20, 120))
    chosen = sorted(draw(st.sets(st.integers(3, length), min_size=1, max_size=sizes)), reverse=True)
    counts = [draw(st.integers(0, most)) for _ in chosen]
    return length, chosen, counts


def all_patterns(length, sizes, counts):
    """Every pattern that fits, by trying all."""
    return [
        pattern
        for pattern in itertools.product(*(range(count + 1) for count in counts))
        if used(pattern, sizes) <= length
    ]


def cut_out(patterns, sizes):
    out = [0] * len(sizes)
    for pattern, times in patterns:
        out = [have + times * count for have, count in zip(out, pattern, strict=True)]
    return out


@settings(deadline=None)
@given(jobs(), st.booleans())
def test_fullest_leaves_least_and_prefers_by_size(job, large_first):
    """No pattern uses more; among those that use as much, most of the largest (or of the smallest) first."""
    length, sizes, counts = job
    got = fullest(length, sizes, counts, large_first=large_first)
    every = all_patterns(length, sizes, counts)
    most = max(used(pattern, sizes) for pattern in every)
    assert used(got, sizes) == most
    equals = [pattern for pattern in every if used(pattern, sizes) == most]
    assert got == max(equals, key=lambda pattern: pattern if large_first else pattern[::-1])


@settings(deadline=None)
@given(jobs(), st.booleans())
def test_fullest_with_the_longest_cuts_it_once_and_leaves_least(job, large_first):
    """The largest size still wanted is in it, and no other such pattern uses more."""
    length, sizes, counts = job
    wanted = [place for place, count in enumerate(counts) if count]
    if not wanted:
        counts[0] = 1
        wanted = [0]
    got = fullest(length, sizes, counts, large_first=large_first, longest=True)
    assert got[wanted[0]] >= 1
    assert all(0 <= take <= have for take, have in zip(got, counts, strict=True))
    every = [pattern for pattern in all_patterns(length, sizes, counts) if pattern[wanted[0]]]
    assert used(got, sizes) == max(used(pattern, sizes) for pattern in every)


def test_fullest_prefers_the_largest_unless_asked_otherwise():
    """60 out of 100 comes as 60 or as 30 and 30: the larger by default."""
    assert fullest(60, [60, 30], [1, 2]) == (1, 0)
    assert fullest(60, [60, 30], [1, 2], large_first=False) == (0, 2)


@settings(deadline=None)
@given(jobs(most=12), st.booleans(), st.booleans())
def test_simple_ways_cut_every_piece_and_nothing_else(job, large_first, longest):
    """What comes out is what is wanted, no length holds too much, and fewest is the shortest of the four."""
    length, sizes, counts = job
    ways = [
        first_fit(length, sizes, counts),
        repeat_fullest(length, sizes, counts, large_first=large_first, longest=longest),
        fewest(length, sizes, counts),
    ]
    for way in ways:
        assert cut_out(way, sizes) == counts
        assert all(used(pattern, sizes) <= length and times > 0 for pattern, times in way)
    four = [
        repeat_fullest(length, sizes, counts, large_first=a, longest=b)
        for a, b in ((True, False), (True, True), (False, True))
    ]
    assert lengths(ways[2]) == min(lengths(way) for way in [ways[0], *four])


def test_first_fit_takes_the_first_length_that_holds_it():
    """60, 60, 40, 40, 30 from 100: 60 + 40 twice, 30 alone; exactly full is full."""
    assert first_fit(100, [60, 40, 30], [2, 2, 1]) == [((1, 1, 0), 2), ((0, 0, 1), 1)]
    assert first_fit(100, [70, 30], [1, 2]) == [((1, 1), 1), ((0, 1), 1)]
    assert first_fit(100, [50], [0]) == []


def test_repeat_fullest_repeats_until_a_count_is_used_up():
    """55 + 45 five times (45 runs out), then 55 alone twice."""
    got = repeat_fullest(100, [55, 45], [7, 5], large_first=True, longest=False)
    assert got == [((1, 1), 5), ((1, 0), 2)]


@settings(deadline=None)
@given(jobs())
def test_full_patterns_are_those_to_which_nothing_can_be_added(job):
    """By trying all: a pattern is full when no further wanted piece fits."""
    length, sizes, counts = job

    def is_full(pattern):
        room = length - used(pattern, sizes)
        return not any(
            take < have and size <= room for take, have, size in zip(pattern, counts, sizes, strict=True)
        )

    expected = [pattern for pattern in all_patterns(length, sizes, counts) if is_full(pattern)]
    assert sorted(full_patterns(length, sizes, counts)) == sorted(expected)


def test_full_patterns_gives_up_when_there_are_too_many():
    """A size a millimetre: 1,000 may be found at most, or 10,000 looked through."""
    few = full_patterns(100, list(range(60, 30, -1)), [1] * 30)
    assert len(few) <= MOST_PATTERNS
    assert full_patterns(400, list(range(60, 30, -1)), [9] * 30) is None
    many_small = full_patterns(100, [3, 2, 1], [40, 40, 200])
    assert len(many_small) == len(set(many_small)) > 500
    assert full_patterns(200, [3, 2, 1], [80, 80, 300]) is None


@settings(deadline=None)
@given(jobs(most=20))
def test_prices_equal_the_linear_programme_and_bound_every_plan(job):
    """The best plan in fractions costs what scipy's linprog says; the worths prove it."""
    length, sizes, counts = job
    full = full_patterns(length, sizes, counts)
    got = prices(length, sizes, counts, full)
    matrix = [[-pattern[row] for pattern in full] for row in range(len(sizes))]
    answer = linprog([1] * len(full), A_ub=matrix, b_ub=[-count for count in counts])
    assert value(counts, got.worth) == pytest.approx(answer.fun, abs=1e-6)
    assert sum(part for _, part in got.fractions) == pytest.approx(answer.fun, abs=1e-6)
    assert all(value(pattern, got.worth) <= 1 + 1e-9 for pattern in full)
    assert all(each >= 0 for each in got.worth)
    for row, count in enumerate(counts):
        made = sum(pattern[row] * part for pattern, part in got.fractions)
        assert made >= count - 1e-6
    assert value(counts, got.worth) <= lengths(fewest(length, sizes, counts)) + 1e-9
    whole, rest = rounded(got.fractions, counts)
    assert [a + b for a, b in zip(cut_out(whole, sizes), rest, strict=True)] == counts
    assert min(rest) >= 0
    assert lengths(whole) <= answer.fun + 1e-6


def test_rounded_takes_the_largest_fraction_first_and_never_too_much():
    """2.9 times is twice, 3 less a rounding error three times; what is not wanted is not cut."""
    assert rounded([((1, 0), 2.9), ((0, 1), 3 - 1e-12)], [5, 5]) == ([((0, 1), 3), ((1, 0), 2)], [3, 2])
    assert rounded([((2, 0), 2.0), ((1, 1), 1.5)], [4, 1]) == ([((2, 0), 2)], [0, 1])
    assert rounded([((2, 0), 3.0)], [5, 1]) == ([((2, 0), 2)], [1, 1])
    assert rounded([((1, 0), 0.9)], [5, 1]) == ([], [5, 1])


def test_used_value_and_lengths_add_up():
    """3 of 10 and 2 of 7 use 44; at a half and a quarter each they are worth 2; both make 5 lengths."""
    assert used((3, 2), (10, 7)) == 44
    assert value((3, 2), (0.5, 0.25)) == 2
    assert lengths([((1,), 3), ((2,), 2)]) == 5
    assert math.isclose(value((0, 0), (0.5, 0.25)), 0)
