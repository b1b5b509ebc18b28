"""How many numbers were got, gathered: what their sums have in common is said once.

Sums of one rule are the rows of a table; rules for the same values stand above the one table of these. Knows
no topic, asks no database, computes nothing.
"""

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass

from django import template

from inventory.compute.reasons import How, Input, Level
from inventory.templatetags.parts import went_in

register = template.Library()


@dataclass(frozen=True, slots=True)
class Sum:
    """A number's own sentence or name, and how it was got; `place`: where on the page a link finds it."""

    label: object
    level: Level
    how: How
    place: str


@dataclass(frozen=True, slots=True)
class Gathered:
    """Sums that are shown together. `rows`: each has its own values; otherwise they share the first one's."""

    sums: tuple[Sum, ...]
    rows: bool

    @property
    def shared(self) -> list[dict[str, object]]:
        """The values that are the same in each."""
        return [went_in(line) for line in self.sums[0].how.inputs if not self.rows or line in self._same]

    @property
    def heads(self) -> list[dict[str, object]]:
        """The columns of a table with a row for each, by the first."""
        return self.lines[0][1] if self.rows else []

    @property
    def lines(self) -> list[tuple[Sum, list[dict[str, object]]]]:
        """Each sum and the values in which they differ."""
        return [
            (each, [went_in(line) for line in each.how.inputs if line not in self._same])
            for each in self.sums
        ]

    @property
    def _same(self) -> set[Input]:
        return set.intersection(*(set(each.how.inputs) for each in self.sums))

    @property
    def rule(self) -> str:
        """The one rule of all; empty when they have several."""
        rules = {each.how.rule for each in self.sums}
        return rules.pop() if len(rules) == 1 else ""

    @property
    def sources(self) -> list[str]:
        """Where the rules are from, each once."""
        return list(dict.fromkeys(each.how.source for each in self.sums))


@register.inclusion_tag("inventory/parts/sums.html")
def sums(given: Iterable[Sum]) -> dict[str, object]:
    """How each of these was got: `{% load sums %}{% sums rows %}`, rows as `Sum`."""
    return {"groups": gathered(given)}


def gathered(sums: Iterable[Sum]) -> list[Gathered]:
    """The sums in groups, in the order in which the first of each came; those that stand alone last."""
    found: list[Gathered] = []
    others: list[Sum] = []
    for group in _groups(sums, _kind):
        if len({each.how.inputs for each in group}) > 1:
            found.append(Gathered(group, rows=True))
        else:
            others += group
    return found + [Gathered(group, rows=False) for group in _groups(others, lambda each: each.how.inputs)]


def _kind(each: Sum) -> Hashable:
    """Sums alike in this can be rows of one table."""
    return each.how.rule, each.how.source, tuple((line.name, line.basis) for line in each.how.inputs)


def _groups(sums: Iterable[Sum], key: Callable[[Sum], Hashable]) -> list[tuple[Sum, ...]]:
    found: dict[Hashable, list[Sum]] = {}
    for each in sums:
        found.setdefault(key(each), []).append(each)
    return [tuple(group) for group in found.values()]
