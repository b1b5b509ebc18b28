"""Advice of regions, and what moving things changes: published bands and examples, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.load import Estimate, Quantity
from inventory.compute.load.advice import Region, Stand, advise, moved, shift_for_share
from inventory.compute.reasons import Basis, Given, Level
from inventory.errors import Refused
from tests.compute.load_cases import CARGO, load, plate

INCH = 0.0254
LB = 0.45359237


def exact(kg):
    return Estimate(kg, 0.0, 0.0)


def refused(code, make):
    with pytest.raises(Refused) as caught:
        make()
    assert caught.value.code == code


@pytest.mark.parametrize(
    ("region", "gross", "permitted", "least", "most"),
    [
        # vehicle makers' handbooks, such as buiclub.com/info-3770.html (read)
        (Region.NORTH_AMERICA, 1_463.0, None, 146.3, 219.45),
        # NCC Towing Guide, page 11 (read)
        (Region.UK, 1_463.0, None, 73.15, 102.41),
        # StVZO 44(3): fahrschule.de, question 281058 (read): 24 kg for 600 kg
        (Region.GERMANY, 600.0, 750.0, 24.0, None),
        # StVZO 44(3), gesetze-in-app.de/StVZO/44 (read): need not be more than 25 kg
        (Region.GERMANY, 1_463.0, 3_500.0, 25.0, None),
        (Region.GERMANY, 3_600.0, 3_500.1, 144.0, 540.0),
        (Region.GERMANY, 12_500.0, 18_000.0, 500.0, 1_875.0),
        # the 2 t: kanzlei-voigt.de, Stuetzlast (read)
        (Region.GERMANY, 16_000.0, 18_000.0, 500.0, 2_000.0),
    ],
)
def test_advise_gives_the_published_band(region, gross, permitted, least, most):
    """The band of the trailer as loaded; a rule of law only in Germany."""
    given_plate = None if permitted is None else plate(permitted)
    advice = advise(region=region, gross=exact(gross), nose=exact(least), permitted_kg=given_plate)
    assert advice.least_kg == pytest.approx(least)
    assert advice.most_kg == (None if most is None else pytest.approx(most))
    assert advice.share == pytest.approx(least / gross)
    assert advice.is_law is (region is Region.GERMANY)


@pytest.mark.parametrize(
    ("nose", "doubt", "stand", "level"),
    [
        (72.0, 0.0, Stand.LIGHTER, Level.LOOK),
        (72.0, 1.5, Stand.WEIGH, Level.LOOK),
        (74.0, 1.5, Stand.WEIGH, Level.LOOK),
        (75.0, 1.5, Stand.INSIDE, Level.FINE),
        (100.5, 1.5, Stand.INSIDE, Level.FINE),
        (101.5, 1.5, Stand.WEIGH, Level.LOOK),
        (104.0, 1.5, Stand.HEAVIER, Level.LOOK),
    ],
)
def test_advise_at_each_side_of_the_band_says_where_it_stands(nose, doubt, stand, level):
    """73.15 to 102.41 kg: within the doubt of an end only a scale can tell. Advice never stops."""
    advice = advise(region=Region.UK, gross=exact(1_463.0), nose=Estimate(nose, doubt, doubt))
    assert (advice.stand, advice.verdict.level) == (stand, level)
    assert str(stand) in str(advice.verdict.reasons[0].sentence)


def test_advise_without_an_upper_end_is_never_too_heavy():
    """Up to 3.5 t German law names a least, no most; the plates do that."""
    small = advise(
        region=Region.GERMANY, gross=exact(1_463.0), nose=exact(900.0), permitted_kg=plate(2_000.0)
    )
    assert small.stand is Stand.INSIDE
    light = advise(region=Region.GERMANY, gross=exact(1_463.0), nose=exact(24.9), permitted_kg=plate(2_000.0))
    assert light.stand is Stand.LIGHTER
    assert "at least 25.0 kg: lighter" in str(light.verdict.reasons[0].sentence)


def test_one_load_passes_one_band_and_breaks_another_and_most_plates():
    """The worked trailer: 173.9 kg passes in North America, is heavy for the United Kingdom (computed)."""
    result = load()
    gross, nose = result.of(Quantity.GROSS).estimate, result.of(Quantity.NOSE).estimate
    assert advise(region=Region.NORTH_AMERICA, gross=gross, nose=nose).stand is Stand.INSIDE
    assert advise(region=Region.UK, gross=gross, nose=nose).stand is Stand.HEAVIER


@pytest.mark.parametrize("permitted", [None, Given(3_500.0), Given(3_500.0, Basis.ASSUMED)])
def test_advise_in_germany_without_a_permitted_mass_cannot_say(permitted):
    """3.5 t divides the rule; an assumed number is no plate. Elsewhere it does not matter."""
    facts = {"gross": exact(1_463.0), "nose": exact(100.0), "permitted_kg": permitted}
    advice = advise(region=Region.GERMANY, **facts)
    assert (advice.stand, advice.least_kg, advice.verdict.level) == (Stand.CANNOT_SAY, None, Level.UNKNOWN)
    assert "permitted mass" in str(advice.verdict.reasons[0].sentence)
    assert advise(region=Region.UK, **facts).stand is Stand.INSIDE


def test_advise_when_something_of_the_load_is_not_known_cannot_say():
    """What the load lacks, the advice lacks."""
    lacking = Estimate(100.0, 0.0, 0.0, ("mass of box",))
    for facts in ({"gross": lacking, "nose": exact(100.0)}, {"gross": exact(1_463.0), "nose": lacking}):
        advice = advise(region=Region.UK, **facts)
        assert advice.stand is Stand.CANNOT_SAY
        assert "not known: mass of box" in str(advice.verdict.reasons[0].sentence)


def test_advise_says_what_was_weighed():
    """A scale's value is measured, a sum is not."""
    nose = Estimate(100.0, 1.0, 1.0, (), weighed=True)
    lines = advise(region=Region.UK, gross=exact(1_463.0), nose=nose).how.inputs
    assert [line.basis for line in lines] == [Basis.ASSUMED, Basis.MEASURED]
    both = advise(region=Region.UK, gross=Estimate(1_463.0, 1.0, 1.0, (), weighed=True), nose=exact(100.0))
    assert [line.basis for line in both.how.inputs] == [Basis.MEASURED, Basis.ASSUMED]


