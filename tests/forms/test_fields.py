"""Codes in fields: shown as on the tag, everything else as it was typed."""

import pytest

from inventory.compute import codes
from inventory.forms.fields import as_on_tags
from inventory.forms.press import Judge

CODE = codes.make(letter="C", machine="A", seed=b"cycle")


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        (CODE.text, CODE.shown),
        (f"{CODE.text}\n{CODE.text}", f"{CODE.shown}\n{CODE.shown}"),
        (CODE.shown, CODE.shown),
        ("FREIGHTS", "FREIGHTS"),
        (f"HTTPS://QFB.EXAMPLE/OBJ/{CODE.text}", f"HTTPS://QFB.EXAMPLE/OBJ/{CODE.text}"),
        (None, None),
    ],
)
def test_code_in_a_field_stands_as_on_its_tag(typed: str | None, shown: str | None) -> None:
    """Only what is a code, its check character with it, is written apart."""
    assert as_on_tags(typed) == shown


def test_form_that_was_opened_with_a_code_shows_it_as_on_its_tag() -> None:
    """From an address the code comes bare."""
    assert f'value="{CODE.shown}"' in str(Judge(initial={"cycle": CODE.text})["cycle"])
