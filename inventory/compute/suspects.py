"""Suspects: which materials, batches, cycles or days are over-represented among returned skis.

Knows codes and counts; no database, no guest, no decision. Whom to tell follows from the trace, never from a
number computed here.
"""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from inventory.compute import chance
from inventory.compute.chance import Spread, Stratum
from inventory.compute.exposures import Delivered, Factor, Fleet, Line, Unit, merged, refuse_repeated_factors
from inventory.compute.rate import Rate, rate
from inventory.compute.reasons import Basis, How, Input, number
from inventory.errors import Listed, Sentence, Term, say

__all__ = ["Band", "Delivered", "Factor", "Suspect", "Suspects", "Unit", "judge"]

FEWEST_PAIRS = 3
UNLIKELY = 0.01
RARER_IS_NOT_SHOWN = 10**9

CAUTION = say(
    "A defect that may hurt: stop using them. The law may require telling an authority quickly; ask today. "
    "Whom to tell follows from the trace, not from these chances."
)
RULE = (
    "Exact one-sided test within each delivery season; lines that could never reach the bar are left out; "
    "factors with (nearly) the same skis are one line; Holm's adjustment over the lines compared."
)
SOURCE = (
    "Fisher's exact test, stratified by season; Tarone 1990 (lines left out); Holm 1979 (adjustment); "
    "Clopper and Pearson 1934 (interval): from memory"
)


class Band(StrEnum):
    """What the adjusted chance says in words."""

    UNLIKELY = "unlikely to be chance"
    LOOK = "worth a look"
    CHANCE = "could well be chance"
    TOO_FEW = "not enough returns to tell"
    SEASON = "cannot be told apart from the season"


_WORDS: Mapping[Unit, str] = {Unit.SKI: Term("skis"), Unit.PAIR: Term("pairs")}
_ONE: Mapping[Unit, str] = {Unit.SKI: Term("ski"), Unit.PAIR: Term("pair")}
_BAND_SAYS: Mapping[Band, Sentence] = {
    Band.UNLIKELY: say("This is unlikely to be chance."),
    Band.LOOK: say("This is worth a look."),
    Band.CHANCE: say("This could well be chance; it is no all-clear."),
    Band.TOO_FEW: say("There are not enough returns to tell; it is no all-clear."),
    Band.SEASON: say("It covers whole seasons, and cannot be told apart from the season."),
}


@dataclass(frozen=True, slots=True)
class Suspect:
    """One line: factors that cannot be told apart, the counts, and what they say.

    Counts are over the seasons in which the factor occurs. `adjusted` is what sentence and band use; it and
    `chance` (before the adjustment) are None when nothing can be told.
    """

    factor: Factor
    also: tuple[Factor, ...]
    unit: Unit
    delivered: int
    exposed: int
    returned: int
    returned_exposed: int
    band: Band
    chance: float | None
    adjusted: float | None
    rate: Rate
    sentences: tuple[Sentence, ...]
    how: How


@dataclass(frozen=True, slots=True)
class Suspects:
    """All lines, the least likely to be luck first, how many were compared, and the caution beside them."""

    lines: tuple[Suspect, ...]
    compared: int
    pairs_returned: int
    caution: Sentence
    sentences: tuple[Sentence, ...]
    how: How