def test_moving_120_kg_forward_by_0_7_m_adds_28_kg():
    """Worked trailer: 120 x 0.70 / 3.00 (computed); and the whole load, made again, agrees."""
    change = moved(mass_kg=120.0, from_m=3.3, to_m=2.6, axle_m=3.0)
    assert change.nose_kg == pytest.approx(28.0)
    assert change.axle_kg == -change.nose_kg
    before = load().of(Quantity.NOSE).estimate.kg
    after = load(CARGO | {"tools": (120.0, 2.6)}).of(Quantity.NOSE).estimate.kg
    assert after - before == pytest.approx(change.nose_kg)


@pytest.mark.parametrize(
    ("nose_lb", "wheels_lb", "load_back_in", "axle_forward_in"),
    [
        (1_025, 7_200, 6.4997, 7.222),
        (300, 8_200, -17.0824, -18.9804),
    ],
)
def test_shift_for_a_tenth_on_the_nose(nose_lb, wheels_lb, load_back_in, axle_forward_in):
    """Coupling to axle 264 in: the load shifts by 6.499 in and 17 in.

    Source: humphreyshitchandtrailerparts.com, axle positioning, examples 1 and 2 (read). It moves the axle by
    the same length; as D changes with it, 7.222 in are needed (computed).
    """
    shift = shift_for_share(nose_kg=nose_lb * LB, axle_load_kg=wheels_lb * LB, axle_m=264 * INCH, share=0.10)
    assert shift.load_back_m / INCH == pytest.approx(load_back_in, abs=0.001)
    assert shift.axle_forward_m / INCH == pytest.approx(axle_forward_in, abs=0.001)


@given(st.floats(1, 300), st.floats(300, 2_000), st.floats(1, 6), st.floats(0, 0.5))
def test_shift_when_carried_out_gives_the_share(nose, axle_load, axle_m, share):
    """Either way, the sum made again has that share on the nose."""
    shift = shift_for_share(nose_kg=nose, axle_load_kg=axle_load, axle_m=axle_m, share=share)
    gross, middle = nose + axle_load, axle_m * axle_load / (nose + axle_load)
    assert gross * (1 - (middle + shift.load_back_m) / axle_m) == pytest.approx(share * gross, abs=1e-6)
    there = axle_m - shift.axle_forward_m
    assert gross * (1 - middle / there) == pytest.approx(share * gross, abs=1e-6)


def test_advice_and_shifts_when_a_value_is_impossible_are_refused():
    """Beside each the nearest that is possible."""
    assert advise(region=Region.UK, gross=exact(0.1), nose=exact(-1.0)).stand is Stand.LIGHTER
    refused("load.advice", lambda: advise(region=Region.UK, gross=exact(0.0), nose=exact(1.0)))
    refused("load.advice", lambda: advise(region=Region.UK, gross=exact(1.0), nose=exact(math.nan)))
    refused(
        "load.plate",
        lambda: advise(region=Region.UK, gross=exact(1.0), nose=exact(1.0), permitted_kg=plate(0.0)),
    )
    facts = {"mass_kg": 0.0, "from_m": 0.0, "to_m": 20.0, "axle_m": 20.0}
    assert moved(**facts).nose_kg == 0.0
    for name, bad, code in [
        ("mass_kg", -0.1, "load.mass"),
        ("from_m", -0.1, "load.zone_outside"),
        ("to_m", 20.1, "load.zone_outside"),
        ("axle_m", 0.0, "load.trailer"),
        ("axle_m", 20.1, "load.trailer"),
    ]:
        refused(code, lambda name=name, bad=bad: moved(**(facts | {name: bad})))
    facts = {"nose_kg": 100.0, "axle_load_kg": 900.0, "axle_m": 3.0, "share": 0.0}
    assert shift_for_share(**facts).load_back_m == pytest.approx(0.3)
    for name, bad, code in [
        ("nose_kg", math.inf, "load.advice"),
        ("nose_kg", -900.0, "load.advice"),
        ("axle_load_kg", 0.0, "load.advice"),
        ("axle_m", -3.0, "load.trailer"),
        ("share", 1.0, "load.share"),
        ("share", -0.01, "load.share"),
        ("share", True, "load.share"),
        ("share", math.nan, "load.share"),
        ("share", "10 %", "load.share"),
    ]:
        refused(code, lambda name=name, bad=bad: shift_for_share(**(facts | {name: bad})))
