"""What is in a container by its weight, against a units library and by hand."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.reasons import Given
from inventory.compute.units import Amount, Base
from inventory.compute.weighing import Heavy, content
from tests.make import refused

Q = pint.UnitRegistry().Quantity
weights = st.integers(0, 50_000_000)


def test_content_of_a_jug_is_gross_less_tare():
    """4,310 g on the scale, the empty jug 310 g: 4 kg."""
    found = content(gross_mg=4_310_000, tare_mg=310_000, base=Base.MG)
    assert found.amount == Amount(4_000_000, Base.MG)
    assert found.net_mg == 4_000_000


@given(weights, weights, st.sampled_from(["ul", "mm2", "mm"]), st.floats(0.5, 3_000))
def test_content_in_another_unit_is_what_pint_makes_of_it(one, other, unit, per):
    """Outside check: Pint's unit arithmetic."""
    gross, tare = max(one, other), min(one, other)
    per = round(per, 3)
    heavy, kept, pint_per = {
        "ul": (Heavy(density_kg_m3=Given(per)), Base.UL, Q(per, "kg/m^3")),
        "mm2": (Heavy(areal_g_m2=Given(per)), Base.MM2, Q(per, "g/m^2")),
        "mm": (Heavy(linear_g_m=Given(per)), Base.MM, Q(per, "g/m")),
    }[unit]
    found = content(gross_mg=gross, tare_mg=tare, base=kept, heavy=heavy)
    expected = (Q(gross - tare, "mg") / pint_per).to({"ul": "uL", "mm2": "mm^2", "mm": "mm"}[unit]).magnitude
    assert found.amount.value == pytest.approx(expected, abs=0.51, rel=1e-12)


def test_content_when_the_container_is_heavier_empty_is_refused_with_both_weights():
    """A milligram lighter than empty is a slip; as heavy as empty is nothing left."""
    with refused("weighing.tare", "310 g"):
        content(gross_mg=309_999, tare_mg=310_000, base=Base.MG)
    assert content(gross_mg=310_000, tare_mg=310_000, base=Base.MG).amount.value == 0


def test_content_of_pieces_is_told_only_near_a_whole_number():
    """12 belts of 50 g: 600 g and 610 g are 12, 620 g cannot be told."""
    belts = Heavy(piece_mg=Given(50_000))
    for gross in (600_000, 610_000):
        assert content(gross_mg=gross, tare_mg=0, base=Base.PIECE, heavy=belts).amount == Amount(
            12, Base.PIECE
        )
    with refused("weighing.pieces", "12.4"):
        content(gross_mg=620_000, tare_mg=0, base=Base.PIECE, heavy=belts)


@pytest.mark.parametrize("base", [Base.UL, Base.MM2, Base.MM, Base.PIECE])
def test_content_when_the_card_says_no_weight_is_refused(base):
    """Weight says nothing of litres where nobody entered a density."""
    with refused("weighing.unknown"):
        content(gross_mg=1_000, tare_mg=0, base=base)
    with refused("weighing.unknown"):
        content(
            gross_mg=1_000, tare_mg=0, base=base, heavy=Heavy(Given(0.0), Given(0.0), Given(0.0), Given(0))
        )


@pytest.mark.parametrize("wrong", [-1, 10**11])
def test_content_of_an_impossible_weight_is_refused(wrong):
    """Below nothing, and beyond ten tonnes."""
    with refused("weighing.weight"):
        content(gross_mg=wrong, tare_mg=0, base=Base.MG)
