"""Amounts and measured values as people take them in at a glance, alone or inside a sentence.

Knows no text that was typed and not who reads: a face says whether US units are read. What must be exact, a
field, a sheet that leaves, a record, takes `show`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from inventory.compute.units.base import Amount, Base
from inventory.compute.units.show import Shown, decimal, show, usual_unit
from inventory.compute.units.sums import Side, column, even
from inventory.compute.units.table import UNITS
from inventory.errors import MINUS, Refused, say

DECIMALS = 2
_CHECK = say("Check the number and the unit, and enter it again.")
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

    `exact`: it is held against another, and the two must not look alike. `metric`: the unit that a reader of
    metric units has it in whatever its size: a place on a floor stays in metres. `side`: it is a reckoned
    sum, told as `even` tells it. `less`: what is there of it, told beside it: the sum is what is missing.
    `ordered`: it stands in a table of what to order, as `column` tells it.
    """

    amount: Amount
    exact: bool = False
    metric: str = ""
    side: Side | None = None
    less: Amount | None = None
    ordered: bool = False

    def shown(self, *, us: bool = False, unit: str = "") -> Shown:
        """How is it told to this reader?

        Formula: of a sum first `even`; with `less` the need as told, less what is there as told, so that the
            three add up where they stand in one unit; then `glance`
        Units: `unit` is what `Typed.written_in` holds
        Refuses: units.unknown_unit, units.wrong_dimension
        Source: common practice, no source
        """
        if self.ordered:
            return column(amount=self.amount, side=self.side, us=us)
        amount = self.amount if self.side is None else even(amount=self.amount, side=self.side, us=us)
        if self.less is not None:
            there = even(amount=self.less, side=Side.DOWN, us=us)
            amount = even(amount=Amount(amount.value - there.value, amount.base), side=Side.UP, us=us)
        return glance(amount=amount, unit=unit or ("" if us else self.metric), us=us, exact=self.exact)

    def __str__(self) -> str:
        return str(self.shown())


def at_least(amount: Amount) -> Spoken:
    """How is a need, a shortage, or what to order told?

    Formula: rounded up, so that 0.02 g short is no 0 g short
    Units: those of `amount`
    Refuses: nothing
    Source: common practice, no source
    """
    return Spoken(amount, side=Side.UP)


def at_most(amount: Amount) -> Spoken:
    """How is told what is there, comes along, or is left over?

    Formula: rounded down
    Units: those of `amount`
    Refuses: nothing
    Source: common practice, no source
    """
    return Spoken(amount, side=Side.DOWN)


def about(amount: Amount) -> Spoken:
    """How is an expectation told, that is on no side?

    Formula: to the nearest
    Units: those of `amount`
    Refuses: nothing
    Source: common practice, no source
    """
    return Spoken(amount, side=Side.NEAREST)


def lacking(*, needed: Amount, there: Amount) -> Spoken:
    """How is what is missing told in one sentence with what is needed and what is there?

    Formula: needed as told, less there as told; never below what is missing
    Units: both in the same base unit
    Refuses: nothing
    Source: common practice, no source
    """
    return Spoken(needed, side=Side.UP, less=there)


def metres(value: float) -> Spoken:
    """How is a place along a trailer told inside a sentence?

    Formula: to the nearest centimetre, halves to even
    Units: m
    Refuses: nothing
    Source: common practice, no source
    """
    return Spoken(Amount(round(value * 100) * 10, Base.MM), metric="MTR")


@dataclass(frozen=True, slots=True)
class Theirs:
    """What a reader of US units has for one of ours: its sign, how much of ours one of it is, where it
    begins; how many decimals more than ours it needs to tell as much, and the most it is told with."""

    sign: str
    ours: Fraction
    offset: int = 0
    finer: int = 0
    most: int = 9


_KG = UNITS["LBR"].factor / 1_000_000
_LITRE = UNITS["GLL"].factor / 1_000_000
_STANDARD_GRAVITY = Fraction("9.80665")
_FOOT_M = UNITS["FOT"].factor / 1_000
_KN = _KG * _STANDARD_GRAVITY / 1_000

US_UNITS: Mapping[str, Theirs] = MappingProxyType(
    {
        "°C": Theirs("°F", Fraction(5, 9), 32),
        "K": Theirs("°F", Fraction(5, 9)),
        "K/min": Theirs("°F/min", Fraction(5, 9)),
        "kg": Theirs("lb", _KG),
        "kPa": Theirs("psi", UNITS["PS"].factor, finer=1, most=2),
        "l": Theirs(UNITS["GLL"].symbol, _LITRE, finer=1, most=2),
        "l/h": Theirs(f"{UNITS['GLL'].symbol}/h", _LITRE, finer=1, most=2),
        "l/min": Theirs("ft³/min", UNITS["FTQ"].factor / 1_000_000, finer=1, most=1),
        "kN": Theirs("lbf", _KN, finer=-2, most=0),
        "kJ": Theirs("ft·lbf", _KN * _FOOT_M, finer=-2, most=0),
    }
)
"""The unit that a reader of US units has for one of ours; K is what lies between two temperatures."""

BESIDE: Mapping[str, Theirs] = MappingProxyType(
    {
        **US_UNITS,
        "m": Theirs("ft", _FOOT_M, finer=1, most=2),
        "mm": Theirs("in", UNITS["INH"].factor, finer=1, most=2),
        "g/m²": Theirs("oz/yd²", UNITS["ON"].factor, finer=1, most=1),
        "g/m": Theirs("lb/ft", UNITS["P2"].factor, finer=3, most=3),
        "kg/m³": Theirs("lb/ft³", UNITS["87"].factor, finer=1, most=1),
    }
)
"""The same, and those of ours that stay as they are and have it beside them: a maker's, or a rule's."""


def us_value(*, value: float, unit: str, decimals: int | None = None) -> str:
    """How is a measured value, or a figure off a maker's sheet, told in US units, number and unit?

    Formula: °F = °C × 9/5 + 32; 1 K is 9/5 °F; 1 lb is 453.59237 g, 1 psi 6.894757 kPa, 1 gal 3.785412 l,
        1 ft 0.3048 m, 1 lbf 4.448222 N, each by its definition; with as many decimals as tell what the value
        tells: 18 °C are 64 °F, 18.5 °C are 65.3 °F, 300 kPa are 43.5 psi, 10 l are 2.6 gal
    Units: `unit` is one of `BESIDE`
    Refuses: units.unknown_unit
    Source: NIST Special Publication 811 (2008), appendix B.8 and its definitions (from memory)
    """
    if unit not in BESIDE:
        template = "“{word}” is not a unit that is known here."
        raise Refused("units.unknown_unit", say(template, word=unit), _CHECK)
    theirs = BESIDE[unit]
    exact = Decimal(f"{value:.12g}")
    given = max(0, -int(exact.as_tuple().exponent))
    places = min(given + theirs.finer, theirs.most) if decimals is None else decimals
    number = Fraction(exact) / theirs.ours + theirs.offset
    step = Fraction(10) ** -places
    rounded = round(number / step) * step
    digits = decimal(abs(rounded), max(places, 0))
    if decimals is None and theirs.finer and "." in digits:
        digits = digits.rstrip("0").rstrip(".")
    return f"{MINUS if rounded < 0 else ''}{digits} {theirs.sign}"
