"""Strips from sheets: pieces of one width end to end in strips, strips side by side across the sheet.

Knows lengths and widths; no material, no stock. Pieces lie along the sheet and are not turned.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.compute.cutting import plan
from inventory.compute.cutting.facts import CutPlan, Piece, Stick
from inventory.compute.reasons import Given, How, Input, Level, Reason
from inventory.errors import Refused, say


@dataclass(frozen=True, slots=True)
class Strip:
    """So many pieces of one length and width."""

    length_mm: int
    width_mm: int
    count: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet that can be bought; its length is the way the pieces lie."""

    code: str
    length_mm: int
    width_mm: int
    price_cents: int | None = None


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """How many sheets, how each is cut across, and how the strips of each width are cut along."""

    sheet: Sheet
    sheets: int
    at_best: int
    across: CutPlan
    along: tuple[tuple[int, CutPlan], ...]
    cost_cents: int | None
    reasons: tuple[Reason, ...]
    how: How


def plan_sheets(*, pieces: Sequence[Strip], sheet: Sheet, kerf_mm: Given[float]) -> SheetPlan:
    """How many sheets the pieces take when they are cut into strips first, beside the fewest possible.

    Formula: strips of each width by the length plan; sheets by the same plan across the width. at_best =
        ceil of sum (l + kerf)(w + kerf) / ((L + kerf)(W + kerf)); when every piece is longer than half the
        sheet, each crosses its middle, and the plan across bounds it too.
    Units: mm; cents of one currency.
    Shapes: any number of pieces (equal ones are added up).
    Refuses: cutting.no_pieces, cutting.length, cutting.count, cutting.too_many, cutting.kerf,
        cutting.too_long, cutting.too_wide, cutting.price, cutting.unnamed
    Source: common practice, no source (strips first); the bound by area and by the cut through the middle.
    Caution: large sheets are lifted by two; sawing is for an adult who may do it, guarded and with
        extraction.
    """
    by_width: dict[int, list[Piece]] = defaultdict(list)
    for piece in pieces:
        by_width[piece.width_mm].append(Piece(piece.length_mm, piece.count))
    if by_width and max(by_width) > sheet.width_mm:
        raise Refused(
            "cutting.too_wide",
            say(
                "A piece {width} mm wide does not come out of {code}, which is {sheet} mm wide.",
                width=max(by_width),
                code=sheet.code,
                sheet=sheet.width_mm,
            ),
            say("Choose a wider sheet; pieces lie along the sheet and are not turned."),
        )
    whole = Stick(sheet.code, sheet.length_mm)
    along = [
        (width, plan(pieces=by_width[width], stick=whole, kerf_mm=kerf_mm)) for width in sorted(by_width)
    ]
    across = plan(
        pieces=[Piece(width, rows.bought) for width, rows in along],
        stick=Stick(sheet.code, sheet.width_mm, sheet.price_cents),
        kerf_mm=kerf_mm,
    )
    at_best = max(_by_area(pieces, sheet, kerf_mm.value), _through_the_middle(pieces, sheet, across))
    how = How(
        "Strips of one width from the sheet's length, then strips side by side across its width; at best by "
        "area, and by the cut through the middle when all pieces are longer than half the sheet.",
        "common practice, no source",
        (
            Input("pieces", sum(piece.count for piece in pieces)),
            Input("sheet length", sheet.length_mm, "mm"),
            Input("sheet width", sheet.width_mm, "mm"),
            Input("kerf", kerf_mm.value, "mm", kerf_mm.basis),
        ),
    )
    return SheetPlan(
        sheet,
        across.bought,
        at_best,
        across,
        tuple(along),
        across.cost_cents,
        _says(across.bought, at_best, how),
        how,
    )


def _by_area(pieces: Sequence[Strip], sheet: Sheet, kerf_mm: float) -> int:
    """In exact fractions: a bound rounded up by an inexact sum would be no bound."""
    kerf = Fraction(kerf_mm)
    needed = sum((piece.length_mm + kerf) * (piece.width_mm + kerf) * piece.count for piece in pieces)
    return math.ceil(needed / ((sheet.length_mm + kerf) * (sheet.width_mm + kerf)))


def _through_the_middle(pieces: Sequence[Strip], sheet: Sheet, across: CutPlan) -> int:
    """Two pieces longer than half the sheet share no strip: they lie side by side across its middle."""
    return across.at_best if all(2 * piece.length_mm > sheet.length_mm for piece in pieces) else 0


def _says(sheets: int, at_best: int, how: How) -> tuple[Reason, ...]:
    if sheets == at_best:
        sentence = say("{sheets} sheets; no plan needs fewer.", sheets=sheets)
        return (Reason("cutting.fewest", sentence, Level.FINE, how),)
    sentence = say("At best {at_best} sheets; this plan takes {sheets}.", at_best=at_best, sheets=sheets)
    return (Reason("cutting.near_fewest", sentence, Level.FINE, how),)
