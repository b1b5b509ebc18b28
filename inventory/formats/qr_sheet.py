"""Tags on paper: labels in, a PDF of sheets or of a roll out. Knows no thing and no database.

Each code is drawn as one path of run-length rectangles, so its edges stay sharp at any printer's resolution
and no hairline opens between its rows. Lengths are in mm, counted from the top left corner of the page.

Example: `pdf(labels, sheet=standard_sheet(Paper.A4, Use.BIN), use=Use.BIN, start=3)`.
"""

import io
import math
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from inventory.errors import Refused, say
from inventory.formats.qr_tag import (
    BLOCK,
    MODULE_MM,
    PADDING_MM,
    QUIET,
    REGULAR,
    Label,
    Run,
    Use,
    fit,
    runs,
    words,
)

MOST_LABELS = 1_000
_WORDS_MM = 20.0  # the least width in which a code can still be read beside its symbol
_DRAWING = threading.Lock()  # the font files' readers keep a position: one document at a time


class Paper(StrEnum):
    """A sheet of paper by its own standard."""

    A4 = "A4"
    LETTER = "US Letter"


PAPER_MM: dict[Paper, tuple[float, float]] = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}


@dataclass(frozen=True, slots=True)
class Sheet:
    """How labels lie on a page: all lengths in mm."""

    paper_width: float
    paper_height: float
    columns: int
    rows: int
    label_width: float
    label_height: float
    left: float = 0.0
    top: float = 0.0
    gap_across: float = 0.0
    gap_down: float = 0.0

    @property
    def positions(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows

    def corner(self, position: int) -> tuple[float, float]:
        """Left and top of the label at this position, the first being 0, along the rows."""
        row, column = divmod(position, self.columns)
        across, down = self.label_width + self.gap_across, self.label_height + self.gap_down
        return self.left + column * across, self.top + row * down


# Columns, rows, label width and height: our own grids, centred on the paper.
_GRIDS: dict[tuple[Paper, Use], tuple[int, int, float, float]] = {
    (Paper.A4, Use.PACKAGE): (3, 12, 60.0, 22.0),
    (Paper.A4, Use.SKI): (2, 8, 90.0, 32.0),
    (Paper.A4, Use.BIN): (2, 6, 90.0, 42.0),
    (Paper.A4, Use.DOOR): (1, 4, 180.0, 62.0),
    (Paper.LETTER, Use.PACKAGE): (3, 11, 60.0, 22.0),
    (Paper.LETTER, Use.SKI): (2, 8, 90.0, 32.0),
    (Paper.LETTER, Use.BIN): (2, 6, 90.0, 42.0),
    (Paper.LETTER, Use.DOOR): (1, 4, 180.0, 62.0),
}


# Sheets of ready-cut labels: columns, rows, width, height, left, top, gap across.
# Common practice, no source: measure yours, and try one sheet on plain paper held against it.
LABEL_SHEETS: dict[str, tuple[Paper, tuple[int, int, float, float, float, float, float]]] = {
    "A4, 21 labels 63.5 × 38.1 mm": (Paper.A4, (3, 7, 63.5, 38.1, 7.2, 15.1, 2.5)),
    "A4, 10 labels 99.1 × 57 mm": (Paper.A4, (2, 5, 99.1, 57.0, 4.6, 6.0, 2.6)),
    "US Letter, 30 labels 66.7 × 25.4 mm": (Paper.LETTER, (3, 10, 66.7, 25.4, 4.7, 12.7, 3.1)),
    "US Letter, 10 labels 101.6 × 50.8 mm": (Paper.LETTER, (2, 5, 101.6, 50.8, 3.9, 12.7, 4.8)),
}


def label_sheet(name: str) -> Sheet:
    """One of the sheets of ready-cut labels."""
    paper, (columns, rows, across, down, left, top, gap) = LABEL_SHEETS[name]
    width, height = PAPER_MM[paper]
    return Sheet(width, height, columns, rows, across, down, left, top, gap_across=gap)


def standard_sheet(paper: Paper, use: Use) -> Sheet:
    """The grid that suits this use, centred on plain paper that is cut afterwards."""
    (width, height), (columns, rows, across, down) = PAPER_MM[paper], _GRIDS[paper, use]
    left, top = (width - columns * across) / 2, (height - rows * down) / 2
    return Sheet(width, height, columns, rows, across, down, left, top)


def roll(use: Use) -> Sheet:
    """A roll or strip: one label is one page, as large as in the grid for this use."""
    _, _, across, down = _GRIDS[Paper.A4, use]
    return Sheet(across, down, 1, 1, across, down)


def pdf(labels: Sequence[Label], *, sheet: Sheet, use: Use, start: int = 1) -> bytes:
    """Sheets of tags; `start` is the first free position of a half-used first sheet, from 1 along the rows.

    The same labels give the same bytes.
    Refuses: qr_sheet.no_labels, qr_sheet.too_many, qr_sheet.bad_sheet, qr_sheet.label_too_small,
    qr_sheet.bad_start, and what `qr_tag.runs` refuses.
    """
    _refuse_bad_number(len(labels))
    _refuse_bad_sheet(sheet)
    _refuse_small_label(sheet, use)
    if not 1 <= start <= sheet.positions:
        template = "Position {start} is not on a sheet of {positions} labels."
        raise Refused(
            "qr_sheet.bad_start",
            say(template, start=start, positions=sheet.positions),
            say("Count the first free label along the rows, from 1."),
        )
    drawn = [(label, runs(label)) for label in labels]
    out = io.BytesIO()
    with _DRAWING:
        size = (sheet.paper_width * mm, sheet.paper_height * mm)
        canvas = Canvas(out, pagesize=size, invariant=1, initialFontName=REGULAR)
        canvas.setTitle("Tags")
        for index, (label, dark) in enumerate(drawn, start - 1):
            position = index % sheet.positions
            if position == 0 and index >= start:
                canvas.showPage()
            _draw(canvas, label, dark, sheet=sheet, module=MODULE_MM[use], corner=sheet.corner(position))
        canvas.save()
    return out.getvalue()


def _draw(
    canvas: Canvas,
    label: Label,
    dark: Sequence[Run],
    *,
    sheet: Sheet,
    module: float,
    corner: tuple[float, float],
) -> None:
    """Draw one label with its top left corner here; the page's own origin is bottom left, in points."""
    side, step = BLOCK * module, module * mm
    left = corner[0]
    top = sheet.paper_height - corner[1] - (sheet.label_height - side) / 2
    path = canvas.beginPath()
    for run in dark:
        x, y = left * mm + (run.x + QUIET) * step, top * mm - (run.y + QUIET + 1) * step
        path.rect(x, y, run.length * step, step)
    canvas.drawPath(path, stroke=0, fill=1)
    for line in words(label):
        text, size = fit(line, side, sheet.label_width - side - 2 * PADDING_MM)
        canvas.setFont(line.font, size * mm)
        canvas.drawString((left + side + PADDING_MM) * mm, (top - side * line.baseline) * mm, text)


def _refuse_bad_number(count: int) -> None:
    if count == 0:
        raise Refused(
            "qr_sheet.no_labels", say("There is no label to print."), say("Choose at least one thing.")
        )
    if count > MOST_LABELS:
        raise Refused(
            "qr_sheet.too_many",
            say("{count} labels are more than one file holds ({most}).", count=count, most=MOST_LABELS),
            say("Print them in parts."),
        )


def _refuse_bad_sheet(sheet: Sheet) -> None:
    lengths = (sheet.left, sheet.top, sheet.gap_across, sheet.gap_down)
    sizes = (sheet.paper_width, sheet.paper_height, sheet.label_width, sheet.label_height)
    sound = all(math.isfinite(length) and length >= 0 for length in lengths)
    sound = sound and all(0 < size <= 2_000 for size in sizes) and sheet.columns >= 1 and sheet.rows >= 1
    left, top = sheet.corner(sheet.positions - 1) if sound else (math.inf, math.inf)
    slack = 0.05  # a rounding of the last decimal is no fault
    across, down = sheet.paper_width + slack, sheet.paper_height + slack
    if left + sheet.label_width > across or top + sheet.label_height > down:
        template = "{columns} by {rows} labels of {width} by {height} mm do not fit on {across} by {down} mm."
        raise Refused(
            "qr_sheet.bad_sheet",
            say(
                template,
                columns=sheet.columns,
                rows=sheet.rows,
                width=sheet.label_width,
                height=sheet.label_height,
                across=sheet.paper_width,
                down=sheet.paper_height,
            ),
            say("Measure the sheet again: margins, label and gap, in mm."),
        )


def _refuse_small_label(sheet: Sheet, use: Use) -> None:
    side = BLOCK * MODULE_MM[use]
    if sheet.label_height < side or sheet.label_width < side + _WORDS_MM:
        template = "A {use} tag takes {least} by {side} mm; the label has {width} by {height} mm."
        raise Refused(
            "qr_sheet.label_too_small",
            say(
                template,
                use=use.value,
                least=side + _WORDS_MM,
                side=side,
                width=sheet.label_width,
                height=sheet.label_height,
            ),
            say("Use a larger label; a smaller code would not be read."),
        )