def judge(
    *,
    failure: str,
    delivered: Sequence[Delivered],
    returned: Collection[str],
    factors: Sequence[Factor],
    bar: float = 0.05,
    alike: float = 0.9,
    confidence: float = 0.95,
) -> Suspects:
    """Which factors are over-represented among the skis that came back with one failure.

    Formula: p = P(as many or more exposed among the returned | each season's totals), exact. Factors are one
        line when (skis in both) / (skis in either) >= alike. Left out when the smallest possible p is above
        bar / m, m the smallest number with at most m lines at or under bar / m (Tarone). Adjusted: largest
        of (lines compared - rank) p over the smaller p, at most 1 (Holm). Bands: <= 0.01, <= bar, above.
        Fewer than 3 returned pairs: nothing is compared.
    Units: skis where a pair has the factor in one ski only, otherwise pairs (a pair came back when either ski
        did). By ski, when both skis of some pair came back: the larger of p by ski and p by pair.
    Shapes: one Delivered a ski; any number of factors, each with at least one delivered ski.
    Refuses: suspects.no_skis, suspects.unnamed, suspects.repeated, suspects.two_seasons,
        suspects.unknown_ski, suspects.no_exposure, suspects.bar, suspects.alike, suspects.confidence
    Source: Fisher's exact test stratified by season; Tarone 1990; Holm 1979; Clopper and Pearson 1934:
        from memory. At least 3 returns: common practice, no source.
    Caution: never wait for a small chance when a failure may hurt: hold the stock and tell the owners by the
        trace. No flag is no all-clear.
    """
    number(bar, code="suspects.bar", name="The bar", at_least=UNLIKELY, at_most=0.5)
    number(alike, code="suspects.alike", name="The overlap that makes one line", above=0.5, at_most=1)
    number(confidence, code="suspects.confidence", name="The confidence", at_least=0.5, at_most=0.9999)
    refuse_repeated_factors(factors)
    fleet = Fleet(delivered, returned)
    lines = merged([fleet.line(factor) for factor in factors], alike)
    chances = _compared(lines, bar) if fleet.pairs_returned >= FEWEST_PAIRS else {}
    adjusted = dict(zip(chances, chance.holm(chances=list(chances.values())), strict=True))
    shown = [
        _suspect(line, failure, _Told(chances.get(place), adjusted.get(place), len(chances), bar), confidence)
        for place, line in enumerate(lines)
    ]
    how = How(
        RULE,
        SOURCE,
        (
            Input("skis delivered", len(delivered)),
            Input("pairs returned", fleet.pairs_returned),
            Input("factors", len(factors)),
            Input("lines", len(lines)),
            Input("lines compared", len(chances)),
            Input("bar", bar, "", Basis.ASSUMED),
            Input("overlap that makes one line", alike, "", Basis.ASSUMED),
        ),
    )
    shown.sort(key=_least_luck_first)
    notes = (_compared_says(fleet.pairs_returned, failure, len(chances), len(lines)),)
    return Suspects(tuple(shown), len(chances), fleet.pairs_returned, CAUTION, notes, how)


def _compared(lines: Sequence[Line], bar: float) -> dict[int, float]:
    """The chance of each line that could reach the bar at all, by its place among the lines."""
    spreads = {place: _spreads(line) for place, line in enumerate(lines) if not line.is_season}
    smallest = {place: max(map(chance.chance_of_most, both)) for place, both in spreads.items()}
    count = chance.could_reach(smallest.values(), bar)
    return {
        place: max(
            chance.chance_at_least(sum(row.returned_exposed for row in strata), spread)
            for strata, spread in zip(_countings(lines[place]), spreads[place], strict=True)
        )
        for place, least in smallest.items()
        if least * count <= bar
    }


def _countings(line: Line) -> list[tuple[Stratum, ...]]:
    return [line.strata] if line.also_by_pair is None else [line.strata, line.also_by_pair]


def _spreads(line: Line) -> list[list[Spread]]:
    return [
        [chance.spread(row.delivered, row.exposed, row.returned) for row in strata]
        for strata in _countings(line)
    ]


@dataclass(frozen=True, slots=True)
class _Told:
    """What the comparison told of one line: nothing, or a chance before and after the adjustment."""

    chance: float | None
    adjusted: float | None
    compared: int
    bar: float


def _band(line: Line, told: _Told) -> Band:
    if line.is_season:
        return Band.SEASON
    if told.adjusted is None:
        return Band.TOO_FEW
    if told.adjusted <= UNLIKELY:
        return Band.UNLIKELY
    return Band.LOOK if told.adjusted <= told.bar else Band.CHANCE


def _suspect(line: Line, failure: str, told: _Told, confidence: float) -> Suspect:
    delivered = sum(row.delivered for row in line.strata)
    exposed = sum(row.exposed for row in line.strata)
    returned = sum(row.returned for row in line.strata)
    both = sum(row.returned_exposed for row in line.strata)
    plausible = rate(failed=both, of=exposed, confidence=confidence)
    band = _band(line, told)
    sentences = (
        _counts_say(line, failure, both=both, exposed=exposed, returned=returned, delivered=delivered),
        *_told_says(line, told),
        _BAND_SAYS[band],
        _rate_says(line, plausible),
        *_also_says(line),
    )
    unit = str(_WORDS[line.unit])
    how = How(
        RULE,
        SOURCE,
        (
            Input("returned with it", both, unit),
            Input("delivered with it", exposed, unit),
            Input("returned in its seasons", returned, unit),
            Input("delivered in its seasons", delivered, unit),
            Input("its seasons", len(line.strata)),
            Input("chance before the adjustment", _percent(told.chance), "%"),
            Input("lines compared", told.compared),
        ),
    )
    return Suspect(
        line.factor,
        line.also,
        line.unit,
        delivered,
        exposed,
        returned,
        both,
        band,
        told.chance,
        told.adjusted,
        plausible,
        sentences,
        how,
    )


