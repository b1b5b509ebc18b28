"""How many pairs a season comes to, and what of a material that asks for."""

import math
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, poisson, poisson_binom

from inventory.compute.demand import least_that_covers, needed, pairs
from inventory.compute.demand_facts import EVERY_PAIR, Use, Workshop
from inventory.compute.reasons import Basis, Given
from inventory.compute.units import Base
from inventory.errors import Refused

START = date(2026, 5, 1)


def workshop(place, booked=0, open_seats=0, chance=0.5, days=2, apart=7):
    load = START + timedelta(place * apart)
    return Workshop(f"W{place}", load, load + timedelta(days), booked, open_seats, Given(chance))


def use(booked, per_pair=100, **kwargs):
    facts = {"spare_pairs": Given(0)} | kwargs
    return Use("resin", Base.MG, tuple(booked), Given(per_pair, Basis.LEARNED), **facts)


def refused(code, job, *mentions):
    with pytest.raises(Refused) as caught:
        job()
    assert caught.value.code == code
    for text in mentions:
        assert text in str(caught.value.sentence)


def planned(answer):
    return [row.planned for row in answer.rows]


def test_pairs_of_twenty_workshops_are_covered_by_the_season_not_by_each():
    """20 workshops of 4 seats at 0.6: 54 cover the season at 0.9, 55 at 0.95; each for itself would ask for
    80.

    Outside: quantiles of Bin(80, 0.6) and Bin(4, 0.6) from scipy.
    """
    season = [workshop(place, open_seats=4, chance=0.6) for place in range(20)]
    assert pairs(workshops=season, cover=0.9).planned == 54 == binom(80, 0.6).ppf(0.9)
    assert pairs(workshops=season, cover=0.95).planned == 55 == binom(80, 0.6).ppf(0.95)
    alone = [pairs(workshops=[row], cover=0.9).planned for row in season]
    assert sum(alone) == 80 == 20 * binom(4, 0.6).ppf(0.9)


def test_pairs_of_two_workshops_have_the_chances_written_out():
    """Bin(4, 0.5) + Bin(3, 0.8): .0005 .008 .051 .166 .2965 .294 .152 .032 (computed by hand)."""
    season = [workshop(0, 2, 4, 0.5), workshop(1, 3, 3, 0.8)]
    answer = pairs(workshops=season)
    assert answer.chances == pytest.approx([0.0005, 0.008, 0.051, 0.166, 0.2965, 0.294, 0.152, 0.032])
    assert (answer.booked, answer.full) == (5, 12)
    assert answer.mean == pytest.approx(5 + 2 + 2.4)
    assert answer.deviation == pytest.approx(math.sqrt(4 * 0.25 + 3 * 0.16))


def test_pairs_of_three_seats_have_the_published_chances():
    """Seats at 0.5, 0.6, 0.7: .06 .29 .44 .21 (poisson_binom in scipy gives the same)."""
    season = [workshop(place, open_seats=1, chance=chance) for place, chance in enumerate([0.5, 0.6, 0.7])]
    answer = pairs(workshops=season)
    assert answer.chances == pytest.approx([0.06, 0.29, 0.44, 0.21])
    assert answer.chances == pytest.approx(poisson_binom([0.5, 0.6, 0.7]).pmf(range(4)))


seasons = st.lists(
    st.tuples(st.integers(0, 6), st.integers(0, 6), st.floats(0, 1)), min_size=1, max_size=6
).map(lambda rows: [workshop(place, *row) for place, row in enumerate(rows)])


@settings(deadline=None)
@given(seasons, st.sampled_from([0.5, 0.8, 0.9, 0.99]))
def test_pairs_equal_scipy_and_never_fall(season, cover):
    """The chances are scipy's, add up to 1, and what covers lies between booked and full and never falls."""
    answer = pairs(workshops=season, cover=cover)
    seats = [row.fill_chance.value for row in season for _ in range(row.open_seats)]
    if seats:
        expected = poisson_binom(seats).pmf(range(len(seats) + 1))
        assert answer.chances == pytest.approx(expected, abs=1e-12)
    assert sum(answer.chances) == pytest.approx(1, abs=1e-12)
    counts = [count for _, count in answer.through]
    assert counts == sorted(counts)
    assert answer.booked <= answer.planned <= answer.full
    assert pairs(workshops=season, cover=0.995).planned >= answer.planned


@pytest.mark.parametrize(
    ("too_many", "too_few", "mean", "expected"),
    [(1, 4, 6, 8), (0.18, 0.70, 50, 56)],
)
def test_least_that_covers_is_the_published_one_season_purchase(too_many, too_few, mean, expected):
    """Poisson mean 6 at 4 / 5: 8 (Snyder and Shen, example 4.7); mean 50 at .70 / .88: 56 (chapter 4; read
    second-hand).
    """
    chances = poisson(mean).pmf(range(200))
    assert least_that_covers(chances=chances, cover=too_few / (too_few + too_many)) == expected


