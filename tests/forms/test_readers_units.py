"""Temperatures and pressures are typed and shown in the reader's own units, and kept in °C and kPa.

Outside check: NIST Special Publication 811, appendix B.8: 1 psi is 6.894757 kPa (read); water freezes at
32 °F and boils at 212 °F, −40 is the same in both, a difference of 18 °F is 10 K (from memory).
"""

import pytest
from django.core.exceptions import ValidationError

from inventory.compute.units import Base, Dimension
from inventory.forms import reader
from inventory.forms.cards import Kept, Number, Property, Rows
from inventory.forms.fields import Degrees, Gauge
from inventory.forms.places import PlaceCard


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


def test_gauge_is_read_as_its_reader_has_it_and_comes_back_as_it_was_typed():
    """60 psi are 413.7 kPa; 275 kPa are shown as 39.89 psi, and that is 275 kPa again."""
    field = Gauge(label="Set", low=0, high=2000)
    assert (str(field.label), field.clean("275"), field.prepare_value(275.0)) == ("Set, kPa", 275, 275)
    with reader.reading(us=True):
        assert str(field.label) == "Set, psi"
        assert field.clean("60") == pytest.approx(413.6854)
        assert field.prepare_value(field.clean("60")) == 60
        assert (field.prepare_value(275.0), field.clean("39.89")) == (39.89, 275)
        assert field.clean("290") == pytest.approx(1999.48, abs=0.01)
        with pytest.raises(ValidationError) as wrong:
            field.clean("291")
    assert wrong.value.messages == ["From 0 psi to 290.1 psi can be entered here."]


@pytest.mark.parametrize("kpa", range(20, 2001, 7))
def test_whole_pressure_is_the_same_again_after_a_reader_of_psi_sent_it_back(kpa):
    """Two decimals of a psi are less than a tenth of a kPa."""
    with reader.reading(us=True):
        assert reader.to_kpa(reader.from_kpa(float(kpa))) == kpa


def test_plate_is_shown_in_the_readers_unit_and_a_makers_sheet_keeps_its_own_first():
    """A plate of 300 kPa is 43.51 psi to read and to type; a sheet's 15 °C and 1100 kg/m³ stay, with ours."""
    plate = Property(Dimension.PRESSURE, "KPA", label="Set")
    sheet = Property(Dimension.TEMPERATURE, "CEL", label="Warmest", sheet=True)
    density = Property(Dimension.DENSITY, "KMQ", label="Density", sheet=True)
    assert (plate.shown(300.0), sheet.shown(15.0)) == ("300 kPa", "15 °C")
    with reader.reading(us=True):
        assert (plate.shown(300.0), plate.clean("43.51"), plate.clean("60 psi")) == (
            "43.51 psi",
            300.0,
            pytest.approx(413.6854),
        )
        assert (sheet.shown(15.0), sheet.prepare_value(15.0)) == ("15 °C (59 °F)", "15 °C")
        assert (sheet.clean("15"), sheet.clean("59 °F")) == (15.0, 15.0)
        assert density.shown(1100.0) == "1100 kg/m³ (68.7 lb/ft³)"


def test_rows_of_a_plate_are_in_the_readers_units_and_those_of_a_sheet_have_them_beside():
    """410 kPa at 60 °C are 59.47 psi at 140 °F (by the factors above); either way of writing is read."""
    plate = Rows("°C", "kPa", least=-60)
    sheet = Rows("°C", "h", least=-60, sheet=True)
    kept = [[60.0, 410.0]]
    with reader.reading(us=True):
        assert plate.prepare_value(kept) == plate.shown(kept) == "140 °F: 59.47 psi"
        for typed in ("140 °F: 59.47 psi", "140: 59.47", "60 °C: 410 kPa", "60°C:410kPa"):
            assert plate.clean(typed) == kept
        assert sheet.shown([[60.0, 4.0]]) == "60 °C (140 °F): 4 h"
        for typed in (sheet.prepare_value([[60.0, 4.0]]), "140 °F: 4 h", "60: 4"):
            assert sheet.clean(typed) == [[60.0, 4.0]]
    assert plate.clean("140 °F: 59.47 psi") == kept
    assert plate.shown(kept) == "60 °C: 410 kPa"


@pytest.mark.parametrize(
    ("unit", "text", "kept", "shown"),
    [
        ("l/h", "0.5 gal/h", 1.892706, "1.89271 l/h (0.5 gal (US)/h)"),
        ("l/min", "5.3 cfm", 150.0, "150 l/min (5.3 ft³/min)"),
        ("kN", "250", 250.0, "250 kN (56200 lbf)"),
        ("W", "900 W", 900.0, "900 W"),
    ],
)
def test_number_of_a_plate_is_read_in_either_unit_and_shown_in_both(unit, text, kept, shown):
    """As the plate says: a generator in gallons, a compressor in cubic feet."""
    field = Number(unit=unit)
    with reader.reading(us=True):
        assert field.clean(text) == pytest.approx(kept)
        assert field.shown(field.clean(text)) == shown
        assert field.clean(field.prepare_value(kept)) == pytest.approx(kept, rel=1e-5)


@pytest.mark.parametrize(
    ("mg", "typed", "shown"),
    [
        (750_000_000, "750 kg", "750 kg (1653.47 lb)"),
        (453_592_370, "1000 lb", "1000 lb"),
        (200_000, "200 g", "200 g (7.05 oz)"),
    ],
)
def test_weight_is_shown_as_it_is_exact_with_the_readers_beside(mg, typed, shown):
    """No plate of 750 kg becomes 750000000 mg: 1 lb is 453.59237 g (the same, appendix B.8)."""
    field = Kept(base=Base.MG)
    with reader.reading(us=True):
        assert (field.prepare_value(mg), field.shown(mg)) == (typed, shown)
        assert field.clean(typed) == mg
    assert "lb" not in field.shown(mg) or mg == 453_592_370


@pytest.mark.parametrize("mm", [-400, -1, 0, 7, 640, 3200, 12_000])
def test_place_on_a_floor_is_the_same_millimetre_again(mm):
    """In inches to two decimals, which are a quarter of a millimetre."""
    field = PlaceCard.base_fields["right_mm"]
    with reader.reading(us=True):
        assert field.prepare_value(mm).endswith(" in")
        assert field.clean(field.prepare_value(mm)) == mm
