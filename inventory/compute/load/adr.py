"""Dangerous goods on the road by ADR 1.1.3.6: points of one combination. It totals and warns, never clears.

Tow vehicle and its trailer count as one; each combination is a call of its own. What is not known stays not
known: it is never taken for zero.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from types import MappingProxyType

from inventory.compute.reasons import Basis, How, Input, Level, Reason, Verdict, number, verdict
from inventory.errors import Refused, Sentence, Term, say

EDITION = Term(
    "ADR 1.1.3.6 as read in copies of the 2007 edition and later ones. Editions change every two years "
    "(2025; 2027 from January 2027): compare with the one in force"
)
LIMIT_POINTS = 1_000.0
_ALMOST = 1e-9


class Category(IntEnum):
    """Transport category: column 15 of Table A for the UN number and packing group."""

    ZERO = 0
    ONE = 1
    TWO = 2
    THREE = 3
    FOUR = 4


class Measure(StrEnum):
    """What the quantity counts."""

    LITRES = "litres of liquid"
    NET_KG = "kg net, solids and liquefied or dissolved gases"
    ARTICLE_KG = "kg of articles without their packaging"
    WATER_LITRES = "litres of the receptacle's water capacity, compressed gases"


class Standing(StrEnum):
    """Where the total stands."""

    UNDER = "not above the limit"
    ABOVE = "above the limit"
    NOT_KNOWN = "cannot say"
    BLOCKED = "category 0 aboard"


_FACTOR: Mapping[Category, float] = MappingProxyType(
    {Category.ONE: 50.0, Category.TWO: 3.0, Category.THREE: 1.0, Category.FOUR: 0.0}
)
_FOOTNOTE_FACTOR = 20.0
_MOST_ALONE: Mapping[Category, float] = MappingProxyType(
    {Category.ONE: 20.0, Category.TWO: 333.0, Category.THREE: 1_000.0}
)
_SP_375 = frozenset({3077, 3082})
_SP_375_MOST = 5.0
_SOURCE = (
    "factors and quantities: haufe.de HI7330212, ADR table (read); empties and one category alone: ADR 2007 "
    "1.1.3.6.1 and 1.1.3.6.2 at lagerwiki.de (read); what a quantity counts: kuljettaja.net (read); special "
    "provision 375: ecostarenvironmental.co.uk, 12 May 2015 (read)"
)
CAUTIONS: tuple[Sentence, ...] = (
    say(
        "This adds up what was entered. It is no legal advice and no classification: read section 14 of each "
        "safety data sheet; the law where you drive, and your carrier, decide."
    ),
    say(
        "Goods in the tow vehicle and waste on the way home count. Tunnels and ferries have their own rules."
    ),
    say("Vent the compressor's receiver before driving."),
    say(
        "Below the limit too, packagings, labels, a paper, an extinguisher and briefed people are asked for."
    ),
)


@dataclass(frozen=True, slots=True)
class Goods:
    """So much of one dangerous good aboard, as section 14 of its safety data sheet has it.

    None is not known. `footnote` for the few substances of category 1 that count 20. A limited quantity
    counts nothing only in a marked combination package. `largest_inner` is the content of the largest single
    or inner packaging, for special provision 375. `empty` for packagings emptied and not cleaned.
    Refuses: load.goods
    """

    key: str
    category: Category | None
    quantity: float | None
    measure: Measure = Measure.LITRES
    un: int | None = None
    footnote: bool = False
    hardener: bool = False
    limited_quantity: bool = False
    marked_combination: bool = False
    provision_375: bool = False
    largest_inner: float | None = None
    empty: bool = False

    def __post_init__(self) -> None:
        for value, what in ((self.quantity, "quantity"), (self.largest_inner, "largest packaging")):
            if value is not None:
                number(value, code="load.goods", name=f"The {what} of {self.key}", at_least=0.0)
        if self.category is not None and not isinstance(self.category, Category):
            sentence = say(
                "{key}: {category} is no transport category.", key=self.key, category=self.category
            )
            raise Refused("load.goods", sentence, say("Read it in section 14: 0, 1, 2, 3 or 4."))


@dataclass(frozen=True, slots=True)
class Line:
    """What one good adds: points None when not known; `counted_as` is the category it counts in, if any."""

    key: str
    points: float | None
    counted_as: Category | None
    reason: Reason


@dataclass(frozen=True, slots=True)
class AdrTotal:
    """Points of one combination. `points` are those known; `at_least` says that more is aboard."""

    combination: str
    points: float
    at_least: bool
    limit_points: float
    standing: Standing
    lines: tuple[Line, ...]
    by_category: Mapping[Category, float]
    edition: str
    verdict: Verdict
    cautions: tuple[Sentence, ...]
    how: How


def adr_total(*, combination: str, goods: Sequence[Goods]) -> AdrTotal:
    """How many points do the dangerous goods of a tow vehicle and its trailer come to?

    Formula: sum of quantity x 50 (category 1; 20 for its footnote), x 3 (2), x 1 (3), x 0 (4), against 1000.
        All of one category: against its own most, 20, 333, 1000. Category 0 blocks, empty or not; other
        empties count in category 4. A limited quantity counts nothing in a marked combination package; UN
        3077 and 3082 count nothing by special provision 375 in packagings of at most 5 l or 5 kg, hardener
        never. A category or quantity not known is never 0.
    Units: points; litres, kg net, kg of articles, or litres of water capacity for compressed gases.
    Shapes: goods in any order, keys once each.
    Refuses: load.goods_twice
    Source: haufe.de HI7330212 (read); lagerwiki.de, ADR 2007 1.1.3.6 (read); kuljettaja.net 1.1.3.6.3 (read);
        ecostarenvironmental.co.uk, provision 375 (read); hardener never by 375: common practice, no source
    Caution: Totals and warnings only, for the edition named. It is no classification and clears no load;
        section 14 of each safety data sheet, the law where you drive and the carrier decide.
    """
    seen: set[str] = set()
    for each in goods:
        if each.key in seen:
            sentence = say("{key} is listed twice.", key=each.key)
            raise Refused("load.goods_twice", sentence, say("List it once, with its whole quantity."))
        seen.add(each.key)
    inputs = tuple(Input(each.key, each.quantity, each.measure, Basis.DATA_SHEET) for each in goods)
    how = How("sum of quantity x factor of its category, against 1000", f"{EDITION}. {_SOURCE}", inputs)
    lines = tuple(_line(each, how) for each in goods)
    by_category = _by_category(goods, lines)
    points = math.fsum(line.points for line in lines if line.points is not None)
    standing = _standing(points, lines, goods, by_category)
    at_least = any(line.points is None for line in lines)
    reasons = verdict(_total_reason(combination, points, standing, how), *(line.reason for line in lines))
    return AdrTotal(
        combination,
        points,
        at_least,
        LIMIT_POINTS,
        standing,
        lines,
        MappingProxyType(by_category),
        EDITION,
        reasons,
        CAUTIONS,
        how,
    )


def _line(goods: Goods, how: How) -> Line:
    """What one good adds, and why."""
    nothing = Line(goods.key, 0.0, None, _fine_reason(say("{key}: none aboard.", key=goods.key), how))
    if goods.empty:
        return _empty_line(goods, how)
    if goods.quantity == 0:
        return nothing
    if goods.category is Category.ZERO:
        return _blocked_line(goods, how)
    exempt = _exempt_sentence(goods)
    if exempt is not None:
        return Line(goods.key, 0.0, None, _fine_reason(exempt, how))
    if goods.category is None or goods.quantity is None:
        return _unknown_line(goods, how)
    points = goods.quantity * _factor(goods)
    return Line(goods.key, points, goods.category, _counted_reason(goods, points, how))


def _factor(goods: Goods) -> float:
    if goods.footnote and goods.category is Category.ONE:
        return _FOOTNOTE_FACTOR
    return _FACTOR[goods.category] if goods.category is not None else math.nan


def _empty_line(goods: Goods, how: How) -> Line:
    if goods.category is None:
        return _unknown_line(goods, how)
    if goods.category is Category.ZERO:
        return _blocked_line(goods, how)
    sentence = say("{key}: empty, not cleaned; counts in category 4, nothing.", key=goods.key)
    return Line(goods.key, 0.0, Category.FOUR, _fine_reason(sentence, how))


def _blocked_line(goods: Goods, how: How) -> Line:
    sentence = say(
        "{key} is of category 0, full or empty: no quantity of it may ride under this relief.", key=goods.key
    )
    return Line(goods.key, None, Category.ZERO, Reason("load.adr_blocked", sentence, Level.STOP, how))


def _unknown_line(goods: Goods, how: How) -> Line:
    missing = "transport category" if goods.category is None else "quantity"
    sentence = say(
        "{key}: its {missing} is not known, so it is not counted as 0.", key=goods.key, missing=missing
    )
    return Line(goods.key, None, goods.category, Reason("load.adr_not_known", sentence, Level.UNKNOWN, how))


def _exempt_sentence(goods: Goods) -> Sentence | None:
    """Why this good counts nothing; None when it counts."""
    if _by_375(goods):
        return say(
            "{key}: not counted. Special provision 375 of ADR 3.3.1 frees UN 3077 and UN 3082 in packagings "
            "of at most 5 l or 5 kg.",
            key=goods.key,
        )
    if goods.limited_quantity and goods.marked_combination and goods.category is not None:
        return say("{key}: not counted, limited quantity in a marked combination package.", key=goods.key)
    return None


def _by_375(goods: Goods) -> bool:
    small = goods.largest_inner is not None and goods.largest_inner <= _SP_375_MOST
    return goods.provision_375 and small and goods.un in _SP_375 and not goods.hardener


def _counted_reason(goods: Goods, points: float, how: How) -> Reason:
    values = {"key": goods.key, "points": round(points, 3), "category": goods.category}
    if goods.provision_375:
        sentence = say(
            "{key} counts, {points} points in category {category}: special provision 375 covers UN 3077 and "
            "3082 in packagings of at most 5 l or 5 kg, never hardener.",
            **values,
        )
        return Reason("load.adr_counts_anyway", sentence, Level.LOOK, how)
    if goods.limited_quantity:
        sentence = say(
            "{key} counts, {points} points in category {category}: a limited quantity counts nothing only in "
            "a marked combination package.",
            **values,
        )
        return Reason("load.adr_counts_anyway", sentence, Level.LOOK, how)
    return _fine_reason(say("{key}: {points} points in category {category}.", **values), how)


def _fine_reason(sentence: Sentence, how: How) -> Reason:
    return Reason("load.adr_line", sentence, Level.FINE, how)


def _by_category(goods: Sequence[Goods], lines: Sequence[Line]) -> dict[Category, float]:
    """Quantities by the category they count in; empties count no quantity."""
    result: dict[Category, float] = {}
    for each, line in zip(goods, lines, strict=True):
        if line.points is not None and line.counted_as is not None:
            quantity = 0.0 if each.empty or each.quantity is None else each.quantity
            result[line.counted_as] = result.get(line.counted_as, 0.0) + quantity
    return result


def _standing(
    points: float, lines: Sequence[Line], goods: Sequence[Goods], by: dict[Category, float]
) -> Standing:
    if any(line.counted_as is Category.ZERO for line in lines):
        return Standing.BLOCKED
    if points > LIMIT_POINTS + _ALMOST:
        return Standing.ABOVE
    if any(line.points is None for line in lines):
        return Standing.NOT_KNOWN
    if len(by) == 1 and not any(each.footnote for each in goods):
        category, quantity = next(iter(by.items()))
        if quantity > _MOST_ALONE.get(category, math.inf) + _ALMOST:
            return Standing.ABOVE
    return Standing.UNDER


def _total_reason(combination: str, points: float, standing: Standing, how: How) -> Reason:
    values = {
        "combination": combination,
        "points": round(points, 3),
        "limit": round(LIMIT_POINTS),
        "edition": EDITION,
    }
    if standing is Standing.BLOCKED:
        sentence = say(
            "{combination} carries goods of category 0: the relief does not apply. {edition}.", **values
        )
        return Reason("load.adr_total", sentence, Level.STOP, how)
    if standing is Standing.ABOVE:
        sentence = say(
            "{combination}: {points} points, above what one transport unit may carry under this relief "
            "(limit {limit}, or the most of one category alone). Leave something, or ask a dangerous goods "
            "adviser. {edition}.",
            **values,
        )
        return Reason("load.adr_total", sentence, Level.LOOK, how)
    if standing is Standing.NOT_KNOWN:
        sentence = say(
            "{combination}: at least {points} of {limit} points; of more aboard something is not known. "
            "{edition}.",
            **values,
        )
        return Reason("load.adr_total", sentence, Level.UNKNOWN, how)
    sentence = say("{combination}: {points} of {limit} points, by what was entered. {edition}.", **values)
    return Reason("load.adr_total", sentence, Level.FINE, how)