def test_least_that_covers_at_each_side_of_a_step():
    """A half is enough for 0.5, and not for a little more."""
    assert least_that_covers(chances=[0.5, 0.5], cover=0.5) == 0
    assert least_that_covers(chances=[0.5, 0.5], cover=0.51) == 1
    assert least_that_covers(chances=[0.1] * 10, cover=0.3) == 2
    refused("planning.chances", lambda: least_that_covers(chances=[0.5, 0.2], cover=0.9), "0.7")


def test_needed_adds_up_through_the_season():
    """Each workshop adds what the season so far needs more: together they are the season's cover, no more."""
    season = [workshop(place, open_seats=4, chance=0.6) for place in range(20)]
    answer = needed(workshops=season, use=use([0] * 20, 100))
    assert sum(planned(answer)) == 54 * 100
    assert sum(row.full for row in answer.rows) == 80 * 100
    assert sum(row.booked for row in answer.rows) == 0
    assert [row.workshop for row in answer.rows] == [f"W{place}" for place in range(20)]


def test_needed_of_booked_pairs_is_what_their_shapes_ask():
    """Booked amounts are taken as they are, workshop by workshop; open seats come on top."""
    season = [workshop(0, 2, 0), workshop(1, 3, 1, 1.0)]
    answer = needed(workshops=season, use=use([210, 330]))
    assert [(row.planned, row.booked, row.full) for row in answer.rows] == [(210, 210, 210), (430, 330, 430)]


def test_needed_divides_by_what_is_kept():
    """A tenth lost: 9 ask for 10, and 10 for 12 (rounded up once), not 11 as adding a tenth would say."""
    season = [workshop(0, 1)]
    assert planned(needed(workshops=season, use=use([9], loss=Given(0.1)))) == [10]
    assert planned(needed(workshops=season, use=use([10], loss=Given(0.1)))) == [12]
    assert planned(needed(workshops=season, use=use([30], loss=Given(0.25)))) == [40]
    both = [workshop(0, 1), workshop(1, 1)]
    assert planned(needed(workshops=both, use=use([10, 10], loss=Given(0.1)))) == [12, 11]


def test_needed_of_an_option_thins_the_open_seats():
    """A colour that a quarter takes: pairs with it are Bin(40, 0.8 x 0.25), whatever else is booked.

    Outside: the quantile from scipy.
    """
    season = [workshop(place, open_seats=4, chance=0.8) for place in range(10)]
    answer = needed(workshops=season, use=use([0] * 10, 1, share=Given(0.25)))
    assert sum(planned(answer)) == binom(40, 0.2).ppf(0.9)
    assert sum(row.full for row in answer.rows) == binom(40, 0.25).ppf(0.9)
    assert sum(planned(needed(workshops=season, use=use([0] * 10, 1, share=Given(0))))) == 0


def test_needed_has_the_reserve_on_top_of_all_it_is_made_of_and_rounds_once():
    """Half as much again of 4 booked, 1 spare and, where all open seats fill, 2 more; 7 per cent of 301 once.

    By hand: 500 and 700 x 1.5; 301 x 1.07 = 322.07 and 602 x 1.07 = 644.14, rounded up: 323 and 645.
    """
    season = [workshop(0, 4, 2)]
    half = use([400], 100, spare_pairs=Given(1), reserve_percent=Given(50))
    (row,) = needed(workshops=season, use=half).rows
    assert (row.booked, row.full) == (750, 1050)
    few = use([301, 301], 100, reserve_percent=Given(7))
    assert planned(needed(workshops=[workshop(0, 1), workshop(1, 1)], use=few)) == [323, 645 - 323]


def test_needed_keeps_one_spare_pair_for_each_workshop_on_the_road_at_once():
    """One spare pair goes from workshop to workshop; two on the road at once need two, bought once."""
    apart = [workshop(place, 1) for place in range(4)]
    with_spare = use([100] * 4, 100, spare_pairs=Given(1))
    assert planned(needed(workshops=apart, use=with_spare)) == [200, 100, 100, 100]
    close = [workshop(place, 1, days=7) for place in range(4)]
    assert planned(needed(workshops=close, use=with_spare)) == [200, 200, 100, 100]
    touching = [workshop(place, 1, days=6) for place in range(4)]
    assert planned(needed(workshops=touching, use=with_spare)) == [200, 100, 100, 100]
    assert planned(needed(workshops=apart, use=use([100] * 4, 100, spare_pairs=Given(2)))) == [
        300,
        100,
        100,
        100,
    ]


def test_needed_takes_workshops_in_any_order():
    """The answer is by load day, and each booked amount stays with its workshop."""
    season = [workshop(1, 1), workshop(0, 1)]
    answer = needed(workshops=season, use=use([7, 5]))
    assert [(row.workshop, row.booked) for row in answer.rows] == [("W0", 5), ("W1", 7)]
    assert answer.rows[0].load_on == START


