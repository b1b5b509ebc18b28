"""Who reads the page that is being made: in which units. Set once a request by the frame; knows no topic."""

import math
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import cast

from django.utils.functional import lazy
from django.utils.translation import gettext, ngettext

from inventory.compute import units
from inventory.compute.units import Amount, Shown, Spoken

_US_CODES = frozenset({"LBR", "ONZ", "FOT", "INH", "YRD", "FTK", "INK", "YDK", "GLL", "QTL", "PTL", "OZA"})
_SIGNS = "|".join(sorted(map(re.escape, units.US_UNITS), key=len, reverse=True))
_BEFORE_ITS_UNIT = re.compile(
    r"\{(?P<name>\w+)(?::[^{}]*)?\}\s(?:(?P<unit>" + _SIGNS + r")(?![\w/²³·])|\{(?P<other>unit)\})"
)
_US: ContextVar[bool] = ContextVar("us units", default=False)


@contextmanager
def reading(*, us: bool) -> Iterator[None]:
    """Within it amounts are shown in US units, or in metric ones."""
    before = _US.set(us)
    try:
        yield
    finally:
        _US.reset(before)


def read_as(*, us: bool) -> None:
    """From here to the end of `reading`: a command learns the shop's units only once its books are open."""
    _US.set(us)


def us_units() -> bool:
    """True when the reader reads US units."""
    return _US.get()


def shown(value: Amount | Spoken, typed_in: str = "") -> Shown:
    """An amount as a page tells it: in the unit it was typed in where the reader reads that, else the usual.

    Two decimals at most, as `units.glance` says; fields and sheets that leave carry the exact amount.
    """
    us = us_units()
    spoken = value if isinstance(value, Spoken) else Spoken(value)
    return spoken.shown(us=us, unit=typed_in if _reads(typed_in, us=us) else "")


def kept_beside(value: object, unit: object) -> str:
    """The figure of a maker or a rule in the reader's units too, to stand behind it: ` (43.5 psi)`."""
    if not us_units() or unit not in units.BESIDE or not isinstance(value, int | float):
        return ""
    return f" ({units.us_value(value=value, unit=str(unit))})" if math.isfinite(value) else ""


def either(metric: object, us: object) -> str:
    """An example beside a field, in the reader's units once it is shown."""
    return cast("str", lazy(lambda: str(us if us_units() else metric), str)())


def degree() -> str:
    """The sign of the degrees that are read here."""
    return "°F" if us_units() else "°C"


def from_celsius(value: float, *, apart: bool = False) -> float:
    """A temperature, or with `apart` what lies between two, in the reader's degrees."""
    return round(value * 1.8 + (0 if apart else 32), 6) if us_units() else value


def to_celsius(value: float, *, apart: bool = False) -> float:
    """The same back again."""
    return round((value - (0 if apart else 32)) / 1.8, 6) if us_units() else value


def gauge() -> str:
    """The sign of the pressures that are read here."""
    return "psi" if us_units() else "kPa"


def theirs(value: float, unit: str) -> float:
    """A number of one of our units in that of a reader of US units; other than degrees to two decimals."""
    other = units.BESIDE[unit]
    return round(value / float(other.ours) + other.offset, 6 if other.offset else 2)


def ours(value: float, unit: str) -> float:
    """The same back again; where a whole number of ours is shown so, that is meant."""
    other = units.BESIDE[unit]
    exact = (value - other.offset) * float(other.ours)
    return float(round(exact)) if theirs(round(exact), unit) == round(value, 6) else round(exact, 6)


def from_kpa(value: float) -> float:
    """A pressure as the reader's gauges show it."""
    return theirs(value, "kPa") if us_units() else value


def to_kpa(value: float) -> float:
    """The same back again."""
    return ours(value, "kPa") if us_units() else value


def told(value: Amount | Spoken) -> str:
    """An amount inside a sentence or a choice."""
    spoken = value if isinstance(value, Spoken) else Spoken(value)
    parts = spoken.shown(us=us_units()).parts
    return " ".join(f"{part.number} {unit_behind(part.number, part.unit)}".rstrip() for part in parts)


def with_units(template: str, values: Mapping[str, object]) -> tuple[str, Mapping[str, object]]:
    """A sentence's template and values as its reader has units: `{limit} °C` in °F, `{set} kPa` in psi.

    The value and its unit are told as one, so that no number is ever beside a unit that is not its own.
    """
    if not us_units():
        return template, values
    told = dict(values)

    def one(found: re.Match[str]) -> str:
        name, unit = found["name"], found["unit"] or values.get(found["other"])
        value = values.get(name)
        if unit not in units.US_UNITS or not isinstance(value, int | float) or not math.isfinite(value):
            return found[0]
        told[f"{name} in us"] = units.us_value(value=float(value), unit=str(unit))
        return f"{{{name} in us}}"

    return _BEFORE_ITS_UNIT.sub(one, template), told


def unit_behind(number: str, unit: str) -> str:
    """The unit as it stands behind its number: 1 piece, 2 pieces; 1 ski, 2 skis."""
    many = 1 if number == "1" else 2
    if unit == units.UNITS["H87"].symbol:
        return ngettext("piece", "pieces", many)
    if unit == gettext("skis"):
        return ngettext("ski", "skis", many)
    return ngettext("pair", "pairs", many) if unit == gettext("pairs") else unit


def _reads(typed_in: str, *, us: bool) -> bool:
    """True when what was typed in these units is told in them to such a reader; pieces are everybody's."""
    codes = set(typed_in.removesuffix("/16").split())
    return codes <= units.UNITS.keys() and ("H87" in codes or (codes <= _US_CODES) == us)
