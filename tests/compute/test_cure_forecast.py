"""When a schedule will have run, from the coldest probe; from the bay only where nothing is heated."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.cure import Log, forecast, progress
from inventory.compute.reasons import Basis, Given
from tests.compute.press_logs import HOUR, SCHEDULE, refused


def ahead(share=0.0, *, heated=True, coldest=None, bay=None, at_s=0.0):
    return forecast(
        schedule=SCHEDULE,
        share=share,
        at_s=at_s,
        heated=heated,
        coldest_c=None if coldest is None else Given(coldest, Basis.MEASURED),
        bay_c=None if bay is None else Given(bay, Basis.ASSUMED),
    )


@pytest.mark.parametrize(
    ("share", "celsius", "hours"),
    [(0.0, 50.0, 4.0), (0.5, 50.0, 2.0), (0.75, 80.0, 0.25), (0.0, 95.0, 1.0), (0.25, 23.0, 12.0)],
)
def test_forecast_when_held_is_what_is_left_of_the_listed_time(share, celsius, hours):
    """Half a schedule at 50 °C has two of the listed four hours left; above the points nothing is gained."""
    result = ahead(share, coldest=celsius, at_s=1000.0)
    assert result.hours_left == pytest.approx(hours)
    assert result.reached_at_s == pytest.approx(1000 + hours * HOUR)
    assert str(result.sentence).startswith(f"Schedule reached about {math.ceil(hours * 60)} min from this")


def test_forecast_when_minutes_are_left_in_part_rounds_them_up():
    """239.52 minutes are said as 240: nobody is called too early."""
    assert "about 240 min" in str(ahead(0.002, coldest=50.0).sentence)
    assert "about 239 min" in str(ahead(0.00625, coldest=50.0).sentence)


def test_forecast_when_unheated_takes_the_colder_of_probe_and_bay():
    """The ski comes to the bay's temperature; while it is colder, it is what it is."""
    assert ahead(heated=False, bay=23.0).hours_left == 16.0
    assert ahead(heated=False, coldest=30.0, bay=23.0).hours_left == 16.0
    assert ahead(heated=False, coldest=23.0, bay=30.0).hours_left == 16.0
    assert ahead(heated=False, coldest=23.0).hours_left == 16.0
    assert ahead(heated=False, coldest=23.0, bay=30.0).temperature_c.basis == Basis.MEASURED
    assert ahead(heated=False, bay=23.0).temperature_c.basis == Basis.ASSUMED


def test_forecast_when_heated_ignores_the_bay():
    """From the coldest probe alone; from the bay alone it is refused."""
    assert ahead(coldest=50.0, bay=10.0).hours_left == 4.0
    with refused("cure.bay_when_heated", "10.0 °C"):
        ahead(bay=10.0)


def test_forecast_when_there_is_no_temperature_is_refused():
    """Neither probe nor bay, heated or not."""
    with refused("cure.no_temperature"):
        ahead()
    with refused("cure.no_temperature"):
        ahead(heated=False)


def test_forecast_when_too_cold_is_never():
    """17.9 °C never ends, 18 °C does, and a schedule that has run has run."""
    never = ahead(coldest=17.9)
    assert (never.hours_left, never.reached_at_s) == (None, None)
    assert "never reached at 17.9 °C" in str(never.sentence)
    assert ahead(coldest=18.0).hours_left > 16
    assert ahead(1.0, coldest=17.9, at_s=5.0).reached_at_s == 5.0


def test_forecast_when_reached_has_nothing_left():
    """At the whole, above it, and short of it by rounding only."""
    for share in (1.0, 1.7, 1 - 1e-12):
        result = ahead(share, coldest=50.0, at_s=7.0)
        assert (result.hours_left, result.reached_at_s) == (0.0, 7.0)
        assert str(result.sentence) == "The schedule has been reached."
    assert ahead(0.999, coldest=50.0).hours_left > 0


def test_forecast_says_how():
    """Share and temperature with its basis and which it was."""
    lines = ahead(0.5, coldest=50.0).how.inputs[-2:]
    assert [(line.name, line.value, line.basis) for line in lines] == [
        ("share of the schedule so far", 0.5, Basis.MEASURED),
        ("coldest probe", 50.0, Basis.MEASURED),
    ]
    assert ahead(heated=False, bay=23.0).how.inputs[-1].name == "bay"


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({"share": -0.1, "coldest": 50.0}, "cure.share"),
        ({"share": math.nan, "coldest": 50.0}, "cure.share"),
        ({"at_s": math.inf, "coldest": 50.0}, "cure.time"),
        ({"coldest": math.nan}, "cure.temperature"),
        ({"coldest": 450.0}, "cure.temperature"),
        ({"heated": False, "coldest": 20.0, "bay": -61.0}, "cure.temperature"),
    ],
)
def test_forecast_when_a_value_is_impossible_is_refused(facts, code):
    """The same with a possible one is answered."""
    assert ahead(0.1, coldest=50.0).hours_left == pytest.approx(3.6)
    with refused(code):
        ahead(**facts)


@given(st.floats(0, 0.99), st.floats(18, 100), st.floats(18, 100))
def test_forecast_when_colder_is_never_sooner(share, one, other):
    """Monotone in the temperature."""
    cold, hot = sorted((one, other))
    assert ahead(share, coldest=cold).hours_left >= ahead(share, coldest=hot).hours_left


@given(st.floats(20, 79), st.floats(0.05, 0.9))
def test_forecast_when_it_comes_true_agrees_with_the_log(celsius, share):
    """Held on at the same temperature, the log reaches the schedule when the forecast said."""
    hours = SCHEDULE.hours_at((celsius,))[celsius]
    log = Log([row * 600.0 for row in range(int(hours * 6) + 2)], {"p1": [celsius] * (int(hours * 6) + 2)})
    run = progress(schedule=SCHEDULE, log=log, closed_at_s=0, until_s=log.at_s[-1])
    said = ahead(share, coldest=celsius, at_s=share * hours * HOUR)
    assert run.reached_at_s == pytest.approx(said.reached_at_s, abs=1)
