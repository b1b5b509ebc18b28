"""Stretches of days as typed on a supplier's card: read, shown, and what is none."""

import pytest
from django import forms

from inventory.forms.days import Stretches


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("2026-07-01 to 2026-07-31", [["2026-07-01", "2026-07-31"]]),
        (
            "2026-12-24 to 2027-01-02\n\n2026-07-01",
            [["2026-07-01", "2026-07-01"], ["2026-12-24", "2027-01-02"]],
        ),
        ("", []),
    ],
)
def test_stretches_are_read_line_by_line_and_typed_back_the_same(text, kept):
    """One day is a stretch of one; they are kept in the order of the days."""
    field = Stretches()
    assert field.clean(text) == kept
    assert field.clean(field.prepare_value(kept)) == kept


@pytest.mark.parametrize("text", ["July", "2026-07-31 to 2026-07-01", "2026-02-30", "1/7/2026 to 2/7/2026"])
def test_what_is_no_stretch_of_days_is_shown_again(text):
    """No day, days in the wrong order, a day that is none, a date that can be two."""
    with pytest.raises(forms.ValidationError):
        Stretches().clean(text)


def test_stretches_are_shown_so_that_no_one_misreads_them():
    """Months as words."""
    assert Stretches().shown([["2026-07-01", "2026-07-31"]]) == "1 Jul 2026 to 31 Jul 2026"
    assert Stretches().shown([]) == ""
