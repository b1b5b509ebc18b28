"""What the rules for dangerous goods ask of a trip: totals by tow car and trailer, crossings, waste.

Reads facts only. It totals and warns by what was entered; it classifies nothing and clears no load.
"""

from collections.abc import Iterator

from inventory.compute.load.adr import LIMIT_POINTS, Standing
from inventory.compute.load.trade import MOST_IN_ALL, MOST_IN_ALL_KG
from inventory.compute.reasons import Level
from inventory.errors import Listed, Sentence, say
from inventory.queries.notes import Cure, Note
from inventory.queries.readiness.dangerous import Combination, Good, combinations
from inventory.queries.readiness.facts import Facts
from inventory.queries.readiness.masses import coded

CAUTION = say(
    "This adds up what was entered. Section 14 of each safety data sheet, the law where you drive, and the "
    "carrier decide."
)
ADR, TRADE = "adr", "trade"


def reasons(facts: Facts) -> list[Note]:
    """What stands against the goods of each combination, and what to ask before a ferry or a tunnel."""
    found = combinations(facts)
    notes = [note for each in found for note in _unread(facts, each)]
    for each in found:
        if each.goods and _counts(facts, ADR):
            notes += _adr(facts, each)
        if each.goods and _counts(facts, TRADE):
            notes += _trade(facts, each)
    goods = [good for each in found for good in each.goods]
    if goods:
        notes += [*_sort(facts), *_crossings(facts), *_waste(goods)]
    return notes


def _counts(facts: Facts, rules: str) -> bool:
    """True when these rules are stated: those chosen for the trip, or all."""
    return facts.trip.rules in ("", rules)


def _above(facts: Facts) -> Level:
    """Above a limit of the rules chosen: stop. Where none were chosen both are only stated."""
    return Level.STOP if facts.trip.rules else Level.LOOK


def _unread(facts: Facts, each: Combination) -> Iterator[Note]:
    """One note a material whose card lacks what the rules count by: not known is never nothing."""
    for good in each.goods:
        lacks = [
            *(good.lacks_adr if _counts(facts, ADR) else ()),
            *(good.lacks_trade if _counts(facts, TRADE) else ()),
        ]
        if lacks:
            sentence = say(
                "{combination}: {material} cannot be counted as goods; its card does not say: {missing}.",
                material=good.material.name,
                combination=each.name,
                missing=Listed(dict.fromkeys(lacks)),
            )
            cure = Cure(
                say("Enter section 14 of its safety data sheet."), "materials-edit", (good.material.key,)
            )
            yield Note(sentence, Level.UNKNOWN, CAUTION, code="ready.goods_unread", cures=(cure,))


def _adr(facts: Facts, each: Combination) -> Iterator[Note]:
    total = each.adr
    values = {"combination": each.name, "points": round(total.points, 1), "limit": round(LIMIT_POINTS)}
    page = ("trips-goods", (str(facts.trip.id),))
    why = say("{caution} {edition}.", caution=CAUTION, edition=total.edition)
    sentence, level = _standing(total.standing, values, _above(facts))
    yield Note(sentence, level, why, *page, how=total.how, code="ready.goods_adr")
    for reason in total.verdict.reasons:
        if reason.code == "load.adr_blocked":
            sentence = say("{combination}: {said}", combination=each.name, said=reason.sentence)
            yield Note(sentence, Level.STOP, CAUTION, *page, how=reason.how, code=coded(reason.code))


def _standing(standing: Standing, values: dict[str, object], above: Level) -> tuple[Sentence, Level]:
    if standing is Standing.BLOCKED:
        template = "{combination} carries goods of transport category 0: ADR 1.1.3.6 gives no relief."
        return say(template, **values), above
    if standing is Standing.ABOVE:
        template = (
            "{combination}: {points} points by ADR 1.1.3.6, above its relief (limit {limit}, or the most of "
            "one category alone). Leave something, or ask a dangerous goods adviser."
        )
        return say(template, **values), above
    if standing is Standing.NOT_KNOWN:
        template = (
            "{combination}: at least {points} of {limit} points by ADR 1.1.3.6; something is not known."
        )
        return say(template, **values), Level.UNKNOWN
    return say("{combination}: {points} of {limit} points by ADR 1.1.3.6.", **values), Level.FINE


def _trade(facts: Facts, each: Combination) -> Iterator[Note]:
    total = each.trade
    values = {"combination": each.name, "gross": round(total.gross_kg, 1), "limit": MOST_IN_ALL}
    page = ("trips-goods", (str(facts.trip.id),))
    why = say("{caution} {edition}.", caution=CAUTION, edition=total.edition)
    if total.gross_kg > MOST_IN_ALL_KG:
        template = (
            "{combination}: materials of trade weigh {gross} kg gross, above the {limit} of 49 CFR "
            "173.6(d). Leave something."
        )
        sentence, level = say(template, **values), _above(facts)
    elif total.at_least:
        template = (
            "{combination}: materials of trade weigh at least {gross} kg gross of {limit} by 49 CFR "
            "173.6(d); something is not known."
        )
        sentence, level = say(template, **values), Level.UNKNOWN
    else:
        template = "{combination}: materials of trade weigh {gross} kg gross of {limit} by 49 CFR 173.6(d)."
        sentence, level = say(template, **values), Level.FINE
    yield Note(sentence, level, why, *page, how=total.how, code="ready.goods_trade")
    for reason in total.verdict.reasons:
        if reason.code in ("load.trade_packaging", "load.trade_never"):
            sentence = say(
                "{combination}, by 49 CFR 173.6: {said}", combination=each.name, said=reason.sentence
            )
            yield Note(sentence, _above(facts), CAUTION, *page, how=reason.how, code=coded(reason.code))


def _sort(facts: Facts) -> Iterator[Note]:
    """Goods to work with and goods to store are not carried by the same rules."""
    if facts.trip.sort == "supply run" and _counts(facts, ADR):
        sentence = say(
            "A supply run: what ADR 1.1.3.1(c) relieves for goods one works with does not cover it."
        )
        why = say(
            "Paper, packagings, labels, an extinguisher and briefed people are asked for below 1.1.3.6 too."
        )
        yield Note(sentence, Level.LOOK, why, code="ready.goods_supply")


def _crossings(facts: Facts) -> Iterator[Note]:
    crossings = facts.trip.crossings
    if crossings is None:
        sentence = say("Whether a ferry or a tunnel is on the way is not entered; both have rules for goods.")
        cure = Cure(say("Enter the way."), "trips-edit", (str(facts.trip.id),))
        yield Note(sentence, Level.UNKNOWN, code="ready.goods_way", cures=(cure,))
        return
    if "ferry" in crossings:
        sentence = say(
            "A ferry is on the way: goods are declared with the ticket; ask the line what it takes."
        )
        yield Note(sentence, Level.LOOK, say("Gas bottles shut; receivers vented."), code="ready.goods_ferry")
    if "tunnel" in crossings:
        sentence = say(
            "A tunnel is on the way: some are closed to goods; look at its signs or ask who runs it."
        )
        yield Note(sentence, Level.LOOK, code="ready.goods_tunnel")


def _waste(goods: list[Good]) -> Iterator[Note]:
    if any(good.material.purpose == "waste" for good in goods):
        sentence = say("Waste is aboard: it counts as goods, and is no material of trade.")
        why = say("Rags in a closed metal bin; what it may ask of you, its law says.")
        yield Note(sentence, Level.LOOK, why, code="ready.goods_waste")
    else:
        sentence = say("Waste comes home too: count it among the goods before the way back.")
        yield Note(sentence, Level.FINE, code="ready.goods_home")
