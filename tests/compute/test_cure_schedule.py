"""A schedule passes through the sheet's points, never below a listed time, and credits little outside."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants
from scipy.integrate import solve_ivp

from inventory.compute.cure import SchedulePoint, required_time, schedule_through
from inventory.compute.cure.schedule import GAS_CONSTANT, ZERO_C_IN_K
from inventory.compute.reasons import Basis, Given, Level
from tests.compute.press_logs import SCHEDULE, SHEET, refused

ONE_POINT = Given((SchedulePoint(80.0, 1.0),), Basis.DATA_SHEET, "sheet of the product")


def points(*pairs):
    return Given(tuple(SchedulePoint(celsius, hours) for celsius, hours in pairs), Basis.DATA_SHEET)


def hours(celsius, schedule=SCHEDULE):
    return required_time(schedule=schedule, temperature_c=Given(celsius, Basis.MEASURED)).hours


def codes(schedule):
    return [note.code for note in schedule.notes]


def test_constants_when_compared_with_a_reference_library_agree():
    """The gas constant and the ice point are CODATA's, as scipy.constants has them."""
    assert pytest.approx(constants.R, rel=1e-9) == GAS_CONSTANT
    assert constants.zero_Celsius == ZERO_C_IN_K


@pytest.mark.parametrize(("celsius", "listed"), [(23.0, 16.0), (50.0, 4.0), (80.0, 1.0)])
def test_required_time_when_at_a_listed_point_is_exactly_the_listed_time(celsius, listed):
    """A least-squares line through these points would ask 3.87 h where the sheet says 4 h (computed)."""
    assert hours(celsius) == listed


def test_schedule_slopes_when_between_listed_points_are_pairwise():
    """16 h at 23, 4 h at 50, 1 h at 80 °C: pairwise 40.9 and 43.8 kJ/mol (computed)."""
    kj_mol = [slope * constants.R / 1000 for slope in SCHEDULE.slopes_k]
    assert kj_mol == pytest.approx([40.9, 43.8], abs=0.06)


def test_schedule_when_ten_kelvin_halve_the_time_has_the_rules_energy():
    """Halving from 20 to 30 °C is 51.22 kJ/mol (computed; the halving rule itself read)."""
    halving = schedule_through(points=points((20.0, 16.0), (30.0, 8.0)))
    assert halving.slopes_k[0] * constants.R / 1000 == pytest.approx(51.22, abs=0.02)
    assert hours(25.0, halving) == pytest.approx(16 / math.sqrt(2), rel=0.01)


def test_required_time_when_between_points_follows_arrhenius_between_them():
    """ln t against 1/T is a straight line: the midpoint in 1/T has the geometric mean of the times."""
    inverse = (1 / (23 + ZERO_C_IN_K) + 1 / (50 + ZERO_C_IN_K)) / 2
    assert hours(1 / inverse - ZERO_C_IN_K) == pytest.approx(math.sqrt(16 * 4), rel=1e-9)
    upper = (1 / (50 + ZERO_C_IN_K) + 1 / (80 + ZERO_C_IN_K)) / 2
    assert hours(1 / upper - ZERO_C_IN_K) == pytest.approx(2.0, rel=1e-9)


def test_required_time_when_above_the_highest_point_gains_nothing_and_says_so():
    """120 °C needs as long as the highest listed 80 °C."""
    hot = required_time(schedule=SCHEDULE, temperature_c=Given(120.0))
    assert (hot.hours, hot.whole_minutes, hot.above_listed) == (1.0, 60, True)
    assert not required_time(schedule=SCHEDULE, temperature_c=Given(80.0)).above_listed


def test_required_time_when_more_than_five_kelvin_below_is_refused():
    """18 °C is 5 K below the lowest listed 23 °C and counts; 17.9 °C never ends."""
    assert hours(18.0) == pytest.approx(
        16 * math.exp(45_000 / constants.R * (1 / 291.15 - 1 / 296.15)), rel=1e-9
    )
    with refused("cure.too_cold", "17.9 °C", "23.0 °C"):
        hours(17.9)


