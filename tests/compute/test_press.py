"""Force on skis and frame, and the energy that air under pressure holds."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.press import Bladder, Vessel, forces, stored_energy
from inventory.compute.reasons import Basis, Given, Level
from inventory.errors import Refused

UNITS = pint.UnitRegistry()
KPA_PER_PSI = 6.894757  # NIST (from memory)
BLADDER = Bladder(length_mm=2_000, width_mm=200)
SKI_MM2 = 191_480


def pressed(psi=50.0, **facts):
    known = {"gauge_kpa": Given(psi * KPA_PER_PSI, Basis.MEASURED), "ski_mm2": SKI_MM2, "bladder": BLADDER}
    return forces(**(known | facts))


def vessel(name, psi, litres):
    return Vessel(name, Given(psi * KPA_PER_PSI, Basis.MEASURED), Given(litres, Basis.DATA_SHEET))


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def refused(code, call, **facts):
    with pytest.raises(Refused) as caught:
        call(**facts)
    assert caught.value.code == code
    return str(caught.value)


@pytest.mark.parametrize(
    ("psi", "ski_kn", "frame_kn", "tonnes"),
    [(40, 52.8, 110, 11.2), (50, 66.0, 138, 14.1), (60, 79.2, 165, 16.9), (80, 105.6, 221, 22.5)],
)
def test_forces_of_the_usual_pressures(psi, ski_kn, frame_kn, tonnes):
    """A ski of 0.1915 m2 under a bladder of 0.2 x 2.0 m at 40 to 80 psi (computed)."""
    result = pressed(psi)
    assert result.ski_kn == pytest.approx(ski_kn, abs=0.06)
    assert result.frame_kn == result.bladder_kn == pytest.approx(frame_kn, abs=0.6)
    assert result.frame_tonnes == pytest.approx(tonnes, abs=0.06)


def test_forces_on_the_worked_ski():
    """50 psi on 0.19148 m2 is 66.01 kN (computed)."""
    assert pressed().ski_kn == pytest.approx(66.01, abs=0.005)


@given(
    psi=st.floats(1, 200),
    ski=st.integers(1_000, 400_000),
    width=st.integers(200, 400),
    bladders=st.integers(1, 4),
)
def test_forces_agree_with_a_library_of_units(psi, ski, width, bladders):
    """The same product of pressure and area by pint."""
    bladder = Bladder(2_000, width)
    result = forces(gauge_kpa=Given(psi * KPA_PER_PSI), ski_mm2=ski, bladder=bladder, bladders=bladders)
    pressure = psi * UNITS.psi
    assert result.ski_kn == pytest.approx((pressure * ski * UNITS.mm**2).to("kN").magnitude, rel=1e-6)
    footprint = 2_000 * width * UNITS.mm**2
    assert result.bladder_kn == pytest.approx((pressure * footprint).to("kN").magnitude, rel=1e-6)
    assert result.frame_kn == pytest.approx(bladders * result.bladder_kn)
    assert result.ski_kn <= result.bladder_kn
    tonnes = (result.frame_kn * UNITS.kN).to("metric_ton * standard_gravity").magnitude
    assert result.frame_tonnes == pytest.approx(tonnes)


def test_forces_without_pressure_are_none():
    """A vented bladder presses on nothing."""
    assert pressed(0).frame_kn == 0


def test_forces_unfold_pressure_areas_and_count():
    """Every factor is a line with its unit."""
    lines = {line.name: (line.value, line.unit) for line in pressed(bladders=2).how.inputs}
    assert lines["ski area"] == (SKI_MM2, "mm2")
    assert lines["bladder length"] == (2_000, "mm")
    assert lines["bladder width"] == (200, "mm")
    assert lines["bladders"] == (2, "")
    assert lines["pressure"][1] == "kPa"


def test_forces_on_a_ski_that_does_not_fit_are_refused():
    """A ski as large as the bladder is pressed; a square millimetre more, or a second one, is refused."""
    assert pressed(ski_mm2=400_000).ski_kn == pytest.approx(pressed().bladder_kn)
    refused("press.footprint", pressed, ski_mm2=400_001)
    assert pressed(ski_mm2=200_000, skis_under_each=2).ski_kn > 0
    text = refused("press.footprint", pressed, ski_mm2=200_001, skis_under_each=2)
    assert "2 × 200001 mm² of ski do not fit under a bladder of 400000" in text


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("press.pressure", {"gauge_kpa": Given(-1.0)}),
        ("press.pressure", {"gauge_kpa": Given(math.nan)}),
        ("press.pressure", {"gauge_kpa": Given(2_001.0)}),
        ("press.ski", {"ski_mm2": 0}),
        ("press.ski", {"ski_mm2": math.inf}),
        ("press.ski", {"ski_mm2": 1_000_001}),
        ("press.bladder", {"bladder": Bladder(0, 200)}),
        ("press.bladder", {"bladder": Bladder(2_000, -1)}),
        ("press.bladder", {"bladder": Bladder(5_001, 200)}),
        ("press.count", {"bladders": 0}),
        ("press.count", {"bladders": 21}),
        ("press.count", {"bladders": 1.5}),
        ("press.count", {"skis_under_each": 0}),
        ("press.count", {"skis_under_each": math.nan}),
    ],
)
def test_forces_of_bad_input_are_refused(code, facts):
    """Each bad fact has its code; the same press without it is reckoned."""
    assert pressed().frame_kn > 0
    assert refused(code, pressed, **facts)


def test_forces_at_the_bounds_are_reckoned():
    """The largest pressure, ski, bladder and count are still possible."""
    big = forces(
        gauge_kpa=Given(2_000.0),
        ski_mm2=1_000_000,
        bladder=Bladder(5_000, 5_000),
        bladders=20,
        skis_under_each=20,
    )
    assert big.frame_kn == pytest.approx(20 * 50_000)
    small = forces(gauge_kpa=Given(1_000.0), ski_mm2=1, bladder=Bladder(1, 1))
    assert small.ski_kn == small.frame_kn == pytest.approx(0.001)


@pytest.mark.parametrize(
    ("psi", "litres", "kilojoules", "tolerance"),
    [
        (60, 12, 5.745, 0.005),  # formula of ASME PCC-2 (second-hand), the value computed
        (50, 12, 4.6, 0.05),
        (80, 24, 16.2, 0.05),
        (125, 75.7, 86.6, 0.05),
    ],
)
def test_stored_energy_of_bladders_and_a_receiver(psi, litres, kilojoules, tolerance):
    """E = 2.5 P V (1 - (Pa / P)^0.286) for air; values computed from the published formula."""
    result = stored_energy(vessels=[vessel("bladder", psi, litres)])
    assert result.total_kj == pytest.approx(kilojoules, abs=tolerance)


@given(gauge=st.floats(1, 1_500), litres=st.floats(1, 300))
def test_stored_energy_is_the_work_of_an_adiabatic_expansion(gauge, litres):
    """Against the integral of p dV for air of 1.4 by a textbook's closed form (from memory), within 0.3 %."""
    absolute = gauge + 101.325
    ratio = 101.325 / absolute
    work = absolute * litres / 1000 / 0.4 * (1 - ratio ** (0.4 / 1.4))
    assert stored_energy(vessels=[Vessel("v", Given(gauge), Given(litres))]).total_kj == pytest.approx(
        work, rel=3e-3
    )


