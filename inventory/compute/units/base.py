"""The base units and the amount itself; all else about units builds on this. Knows no unit but these."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from inventory.compute.units.table import Dimension


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


DIMENSION: Mapping[Base, Dimension] = MappingProxyType(
    {
        Base.MG: Dimension.MASS,
        Base.MM: Dimension.LENGTH,
        Base.MM2: Dimension.AREA,
        Base.UL: Dimension.VOLUME,
        Base.PIECE: Dimension.COUNT,
    }
)
"""What each base unit measures."""

THOUSANDS = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")
"""A number whose mark may stand before decimals or between thousands: never read, never written."""