def _counts_say(
    line: Line, failure: str, *, both: int, exposed: int, returned: int, delivered: int
) -> Sentence:
    values = {
        "both": both,
        "returned": returned,
        "units": _WORDS[line.unit],
        "unit": _ONE[line.unit],
        "failure": failure,
        "exposed": exposed,
        "kind": Term(line.factor.kind),
        "code": Term(line.factor.code),
        "rest": returned - both,
        "others": delivered - exposed,
    }
    if returned == both == 1:
        return say(
            "The one {unit} returned with {failure} came from the {exposed} of {delivered} {units} of the "
            "same seasons with {kind} {code}.",
            delivered=delivered,
            **values,
        )
    if exposed == 1:
        return say(
            "{both} of the {returned} {units} returned with {failure} came from the one {unit} with {kind} "
            "{code}; {rest} from the {others} other {units} of the same seasons.",
            **values,
        )
    return say(
        "{both} of the {returned} {units} returned with {failure} came from the {exposed} {units} with "
        "{kind} {code}; {rest} from the {others} other {units} of the same seasons.",
        **values,
    )


def _told_says(line: Line, told: _Told) -> tuple[Sentence, ...]:
    """The adjusted chance in words, rounded so that it never falls on the other side of a band."""
    if told.adjusted is None:
        return ()
    values = {"compared": told.compared, "times": _times(told.adjusted)}
    if told.compared == 1:
        often = say("If nothing made a difference, it would stand out this much more often than not.")
        once = say(
            "If nothing made a difference, it would stand out this much about 1 time in {times}.", **values
        )
    else:
        often = say(
            "If nothing made a difference, one of the {compared} things compared would stand out this much "
            "more often than not.",
            **values,
        )
        once = say(
            "If nothing made a difference, one of the {compared} things compared would stand out this much "
            "about 1 time in {times}.",
            **values,
        )
    return (often if told.adjusted > 0.5 else once,)


def _times(adjusted: float) -> int:
    """1 / adjusted, rounded down to two digits."""
    if adjusted * RARER_IS_NOT_SHOWN <= 1:
        return RARER_IS_NOT_SHOWN
    times = math.floor(1 / adjusted)
    unit = 10 ** max(0, len(str(times)) - 2)
    return int(times // unit * unit)


def _rate_says(line: Line, plausible: Rate) -> Sentence:
    values = {
        "of": plausible.of,
        "units": _WORDS[line.unit],
        "unit": _ONE[line.unit],
        "failed": plausible.failed,
        "low": f"{_percent(plausible.low):g}",
        "high": f"{_percent(plausible.high):g}",
    }
    if plausible.of == plausible.failed == 1:
        return say(
            "The one {unit} with it was reported failed: a reported failure rate of {low} % to {high} % is "
            "plausible.",
            **values,
        )
    if plausible.failed == 1:
        return say(
            "Of the {of} {units} with it, 1 was reported failed: a reported failure rate of {low} % to "
            "{high} % is plausible.",
            **values,
        )
    return say(
        "Of the {of} {units} with it, {failed} were reported failed: a reported failure rate of {low} % to "
        "{high} % is plausible.",
        **values,
    )


def _also_says(line: Line) -> tuple[Sentence, ...]:
    out = []
    if line.also:
        named = (say("{kind} {code}", kind=Term(row.kind), code=Term(row.code)) for row in line.also)
        out.append(say("It cannot be told apart from {named}.", named=Listed(named)))
    if line.also_by_pair is not None:
        out.append(
            say("Both skis of a pair came back: counted by ski and by pair, the more cautious count holds.")
        )
    return tuple(out)


def _percent(part: float | None) -> float | None:
    """To two digits, which is what a chance from so few counts can carry."""
    return None if part is None else float(f"{100 * part:.2g}")


def _compared_says(pairs: int, failure: str, compared: int, lines: int) -> Sentence:
    if pairs == 1:
        return say(
            "1 pair came back with {failure}: not enough returns to tell. What pairs share is compared from "
            "{fewest} pairs on.",
            failure=failure,
            fewest=FEWEST_PAIRS,
        )
    if pairs < FEWEST_PAIRS:
        return say(
            "{pairs} pairs came back with {failure}: not enough returns to tell. What pairs share is "
            "compared from {fewest} pairs on.",
            pairs=pairs,
            failure=failure,
            fewest=FEWEST_PAIRS,
        )
    return say(
        "{pairs} pairs came back with {failure}; {compared} of {lines} things that pairs share "
        "could be compared. No flag is no all-clear.",
        pairs=pairs,
        failure=failure,
        compared=compared,
        lines=lines,
    )


def _least_luck_first(suspect: Suspect) -> tuple[bool, float, str, str]:
    """Told before untold, then by chance (the adjusted ones are in the same order), kind and code."""
    untold = suspect.chance is None
    return untold, suspect.chance or 0.0, suspect.factor.kind, suspect.factor.code
