"""Fields of cards: what a card keeps is shown in words that read back to the same; bad words are refused."""

import pytest
from django.forms import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.units import Base, Dimension
from inventory.forms import cards
from inventory.forms.money import Money, Prices

six = st.floats(0.01, 50_000).map(lambda value: float(f"{value:.6g}"))

KINDS = [
    (cards.Property(Dimension.DENSITY, "KMQ"), st.floats(10, 25_000).map(lambda v: float(f"{v:.6g}"))),
    (cards.Property(Dimension.TEMPERATURE, "CEL"), st.integers(-99, 400).map(lambda tenths: tenths / 10)),
    (cards.Number(unit="kN"), six),
    (cards.Kept(base=Base.MG), st.integers(1, 9_999_999_999)),
    (cards.Kept(base=Base.PIECE, default="H87"), st.integers(1, 1_000_000)),
    (cards.Days(), st.integers(1, 5_000)),
    (cards.Rows("°C", "h", least=-60), st.lists(st.lists(six, min_size=2, max_size=2), max_size=4)),
    (cards.Lengths(), st.lists(st.integers(100, 4_000), unique=True, max_size=6).map(sorted)),
]


@pytest.mark.parametrize(("field", "values"), KINDS, ids=lambda part: type(part).__name__)
@given(data=st.data())
def test_kept_value_is_shown_as_it_would_be_typed(field, values, data):
    """What the edit page shows of a card reads back to what the card keeps, and counts as no change."""
    kept = data.draw(values)
    typed = field.prepare_value(kept)
    again = field.clean(typed)
    pairs = zip(again, kept, strict=True) if isinstance(kept, list) else [(again, kept)]
    assert all(one == pytest.approx(other, rel=1e-9) for one, other in pairs)
    assert not field.has_changed(typed, typed)


@pytest.mark.parametrize(
    ("field", "text", "kept"),
    [
        (cards.Property(Dimension.DENSITY, "KMQ"), "1.1 g/cm³", 1100.0),
        (cards.Property(Dimension.TEMPERATURE, "CEL"), "59 °F", 15.0),
        (cards.Property(Dimension.PRESSURE, "KPA"), "60 psi", pytest.approx(413.685, abs=1e-3)),
        (cards.Days(), "6 months", 182),
        (cards.Days(), "2 weeks", 14),
        (cards.Days(), "30", 30),
        (cards.Rows("°C", "h"), "60 °C: 4 h\n\n80: 2,5", [[60.0, 4.0], [80.0, 2.5]]),
        (cards.Lengths(), "184, 176 mm".replace("184", "1840").replace("176", "1760"), [1760, 1840]),
        (cards.Number(unit="g", most=10_000), "30,5 g", 30.5),
    ],
)
def test_what_people_type_is_read_in_the_units_they_use(field, text, kept):
    """60 psi is 413.7 kPa: reference table, lay-flat hose (common practice, no source)."""
    assert field.clean(text) == kept


@pytest.mark.parametrize(
    ("field", "text"),
    [
        (cards.Property(Dimension.DENSITY, "KMQ"), "1.1 m"),
        (cards.Property(Dimension.DENSITY, "KMQ"), "dense"),
        (cards.Number(unit="kN"), "nan"),
        (cards.Number(unit="kN"), "-1"),
        (cards.Number(unit="kN", most=10), "11"),
        (cards.Days(), "soon"),
        (cards.Days(), "700 months"),
        (cards.Rows("°C", "h"), "60"),
        (cards.Rows("°C", "h"), "60: 4: 5"),
        (cards.Rows("°C", "h"), "60: -4"),
        (cards.Rows("°C", "h"), "inf: 4"),
        (cards.Lengths(), "18"),
        (cards.Lengths(), "long"),
    ],
)
def test_what_cannot_be_read_is_an_error_beside_its_field(field, text):
    """Another unit, no number, beyond what can be: never a page that breaks."""
    with pytest.raises(ValidationError):
        field.clean(text)


@pytest.mark.parametrize(
    ("text", "unit", "shown"),
    [
        ("22 oz/yd²", "GM", "746 g/m²"),  # NIST SP 811: 1 oz/yd² is 33.90575 g/m² (from memory)
        ("99.1260 g/m²", "GM", "99.13 g/m²"),
        ("1103.74 kg/m³", "KMQ", "1103.7 kg/m³"),
        ("123.45 kg/m³", "KMQ", "123.45 kg/m³"),
    ],
)
def test_property_is_shown_as_people_say_it_and_typed_as_it_is(text, unit, shown):
    """What its own form begins with reads back to the same."""
    field = cards.Property(Dimension.AREAL_WEIGHT if unit == "GM" else Dimension.DENSITY, unit)
    kept = field.clean(text)
    assert field.shown(kept) == shown
    assert field.clean(field.typed(kept)) == pytest.approx(kept, rel=1e-6)


def test_nothing_typed_is_not_known():
    """Empty is None, or no row; never nought."""
    assert [field.clean("") for field, _ in KINDS] == [None, None, None, None, None, None, [], []]
    assert [field.shown(None) for field, _ in KINDS] == [""] * 8


def test_money_and_prices_read_back_in_the_shops_currency():
    """One price, and a lower one from five packs on."""
    price, prices = Money(), Prices()
    price.currency = prices.currency = "NOK"
    assert price.clean("1 890,50") == 189_050
    assert price.shown(189_050) == "1890.50 NOK"
    kept = [[1, 189_050], [5, 175_000]]
    assert prices.clean(prices.prepare_value(kept)) == kept
    assert prices.clean("from 5 on: 1750\n1890.50") == kept
    assert prices.shown(kept) == "1890.50 NOK; 1750.00 NOK from 5 on"
    for wrong in ("five: 175", "0.333", "x"):
        with pytest.raises(ValidationError):
            prices.clean(wrong)
