"""Amounts as whole numbers of a small base unit, and what people type turned into them.

Knows no material and no lot.

Example: `Amount(2_500_000, Base.MG)` is 2.5 kg.
"""

from dataclasses import dataclass
from enum import StrEnum


class Base(StrEnum):
    """The base units amounts are kept in. A material has exactly one."""

    MG = "mg"
    MM = "mm"
    MM2 = "mm2"
    UL = "ul"
    PIECE = "piece"


@dataclass(frozen=True, slots=True, order=True)
class Amount:
    """A whole number of one base unit."""

    value: int
    base: Base