def test_required_time_when_below_the_points_uses_the_slower_of_pair_and_assumption():
    """A flat coldest pair may not carry its optimism below the sheet; a steep one is kept."""
    flat = schedule_through(points=points((23.0, 16.0), (50.0, 15.9)))
    steep = schedule_through(points=points((23.0, 16.0), (33.0, 6.0)))
    assert hours(19.0, flat) == pytest.approx(
        16 * math.exp(45_000 / constants.R * (1 / 292.15 - 1 / 296.15)), rel=1e-9
    )
    assert hours(19.0, steep) == pytest.approx(
        16 * math.exp(steep.slopes_k[0] * (1 / 292.15 - 1 / 296.15)), rel=1e-9
    )


def test_required_time_when_rounded_to_minutes_is_never_shorter():
    """1.5 h is 90 min; a third of an hour more than that is rounded up."""
    assert required_time(schedule=SCHEDULE, temperature_c=Given(50.0)).whole_minutes == 240
    between = required_time(schedule=SCHEDULE, temperature_c=Given(60.0))
    assert 0 <= between.whole_minutes - between.hours * 60 < 1


def test_schedule_when_one_point_says_that_the_rest_is_assumed():
    """45 kJ/mol below the point (assumed), nothing gained above it; two points need no such note."""
    one = schedule_through(points=ONE_POINT)
    assert codes(one) == ["cure.one_point"]
    assert one.notes[0].level == Level.LOOK
    assert "45.0 kJ/mol is assumed" in str(one.notes[0].sentence)
    assert hours(75.0, one) == pytest.approx(math.exp(45_000 / constants.R * (1 / 348.15 - 1 / 353.15)))
    assert hours(95.0, one) == 1.0
    assert [i.basis for i in one.how.inputs] == [Basis.DATA_SHEET, Basis.ASSUMED]
    assert codes(SCHEDULE) == []


def test_schedule_when_hours_look_like_minutes_is_noticed():
    """240 h at 23 °C beside 1 h at 50 °C implies far more than measured for amine and epoxy.

    Measured 44 to 60 kJ/mol: Thermochim. Acta 447 (2006) 167 and J. Appl. Polym. Sci. 56 (1995) 1029, read.
    """
    assert codes(schedule_through(points=points((23.0, 240.0), (50.0, 1.0)))) == ["cure.odd_points"]
    assert codes(schedule_through(points=points((23.0, 16.0), (50.0, 15.0)))) == ["cure.odd_points"]
    for kj_mol in (44, 60):
        ratio = math.exp(kj_mol * 1000 / constants.R * (1 / 296.15 - 1 / 323.15))
        assert codes(schedule_through(points=points((23.0, 16.0), (50.0, 16.0 / ratio)))) == []


def test_schedule_when_points_come_in_any_order_is_the_same():
    """A data sheet's lines have no order of their own."""
    assert schedule_through(points=points((80.0, 1.0), (23.0, 16.0), (50.0, 4.0))).points == SCHEDULE.points


def test_schedule_says_how_it_was_made():
    """Each listed point with its basis, the assumption, the rule, the sheet it is from."""
    shown = [(str(line.value), line.basis) for line in SCHEDULE.how.inputs]
    assert shown[0] == ("16.0 h at 23.0 °C", Basis.DATA_SHEET)
    assert shown[-1] == ("45.0", Basis.ASSUMED)
    assert SCHEDULE.how.source.startswith(SHEET.source)
    assert "straight line" in SCHEDULE.how.rule


@pytest.mark.parametrize(
    ("pairs", "code", "mention"),
    [
        ((), "cure.no_points", "no points"),
        (((23.0, 0.0),), "cure.point", "0.0 h"),
        (((23.0, -4.0),), "cure.point", "−4.0 h"),
        (((23.0, math.inf),), "cure.point", "inf h"),
        (((23.0, 6_000.0),), "cure.point", "6000.0 h"),
        (((math.nan, 4.0),), "cure.point", "nan °C"),
        (((-300.0, 4.0),), "cure.point", "−300.0 °C"),
        (((500.0, 4.0),), "cure.point", "500.0 °C"),
        (((50.0, 4.0), (50.0, 5.0)), "cure.point_twice", "50.0 °C twice"),
        (((23.0, 4.0), (50.0, 16.0)), "cure.points_cross", "16.0 h at 50.0 °C"),
    ],
)
def test_schedule_when_points_are_impossible_is_refused(pairs, code, mention):
    """Beside the success that every other test starts from."""
    with refused(code, mention):
        schedule_through(points=points(*pairs))