def test_stored_energy_names_the_vessel_that_holds_most():
    """The receiver holds most, though it is listed last; all together are the total."""
    result = stored_energy(vessels=[vessel("bladder", 50, 12), vessel("receiver", 125, 75.7)])
    assert [each.name for each in result.vessels] == ["receiver", "bladder"]
    assert result.total_kj == pytest.approx(sum(each.kilojoules for each in result.vessels))
    assert codes(result) == ["press.stored"]
    assert result.verdict.level is Level.LOOK
    assert "holds 91.2 kJ, most of it in receiver" in str(result.verdict.reasons[0].sentence)


def test_stored_energy_above_a_hundred_kilojoules_asks_for_a_competent_person():
    """Above 100 kJ in one vessel, ehs.berkeley.edu, stored energy (read); two of 86 kJ are not one."""
    large = stored_energy(vessels=[vessel("receiver", 125, 95.0)])
    assert codes(large) == ["press.stored", "press.large_energy"]
    assert large.verdict.reasons[1].level is Level.LOOK
    assert "Receiver alone holds 108.6 kJ, above 100.0 kJ" in str(large.verdict.reasons[1].sentence)
    two = stored_energy(vessels=[vessel("one", 125, 75.7), vessel("two", 125, 75.7)])
    assert two.total_kj > 100
    assert codes(two) == ["press.stored"]


