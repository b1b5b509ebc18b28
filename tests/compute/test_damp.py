"""Dew point against the coldest surface, and the flags for blush beside it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from inventory.compute.damp import dew_point, lay_up_air
from inventory.compute.reasons import Basis, Given, Level
from inventory.errors import Refused


def air(**facts):
    known = {
        "air_c": Given(20.0, Basis.MEASURED),
        "humidity_pct": Given(50.0, Basis.MEASURED),
        "coldest_surface_c": Given(19.0, Basis.MEASURED),
        "fuel_heater": False,
    }
    return lay_up_air(**(known | facts))


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def test_dew_point_of_the_published_example():
    """22 °C and 78 % with 17.27 and 237.7 is 17.98 °C: assignmentexpert.com question 86009 (read)."""
    dew = dew_point(air_c=Given(22.0), humidity_pct=Given(78.0), a=17.27, b_c=237.7)
    assert dew.celsius == pytest.approx(17.98, abs=0.005)


def test_dew_point_with_the_default_constants():
    """20 °C and 60 % is 12.00 °C (computed); 22 °C and 78 % the published 17.98 °C."""
    assert dew_point(air_c=Given(20.0), humidity_pct=Given(60.0)).celsius == pytest.approx(12.00, abs=0.005)
    assert dew_point(air_c=Given(22.0), humidity_pct=Given(78.0)).celsius == pytest.approx(17.98, abs=0.02)


@given(celsius=st.floats(-10, 45), humidity=st.floats(10, 100))
def test_dew_point_is_where_the_pressure_of_water_is_saturated(celsius, humidity):
    """Against another formula for the pressure of water, Buck 1981 (from memory), solved by scipy."""

    def saturated(at):
        return 6.1121 * math.exp(17.502 * at / (240.97 + at))

    wanted = humidity / 100 * saturated(celsius)
    other = brentq(lambda at: saturated(at) - wanted, -60, 60)
    ours = dew_point(air_c=Given(celsius), humidity_pct=Given(humidity)).celsius
    assert ours == pytest.approx(other, abs=0.35)
    assert ours <= celsius + 1e-9


@given(celsius=st.floats(-10, 45), humidity=st.floats(10, 95), more=st.floats(0, 5))
def test_dew_point_rises_with_humidity_and_warmth(celsius, humidity, more):
    """Damper or warmer air has no lower dew point; saturated air has its own temperature."""
    base = dew_point(air_c=Given(celsius), humidity_pct=Given(humidity)).celsius
    assert dew_point(air_c=Given(celsius), humidity_pct=Given(humidity + more)).celsius >= base
    assert dew_point(air_c=Given(celsius + more), humidity_pct=Given(humidity)).celsius >= base
    full = dew_point(air_c=Given(celsius), humidity_pct=Given(100.0)).celsius
    assert full == pytest.approx(celsius, abs=1e-9)


def test_lay_up_air_that_suits_is_fine():
    """19 °C against a dew point of 9.3 °C in a bay of 20 °C and 50 %."""
    result = air()
    assert result.dew_point_c == pytest.approx(9.26, abs=0.01)
    assert result.spread_k == pytest.approx(9.74, abs=0.01)
    assert codes(result) == ["damp.surface_dry"]
    assert result.verdict.level is Level.FINE
    assert "9.7 K above the dew point of 9.3 °C" in str(result.verdict.reasons[0].sentence)


def test_lay_up_air_with_edges_from_a_cold_trailer_is_wet():
    """Edges at 7 °C are wet in a bay of 20 °C and 50 %, though the air itself suits.

    The dew point of 9.3 °C is computed; the rule is ISO 8502-4 practice (from memory).
    """
    result = air(coldest_surface_c=Given(7.0, Basis.MEASURED))
    assert codes(result) == ["damp.surface_wet", "damp.cold"]
    assert result.verdict.level is Level.STOP
    assert "surface is 2.3 K below the dew point, 9.3 °C: it is wet" in str(
        result.verdict.reasons[0].sentence
    )


def test_lay_up_air_less_than_three_kelvin_above_the_dew_point_stops():
    """2.99 K are too near, 3.01 K are not: ISO 8502-4 practice (from memory)."""
    dew = air().dew_point_c
    near = air(coldest_surface_c=Given(dew + 2.99))
    assert codes(near)[0] == "damp.surface_near_dew"
    assert near.verdict.level is Level.STOP
    assert codes(air(coldest_surface_c=Given(dew + 3.01)))[-1] == "damp.surface_dry"
    assert codes(air(coldest_surface_c=Given(dew + 0.01)))[0] == "damp.surface_near_dew"
    assert codes(air(coldest_surface_c=Given(dew)))[0] == "damp.surface_wet"


def test_lay_up_air_with_an_unmeasured_surface_cannot_say():
    """The bay's own temperature never stands in for the coldest surface."""
    result = air(coldest_surface_c=None)
    assert codes(result) == ["damp.surface_unknown"]
    assert result.spread_k is None
    assert result.verdict.level is Level.UNKNOWN


