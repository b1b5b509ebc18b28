"""One cut as it was done: what it takes of a sheet, a stick or a roll, and how much of that is lost.

Knows lengths and widths; no material, no stock. A size without a width is of what is kept by its length.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.compute.cutting.facts import LONGEST_MM
from inventory.compute.reasons import number
from inventory.errors import Refused, say

MOST_SIZES = 40


@dataclass(frozen=True, slots=True, order=True)
class Size:
    """A length, and a width where it is a sheet."""

    length_mm: int
    width_mm: int | None = None

    @property
    def amount(self) -> int:
        """In the base unit of what it is cut from: mm, or mm2."""
        return self.length_mm * (self.width_mm or 1)

    def fits(self, other: "Size") -> bool:
        """True when this can be cut out of the other, not turned."""
        return self.length_mm <= other.length_mm and (self.width_mm or 0) <= (other.width_mm or 0)


@dataclass(frozen=True, slots=True)
class Some:
    """So many pieces of one size."""

    size: Size
    count: int

    @property
    def amount(self) -> int:
        """All of them, in the base unit."""
        return self.size.amount * self.count


@dataclass(frozen=True, slots=True)
class Taken:
    """What a cut takes of its source, and what of that is neither piece nor offcut; base units."""

    amount: int
    lost: int


def taken(
    *, source: Size, lengths: int | None, pieces: Sequence[Some], offcuts: Sequence[Size], kerf_mm: float
) -> Taken:
    """What does a cut take, and what is lost in it?

    Formula: of whole lengths, or a whole offcut: lengths × source; off a roll: the pieces in rows across its
        width, the longest first, each row its longest piece and one kerf. Lost = taken − pieces − offcuts.
        There is room when sum of (l + kerf)(w + kerf) of pieces and offcuts <=
        lengths × (L + kerf)(W + kerf);
        by length alone without the widths
    Units: mm; mm or mm2
    Shapes: `lengths` None: off a roll, of which `source` is what is left
    Refuses: cutting.no_pieces, cutting.count, cutting.length, cutting.width, cutting.kerf, cutting.too_long,
        cutting.too_wide, cutting.no_room, cutting.too_many
    Source: common practice, no source (arithmetic)
    Caution: a record says nothing about how to saw: guarded, clamped, hands clear, by an adult who may do it.
    """
    if not pieces:
        raise Refused("cutting.no_pieces", say("There are 0 pieces to cut."), say("Enter the pieces."))
    if len(pieces) + len(offcuts) > MOST_SIZES:
        raise Refused(
            "cutting.too_many",
            say("{count} sizes are more than one cut holds.", count=len(pieces) + len(offcuts)),
            say("Record it as several cuts."),
        )
    kerf = number(kerf_mm, code="cutting.kerf", name="The kerf", unit="mm", at_least=0, at_most=50)
    rows = [*pieces, *(Some(size, 1) for size in offcuts)]
    for row in rows:
        _check(row, source)
    if lengths is None:
        used = _off_a_roll(source, rows, kerf)
        whole = Size(used, source.width_mm)
    else:
        number(lengths, code="cutting.count", name="The number of lengths", at_least=1, at_most=LONGEST_MM)
        _check_room(source, lengths, rows, kerf)
        whole = source
    amount = whole.amount * (lengths or 1)
    return Taken(amount, amount - sum(row.amount for row in rows))


def _check(row: Some, source: Size) -> None:
    """Each size by itself: whole numbers, at least one, and no larger than what it comes from."""
    number(row.count, code="cutting.count", name="The number of pieces", at_least=1, at_most=LONGEST_MM)
    size = row.size
    most = LONGEST_MM
    number(
        size.length_mm,
        code="cutting.length",
        name="The length of a piece",
        unit="mm",
        at_least=1,
        at_most=most,
    )
    if (size.width_mm is None) is not (source.width_mm is None):
        raise Refused(
            "cutting.width",
            say("{length} mm: the width does not fit how this is kept.", length=size.length_mm),
            say("Of a sheet enter length and width; of what is kept by its length the length alone."),
        )
    if size.width_mm is not None:
        number(
            size.width_mm,
            code="cutting.width",
            name="The width of a piece",
            unit="mm",
            at_least=1,
            at_most=most,
        )
    if size.length_mm > source.length_mm:
        raise Refused(
            "cutting.too_long",
            say(
                "A piece of {piece} mm does not come out of {length} mm.",
                piece=size.length_mm,
                length=source.length_mm,
            ),
            say("Take a longer one; pieces lie along the sheet and are not turned."),
        )
    if not size.fits(source):
        raise Refused(
            "cutting.too_wide",
            say(
                "A piece {piece} mm wide does not come out of {width} mm.",
                piece=size.width_mm,
                width=source.width_mm,
            ),
            say("Take a wider one; pieces lie along the sheet and are not turned."),
        )


def _off_a_roll(source: Size, rows: Sequence[Some], kerf: float) -> int:
    """How much length goes, whole millimetres."""
    exact = Fraction(str(kerf))
    widest = max(row.size.width_mm or 1 for row in rows)
    across = int(((source.width_mm or 1) + exact) // (widest + exact)) if source.width_mm else 1
    each = sorted((row.size.length_mm for row in rows for _ in range(min(row.count, 20_000))), reverse=True)
    used = math.ceil(sum(each[place] + exact for place in range(0, len(each), across)))
    if used > source.length_mm + math.ceil(exact):  # the last cut may end flush
        raise _no_room(used, source.length_mm)
    return min(used, source.length_mm)


def _check_room(source: Size, lengths: int, rows: Sequence[Some], kerf: float) -> None:
    exact = Fraction(str(kerf))
    needed = sum((_with(row.size, exact) * row.count for row in rows), Fraction(0))
    there = _with(source, exact) * lengths
    if needed > there:
        raise _no_room(math.ceil(needed), math.floor(there))


def _with(size: Size, kerf: Fraction) -> Fraction:
    return (size.length_mm + kerf) * (1 if size.width_mm is None else size.width_mm + kerf)


def _no_room(needed: int, there: int) -> Refused:
    return Refused(
        "cutting.no_room",
        say(
            "Pieces, offcuts and kerf take {needed}, and there are {there} mm or mm².",
            needed=needed,
            there=there,
        ),
        say("Check sizes, counts and the kerf; an offcut is what was measured after the cut."),
    )
