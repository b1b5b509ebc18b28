"""Who reads the page that is being made: in which units. Set once a request by the frame; knows no topic."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.utils.translation import ngettext

from inventory.compute import units
from inventory.compute.units import Amount, Shown

DECIMALS = 2
_A_LOT = 1_000_000_000
_SMALL = {"MTR": 2.5}  # below so many an amount is small: a ski keeps its millimetres, a roll does not
_SMALLER = {"KGM": "GRM", "MTR": "MMT", "LTR": "MLT", "LBR": "ONZ", "FOT": "INH", "FTK": "INK", "GLL": "OZA"}
_US_CODES = frozenset({"LBR", "ONZ", "FOT", "INH", "YRD", "FTK", "INK", "YDK", "GLL", "QTL", "PTL", "OZA"})
_US: ContextVar[bool] = ContextVar("us units", default=False)


@contextmanager
def reading(*, us: bool) -> Iterator[None]:
    """Within it amounts are shown in US units, or in metric ones."""
    before = _US.set(us)
    try:
        yield
    finally:
        _US.reset(before)


def us_units() -> bool:
    """True when the reader reads US units."""
    return _US.get()


def shown(amount: Amount, typed_in: str = "") -> Shown:
    """An amount as a page tells it: in the unit it was typed in where the reader reads that, else the usual.

    Two decimals at most: where a small amount has more it goes down a unit, 1.234 kg to 1234 g; a large one
    is rounded, 6.587 m to 6.59 m. Fields and sheets that leave carry the exact amount.
    """
    us = us_units()
    sized = amount if amount.value else Amount(_A_LOT, amount.base)  # none is none of the large unit
    unit = typed_in if typed_in and _reads(typed_in, us=us) else units.usual_unit(amount=sized, us=us)
    found = units.show(amount=amount, unit=unit)
    if len(found.parts) > 1 or "/" in unit or _decimals(found) <= DECIMALS:
        return found
    smaller = _SMALLER.get(unit)
    if smaller and abs(amount.value) < _SMALL.get(unit, 10) * units.UNITS[unit].factor:
        lower = units.show(amount=amount, unit=smaller)
        if not us or (lower.exact and _decimals(lower) <= DECIMALS):
            found, unit = lower, smaller
    return found if _decimals(found) <= DECIMALS else _rounded(amount, unit)


def told(amount: Amount) -> str:
    """An amount inside a sentence or a choice."""
    parts = shown(amount).parts
    return " ".join(f"{part.number} {unit_behind(part.number, part.unit)}".rstrip() for part in parts)


def unit_behind(number: str, unit: str) -> str:
    """The unit as it stands behind its number: 1 piece, 2 pieces."""
    if unit != units.UNITS["H87"].symbol:
        return unit
    return ngettext("piece", "pieces", 1 if number == "1" else 2)


def _rounded(amount: Amount, unit: str) -> Shown:
    """To two decimals, without zeros at the end."""
    text = units.show(amount=amount, unit=unit, decimals=DECIMALS).number
    kept = len(text.rpartition(".")[2].rstrip("0"))
    return units.show(amount=amount, unit=unit, decimals=kept)


def _decimals(found: Shown) -> int:
    return len(found.number.partition(".")[2])


def _reads(typed_in: str, *, us: bool) -> bool:
    """True when what was typed in these units is told in them to such a reader; pieces are everybody's."""
    codes = set(typed_in.removesuffix("/16").split())
    return codes <= units.UNITS.keys() and ("H87" in codes or (codes <= _US_CODES) == us)