def test_stored_energy_without_pressure_is_none():
    """A vented vessel holds nothing."""
    result = stored_energy(vessels=[vessel("bladder", 0, 12)])
    assert result.total_kj == 0
    assert codes(result) == ["press.no_pressure"]
    assert result.verdict.level is Level.FINE


def test_stored_energy_unfolds_each_vessel():
    """Pressure and volume of each vessel and the air outside are lines with their basis."""
    lines = {line.name: line for line in stored_energy(vessels=[vessel("bladder", 50, 12)]).how.inputs}
    assert (lines["air outside"].value, lines["air outside"].basis) == (101.325, Basis.ASSUMED)
    assert (lines["bladder, volume"].value, lines["bladder, volume"].unit) == (12, "l")
    assert lines["bladder, volume"].basis is Basis.DATA_SHEET
    assert lines["bladder, pressure"].basis is Basis.MEASURED


@given(
    gauge=st.floats(0, 1_900), more=st.floats(0, 100), litres=st.floats(1, 300), ambient=st.floats(60, 105)
)
def test_stored_energy_grows_with_pressure_and_volume(gauge, more, litres, ambient):
    """More pressure or volume never holds less; thinner air outside never less either."""

    def energy(pressure, volume, outside):
        return stored_energy(
            vessels=[Vessel("v", Given(pressure), Given(volume))], ambient_kpa=outside
        ).total_kj

    base = energy(gauge, litres, ambient)
    assert energy(gauge + more, litres, ambient) >= base * (1 - 1e-12)
    assert energy(gauge, 2 * litres, ambient) == pytest.approx(2 * base)


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("press.vessels", {"vessels": []}),
        ("press.vessels", {"vessels": [vessel("a", 50, 12), vessel("a", 60, 12)]}),
        ("press.pressure", {"vessels": [vessel("a", -1, 12)]}),
        ("press.pressure", {"vessels": [vessel("a", math.nan, 12)]}),
        ("press.pressure", {"vessels": [vessel("a", 291, 12)]}),
        ("press.volume", {"vessels": [vessel("a", 50, 0)]}),
        ("press.volume", {"vessels": [vessel("a", 50, math.inf)]}),
        ("press.volume", {"vessels": [vessel("a", 50, 10_001)]}),
        ("press.ambient", {"ambient_kpa": 49.9}),
        ("press.ambient", {"ambient_kpa": 110.1}),
        ("press.ambient", {"ambient_kpa": math.nan}),
    ],
)
def test_stored_energy_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code; the same vessel without it is reckoned, at the bounds too."""
    good = {"vessels": [vessel("a", 50, 12)], "ambient_kpa": 101.325}
    assert stored_energy(**good).total_kj > 0
    for ambient in (50, 110):
        assert stored_energy(vessels=[vessel("a", 290, 10_000)], ambient_kpa=ambient).total_kj > 0
    text = refused(code, stored_energy, **(good | facts))
    if code == "press.vessels":
        assert ("The vessels are a, a:" if facts["vessels"] else "The vessels are none:") in text
