"""A scale against the list, held to the worked examples of the guide it follows."""

import math

import pytest

from inventory.compute.load import Estimate, Near, apart
from inventory.compute.load.doubt import Doubt, total
from inventory.compute.reasons import Given

# JCGM 100:2008 (GUM), 4.3.7, example: a handbook's error not above 0.40e-6 per degree is a standard
# uncertainty of 0.23e-6 (from memory)
HALF_WIDTH, STANDARD = 0.40, 0.23
# JCGM 100:2008, 5.2.2, example: ten resistors in series, each known to 100 milliohm by one and the same
# standard: 1 ohm; were they independent, 0.32 ohm (from memory)
RESISTORS, OF_ONE, TOGETHER, INDEPENDENT = 10, 0.1, 1.0, 0.32
# JCGM 100:2008, H.1.4: an end gauge, contributions in nm and what they combine to (from memory)
GAUGE, COMBINED = (25.0, 9.7, 2.9, 16.6), 32


def test_apart_takes_a_half_width_as_the_guide_does():
    """Two standard uncertainties of the scale alone."""
    found = apart(listed=Estimate(0.0, 0.0, 0.0), scale=Given(Near(0.0, HALF_WIDTH)))
    assert found.allowed_kg / 2 == pytest.approx(STANDARD, abs=0.005)


def test_doubts_of_one_source_add_up_and_others_go_by_the_root_of_squares():
    """The resistors: what is shared is counted at once, what is not each by itself."""
    shared = total([Doubt(1_000.0, {"standard": OF_ONE}) for _ in range(RESISTORS)])
    own = total([Doubt(1_000.0, {f"resistor {n}": OF_ONE}) for n in range(RESISTORS)])
    assert shared.apart == pytest.approx(TOGETHER)
    assert own.together == pytest.approx(TOGETHER)
    assert own.apart == pytest.approx(INDEPENDENT, abs=0.005)


def test_apart_combines_list_and_scale_as_the_guides_gauge():
    """Three contributions in the list, one on the scale; each half-width is sqrt(3) standard ones."""
    first, *others = (nm * math.sqrt(3) for nm in GAUGE)
    listed = total([Doubt(0.0, {str(n): each}) for n, each in enumerate(others)])
    found = apart(listed=Estimate(0.0, listed.together, listed.apart), scale=Given(Near(0.0, first)))
    assert round(found.allowed_kg / 2) == COMBINED


@pytest.mark.parametrize(("scale", "differs"), [(104.0, False), (104.1, True), (96.0, False), (95.9, True)])
def test_apart_beyond_twice_the_combined_doubt_is_a_difference(scale, differs):
    """2 sqrt((3.4641^2 + 0) / 3) = 4 kg by hand, either way."""
    found = apart(listed=Estimate(100.0, 9.0, 2 * math.sqrt(3)), scale=Given(Near(scale, 0.0)))
    assert found.differs is differs
    assert found.more_kg == pytest.approx(scale - 100.0)
    assert "JCGM 100" in found.how.source
