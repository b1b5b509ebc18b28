"""A number that remembers how far each source of doubt could pull it, and what it lacks for not being known.

Knows no trailer. Sums, differences, products and quotients carry the doubt along, to first order: a source
that pulls two terms the same way pulls their sum twice and their difference not at all.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Doubt:
    """A value, its pulls by source, and the names of what is missing from it.

    A pull is the change of the value when that source is off by its whole give or take.
    """

    value: float
    pulls: Mapping[str, float] = field(default_factory=dict)
    missing: frozenset[str] = frozenset()

    @property
    def together(self) -> float:
        """How far off the value may be when every source is off the bad way at once."""
        return math.fsum(abs(pull) for pull in self.pulls.values())

    @property
    def apart(self) -> float:
        """How far off the value may be when the sources have nothing to do with one another."""
        return math.sqrt(math.fsum(pull * pull for pull in self.pulls.values()))

    def __add__(self, other: "Doubt") -> "Doubt":
        return self._joined(other, self.value + other.value, 1.0, 1.0)

    def __sub__(self, other: "Doubt") -> "Doubt":
        return self._joined(other, self.value - other.value, 1.0, -1.0)

    def __mul__(self, other: "Doubt") -> "Doubt":
        return self._joined(other, self.value * other.value, other.value, self.value)

    def __truediv__(self, other: "Doubt") -> "Doubt":
        quotient = self.value / other.value
        return self._joined(other, quotient, 1 / other.value, -quotient / other.value)

    def times(self, factor: float) -> "Doubt":
        """The value and its pulls times a number without doubt."""
        return Doubt(
            self.value * factor, {name: pull * factor for name, pull in self.pulls.items()}, self.missing
        )

    def _joined(self, other: "Doubt", value: float, mine: float, theirs: float) -> "Doubt":
        pulls = {name: pull * mine for name, pull in self.pulls.items()}
        for name, pull in other.pulls.items():
            pulls[name] = pulls.get(name, 0.0) + pull * theirs
        return Doubt(value, pulls, self.missing | other.missing)


ONE = Doubt(1.0)


def total(terms: "list[Doubt]") -> Doubt:
    """What do these come to together?

    Formula: the sum; pulls of one source are added with their signs before any is made positive.
    Units: those of the terms.
    Shapes: any number of terms; none is 0.
    Refuses: nothing
    Source: first-order propagation of uncertainty, JCGM 100:2008, 5.1 and 5.2 (from memory)
    """
    pulls: dict[str, float] = {}
    missing: set[str] = set()
    for term in terms:
        missing |= term.missing
        for name, pull in term.pulls.items():
            pulls[name] = pulls.get(name, 0.0) + pull
    return Doubt(math.fsum(term.value for term in terms), pulls, frozenset(missing))
