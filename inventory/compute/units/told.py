"""Amounts and measured values as people take them in at a glance, alone or inside a sentence.

Knows no text that was typed and not who reads: a face says whether US units are read. What must be exact, a
field, a sheet that leaves, a record, takes `show`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from inventory.compute.units.base import Amount
from inventory.compute.units.show import Shown, show, show_value, usual_unit
from inventory.compute.units.table import UNITS
from inventory.errors import MINUS

DECIMALS = 2
_A_LOT = 1_000_000_000
_SMALL = {"MTR": 2.5}  # below so many an amount is small: a ski keeps its millimetres, a roll does not
_METRIC = {"KGM": "GRM", "MTR": "MMT", "LTR": "MLT"}
_SMALLER = _METRIC | {"LBR": "ONZ", "FOT": "INH", "FTK": "INK", "GLL": "OZA"}


def glance(*, amount: Amount, unit: str = "", us: bool = False, exact: bool = False) -> Shown:
    """How is this amount told to somebody at a bench?

    Formula: in `unit`, else the usual one, to at most two decimals without zeros at the end; below ten of a
        unit of mass or volume in the smaller one where two decimals lose something: 1.234 kg is 1234 g.
        For a length that ends at 2.5 m: a ski is 1854 mm, edge is 6.59 m beside 46.11 m. With
        `exact` nothing metric is lost: 6587 mm, where two amounts are held against each other
    Units: `unit` is what `Typed.written_in` holds
    Refuses: units.unknown_unit, units.wrong_dimension
    Source: common practice, no source
    """
    sized = amount if amount.value else Amount(_A_LOT, amount.base)  # none is none of the large unit
    unit = unit or usual_unit(amount=sized, us=us)
    found = show(amount=amount, unit=unit)
    short = _decimals(found) <= DECIMALS and (found.exact or not exact)
    if len(found.parts) > 1 or "/" in unit or short:
        return found
    if exact and unit in _METRIC:
        return show(amount=amount, unit=_METRIC[unit])
    smaller = _SMALLER.get(unit)
    if smaller and abs(amount.value) < _SMALL.get(unit, 10) * UNITS[unit].factor:
        lower = show(amount=amount, unit=smaller)
        if not us or (lower.exact and _decimals(lower) <= DECIMALS):
            found, unit = lower, smaller
    return found if _decimals(found) <= DECIMALS else _rounded(amount, unit)


def _rounded(amount: Amount, unit: str) -> Shown:
    """To two decimals, without zeros at the end."""
    text = show(amount=amount, unit=unit, decimals=DECIMALS).number
    kept = len(text.rpartition(".")[2].rstrip("0"))
    return show(amount=amount, unit=unit, decimals=kept)


def _decimals(found: Shown) -> int:
    return len(found.number.partition(".")[2])


@dataclass(frozen=True, slots=True)
class Spoken:
    """An amount inside a sentence: metric as plain text, in the reader's units where a face shows it.

    `exact`: it is held against another, and the two must not look alike.
    """

    amount: Amount
    exact: bool = False

    def __str__(self) -> str:
        return str(glance(amount=self.amount, exact=self.exact))


US_UNITS: Mapping[str, str] = MappingProxyType({"°C": "FAH", "K": "FAH", "K/min": "FAH", "kg": "LBR"})
"""The unit that a reader of US units has for one of ours; K is what lies between two temperatures."""

_KEPT = {"°C": 1, "kg": 1_000_000}


def us_value(*, value: float, unit: str, decimals: int | None = None) -> str:
    """How is a temperature, a difference of two or a mass told in US units, number and unit?

    Formula: °F = °C × 9/5 + 32; 1 K is 9/5 °F; 1 lb is 453.59237 g; with as many decimals as the value has:
        18 °C are 64 °F, 18.5 °C are 65.3 °F
    Units: `unit` is °C, K, K/min or kg
    Refuses: units.bad_decimals
    Source: UN/ECE Recommendation 20, revision 17 (2021) (read)
    """
    exact = Decimal(f"{value:.12g}")
    places = max(0, -int(exact.as_tuple().exponent)) if decimals is None else decimals
    if unit in _KEPT:
        shown = show_value(value=Fraction(exact) * _KEPT[unit], unit=US_UNITS[unit], decimals=places)
        return str(shown)
    number = f"{exact * 9 / 5:.{places}f}".replace("-", MINUS)
    return f"{number} {unit.replace('K', '°F')}"
