"""What warranty terms suggest, against the calendar of another library."""

from datetime import date

import pandas as pd
import pytest

from inventory.compute.warranty import Suggests, Terms, suggest

TERMS = Terms("2025/26", 24, ("use damage", "normal wear"))
OVER = date(2025, 12, 4)


def asked(came_on, cause="material suspect", terms=TERMS, over=OVER):
    return suggest(terms=terms, handed_over_on=over, came_on=came_on, cause=cause)


@pytest.mark.parametrize("months", [0, 1, 12, 24, 25])
@pytest.mark.parametrize("over", [date(2024, 1, 31), date(2024, 2, 29), date(2025, 12, 4)])
def test_terms_run_to_the_day_that_pandas_gives(months, over):
    """Outside check: pandas.DateOffset; the last day of a short month ends it."""
    found = asked(over, terms=Terms("any", months, ()), over=over)
    assert found.until == (pd.Timestamp(over) + pd.DateOffset(months=months)).date()


def test_last_day_is_covered_and_the_next_is_not():
    """By what the terms say; the sentence names them."""
    assert asked(date(2027, 12, 4)).suggests is Suggests.COVERED
    late = asked(date(2027, 12, 5))
    assert late.suggests is Suggests.NOT_COVERED
    assert "2025/26" in str(late.sentence)


def test_cause_that_is_left_out_is_not_covered_and_no_cause_cannot_say():
    """A cause is a person's word; without one nothing is suggested."""
    assert asked(date(2026, 1, 1), "use damage").suggests is Suggests.NOT_COVERED
    assert asked(date(2026, 1, 1), "").suggests is Suggests.CANNOT_SAY
    assert asked(date(2026, 1, 1), "unknown").suggests is Suggests.CANNOT_SAY


def test_no_terms_or_no_hand_over_cannot_say():
    """Nothing is assumed."""
    assert asked(date(2026, 1, 1), terms=None).suggests is Suggests.CANNOT_SAY
    assert asked(date(2026, 1, 1), over=None).suggests is Suggests.CANNOT_SAY
