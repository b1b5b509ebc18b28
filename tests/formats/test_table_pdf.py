"""A table on paper: a PDF of the size asked, the same for the same words, whatever the words are."""

import re

from hypothesis import given, settings
from hypothesis import strategies as some

from inventory.formats.qr_sheet import Paper
from inventory.formats.table_pdf import TablePaper, pdf

PAPER = TablePaper(
    "Order",
    ["Ulvsnipa"],
    ["Material", "Packs", "Cost"],
    [["Glue", "2", "378.00"]],
    [("All", "378.00")],
    2,
)


def boxes(data: bytes) -> list[tuple[float, float]]:
    """Each page's size in points, as ISO 32000 keeps it: MediaBox of four numbers."""
    found = re.findall(rb"/MediaBox \[ 0 0 ([0-9.]+) ([0-9.]+) \]", data)
    return [(round(float(wide)), round(float(high))) for wide, high in found]


def test_paper_has_the_size_of_the_standard_it_is_asked_for_in():
    """A4 is 210 x 297 mm (ISO 216), US Letter 8.5 x 11 inches: in points of 1/72 inch."""
    assert boxes(pdf(PAPER)) == [(round(210 / 25.4 * 72), round(297 / 25.4 * 72))]
    assert boxes(pdf(PAPER, size=Paper.LETTER)) == [(612, 792)]


def test_paper_is_the_same_for_the_same_words_and_goes_on_overleaf():
    """No moment in it; a hundred rows take several pages."""
    assert pdf(PAPER) == pdf(PAPER)
    many = TablePaper("Order", [], PAPER.columns, [["Glue", "2", "378.00"]] * 100, PAPER.sums, 2)
    assert len(boxes(pdf(many))) > 1


@settings(max_examples=30)
@given(some.text(max_size=300))
def test_paper_takes_any_words(text):
    """Markup, control signs, letters the font has not: a PDF all the same."""
    made = pdf(TablePaper(text, [text], [text, text], [[text, text]], [(text, text)], 1))
    assert made.startswith(b"%PDF-")
    assert made.rstrip().endswith(b"%%EOF")
