"""Reckoned sums, needs, shortages and stock, brought to a number a person would say, on their right side.

A need is never told smaller than it is and stock never larger. Knows no sentence; what a scale showed keeps
its digits and does not come here.
"""

from collections.abc import Callable, Mapping
from enum import StrEnum
from fractions import Fraction
from math import ceil, floor
from types import MappingProxyType

from inventory.compute.units.base import Amount, Base
from inventory.compute.units.show import Shown, show
from inventory.compute.units.table import UNITS


class Side(StrEnum):
    """To which side a sum may be off when it is told."""

    UP = "up"  # a need, a shortage, what to order
    DOWN = "down"  # stock, what comes along, what is left over
    NEAREST = "nearest"  # what is expected, and judged by nobody


_Steps = tuple[tuple[Fraction, Fraction], ...]  # from so much on in such steps, largest first


def _steps(*rows: tuple[str, int | str, str]) -> _Steps:
    """Unit, from how many of it on, to what part of it."""
    return tuple(
        (UNITS[unit].factor * Fraction(least), UNITS[unit].factor * Fraction(step))
        for unit, least, step in rows
    )


_PIECES = _steps(("H87", 0, "1"))
_METRIC: Mapping[Base, _Steps] = MappingProxyType(
    {
        Base.MG: _steps(("KGM", 10, "0.01"), ("GRM", 10, "1"), ("GRM", "0.1", "0.1"), ("MGM", 0, "1")),
        Base.MM: _steps(("MTR", "2.5", "0.01"), ("MMT", 0, "1")),
        Base.MM2: _steps(("MTK", "0.01", "0.01"), ("CMK", 10, "1"), ("CMK", "0.1", "0.1"), ("MMK", 0, "1")),
        Base.UL: _steps(("LTR", 10, "0.01"), ("MLT", 10, "1"), ("MLT", "0.1", "0.1"), ("4G", 0, "1")),
        Base.PIECE: _PIECES,
    }
)
_US: Mapping[Base, _Steps] = MappingProxyType(
    {
        Base.MG: _steps(("LBR", 1, "0.01"), ("ONZ", "0.1", "0.1"), ("ONZ", 0, "0.01")),
        Base.MM: _steps(("FOT", 1, "0.01"), ("INH", "0.1", "0.1"), ("INH", 0, "0.01")),
        Base.MM2: _steps(("FTK", 1, "0.01"), ("INK", "0.1", "0.1"), ("INK", 0, "0.01")),
        Base.UL: _steps(("GLL", 1, "0.01"), ("OZA", "0.1", "0.1"), ("OZA", 0, "0.01")),
        Base.PIECE: _PIECES,
    }
)
# what each sort of amount is ordered in, by a reader of US units or of metric ones, and its decimals
_ORDERED_IN: Mapping[bool, Mapping[Base, tuple[str, int]]] = MappingProxyType(
    {
        False: {
            Base.MG: ("KGM", 2),
            Base.MM: ("MTR", 1),
            Base.MM2: ("MTK", 1),
            Base.UL: ("LTR", 2),
            Base.PIECE: ("H87", 0),
        },
        True: {
            Base.MG: ("LBR", 2),
            Base.MM: ("FOT", 1),
            Base.MM2: ("FTK", 1),
            Base.UL: ("GLL", 2),
            Base.PIECE: ("H87", 0),
        },
    }
)
_TO: Mapping[Side, Callable[[Fraction], int]] = {Side.UP: ceil, Side.DOWN: floor, Side.NEAREST: round}


def even(*, amount: Amount, side: Side, us: bool = False) -> Amount:
    """What is said for this sum?

    Formula: to whole grams from 10 g on and to tenths below, from 10 kg on to 10 g; ml likewise;
        whole millimetres, from 2.5 m on centimetres; hundredths of a square metre; US: hundredths of a pound,
        foot, square foot, gallon, below one of them tenths of the smaller unit. Up, down or to the nearest,
        halves to even. What is less than the tenth is told as finely as its unit goes: none is ever nothing
    Units: those of `amount`; `us` for a reader of US units
    Refuses: nothing
    Source: common practice, no source
    """
    size = abs(amount.value)
    step = next(step for least, step in (_US if us else _METRIC)[amount.base] if size >= least)
    return _in_steps(amount, step, side)


def column(*, amount: Amount, side: Side | None, us: bool = False) -> Shown:
    """How is an amount told in a table of what to order, whose rows are held against each other?

    Formula: in the one unit it is ordered in, whatever its size, with as many decimals in every row: 0.75 kg
        below 12.00 kg, nothing at all 0 kg; a sum to its side; an amount that is kept, without `side`, with
        what more it has, or to the nearest where the unit is not the one it is kept in
    Units: kg or lb, m or ft, m² or ft², l or gal (US), pieces
    Refuses: nothing
    Source: common practice, no source
    """
    unit, places = _ORDERED_IN[us][amount.base]
    if not amount.value:
        return show(amount=amount, unit=unit)
    if side is not None:
        amount = _in_steps(amount, UNITS[unit].factor / 10**places, side)
    found = show(amount=amount, unit=unit, decimals=places)
    return found if found.exact or us else show(amount=amount, unit=unit)


def _in_steps(amount: Amount, step: Fraction, side: Side) -> Amount:
    return Amount(round(_TO[side](amount.value / step) * step), amount.base)
