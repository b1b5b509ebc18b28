"""How much of a cup's working time is used."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.constants import R

from inventory.compute.mix.time import PotLife, Warmth, pot_life_at, working_time
from inventory.compute.reasons import Basis, Given, Level
from inventory.errors import Refused

LISTED = PotLife(Given(40.0, Basis.DATA_SHEET, "sheet"), 23.0, Given(100.0, Basis.DATA_SHEET))
WHOLE = Given(1.0, Basis.DATA_SHEET, "sheet")
STEADY = (Warmth(0, bay_c=23.0, cup_c=23.0),)
STEADY_AT_5 = (Warmth(5, bay_c=23.0, cup_c=23.0),)
warmths = st.lists(st.floats(5, 45), min_size=1, max_size=8)


def working(**facts):
    given_facts = {"pot_life": LISTED, "cup_mg": 100_000, "warmth": STEADY, "now_min": 10, "share": WHOLE}
    return working_time(**(given_facts | facts))


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def refused(code, call, **facts):
    with pytest.raises(Refused) as caught:
        call(**facts)
    assert caught.value.code == code
    return str(caught.value)


def every_ten(temperatures):
    return tuple(Warmth(10.0 * index, bay_c=value) for index, value in enumerate(temperatures))


@pytest.mark.parametrize(
    ("at_c", "minutes", "tolerance"),
    [(10, 98, 0.6), (15, 70, 0.5), (20, 49, 0.5), (23, 40, 1e-9), (30, 24.6, 0.05), (35, 17.41, 0.005)],
)
def test_pot_life_at_other_temperatures(at_c, minutes, tolerance):
    """40 min at 23 °C halve for every 10 K warmer.

    Outside: epoxyworks.com, controlling exotherm (read): halves per 10 K; the numbers
    computed from it.
    """
    assert pot_life_at(listed=LISTED, at_c=at_c).minutes == pytest.approx(minutes, abs=tolerance)


def test_pot_life_halves_for_each_ten_kelvin():
    """From 20 to 30 °C half is left.

    Outside: nilsmalmgren.com/technical/glossary (read): 10 K from 20 to 30 °C halve the hardening time.
    """
    at_20, at_30 = (pot_life_at(listed=LISTED, at_c=celsius).minutes for celsius in (20, 30))
    assert at_30 == pytest.approx(at_20 / 2, rel=1e-12)


def test_pot_life_agrees_with_the_activation_energies_that_were_measured():
    """Halving per 10 K is 51.22 kJ/mol from 20 to 30 °C, and stays near 50 kJ/mol over a workshop's range.

    Outside: amine-epoxy 44 to 57 kJ/mol, J. Appl. Polym. Sci. 56 (1995) 1029, and 55 to 60, Thermochim. Acta
    447 (2006) 167, abstracts (read); the gas constant from scipy.
    """

    def arrhenius(kilojoules, here, there):
        return math.exp(kilojoules * 1000 / R * (1 / (here + 273.15) - 1 / (there + 273.15)))

    warmer = pot_life_at(listed=replace(LISTED, at_c=20.0), at_c=30.0).minutes
    assert 40 / warmer == pytest.approx(arrhenius(51.22, 20, 30), rel=1e-4)
    for celsius in (10, 15, 20, 30, 35):
        rule = 40 / pot_life_at(listed=LISTED, at_c=celsius).minutes
        assert rule == pytest.approx(arrhenius(50, 23, celsius), rel=0.05)
        low, high = sorted((arrhenius(44, 23, celsius), arrhenius(60, 23, celsius)))
        assert low <= rule <= high


def test_pot_life_below_ten_degrees_earns_nothing_more():
    """Colder than 10 °C counts as 10 °C; a sheet that lists 5 °C counts as listed and no longer."""
    assert pot_life_at(listed=LISTED, at_c=-5).minutes == pot_life_at(listed=LISTED, at_c=10).minutes
    assert pot_life_at(listed=LISTED, at_c=11).minutes < pot_life_at(listed=LISTED, at_c=10).minutes
    cold = replace(LISTED, at_c=5.0)
    assert pot_life_at(listed=cold, at_c=5).minutes == 40
    assert pot_life_at(listed=cold, at_c=0).minutes == 40
    assert pot_life_at(listed=cold, at_c=15).minutes == 20


def test_working_time_at_the_listed_temperature_is_the_plain_share():
    """10 of 40 minutes at 23 °C are a quarter, and 30 are left."""
    result = working()
    assert result.used == pytest.approx(0.25)
    assert result.left_min == pytest.approx(30)
    assert result.hottest_c == 23.0
    assert codes(result) == ["mix.time_left"]
    assert result.verdict.level is Level.FINE


def test_working_time_by_default_is_six_tenths_of_the_pot_life():
    """Without a share of its own 24 of 40 minutes can be worked, and the share is shown as assumed."""
    result = working_time(pot_life=LISTED, cup_mg=100_000, warmth=STEADY, now_min=6)
    assert result.used == pytest.approx(0.25)
    line = next(line for line in result.how.inputs if line.name == "share of the pot life")
    assert (line.value, line.basis) == (0.6, Basis.ASSUMED)
    assert "common practice, no source" in result.how.source


def test_working_time_takes_the_hottest_of_bay_parts_and_cup():
    """Whichever is warmest decides; cold parts in a warm bay earn nothing."""
    for reading in (
        Warmth(0, bay_c=33.0, parts_c=10.0, cup_c=20.0),
        Warmth(0, bay_c=10.0, parts_c=33.0, cup_c=20.0),
        Warmth(0, bay_c=10.0, parts_c=20.0, cup_c=33.0),
    ):
        result = working(warmth=(reading,))
        assert result.hottest_c == 33.0
        assert result.used == pytest.approx(0.5)


def test_working_time_between_two_readings_counts_the_hotter():
    """10 min between 23 and 33 °C use half, either way round; the last reading counts from then on."""
    up = working(warmth=(Warmth(0, bay_c=23.0), Warmth(10, bay_c=33.0)))
    down = working(warmth=(Warmth(0, bay_c=33.0), Warmth(10, bay_c=23.0)))
    assert up.used == pytest.approx(0.5)
    assert down.used == pytest.approx(0.5)
    assert (up.hottest_c, down.hottest_c) == (33.0, 23.0)
    assert "min are left at 33.0 °C" in str(up.verdict.reasons[0].sentence)
    assert next(line for line in up.how.inputs if line.name == "hottest now").value == 33.0
    assert up.left_min == pytest.approx(10)
    assert down.left_min == pytest.approx(20)
    later = working(warmth=(Warmth(0, bay_c=33.0), Warmth(10, bay_c=23.0)), now_min=20)
    assert later.used == pytest.approx(0.75)


def test_working_time_accumulates_over_intervals():
    """Hand sum at 23, 33, 13 °C read at 0, 4, 10 and now 26: 4/20 + 6/20 + 16/80."""
    warmth = (Warmth(0, bay_c=23.0), Warmth(4, bay_c=33.0), Warmth(10, bay_c=13.0))
    result = working(warmth=warmth, now_min=26)
    assert result.used == pytest.approx(4 / 20 + 6 / 20 + 16 / 80)
    assert result.left_min == pytest.approx((1 - result.used) * 80)


def test_working_time_at_first_contact_is_unused():
    """At minute 0 nothing is used."""
    result = working(now_min=0)
    assert result.used == 0
    assert result.left_min == pytest.approx(40)


def test_working_time_used_up_stops():
    """At 40 of 40 minutes the cup is not spread; just before it is."""
    up = working(now_min=40)
    assert codes(up) == ["mix.time_up"]
    assert up.verdict.level is Level.STOP
    assert up.left_min == 0
    assert working(now_min=50).left_min == 0
    assert "125 % of the working time is used" in str(working(now_min=50).verdict.reasons[0].sentence)
    before = working(now_min=39.9)
    assert codes(before) == ["mix.time_left"]
    assert before.verdict.level is Level.LOOK


def test_working_time_at_three_quarters_is_worth_a_look():
    """From three quarters on the answer asks for a look."""
    assert working(now_min=29.9).verdict.level is Level.FINE
    assert working(now_min=30).verdict.level is Level.LOOK
    assert str(working(now_min=30).verdict.reasons[0].sentence) == (
        "About 10 min are left at 23.0 °C; 75 % of the working time is used."
    )
    assert "99 % of the working time" in str(working(now_min=39.9).verdict.reasons[0].sentence)


def test_working_time_of_a_hot_cup_stops():
    """A cup that was at 50 °C is left alone even after it cooled; at 49.9 °C it is not yet.

    Outside: nilsmalmgren.com/technical/glossary (read): a pot life ends when the cup reaches 50 °C.
    """
    hot = (Warmth(0, bay_c=20.0, cup_c=50.0), Warmth(1, bay_c=20.0, cup_c=30.0))
    result = working(warmth=hot, now_min=1)
    assert codes(result)[0] == "mix.cup_hot"
    assert result.verdict.level is Level.STOP
    text = str(result.verdict.reasons[0].sentence)
    assert text == "The cup was at 50.0 °C: stop, keep clear, ventilate, do not carry it."
    warm = (Warmth(0, bay_c=20.0, cup_c=49.9), Warmth(1, bay_c=20.0, cup_c=30.0))
    assert "mix.cup_hot" not in codes(working(warmth=warm, now_min=1))


def test_working_time_without_the_cups_own_warmth_says_so():
    """A cup that nobody measured can be hotter than the bay; the answer says it."""
    assert codes(working(warmth=(Warmth(0, bay_c=23.0),))) == ["mix.time_left", "mix.cup_not_measured"]
    assert codes(working()) == ["mix.time_left"]
    later = working(warmth=(Warmth(0, bay_c=23.0, cup_c=23.0), Warmth(5, bay_c=23.0)))
    assert str(later.verdict.reasons[-1].sentence) == (
        "The cup itself was not measured at minute 5: it can be hotter."
    )
    assert "mix.cup_not_measured" not in codes(working(warmth=(Warmth(0, bay_c=23.0), *STEADY_AT_5)))


def test_working_time_of_a_larger_cup_is_shorter_and_of_a_smaller_one_no_longer():
    """200 g lasts 2^-0.3 as long as the tested 100 g (k: from memory); 50 g lasts as long as 100 g."""
    assert working(cup_mg=200_000).used == pytest.approx(0.25 * 2**0.3)
    assert working(cup_mg=50_000).used == pytest.approx(0.25)
    assert working(cup_mg=100_001).used > 0.25


def test_working_time_with_two_listed_cups_learns_its_exponent():
    """40 min for 100 g and 20 for 200 g: k = 1, so 150 g lasts 40 / 1.5; order does not matter."""
    double = PotLife(Given(20.0, Basis.DATA_SHEET, "sheet"), 23.0, Given(200.0, Basis.DATA_SHEET))
    result = working(cup_mg=150_000, second=double)
    assert result.used == pytest.approx(10 * 1.5 / 40)
    turned = working(cup_mg=150_000, pot_life=double, second=LISTED)
    assert turned.used == pytest.approx(result.used, rel=1e-12)
    line = next(line for line in result.how.inputs if line.name == "k")
    assert (line.value, line.basis) == (pytest.approx(1.0), Basis.DATA_SHEET)
    assert next(line for line in working().how.inputs if line.name == "k").basis is Basis.ASSUMED
    assert working(cup_mg=50_000, second=double).used == pytest.approx(0.25)


def test_working_time_with_two_cups_at_two_temperatures_compares_them_at_one():
    """20 min for 200 g at 33 °C are 40 min at 23 °C: no shorter than the 100 g cup, so k is 0."""
    double = PotLife(Given(20.0, Basis.DATA_SHEET), 33.0, Given(200.0, Basis.DATA_SHEET))
    assert working(cup_mg=200_000, second=double).used == pytest.approx(0.25)


def test_working_time_above_what_can_be_reckoned_is_refused():
    """500 g is reckoned, a gram more is not, unless the sheet lists a cup that large."""
    assert working(cup_mg=500_000).used > 0.25
    refused("mix.cup_beyond_sheet", working, cup_mg=500_001)
    large = PotLife(Given(15.0, Basis.DATA_SHEET), 23.0, Given(1_000.0, Basis.DATA_SHEET))
    assert working(cup_mg=1_000_000, second=large).used == pytest.approx(10 / 15)
    refused("mix.cup_beyond_sheet", working, cup_mg=1_000_001, second=large)


def test_working_time_with_a_larger_cup_that_lasts_longer_is_refused():
    """Two listed cups of one size, or a larger one that lasts longer, cannot be; equal lives can."""
    for minutes, cup in ((41.26, 200.0), (40.005, 200.0), (39.0, 50.0), (20.0, 100.0)):
        text = refused("mix.pot_life", working, second=PotLife(Given(minutes), 23.0, Given(cup)))
        assert f"and {round(minutes, 1)} min for {cup} g" in text
    assert working(second=PotLife(Given(40.0), 23.0, Given(200.0))).used == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("mix.readings", {"warmth": ()}),
        ("mix.readings", {"warmth": (Warmth(1, bay_c=23.0),)}),
        ("mix.readings", {"warmth": (Warmth(0),)}),
        ("mix.readings", {"warmth": (Warmth(0, bay_c=23.0), Warmth(0, bay_c=23.0))}),
        ("mix.readings", {"warmth": (Warmth(0, bay_c=23.0), Warmth(5, bay_c=23.0), Warmth(4, bay_c=23.0))}),
        ("mix.readings", {"warmth": (Warmth(0, bay_c=23.0), Warmth(10, bay_c=23.0), Warmth(10, bay_c=23.0))}),
        ("mix.readings", {"warmth": (Warmth(0, bay_c=23.0), Warmth(10.1, bay_c=23.0))}),
        ("mix.minutes", {"warmth": (Warmth(math.nan, bay_c=23.0),)}),
        ("mix.minutes", {"now_min": -1}),
        ("mix.minutes", {"now_min": math.inf}),
        ("mix.temperature", {"warmth": (Warmth(0, bay_c=math.nan),)}),
        ("mix.temperature", {"warmth": (Warmth(0, bay_c=-41.0),)}),
        ("mix.temperature", {"warmth": (Warmth(0, cup_c=301.0),)}),
        ("mix.temperature", {"pot_life": replace(LISTED, at_c=math.nan)}),
        ("mix.pot_life", {"pot_life": replace(LISTED, minutes=Given(0.0))}),
        ("mix.pot_life", {"pot_life": replace(LISTED, minutes=Given(math.inf))}),
        ("mix.pot_life", {"pot_life": replace(LISTED, cup_g=Given(0.0))}),
        ("mix.pot_life", {"pot_life": replace(LISTED, cup_g=Given(math.nan))}),
        ("mix.pot_life", {"second": PotLife(Given(math.nan), 23.0, Given(200.0))}),
        ("mix.share", {"share": Given(0.0)}),
        ("mix.share", {"share": Given(1.01)}),
        ("mix.share", {"share": Given(math.nan)}),
        ("mix.no_total", {"cup_mg": 0}),
        ("mix.weight", {"cup_mg": -1}),
    ],
)
def test_working_time_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code; the same call without it answers."""
    assert working().used == pytest.approx(0.25)
    assert refused(code, working, **facts)