def test_lay_up_air_flags_blush_apart_from_a_good_spread():
    """Damp air, cold and a fuel-burning heater are each named, whatever the spread."""
    humid = air(air_c=Given(25.0), humidity_pct=Given(60.1), coldest_surface_c=Given(25.0))
    assert codes(humid) == ["damp.humid", "damp.surface_dry"]
    assert humid.verdict.level is Level.LOOK
    at_limit = air(air_c=Given(25.0), humidity_pct=Given(60.0), coldest_surface_c=Given(25.0))
    assert codes(at_limit) == ["damp.surface_dry"]


@pytest.mark.parametrize(
    ("air_c", "surface_c", "what"), [(14.9, 20.0, "The air"), (20.0, 14.9, "The coldest surface")]
)
def test_lay_up_air_below_fifteen_degrees_is_worth_a_look_and_says_of_what(air_c, surface_c, what):
    """Air or surface below 15 °C is flagged, 15 °C is not: a kit maker's manual, manualshive.com (read)."""
    result = air(air_c=Given(air_c), humidity_pct=Given(40.0), coldest_surface_c=Given(surface_c))
    assert codes(result) == ["damp.cold", "damp.surface_dry"]
    told = f"{what} measured at the mix is 14.9 °C, below 15.0 °C"
    assert str(result.verdict.reasons[0].sentence).startswith(told)
    warm = air(air_c=Given(15.0), humidity_pct=Given(40.0), coldest_surface_c=Given(15.0))
    assert codes(warm) == ["damp.surface_dry"]
    assert "damp.cold" in codes(air(air_c=Given(14.9), coldest_surface_c=None))


def test_lay_up_air_with_a_fuel_heater_stops():
    """A fuel-burning heater is turned off; an unknown one is asked for."""
    burning = air(fuel_heater=True)
    assert codes(burning)[0] == "damp.fuel_heater"
    assert burning.verdict.level is Level.STOP
    assert "Carbon monoxide" in str(burning.verdict.reasons[0].sentence)
    unknown = air(fuel_heater=None)
    assert codes(unknown)[0] == "damp.heater_unknown"
    assert unknown.verdict.level is Level.UNKNOWN


def test_lay_up_air_unfolds_its_readings():
    """Air, humidity, surface and heater are lines with their basis."""
    lines = {line.name: (line.value, line.basis) for line in air(air_c=Given(20.0)).how.inputs}
    assert lines["air"] == (20.0, Basis.ASSUMED)
    assert lines["relative humidity"] == (50.0, Basis.MEASURED)
    assert lines["coldest surface"] == (19.0, Basis.MEASURED)
    assert lines["fuel-burning heater"][0] is False


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("damp.air", {"air_c": Given(math.nan)}),
        ("damp.air", {"air_c": Given(-40.1)}),
        ("damp.air", {"air_c": Given(60.1)}),
        ("damp.humidity", {"humidity_pct": Given(0.0)}),
        ("damp.humidity", {"humidity_pct": Given(0.5)}),
        ("damp.humidity", {"humidity_pct": Given(100.1)}),
        ("damp.humidity", {"humidity_pct": Given(math.inf)}),
        ("damp.surface", {"coldest_surface_c": Given(math.nan)}),
        ("damp.surface", {"coldest_surface_c": Given(-41.0)}),
        ("damp.surface", {"coldest_surface_c": Given(121.0)}),
    ],
)
def test_lay_up_air_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code, a humidity typed as a fraction too; the same call without it answers."""
    assert air().verdict.ok
    with pytest.raises(Refused) as caught:
        air(**facts)
    assert caught.value.code == code


@pytest.mark.parametrize("facts", [{"a": 16.9}, {"a": 18.1}, {"b_c": 229.9}, {"b_c": 250.1}, {"a": math.nan}])
def test_dew_point_with_constants_that_are_no_magnus_pair_is_refused(facts):
    """Published pairs lie close together; anything else is a slip."""
    good = {"air_c": Given(20.0), "humidity_pct": Given(50.0)}
    assert dew_point(**good, a=17.27, b_c=237.7).celsius == pytest.approx(9.25, abs=0.01)
    with pytest.raises(Refused) as caught:
        dew_point(**good, **facts)
    assert caught.value.code == "damp.constants"


@pytest.mark.parametrize("b_c", [230.0, 250.0])
def test_dew_point_with_constants_at_their_bounds_is_answered(b_c):
    """The outermost pair of constants is still one."""
    assert dew_point(air_c=Given(20.0), humidity_pct=Given(50.0), a=17.0, b_c=b_c).celsius < 20
    assert dew_point(air_c=Given(20.0), humidity_pct=Given(50.0), a=18.0, b_c=b_c).celsius < 20


@pytest.mark.parametrize("surface_c", [-40.0, 120.0])
def test_lay_up_air_with_the_coldest_and_hottest_surface_is_answered(surface_c):
    """A surface at the bounds is judged."""
    assert air(coldest_surface_c=Given(surface_c)).spread_k == pytest.approx(surface_c - 9.26, abs=0.01)


@pytest.mark.parametrize(("air_c", "humidity"), [(-40.0, 100.0), (60.0, 1.0)])
def test_lay_up_air_at_the_edges_is_answered(air_c, humidity):
    """The coldest and hottest air, the driest and the dampest, are answered."""
    result = air(air_c=Given(air_c), humidity_pct=Given(humidity), coldest_surface_c=Given(air_c))
    assert result.dew_point_c <= air_c + 1e-9