def test_needed_unfolds_its_inputs_with_their_basis():
    """What was learned, assumed or booked stands beside the number."""
    answer = needed(workshops=[workshop(0, 1, 2)], use=use([9], 5, loss=Given(0.2)))
    facts = {item.name: (item.value, item.basis) for item in answer.how.inputs}
    assert facts["for one pair"] == (5, Basis.LEARNED)
    assert facts["lost"] == (0.2, Basis.ASSUMED)
    assert facts["for booked pairs"][0] == 9
    assert facts["open seats"][0] == 2
    how = pairs(workshops=[workshop(0, 1, 2), workshop(1, 0, 1)]).how
    assert {item.name: item.value for item in how.inputs}["open seats expected to fill"] == 1.5
    assert {item.name: item.basis for item in how.inputs}["open seats expected to fill"] is Basis.ASSUMED


@settings(deadline=None)
@given(seasons, st.integers(0, 500), st.sampled_from([0.0, 0.1, 0.25]), st.sampled_from([0.0, 0.5, 1.0]))
def test_needed_is_never_negative_and_lies_between_booked_and_full(season, per_pair, loss, share):
    """Booked <= planned <= full through every workshop, and no workshop gives anything back."""
    booked = [row.booked_pairs * per_pair for row in season]
    spare = Given(1)
    answer = needed(
        workshops=season,
        use=use(booked, per_pair, loss=Given(loss), share=Given(share), spare_pairs=spare),
    )
    sums = [0, 0, 0]
    for row in answer.rows:
        assert min(row.planned, row.booked, row.full) >= 0
        sums = [a + b for a, b in zip(sums, (row.booked, row.planned, row.full), strict=True)]
        assert sums == sorted(sums)


@pytest.mark.parametrize(
    ("code", "row"),
    [
        ("planning.unnamed", Workshop(" ", START, START, 1, 1, Given(0.5))),
        ("planning.days", Workshop("W", START, START - timedelta(1), 1, 1, Given(0.5))),
        ("planning.days", Workshop("W", datetime(2026, 5, 1), START, 1, 1, Given(0.5))),
        ("planning.days", Workshop("W", "2026-05-01", START, 1, 1, Given(0.5))),
        ("planning.seats", Workshop("W", START, START, -1, 1, Given(0.5))),
        ("planning.seats", Workshop("W", START, START, 1, 1001, Given(0.5))),
        ("planning.seats", Workshop("W", START, START, 1, 1.5, Given(0.5))),
        ("planning.chance", Workshop("W", START, START, 1, 1, Given(1.01))),
        ("planning.chance", Workshop("W", START, START, 1, 1, Given(-0.01))),
        ("planning.chance", Workshop("W", START, START, 1, 1, Given(math.nan))),
        ("planning.repeated", Workshop("W0", START, START, 1, 1, Given(0.5))),
    ],
)
def test_pairs_when_a_workshop_is_impossible_is_refused(code, row):
    """A one-day workshop with 1000 seats at any chance is possible; beyond that it is not."""
    fine = Workshop("W", START, START, 0, 1000, Given(1))
    assert pairs(workshops=[workshop(0), fine]).full == 1000
    refused(code, lambda: pairs(workshops=[workshop(0), row]))
    refused(code, lambda: needed(workshops=[workshop(0), row], use=use([1, 1])))


@pytest.mark.parametrize("cover", [0, 1, -0.5, math.nan, 90])
def test_pairs_when_the_cover_is_impossible_is_refused(cover):
    """Certainty cannot be covered, and 90 is a slip for 0.9."""
    assert pairs(workshops=[workshop(0, 1)], cover=0.9999).planned == 1
    refused("planning.cover", lambda: pairs(workshops=[workshop(0, 1)], cover=cover))
    refused("planning.cover", lambda: needed(workshops=[workshop(0, 1)], use=use([1]), cover=cover))


def test_pairs_without_a_workshop_are_refused():
    """A season has at least one workshop."""
    refused("planning.no_workshop", lambda: pairs(workshops=[]))


@pytest.mark.parametrize(
    ("code", "some"),
    [
        ("planning.booked", use([1])),
        ("planning.booked", use([1, -1])),
        ("planning.booked", use([1, 1.5])),
        ("planning.per_pair", use([1, 1], -1)),
        ("planning.per_pair", use([1, 1], 2.5)),
        ("planning.reserve", use([1, 1], reserve_percent=Given(-1))),
        ("planning.spare", use([1, 1], spare_pairs=Given(-1))),
        ("planning.spare", use([1, 1], spare_pairs=Given(0.5))),
        ("planning.share", use([1, 1], share=Given(1.1))),
        ("planning.share", use([1, 1], share=Given(-0.1))),
        ("planning.loss", use([1, 1], loss=Given(0.91))),
        ("planning.loss", use([1, 1], loss=Given(-0.1))),
        ("planning.loss", use([1, 1], loss=Given(math.inf))),
    ],
)
def test_needed_when_a_use_is_impossible_is_refused(code, some):
    """Nothing needed, nine tenths lost, taken by nobody or by all: possible; beyond that not."""
    season = [workshop(0, 1, 1), workshop(1, 1, 1)]
    needed(workshops=season, use=use([0, 0], 0, share=EVERY_PAIR, loss=Given(0.9)))
    refused(code, lambda: needed(workshops=season, use=some))
