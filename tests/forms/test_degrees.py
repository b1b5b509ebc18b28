"""Temperatures are typed and shown in the reader's own degrees, and kept in °C.

Outside check: water freezes at 32 °F and boils at 212 °F; −40 is the same in both; a difference of 18 °F is
10 K (NIST Special Publication 811, appendix B, from memory).
"""

import pytest
from django.core.exceptions import ValidationError

from inventory.compute.units import Dimension
from inventory.forms import reader
from inventory.forms.cards import Property
from inventory.forms.fields import Degrees


@pytest.mark.parametrize(("typed", "us", "kept"), [("20", False, 20), ("212", True, 100), ("-40", True, -40)])
def test_degrees_are_read_as_their_reader_writes_them(typed, us, kept):
    """The label says which; what is kept comes back as it was typed."""
    field = Degrees(label="Air", low=-40, high=100)
    with reader.reading(us=us):
        assert field.clean(typed) == kept
        assert field.prepare_value(field.clean(typed)) == float(typed)
        assert str(field.label) == ("Air, °F" if us else "Air, °C")


def test_degrees_apart_have_no_zero_of_their_own():
    """18 °F colder are 10 K colder; nothing is nothing."""
    field = Degrees(label="Colder by", low=0, high=10, apart=True, required=False)
    with reader.reading(us=True):
        assert (field.clean("18"), field.clean("0"), field.clean("")) == (10, 0, None)


@pytest.mark.parametrize(
    ("us", "fits", "wrong", "told"),
    [
        (False, "60", "61", "From −40 °C to 60 °C can be entered here."),
        (True, "140", "141", "From −40 °F to 140 °F can be entered here."),
    ],
)
def test_degrees_beyond_the_possible_are_refused_in_the_readers_own(us, fits, wrong, told):
    """At the limit they pass."""
    field = Degrees(label="Air", low=-40, high=60)
    with reader.reading(us=us):
        assert field.clean(fits) == 60
        with pytest.raises(ValidationError) as refused:
            field.clean(wrong)
    assert refused.value.messages == [told]


def test_property_of_a_card_is_shown_and_read_in_the_readers_degrees():
    """15 °C on the card are 59 °F; a bare 59 is meant so too, and a sign always counts."""
    field = Property(Dimension.TEMPERATURE, "CEL", label="Warmest")
    assert (field.shown(15.0), field.clean("15"), field.clean("59 °F")) == ("15 °C", 15.0, 15.0)
    with reader.reading(us=True):
        assert (field.shown(15.0), field.clean("59"), field.clean("15 °C")) == ("59 °F", 15.0, 15.0)
        assert Property(Dimension.PRESSURE, "KPA", label="Set").shown(300.0) == "300 kPa"