def test_working_time_with_a_reading_after_now_says_both_minutes():
    """The refusal names the reading's minute and now."""
    later = (Warmth(0, bay_c=23.0), Warmth(5, bay_c=23.0), Warmth(12, bay_c=23.0))
    assert "minute 12 is after now, minute 10" in refused("mix.readings", working, warmth=later)


@pytest.mark.parametrize(
    ("code", "low", "high", "facts"),
    [
        ("mix.share", 0.01, 1, lambda x: {"share": Given(x)}),
        ("mix.minutes", 0, 1e6, lambda x: {"now_min": x}),
        ("mix.temperature", -40, 300, lambda x: {"warmth": (Warmth(0, bay_c=x),)}),
        ("mix.pot_life", 0.1, 1e5, lambda x: {"pot_life": replace(LISTED, minutes=Given(x))}),
        ("mix.pot_life", 1, 1e5, lambda x: {"pot_life": replace(LISTED, cup_g=Given(x))}),
    ],
)
def test_working_time_at_the_bounds_is_taken_and_beyond_refused(code, low, high, facts):
    """The smallest and largest possible value are reckoned with; a little beyond is refused."""
    assert working(**facts(low)).how.inputs
    assert working(**facts(high)).how.inputs
    for beyond in (low - 0.05 * max(abs(low), 1) if low <= 0 else low * 0.95, high * 1.003):
        refused(code, working, **facts(beyond))


