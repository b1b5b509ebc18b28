"""Money in minor units: as typed, as shown, never a float."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.compute.money import decimals, parse, show
from tests.make import refused


@pytest.mark.parametrize(
    ("text", "currency", "minor"),
    [
        ("189.50", "EUR", 18950),
        ("189,5", "NOK", 18950),
        ("1 234", "NOK", 123400),
        ("1 234,50 NOK", "NOK", 123450),
        ("USD 12", "USD", 1200),
        ("1200", "JPY", 1200),
        ("1.234", "KWD", 1234),
        ("0", "EUR", 0),
    ],
)
def test_parse_reads_what_people_type(text, currency, minor):
    """A comma or a point for decimals, spaces for thousands, the currency's letters before or after."""
    assert parse(text=text, currency=currency) == minor


@pytest.mark.parametrize(
    ("text", "currency", "code"),
    [
        ("12,345", "EUR", "money.decimals"),
        ("12.5", "JPY", "money.decimals"),
        ("twelve", "EUR", "money.unreadable"),
        ("-5", "EUR", "money.unreadable"),
        ("", "EUR", "money.unreadable"),
        ("1 23", "EUR", "money.unreadable"),
        ("12 USD", "EUR", "money.unreadable"),
        ("9" * 15, "EUR", "money.large"),
    ],
)
def test_parse_of_what_could_mean_two_things_is_refused(text, currency, code):
    """12,345 euro may be twelve thousand: ask; negative and foreign money too."""
    with refused(code):
        parse(text=text, currency=currency)


@pytest.mark.parametrize(("currency", "places"), [("EUR", 2), ("NOK", 2), ("JPY", 0), ("ISK", 0), ("KWD", 3)])
def test_decimals_are_those_of_the_currency(currency, places):
    """ISO 4217, from memory."""
    assert decimals(currency) == places


@given(st.integers(0, 10**12), st.sampled_from(["EUR", "JPY", "KWD"]))
def test_show_reads_back_to_the_same_amount(minor, currency):
    """Outside check of the size: the standard library's `Decimal`."""
    text = show(minor=minor, currency=currency)
    assert parse(text=text, currency=currency) == minor
    assert Decimal(text) * 10 ** decimals(currency) == minor