def test_schedule_when_two_points_ask_the_same_time_is_taken():
    """Not slower where it is hotter: allowed, and noticed as unusual."""
    assert codes(schedule_through(points=points((23.0, 4.0), (50.0, 4.0)))) == ["cure.odd_points"]


@pytest.mark.parametrize("kj_mol", [0.0, -45.0, math.nan, 201.0])
def test_schedule_when_the_assumed_energy_is_impossible_is_refused(kj_mol):
    """50 kJ/mol is taken."""
    assert schedule_through(points=ONE_POINT, assumed_kj_mol=Given(50.0)).below_k > SCHEDULE.below_k
    with refused("cure.energy", "kJ/mol"):
        schedule_through(points=ONE_POINT, assumed_kj_mol=Given(kj_mol))


@pytest.mark.parametrize("celsius", [math.nan, math.inf, -61.0, 401.0])
def test_required_time_when_the_temperature_is_impossible_is_refused(celsius):
    """40 °C is answered."""
    assert 4 < hours(40.0) < 16
    with refused("cure.temperature", "°C"):
        hours(celsius)


@given(st.floats(18.0, 200.0), st.floats(18.0, 200.0))
def test_required_time_when_hotter_is_never_longer(one, other):
    """Monotone over the whole range, and never below the shortest listed time."""
    cold, hot = sorted((one, other))
    assert hours(cold) >= hours(hot) >= 1.0


@given(
    st.dictionaries(st.integers(5, 120), st.floats(0.1, 500.0), min_size=1, max_size=5),
    st.floats(5.0, 130.0),
)
def test_required_time_when_at_or_below_a_listed_temperature_is_never_shorter_than_its_time(sheet, celsius):
    """At no temperature up to a listed one is less asked than is listed there."""
    temperatures = sorted(sheet)
    times = sorted(sheet.values(), reverse=True)
    schedule = schedule_through(points=points(*zip(map(float, temperatures), times, strict=True)))
    asked = schedule.hours_at((celsius,))[celsius]
    for temperature, time in zip(temperatures, times, strict=True):
        if celsius <= temperature:
            assert asked >= time
        assert schedule.hours_at((float(temperature),))[float(temperature)] == time


# A published kinetic model as a judge of the rule; the product itself uses no kinetics.
# A resin for infusion, Thermochim. Acta, doi 10.1016/j.tca.2015.11.014, Table 5
# (read second-hand), without its diffusion term.
A1, E1, A2, E2, M, N = 35_982.0, 54_960.0, 3_574.1, 44_289.0, 0.39845, 1.5361


def converted(celsius, for_hours):
    """The model's degree of conversion after an isothermal hold."""
    kelvin = celsius + constants.zero_Celsius
    k1 = A1 * math.exp(-E1 / (constants.R * kelvin))
    k2 = A2 * math.exp(-E2 / (constants.R * kelvin))

    def rate(_, alpha):
        return (k1 + k2 * max(alpha[0], 0.0) ** M) * (1 - alpha[0]) ** N

    solved = solve_ivp(rate, (0, for_hours * 3600), [0.0], method="LSODA", rtol=1e-8, atol=1e-10)
    return solved.y[0, -1]


@pytest.mark.parametrize(
    ("celsius", "for_hours", "alpha"),
    [(80, 2, 0.958), (23, 16, 0.816), (50, 4, 0.858), (80, 1, 0.8755), (80, 6, 0.994), (23, 8, 0.593)],
)
def test_kinetic_judge_when_asked_its_table_agrees(celsius, for_hours, alpha):
    """Published isothermal values (read second-hand, computed): the judge is the published one."""
    assert converted(celsius, for_hours) == pytest.approx(alpha, abs=0.002)


@pytest.mark.parametrize("celsius", [30.0, 40.0, 60.0, 70.0])
def test_required_time_when_judged_by_published_kinetics_stays_within_the_listed_points(celsius):
    """Between the points the model is at least as far as at the worst listed point, and not past the best."""
    listed = [converted(point.temperature_c, point.hours) for point in SCHEDULE.points]
    assert min(listed) <= converted(celsius, hours(celsius)) <= max(listed)
