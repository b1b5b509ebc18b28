"""Amounts and values as people read them, number and unit apart. Knows no text that was typed.

A page sets the unit smaller than the number and puts its own decimal mark; it rounds nothing again.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from inventory.compute.reasons import How, Input
from inventory.compute.units.base import DIMENSION, THOUSANDS, Amount, Base
from inventory.compute.units.table import SOURCE, UNITS, Dimension, Unit
from inventory.errors import Refused, Sentence, say

MOST_DECIMALS = 9
_ASKED = re.compile(r"(?P<codes>[0-9A-Z]+(?: [0-9A-Z]+)*)(?P<sixteenths>/16)?")
_SIXTEENTHS = 16
_CHECK = say("Check the number and the unit, and enter it again.")
_USUAL_METRIC = {
    Base.MG: ("KGM", "GRM", "MGM"),
    Base.MM: ("MTR", "MMT"),
    Base.MM2: ("MTK", "CMK", "MMK"),
    Base.UL: ("LTR", "MLT", "4G"),
    Base.PIECE: ("H87",),
}
_SEVERAL = {"H87": "pieces", "PR": "pairs", "DZN": "dozens"}  # words, not symbols: they have a plural
_SHARE = {"MTK": Fraction(1, 100)}  # of a unit that is enough to be told in it
_USUAL_US = {
    Base.MG: ("LBR", "ONZ"),
    Base.MM: ("FOT", "INH"),
    Base.MM2: ("FTK", "INK"),
    Base.UL: ("GLL", "OZA"),
    Base.PIECE: ("H87",),
}


@dataclass(frozen=True, slots=True)
class ShownPart:
    """A number and its unit, apart, so that a page can set the unit smaller."""

    number: str
    unit: str


@dataclass(frozen=True, slots=True)
class Shown:
    """A number in the units asked for; `exact` says that nothing is lost by reading it back."""

    parts: tuple[ShownPart, ...]
    exact: bool
    step: Fraction
    how: How

    @property
    def number(self) -> str:
        """The number of the first part: the whole of it unless there are several parts."""
        return self.parts[0].number

    @property
    def unit(self) -> str:
        """The unit of the first part."""
        return self.parts[0].unit

    @property
    def rounding(self) -> Sentence | None:
        """What rounding did, or None when nothing was lost."""
        if self.exact:
            return None
        return say("Rounded to {step} {unit}.", step=decimal(self.step), unit=self.parts[-1].unit)

    def __str__(self) -> str:
        return " ".join(f"{part.number} {part.unit}".rstrip() for part in self.parts)


def show(*, amount: Amount, unit: str | None = None, decimals: int | None = None, us: bool = False) -> Shown:
    """How is this amount written in a unit?

    Formula: number = amount / factor, to the fewest decimals that read back to the same amount,
        at most the unit's own (a third decimal after 1 to 999 gets a 0, so that it cannot mean
        thousands); with `decimals`, to exactly that many; halves to even
    Units: `unit` is what `Typed.written_in` holds ("KGM", "LBR ONZ", "INH/16" for sixteenths);
        without it a usual unit for the size, metric or US
    Refuses: units.unknown_unit, units.wrong_dimension, units.bad_decimals
    Source: UN/ECE Recommendation 20, revision 17 (2021) (read)
    """
    units, parts_of = _asked(unit or usual_unit(amount=amount, us=us), DIMENSION[amount.base])
    last = units[-1]
    size = abs(amount.value)
    step = Fraction(1, parts_of) if parts_of > 1 else _step(decimals) or _fewest(size, last)
    rounded = round(size / last.factor / step) * step
    sign = "−" if amount.value < 0 and rounded else ""
    parts = _spread(rounded, units, sign)
    number = _mixed(parts[-1][1]) if parts_of > 1 else decimal(parts[-1][1], decimals)
    rule = f"{amount.value} {amount.base} / {last.factor}, to {decimal(step)} {last.symbol}, halves to even."
    how = How(rule, SOURCE, (Input("amount", amount.value, amount.base),))
    exact = _reads_back(rounded, last, size)
    return Shown(_worded(parts, number), exact, step, how)


def show_value(*, value: Fraction | float, unit: str, decimals: int | None = None) -> Shown:
    """How is a property such as a temperature or an areal weight written in a unit?

    Formula: number = (value − offset) / factor, to `decimals` or the unit's own decimals, halves to even
    Units: `value` in the kept unit of the unit's dimension; `unit` is a Recommendation 20 code
    Refuses: units.unknown_unit, units.not_a_number, units.bad_decimals
    Source: UN/ECE Recommendation 20, revision 17 (2021) (read)
    """
    (asked,), _ = _asked(unit, None)
    try:
        number = (Fraction(value) - asked.offset) / asked.factor
    except (ValueError, OverflowError):
        raise Refused("units.not_a_number", say("{value} is not a number.", value=value), _CHECK) from None
    step = _step(decimals) or Fraction(1, 10**asked.decimals)
    rounded = round(number / step) * step
    parts = _spread(abs(rounded), (asked,), "−" if rounded < 0 else "")
    rule = f"(value − {asked.offset}) / {asked.factor}, to {decimal(step)} {asked.symbol}, halves to even."
    how = How(rule, SOURCE, (Input("value", float(value), asked.dimension),))
    return Shown(_worded(parts, decimal(parts[0][1], decimals)), rounded == number, step, how)


def usual_unit(*, amount: Amount, us: bool = False) -> str:
    """Which unit suits the size of this amount?

    Formula: the biggest usual unit of which there is at least one; otherwise the smallest; an area counts
        as a square metre from a hundredth of it: 0.5111 m² reads better than 5111.11 cm²
    Units: a Recommendation 20 code
    Refuses: nothing
    Source: common practice, no source
    """
    codes = (_USUAL_US if us else _USUAL_METRIC)[amount.base]
    fits = (code for code in codes if abs(amount.value) >= UNITS[code].factor * _SHARE.get(code, 1))
    return next(fits, codes[-1])


def decimal(value: Fraction, places: int | None = None) -> str:
    """How is a number at or above zero written?

    Formula: with `places` decimals, halves to even; without it as many as it needs, at most 9, but
        1.234 could mean thousands and would be refused when typed, so it is written 1.2340
    Refuses: nothing
    Source: common practice, no source
    """
    kept = MOST_DECIMALS if places is None else places
    digits = f"{round(value * 10**kept):0{kept + 1}d}"
    whole, rest = (digits[:-kept], digits[-kept:]) if kept else (digits, "")
    if places is None:
        rest = rest.rstrip("0")
    number = f"{whole}.{rest}" if rest else whole
    return number + "0" if places is None and THOUSANDS.fullmatch(number) else number


def _step(decimals: int | None) -> Fraction | None:
    """The step of a number of decimals, or None when none was asked for."""
    if decimals is None:
        return None
    if not 0 <= decimals <= MOST_DECIMALS:
        template = "{decimals} decimals cannot be shown; 0 to {most} can."
        raise Refused("units.bad_decimals", say(template, decimals=decimals, most=MOST_DECIMALS), _CHECK)
    return Fraction(1, 10**decimals)


def _asked(written_in: str, dimension: Dimension | None) -> tuple[tuple[Unit, ...], int]:
    """The units a stored `written_in` names, and the denominator for fractions (1 for decimals)."""
    found = _ASKED.fullmatch(written_in)
    codes = found["codes"].split() if found else []
    if not found or any(code not in UNITS for code in codes) or (dimension is None and len(codes) != 1):
        template = "“{word}” is not a unit that is known here."
        raise Refused("units.unknown_unit", say(template, word=written_in), _CHECK)
    units = tuple(UNITS[code] for code in codes)
    other = next((unit.dimension for unit in units if dimension not in (None, unit.dimension)), None)
    if other:
        template = "“{text}” measures {typed}; {wanted} is needed."
        values = {"text": written_in, "typed": other, "wanted": dimension}
        raise Refused("units.wrong_dimension", say(template, **values), _CHECK)
    return units, _SIXTEENTHS if found["sixteenths"] else 1


def _reads_back(value: Fraction, unit: Unit, size: int) -> bool:
    """Would this number, typed, be the same amount? Pieces are never rounded when typed."""
    typed = value * unit.factor
    return (typed if unit.dimension is Dimension.COUNT else round(typed)) == size


def _fewest(size: int, unit: Unit) -> Fraction:
    """The coarsest decimal step of a unit that still reads back to the same whole number of base units."""
    for places in range(unit.decimals):
        step = Fraction(1, 10**places)
        if _reads_back(round(size / unit.factor / step) * step, unit, size):
            return step
    return Fraction(1, 10**unit.decimals)


def _spread(value: Fraction, units: tuple[Unit, ...], sign: str) -> list[tuple[str, Fraction, Unit]]:
    """Spread a value of the last unit over all units, biggest first: sign, number, unit."""
    rest = value * units[-1].factor
    parts = []
    for unit in units[:-1]:
        count = rest // unit.factor
        rest -= count * unit.factor
        parts.append((sign, Fraction(count), unit))
        sign = ""
    return [*parts, (sign, rest / units[-1].factor, units[-1])]


def _worded(parts: list[tuple[str, Fraction, Unit]], last: str) -> tuple[ShownPart, ...]:
    """The parts in words; all but the last are whole."""
    big = [ShownPart(f"{sign}{number}", unit.symbol) for sign, number, unit in parts[:-1]]
    sign, _, unit = parts[-1]
    word = unit.symbol if last == "1" else _SEVERAL.get(unit.code, unit.symbol)
    return (*big, ShownPart(sign + last, word))


def _mixed(value: Fraction) -> str:
    """6 1/4, 1/4, 6 or 0."""
    whole, rest = divmod(value, 1)
    return " ".join(str(piece) for piece in (whole, rest) if piece) or "0"
