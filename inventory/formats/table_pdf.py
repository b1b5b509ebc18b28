"""A paper with one table as PDF: a heading, a few lines, the rows, their sums. Knows no order and no money.

Texts come as they are to be read; a long one wraps within its column, a long table goes on overleaf.
"""

import io
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from reportlab.lib.colors import black
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from inventory.formats.qr_sheet import PAPER_MM, Paper
from inventory.formats.qr_tag import REGULAR

MARGIN_MM = 15.0
_PADDING_PT = 6  # what a frame keeps free on each side of its text: the table keeps to it too
_DRAWING = threading.Lock()  # the font files' readers keep a position: one document at a time
_TEXT = ParagraphStyle("text", fontName=REGULAR, fontSize=10, leading=13)
_RIGHT = ParagraphStyle("right", parent=_TEXT, alignment=TA_RIGHT)
_HEAD = ParagraphStyle("head", parent=_TEXT, fontSize=18, leading=24)


@dataclass(frozen=True, slots=True)
class TablePaper:
    """What stands on the paper. `numbers`: how many of the last columns are numbers, set to the right."""

    heading: str
    under: Sequence[str]
    columns: Sequence[str]
    rows: Sequence[Sequence[str]]
    sums: Sequence[tuple[str, str]]
    numbers: int = 0


def pdf(paper: TablePaper, *, size: Paper = Paper.A4) -> bytes:
    """The paper as PDF, the same bytes for the same words."""
    wide, high = (length * mm for length in PAPER_MM[size])
    out = io.BytesIO()
    inner = wide - 2 * MARGIN_MM * mm - 2 * _PADDING_PT
    table = Table(_cells(paper), colWidths=_widths(paper, inner), repeatRows=1)
    table.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LINEBELOW", (0, 0), (-1, 0), 1, black),
                ("LINEBELOW", (0, 1), (-1, -1), 0.25, black),
                ("LEFTPADDING", (0, 0), (0, -1), 0),
            ]
        )
    )
    story = [_line(paper.heading, _HEAD), *(_line(text, _TEXT) for text in paper.under)]
    with _DRAWING:
        document = SimpleDocTemplate(
            out,
            pagesize=(wide, high),
            title=_plain(paper.heading),
            invariant=1,
            **{f"{side}Margin": MARGIN_MM * mm for side in ("left", "right", "top", "bottom")},
        )
        document.build([*story, Spacer(1, 5 * mm), table])
    return out.getvalue()


def _cells(paper: TablePaper) -> list[list[Paragraph]]:
    last = len(paper.columns) - paper.numbers
    rows = [paper.columns, *paper.rows]
    found = [[_line(cell, _TEXT if at < last else _RIGHT) for at, cell in enumerate(row)] for row in rows]
    for name, value in paper.sums:
        blank = [_line("", _TEXT)] * (len(paper.columns) - 2)
        found.append([_line(name, _TEXT), *blank, _line(value, _RIGHT)])
    return found


def _widths(paper: TablePaper, inner: float) -> list[float]:
    """The first column takes a third, the others share the rest."""
    others = len(paper.columns) - 1
    return [inner / 3, *[inner * 2 / 3 / others] * others]


def _line(text: str, style: ParagraphStyle) -> Paragraph:
    return Paragraph(escape(_plain(text)), style)


def _plain(text: str) -> str:
    return "".join(sign for sign in text if sign.isprintable())
