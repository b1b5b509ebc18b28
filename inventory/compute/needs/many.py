"""Needs of many pairs together, and the factor learned from past builds. Knows no stock and no dates."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from inventory.compute.needs import Exact, Factor, Needs, Range, whole_range
from inventory.compute.reasons import Basis, How, Input
from inventory.compute.units import Amount, Base
from inventory.errors import Refused, say

FEWEST = 5  # builds before a factor is learned
_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Total:
    """One material for many pairs, rounded once."""

    material: str
    base: Base
    amount: Range
    exact: Exact
    how: How


@dataclass(frozen=True, slots=True)
class Use:
    """One past build: what its lay-up puts into the pair, and what was used up."""

    net: Amount
    used: Amount


@dataclass(frozen=True, slots=True)
class Learned:
    """A factor from past builds, or None while there are too few."""

    factor: Factor | None
    builds: int
    how: How


def _usual(lowest: float, expected: float, highest: float) -> Factor:
    return Factor(lowest, expected, highest, Basis.ASSUMED, _PRACTICE)


USUAL: Mapping[str, Factor] = MappingProxyType(
    {
        "edge": _usual(1.05, 1.075, 1.10),
        "base sheet": _usual(1.35, 1.425, 1.50),
        "glass": _usual(1.10, 1.12, 1.15),
        "mixed resin": _usual(1.15, 1.15, 1.25),
        "mixed resin, first-time builders": _usual(1.15, 1.25, 1.25),
        "core blank": _usual(1.05, 1.075, 1.10),
        "sidewall": _usual(1.00, 1.05, 1.05),
        "rubber foil": _usual(1.00, 1.05, 1.05),
        "top sheet": _usual(1.00, 1.25, 1.25),
    }
)
"""Usual factors to offer where nothing was learned. First-time builders lose more resin."""


def total(*, pairs: Sequence[Needs], spares: Sequence[Needs] = ()) -> tuple[Total, ...]:
    """What do these pairs need together, with complete spare pairs?

    Formula: sum of the exact needs of every pair and spare, rounded once at the end; as a rule one
        complete spare pair a workshop
    Units: each material in its base unit
    Shapes: at least one pair; a material measured the same way in all of them
    Refuses: needs.nothing, needs.mixed
    Source: common practice, no source (the spare pair)
    """
    if not pairs:
        raise Refused("needs.nothing", say("There are no pairs to add up."), say("Enter at least one pair."))
    sums: dict[str, tuple[Base, Exact]] = {}
    for need in (need for one in (*pairs, *spares) for need in one.materials):
        base, before = sums.get(need.material, (need.base, Exact(*[Fraction(0)] * 4)))
        if base is not need.base:
            text = say("{material} is measured in two ways in these pairs.", material=need.material)
            raise Refused("needs.mixed", text, say("Measure it the same way in every build."))
        sums[need.material] = (base, _added(before, need.exact_pair))
    inputs = (Input("pairs", len(pairs)), Input("spare pairs", len(spares)))
    how = How("Sum over the pairs and spares, rounded once.", _PRACTICE, inputs)
    return tuple(
        Total(material, base, whole_range(exact=exact, base=base), exact, how)
        for material, (base, exact) in sums.items()
    )


def learn(*, builds: Sequence[Use]) -> Learned:
    """How much of a material is used for what ends up in the ski, by past builds?

    Formula: expected = all used / all net; lowest and highest = the ratios below and above which a tenth
        of the builds lie (straight between neighbours), never past the expected
    Units: a ratio; both amounts of a build in the same base unit
    Shapes: one entry a build; fewer than 5 builds teach nothing yet
    Refuses: needs.use, needs.mixed
    Source: common practice, no source (5 builds, a tenth at each end)
    """
    for build in builds:
        _check_use(build, builds[0].net.base)
    inputs = (
        Input("builds", len(builds)),
        Input("net", sum(build.net.value for build in builds)),
        Input("used", sum(build.used.value for build in builds)),
    )
    how = How(
        "All used over all net; a tenth of the builds lie below and above the range.", _PRACTICE, inputs
    )
    if len(builds) < FEWEST:
        return Learned(None, len(builds), how)
    ratios = sorted(Fraction(build.used.value, build.net.value) for build in builds)
    expected = Fraction(sum(build.used.value for build in builds), sum(build.net.value for build in builds))
    lowest = min(expected, _quantile(ratios, Fraction(1, 10)))
    highest = max(expected, _quantile(ratios, Fraction(9, 10)))
    source = f"learned from {len(builds)} builds"
    factor = Factor(float(lowest), float(expected), float(highest), Basis.LEARNED, source)
    return Learned(factor, len(builds), how)


def _added(one: Exact, two: Exact) -> Exact:
    return Exact(
        one.net + two.net,
        one.lowest + two.lowest,
        one.expected + two.expected,
        one.highest + two.highest,
    )


def _check_use(build: Use, base: Base) -> None:
    """Refuse mixed units, nothing, and a use that cannot be this build's."""
    if build.net.base is not base or build.used.base is not base:
        text = say("These builds measure one material in two ways.")
        raise Refused("needs.mixed", text, say("Learn from builds that measure it the same way."))
    possible = build.net.value > 0 and build.net.value * 3 <= build.used.value * 10 <= build.net.value * 50
    if not possible:
        template = "A build used {used} {base} for {net} {base} in the pair."
        text = say(template, used=build.used.value, net=build.net.value, base=base)
        raise Refused("needs.use", text, say("Leave this build out, or put its record right."))


def _quantile(ordered: Sequence[Fraction], share: Fraction) -> Fraction:
    """The value below which this share, less than all, lies; straight between neighbours."""
    at = share * (len(ordered) - 1)
    low = int(at)
    return ordered[low] + (at - low) * (ordered[low + 1] - ordered[low])
