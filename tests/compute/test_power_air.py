"""Air that runs together against a compressor, and filling a bladder."""

import math
from dataclasses import replace

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.power import Window
from inventory.compute.power_air import AirUse, Compressor, air, fill
from inventory.compute.reasons import Basis, Given, Level
from inventory.errors import Refused

UNITS = pint.UnitRegistry()


def plate(value):
    return Given(float(value), Basis.DATA_SHEET, "plate")


SANDER = AirUse("sander", plate(100), plate(600))
COMPRESSOR = Compressor(plate(200), plate(600))


def needed(*uses, compressor=COMPRESSOR):
    return air(uses=uses or (SANDER,), compressor=compressor)


def codes(result):
    return [reason.code for reason in result.verdict.reasons]


def texts(result):
    return " ".join(str(reason.sentence) for reason in result.verdict.reasons)


def refused(code, call, **facts):
    with pytest.raises(Refused) as caught:
        call(**facts)
    assert caught.value.code == code
    return str(caught.value)


def test_air_within_half_the_delivery_is_fine():
    """100 l/min of a compressor of 200 that rests half the time: common practice, no source."""
    result = needed()
    assert (result.needed_l_per_min, result.at_min) == (100, 0)
    assert codes(result) == ["power.air_together"]
    assert result.verdict.level is Level.FINE
    assert "At most 100.0 l/min of free air" in texts(result)


def test_air_above_the_share_is_worth_a_look_and_above_delivery_stops():
    """Just above half asks for a look; all of it too; above all of it stops."""
    near = needed(replace(SANDER, free_l_per_min=plate(100.06)))
    assert codes(near) == ["power.air_near", "power.air_together"]
    assert near.verdict.level is Level.LOOK
    assert "At most 100.1 l/min of free air" in texts(near)
    assert "100.1 l/min are needed; the compressor gives 200.0 l/min for 50 % of the time" in texts(near)
    assert codes(needed(replace(SANDER, free_l_per_min=plate(200))))[0] == "power.air_near"
    over = needed(replace(SANDER, free_l_per_min=plate(200.1)))
    assert codes(over)[0] == "power.air_over"
    assert over.verdict.level is Level.STOP
    most = replace(COMPRESSOR, runs_share=plate(0.9))
    assert "for 90 % of the time" in texts(
        needed(replace(SANDER, free_l_per_min=plate(190)), compressor=most)
    )
    long = replace(COMPRESSOR, runs_share=plate(1.0))
    assert codes(needed(replace(SANDER, free_l_per_min=plate(200)), compressor=long)) == [
        "power.air_together"
    ]


def test_air_counts_the_share_a_tool_is_in_use():
    """200 l/min a quarter of the time are 50."""
    quarter = replace(SANDER, free_l_per_min=plate(200), in_use=plate(0.25))
    assert needed(quarter).needed_l_per_min == 50
    assert needed(replace(quarter, in_use=plate(0))).needed_l_per_min == 0


def test_air_of_what_does_not_run_together_is_not_added():
    """Until 60 and from 60 on are two moments; the larger one counts."""
    early = replace(SANDER, when=Window(0, 60))
    late = AirUse("gun", plate(150), plate(300), when=Window(60, 90))
    assert (needed(early, late).needed_l_per_min, needed(early, late).at_min) == (150, 60)
    less = replace(late, free_l_per_min=plate(50))
    assert (needed(early, less).needed_l_per_min, needed(early, less).at_min) == (100, 0)
    assert needed(replace(early, when=Window(0, 61)), late).needed_l_per_min == 250


def test_air_at_a_pressure_the_compressor_does_not_keep_stops():
    """A tool that needs 600 kPa works on a compressor that starts again at 600, not at 599."""
    assert codes(needed()) == ["power.air_together"]
    short = needed(compressor=replace(COMPRESSOR, starts_again_kpa=plate(599)))
    assert codes(short) == ["power.pressure_short", "power.air_together"]
    assert short.verdict.level is Level.STOP
    assert "Sander needs 600.0 kPa; the compressor starts again only at 599.0 kPa" in texts(short)


@pytest.mark.parametrize(
    ("use", "compressor", "code"),
    [
        (replace(SANDER, free_l_per_min=None), COMPRESSOR, "power.air_unknown"),
        (replace(SANDER, needs_kpa=None), COMPRESSOR, "power.air_unknown"),
        (SANDER, replace(COMPRESSOR, free_l_per_min=None), "power.compressor_unknown"),
        (SANDER, replace(COMPRESSOR, starts_again_kpa=None), "power.compressor_unknown"),
    ],
)
def test_air_with_a_plate_nobody_read_cannot_say(use, compressor, code):
    """Each figure that is unknown is named, and never counts as none."""
    result = needed(use, compressor=compressor)
    assert codes(result) == [code, "power.air_together"]
    assert result.verdict.level is Level.UNKNOWN


