"""Units that loggers write, found in headings and cells, and kept as °C and kPa. Knows no file."""

import re
from enum import StrEnum


class Unit(StrEnum):
    """What a value is written in."""

    CELSIUS = "°C"
    FAHRENHEIT = "°F"
    BAR = "bar"
    MBAR = "mbar"
    PA = "Pa"
    KPA = "kPa"
    MPA = "MPa"
    PSI = "psi"

    @property
    def is_pressure(self) -> bool:
        """Whether it is kept in kPa, not in °C."""
        return self not in (Unit.CELSIUS, Unit.FAHRENHEIT)


PATTERNS = {
    Unit.CELSIUS: re.compile(r"°\s?C\b|\bdeg\.?\s?C\b|celsius|[(\[_]C[)\]]?$|[(\[]C[)\]]|^C$", re.IGNORECASE),
    Unit.FAHRENHEIT: re.compile(
        r"°\s?F\b|\bdeg\.?\s?F\b|fahrenheit|[(\[_]F[)\]]?$|[(\[]F[)\]]|^F$", re.IGNORECASE
    ),
    Unit.BAR: re.compile(r"\bbar\b", re.IGNORECASE),
    Unit.MBAR: re.compile(r"\bmbar\b", re.IGNORECASE),
    Unit.PA: re.compile(r"\bPa\b"),
    Unit.KPA: re.compile(r"\bkPa\b", re.IGNORECASE),
    Unit.MPA: re.compile(r"\bMPa\b"),
    Unit.PSI: re.compile(r"\bpsi[ag]?\b", re.IGNORECASE),
}


# Kept value = (written value + shift) x factor. Pounds per square inch: NIST SP 811, appendix B.
_FACTORS = {
    Unit.CELSIUS: (0.0, 1.0),
    Unit.FAHRENHEIT: (-32.0, 5 / 9),
    Unit.BAR: (0.0, 100.0),
    Unit.MBAR: (0.0, 0.1),
    Unit.PA: (0.0, 0.001),
    Unit.KPA: (0.0, 1.0),
    Unit.MPA: (0.0, 1_000.0),
    Unit.PSI: (0.0, 6.894757),
}


def factors_of(unit: Unit) -> tuple[float, float]:
    """Shift and factor to the kept unit."""
    return _FACTORS[unit]


def unit_in(text: str) -> Unit | None:
    """The unit that a heading or the end of a cell names."""
    return next((unit for unit, pattern in PATTERNS.items() if pattern.search(text)), None)


def without_unit(heading: str) -> str:
    """A heading without its unit."""
    for pattern in PATTERNS.values():
        heading = pattern.sub("", heading)
    return " ".join(re.sub(r"[()\[\]_,;]+", " ", heading).split())
