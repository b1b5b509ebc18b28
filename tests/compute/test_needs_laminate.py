"""Shares of fibre and resin, ply thickness and resin taken up, against published samples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.needs.laminate import fibre_share_by_mass, fibre_share_by_volume, ply_thickness, uptake
from inventory.compute.reasons import Basis, Given
from inventory.errors import Refused

GLASS, EPOXY = Given(2540.0, Basis.DATA_SHEET, "read"), Given(1150.0, Basis.ASSUMED, "from memory")


def refused(call, **arguments):
    with pytest.raises(Refused) as caught:
        call(**arguments)
    return caught.value.code


@pytest.mark.parametrize(
    ("fibre", "resin", "expected"),
    [(1600.0, 1000.0, 0.564), (1780.0, 1100.0, 0.561)],
)
def test_volume_share_when_a_sample_was_weighed_agrees(fibre, resin, expected):
    """4.24 g of carbon and 2.05 g of resin, densities 1.6 to 1: 0.56 (composites site, read)."""
    got = fibre_share_by_volume(
        share_by_mass=4.24 / (4.24 + 2.05), fibre_kg_per_m3=Given(fibre), resin_kg_per_m3=Given(resin)
    )
    assert got.share == pytest.approx(expected, abs=0.0005)
    assert got.share == pytest.approx(0.56, abs=0.005)
    assert [line.value for line in got.how.inputs[1:]] == [fibre, resin]


def test_mass_share_when_half_the_volume_is_glass_agrees():
    """E-glass 2.54, epoxy 1.15 g/cm3, half by volume: 0.6883 by mass (computed)."""
    got = fibre_share_by_mass(share_by_volume=0.5, fibre_kg_per_m3=GLASS, resin_kg_per_m3=EPOXY)
    assert got.share == pytest.approx(0.6883, abs=0.00005)
    assert [line.basis for line in got.how.inputs] == [Basis.MEASURED, Basis.DATA_SHEET, Basis.ASSUMED]


def test_ply_when_pressed_agrees():
    """0.55 by mass is 0.3562 by volume, and one 750 g/m2 ply is 0.829 mm (computed)."""
    volume = fibre_share_by_volume(share_by_mass=0.55, fibre_kg_per_m3=GLASS, resin_kg_per_m3=EPOXY).share
    assert volume == pytest.approx(0.3562, abs=0.00005)
    ply = ply_thickness(fabric_g_per_m2=Given(750.0), fibre_kg_per_m3=GLASS, share_by_volume=volume)
    assert ply.thick_mm == pytest.approx(0.829, abs=0.0005)
    assert ply.how.inputs[0].unit == "g/m²"


def test_uptake_when_half_by_mass_is_as_heavy_as_the_fabric():
    """Rule of thumb: as much resin as dry fabric (a fabric supplier's worksheet, read)."""
    got = uptake(
        area_mm2=1e6, fabric_g_per_m2=Given(600.0), plies=2, fibre_share=Given(0.5), cut_factor=Given(1.1)
    )
    assert got.resin_mg == pytest.approx(got.fabric_mg)
    assert got.fabric_mg == pytest.approx(600 * 2 * 1.1 * 1000)
    assert [line.value for line in got.how.inputs] == [600.0, 2, 1e6, 1.1, 0.5]


@given(st.floats(0.01, 0.99), st.floats(500, 8000), st.floats(500, 8000))
def test_shares_when_turned_there_and_back_are_the_same(share, fibre, resin):
    """By volume to by mass and back; the heavier fibre has more of the mass than of the volume."""
    densities = {"fibre_kg_per_m3": Given(fibre), "resin_kg_per_m3": Given(resin)}
    mass = fibre_share_by_mass(share_by_volume=share, **densities).share
    back = fibre_share_by_volume(share_by_mass=min(mass, 0.999), **densities).share
    assert back == pytest.approx(share, abs=0.02 if mass > 0.999 else 1e-9)
    assert (mass > share) == (fibre > resin) or mass == pytest.approx(share)


@given(st.floats(0.05, 0.9), st.floats(0.01, 0.09))
def test_uptake_when_there_is_more_fibre_by_share_is_less_resin(share, more):
    """A drier laminate takes up less."""
    common = {"area_mm2": 1e6, "fabric_g_per_m2": Given(750.0), "plies": 1, "cut_factor": Given(1.0)}
    wet = uptake(fibre_share=Given(share), **common).resin_mg
    dry = uptake(fibre_share=Given(share + more), **common).resin_mg
    assert dry < wet


@pytest.mark.parametrize(
    ("name", "bad", "good", "code"),
    [
        ("area_mm2", -1.0, 0.0, "needs.layer"),
        ("area_mm2", 1.1e9, 1e9, "needs.layer"),
        ("area_mm2", float("nan"), 1.0, "needs.layer"),
        ("plies", 0, 1, "needs.layer"),
        ("plies", 21, 20, "needs.layer"),
        ("cut_factor", Given(0.99), Given(1.0), "needs.layer"),
        ("cut_factor", Given(3.1), Given(3.0), "needs.layer"),
        ("fibre_share", Given(0.0), Given(0.01), "needs.share"),
        ("fibre_share", Given(1.0), Given(0.999), "needs.share"),
        ("fabric_g_per_m2", Given(4.9), Given(5.0), "needs.weight"),
        ("fabric_g_per_m2", Given(5000.1), Given(5000.0), "needs.weight"),
    ],
)
def test_uptake_when_impossible_is_refused(name, bad, good, code):
    """Each limit beside what passes it."""
    plain = {
        "area_mm2": 1e6,
        "fabric_g_per_m2": Given(750.0),
        "plies": 1,
        "fibre_share": Given(0.5),
        "cut_factor": Given(1.0),
    }
    assert refused(uptake, **plain | {name: bad}) == code
    assert uptake(**plain | {name: good}).resin_mg >= 0


@pytest.mark.parametrize("call", [fibre_share_by_mass, fibre_share_by_volume])
def test_shares_when_impossible_are_refused(call):
    """No share below nothing or of all; no density that no fibre has."""
    name = "share_by_volume" if call is fibre_share_by_mass else "share_by_mass"
    plain = {name: 0.5, "fibre_kg_per_m3": GLASS, "resin_kg_per_m3": EPOXY}
    assert 0 < call(**plain).share < 1
    for bad in (0.0, 1.0, -0.1, float("nan")):
        assert refused(call, **plain | {name: bad}) == "needs.share"
    for density in ("fibre_kg_per_m3", "resin_kg_per_m3"):
        for bad in (99.0, 20_001.0, 2.54, float("inf")):
            assert refused(call, **plain | {density: Given(bad)}) == "needs.density"
        assert call(**plain | {density: Given(100.0)}).share > 0
        assert call(**plain | {density: Given(20_000.0)}).share > 0


def test_ply_when_impossible_is_refused():
    """Weight, density and share each have limits."""
    plain = {"fabric_g_per_m2": Given(750.0), "fibre_kg_per_m3": GLASS, "share_by_volume": 0.36}
    assert refused(ply_thickness, **plain | {"fabric_g_per_m2": Given(0.0)}) == "needs.weight"
    assert refused(ply_thickness, **plain | {"fibre_kg_per_m3": Given(2.54)}) == "needs.density"
    assert refused(ply_thickness, **plain | {"share_by_volume": 0.0}) == "needs.share"
    assert ply_thickness(**plain).thick_mm == pytest.approx(750 / 2540 / 0.36)