def test_air_unfolds_every_plate():
    """Uses, shares and the compressor's figures are lines with their basis."""
    lines = {line.name: (line.value, line.unit, line.basis) for line in needed().how.inputs}
    assert lines == {
        "sander": (100, "l/min", Basis.DATA_SHEET),
        "sander, share in use": (1.0, "", Basis.ASSUMED),
        "compressor": (200, "l/min", Basis.DATA_SHEET),
        "starts again at": (600, "kPa", Basis.DATA_SHEET),
        "share on": (0.5, "", Basis.ASSUMED),
    }
    bare = needed(AirUse("x", None, None), compressor=Compressor(None, None)).how.inputs
    assert [line.name for line in bare] == ["x, share in use", "share on"]


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("power.uses", {"uses": []}),
        ("power.uses", {"uses": [SANDER, SANDER]}),
        ("power.uses", {"uses": [replace(SANDER, name=str(index)) for index in range(501)]}),
        ("power.air", {"uses": [replace(SANDER, free_l_per_min=plate(0))]}),
        ("power.air", {"uses": [replace(SANDER, free_l_per_min=Given(math.nan))]}),
        ("power.air", {"uses": [replace(SANDER, free_l_per_min=plate(100_001))]}),
        ("power.air", {"compressor": replace(COMPRESSOR, free_l_per_min=plate(-1))}),
        ("power.air_pressure", {"uses": [replace(SANDER, needs_kpa=plate(-1))]}),
        ("power.air_pressure", {"uses": [replace(SANDER, needs_kpa=plate(2_001))]}),
        ("power.air_pressure", {"compressor": replace(COMPRESSOR, starts_again_kpa=Given(math.inf))}),
        ("power.share", {"uses": [replace(SANDER, in_use=plate(1.01))]}),
        ("power.share", {"uses": [replace(SANDER, in_use=plate(-0.01))]}),
        ("power.share", {"compressor": replace(COMPRESSOR, runs_share=plate(0))}),
        ("power.share", {"compressor": replace(COMPRESSOR, runs_share=plate(1.01))}),
        ("power.minutes", {"uses": [replace(SANDER, when=Window(5, 5))]}),
    ],
)
def test_air_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code; the same call without it answers, at the bounds too."""
    good = {"uses": [SANDER], "compressor": COMPRESSOR}
    assert air(**good).verdict.ok
    most = replace(SANDER, free_l_per_min=plate(100_000), needs_kpa=plate(2_000))
    assert air(uses=[most], compressor=Compressor(plate(100_000), plate(2_000), plate(1))).verdict.ok
    many = [replace(SANDER, name=str(index), needs_kpa=plate(0)) for index in range(500)]
    assert air(uses=many, compressor=COMPRESSOR).needed_l_per_min == 50_000
    text = refused(code, air, **(good | facts))
    assert "1 names" in text or facts.get("uses") != [SANDER, SANDER]


def test_fill_of_a_bladder_to_one_more_atmosphere_takes_its_volume_again():
    """Boyle's law: 12 l filled to one atmosphere above the air outside take 12 l of free air."""
    result = fill(volume_l=plate(12), gauge_kpa=plate(101.325), spare_free_l_per_min=plate(60))
    assert result.free_l == pytest.approx(12)
    assert result.minutes == pytest.approx(0.2)
    lines = {line.name: (line.value, line.unit, line.basis) for line in result.how.inputs}
    assert lines["volume"] == (12, "l", Basis.DATA_SHEET)
    assert lines["air outside"] == (101.325, "kPa", Basis.ASSUMED)
    assert lines["spare delivery"] == (60, "l/min", Basis.DATA_SHEET)
    assert lines["pressure"] == (101.325, "kPa", Basis.DATA_SHEET)


@given(litres=st.floats(1, 200), gauge=st.floats(0, 900), outside=st.floats(50, 110), spare=st.floats(1, 500))
def test_fill_conserves_the_air(litres, gauge, outside, spare):
    """By the gas law with a library of units, what goes in is what is more inside than before."""
    result = fill(
        volume_l=Given(litres), gauge_kpa=Given(gauge), spare_free_l_per_min=Given(spare), ambient_kpa=outside
    )
    volume = litres * UNITS.liter
    more = ((gauge + outside) * UNITS.kPa * volume - outside * UNITS.kPa * volume) / (outside * UNITS.kPa)
    assert result.free_l == pytest.approx(more.to("liter").magnitude, rel=1e-6, abs=1e-9)
    assert result.minutes * spare == pytest.approx(result.free_l)


@pytest.mark.parametrize(
    ("code", "facts"),
    [
        ("power.volume", {"volume_l": plate(0)}),
        ("power.volume", {"volume_l": plate(10_001)}),
        ("power.volume", {"volume_l": Given(math.nan)}),
        ("power.air_pressure", {"gauge_kpa": plate(-1)}),
        ("power.air_pressure", {"gauge_kpa": plate(2_001)}),
        ("power.air", {"spare_free_l_per_min": plate(0)}),
        ("power.ambient", {"ambient_kpa": 49.9}),
        ("power.ambient", {"ambient_kpa": 110.1}),
    ],
)
def test_fill_of_bad_input_is_refused(code, facts):
    """Each bad fact has its code; the same call without it answers, at the bounds too."""
    good = {"volume_l": plate(10_000), "gauge_kpa": plate(2_000), "spare_free_l_per_min": plate(60)}
    for outside in (50, 110):
        assert fill(**good, ambient_kpa=outside).minutes > 0
    assert refused(code, fill, **(good | facts))