def test_pot_life_without_a_tested_cup_assumes_the_usual_one():
    """A sheet that does not name its cup is read as 100 g, and the line says assumed (from memory)."""
    plain = PotLife(Given(40.0, Basis.DATA_SHEET), 23.0)
    assert (plain.cup_g.value, plain.cup_g.basis) == (100.0, Basis.ASSUMED)
    assert working(pot_life=plain, cup_mg=200_000).used == pytest.approx(0.25 * 2**0.3)


def test_working_time_with_the_last_reading_at_now_is_taken():
    """A reading taken this very minute is not after now."""
    assert working(warmth=(Warmth(0, bay_c=23.0), Warmth(10, bay_c=23.0))).used == pytest.approx(0.25)


def test_pot_life_of_bad_input_is_refused():
    """Temperature and listing are guarded; the same call with both answers."""
    assert pot_life_at(listed=LISTED, at_c=23).how.inputs[0].basis is Basis.DATA_SHEET
    refused("mix.temperature", pot_life_at, listed=LISTED, at_c=math.inf)
    refused("mix.pot_life", pot_life_at, listed=replace(LISTED, minutes=Given(-1.0)), at_c=23)


@given(first=warmths, warmer=st.floats(0, 10))
def test_working_time_warmer_is_never_slower(first, warmer):
    """Warmer readings never use less, and never leave more."""
    now = 10.0 * len(first)
    cool = working(warmth=every_ten(first), now_min=now)
    warm = working(warmth=every_ten([value + warmer for value in first]), now_min=now)
    assert warm.used >= cool.used
    assert warm.left_min <= cool.left_min


