"""What is cut from what: pieces, lengths to buy, offcuts, and the plan that comes out; with their checks.

Plain values; plans nothing.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.compute.reasons import How, Reason, number
from inventory.errors import Refused, say

LONGEST_MM = 1_000_000


@dataclass(frozen=True, slots=True)
class Piece:
    """So many pieces of one length."""

    length_mm: int
    count: int


@dataclass(frozen=True, slots=True)
class Stick:
    """A length that can be bought: a stick, a bundle's rod, a strip, a roll."""

    code: str
    length_mm: int
    price_cents: int | None = None


@dataclass(frozen=True, slots=True)
class Offcut:
    """One length that is already there."""

    code: str
    length_mm: int


@dataclass(frozen=True, slots=True)
class Cut:
    """One way to cut, and how often: the pieces in cutting order, and what is left each time.

    `offcut` is its code, or empty for a bought length. Kerf is what is neither piece nor rest.
    """

    offcut: str
    length_mm: int
    pieces_mm: tuple[int, ...]
    times: int
    rest_mm: float

    @property
    def kerf_mm(self) -> float:
        """What the saw takes of one length."""
        return self.length_mm - sum(self.pieces_mm) - self.rest_mm


@dataclass(frozen=True, slots=True)
class CutPlan:
    """What to cut from what. `at_best`: no plan needs fewer bought lengths."""

    stick: Stick
    cuts: tuple[Cut, ...]
    bought: int
    at_best: int
    cost_cents: int | None
    kept_mm: float
    lost_mm: float
    reasons: tuple[Reason, ...]
    how: How


def refuse_bad_piece(piece: Piece) -> None:
    """Refuse a piece without a length, or no piece of it.

    Formula: 1 <= length_mm <= 1,000,000 and 1 <= count <= 1,000,000, whole.
    Units: mm; count.
    Refuses: cutting.length, cutting.count
    Source: common practice, no source.
    """
    _whole(piece.length_mm, "cutting.length", "The length of a piece", "mm", LONGEST_MM)
    _whole(piece.count, "cutting.count", "The number of pieces", "", LONGEST_MM)


def refuse_bad_stick(stick: Stick) -> None:
    """Refuse a length to buy that has no code, no length or an impossible price.

    Formula: 1 <= length_mm <= 1,000,000, whole; price_cents >= 0 or none.
    Units: mm; cents.
    Refuses: cutting.unnamed, cutting.length, cutting.price
    Source: common practice, no source.
    """
    _named(stick.code, stick.length_mm)
    _whole(stick.length_mm, "cutting.length", "The length to buy", "mm", LONGEST_MM)
    if stick.price_cents is not None:
        number(stick.price_cents, code="cutting.price", name="The price", unit="cents", at_least=0)


def refuse_repeated(codes: Sequence[str], where: str) -> None:
    """Refuse a code that is there twice.

    Formula: each code once.
    Units: none.
    Refuses: cutting.repeated
    Source: common practice, no source.
    """
    twice = next((code for code, times in Counter(codes).items() if times > 1), None)
    if twice is not None:
        raise Refused(
            "cutting.repeated",
            say("{code} is twice among {where}.", code=twice, where=where),
            say("Enter it once."),
        )


def refuse_bad_offcuts(offcuts: Sequence[Offcut]) -> None:
    """Refuse an offcut without a code or a length, or a code that is there twice.

    Formula: 1 <= length_mm <= 1,000,000, whole; each code once.
    Units: mm.
    Refuses: cutting.unnamed, cutting.length, cutting.repeated
    Source: common practice, no source.
    """
    for offcut in offcuts:
        _named(offcut.code, offcut.length_mm)
        _whole(offcut.length_mm, "cutting.length", "The length of an offcut", "mm", LONGEST_MM)
    refuse_repeated([offcut.code for offcut in offcuts], "the offcuts")


def _named(code: str, length_mm: int) -> None:
    if not code.strip():
        raise Refused(
            "cutting.unnamed",
            say("A length of {length} mm has no code.", length=length_mm),
            say("Give each length a code."),
        )


def _whole(value: int, code: str, name: str, unit: str, most: int) -> None:
    number(value, code=code, name=name, unit=unit, at_least=1, at_most=most)
    if not isinstance(value, int):
        raise Refused(
            code,
            say("{name} is {value} {unit}, which is not a whole number.", name=name, value=value, unit=unit),
            say("Enter a whole number."),
        )