@given(temperatures=warmths, extra=st.floats(0, 60), cup=st.integers(1_000, 500_000))
def test_working_time_only_grows(temperatures, extra, cup):
    """Later is never less used, and a smaller cup never more than the tested one."""
    now = 10.0 * len(temperatures)
    before = working(warmth=every_ten(temperatures), now_min=now, cup_mg=cup)
    after = working(warmth=every_ten(temperatures), now_min=now + extra, cup_mg=cup)
    assert after.used >= before.used
    assert before.used >= working(warmth=every_ten(temperatures), now_min=now).used * (1 - 1e-12)


@given(temperatures=st.lists(st.floats(10, 45), min_size=2, max_size=8))
def test_working_time_is_never_less_than_the_exact_integral(temperatures):
    """The hotter end of each interval never uses less than the straight line between the two ends."""
    readings = every_ten(temperatures)
    now = readings[-1].minute
    assume(now > 0)
    result = working(warmth=readings, now_min=now)
    fine = 0.0
    for index in range(len(temperatures) - 1):
        low, high = temperatures[index], temperatures[index + 1]
        for part in range(50):
            celsius = low + (high - low) * (part + 0.5) / 50
            fine += 0.2 / (40 * 2 ** ((23 - celsius) / 10))
    assert result.used >= fine * (1 - 1e-9)
