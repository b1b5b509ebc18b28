"""Which lots the coming needs are met from: who gets what, what is short, what passes its date unused.

One material at a time. Knows no database and no clock; days, places and holds come in.
A plan is measured by, in this order: as much covered as possible; earlier needs first; what passes its date
first used first, up to the horizon; as little moved as possible.
"""

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from datetime import date

from inventory.compute.choose.facts import (
    KEEPS,
    Choice,
    Draw,
    Lot,
    Met,
    Method,
    Need,
    PassedOver,
    Rest,
    Why,
    check_day,
)
from inventory.compute.choose.plan import Plan, open_places, plan_for
from inventory.compute.reasons import Basis, How, Input, Level, Reason, verdict
from inventory.compute.units import Amount, Base, at_least, at_most
from inventory.errors import Refused, say

__all__ = [
    "KEEPS",
    "Choice",
    "Draw",
    "Lot",
    "Met",
    "Method",
    "Need",
    "PassedOver",
    "Rest",
    "Why",
    "who_gets_what",
]

_SOURCE = (
    "Convex bipartite matching: Glover, Naval Research Logistics Quarterly 14 (1967) 313 (abstract read); "
    "maximum flow by augmenting paths: Ford and Fulkerson (from memory)"
)
_RULES = {
    Method.SWEEP: "Needs by the day they end; each takes, of the lots in date and here, what passes first.",
    Method.FLOW: "Maximum flow from lots to needs; earlier needs first, what passes first, fewest moves.",
    Method.SEARCH: "Every way to take each mix from one lot that could cover more than the best so far.",
}


def who_gets_what(
    *, lots: Sequence[Lot], needs: Sequence[Need], base: Base, horizon: date, one_lot_each: bool = False
) -> Choice:
    """Which lots is each need met from, what is short, and what passes its date unused?

    Formula: a lot suits a need when it is here by the load day, in date through the last day of use, in a
        place in reach and not on hold. Needs in the order of their last days take what passes first.
        When one need's days lie inside another's, or places bind, maximum flow instead. With `one_lot_each`
        a need is one mix and takes all from one lot; mixes of one size are counted, others searched.
        A lot without a date covers nothing; if it alone could help, the answer is that nobody can say.
    Units: amounts are whole numbers of `base`; days are included on both ends; `horizon` is the day up to
        which what is left over matters, on or after every last day.
    Shapes: lots and needs in any order, keys once each; the answer keeps their order.
    Refuses: choose.twice, choose.date, choose.horizon
    Source: Glover, Naval Research Logistics Quarterly 14 (1967) 313, the sweep (abstract read); maximum flow
        by augmenting paths, Ford and Fulkerson (from memory); one lot for a mix: common practice, no source
    """
    _check(lots, needs, horizon)
    plan = plan_for(lots, needs, horizon, one_lot_each=one_lot_each)
    got = plan.covered(len(needs))
    at_best = got
    if any(lot.last_day is None for lot in lots) and sum(got) < sum(need.amount for need in needs):
        hopeful = plan_for(lots, needs, horizon, one_lot_each=one_lot_each, undated=True)
        at_best = hopeful.covered(len(needs))
    left, draws, aboard = _draws(lots, needs, plan)
    met = _met(lots, needs, (got, at_best, aboard), left)
    rests = tuple(
        Rest(lot.key, rest, lot.last_day, lot.last_day is not None and lot.last_day < horizon)
        for lot, rest in zip(lots, left, strict=True)
        if rest
    )
    how = How(
        _RULES[plan.method],
        _SOURCE,
        (
            Input("lots", len(lots)),
            Input("needs", len(needs)),
            Input("horizon", horizon, basis=Basis.ASSUMED),
        ),
    )
    moved = sum([each.to_load for each in met])
    reasons = verdict(*_reasons(met, rests, plan, base, how))
    return Choice(
        base, tuple(draws), tuple(met), rests, moved, plan.method, plan.why, plan.certain, reasons, how
    )


def _check(lots: Sequence[Lot], needs: Sequence[Need], horizon: date) -> None:
    for things in (lots, needs):
        keys: set[str] = set()
        for thing in things:
            if thing.key in keys:
                sentence = say("{key} is listed twice.", key=thing.key)
                raise Refused("choose.twice", sentence, say("List each lot and each need once."))
            keys.add(thing.key)
    check_day(horizon, "the horizon")
    late = max((need.last_day for need in needs), default=horizon)
    if late > horizon:
        sentence = say(
            "The horizon {horizon} comes before the last use on {late}.", horizon=horizon, late=late
        )
        raise Refused("choose.horizon", sentence, say("Look at least as far ahead as the last need."))


def _draws(lots: Sequence[Lot], needs: Sequence[Need], plan: Plan) -> tuple[list[int], list[Draw], list[int]]:
    """What stays of each lot, the draws, and what each need draws from its own trailers."""
    left = [lot.amount for lot in lots]
    aboard = [0] * len(needs)
    draws = []
    for need_at, drawn in zip(plan.turn, plan.drawn, strict=True):
        need = needs[need_at]
        for pile, amount in drawn.items():
            lot_at = plan.order[pile]
            lot = lots[lot_at]
            near = lot.place in need.trailers
            draws.append(Draw(need.key, lot.key, amount, near))
            left[lot_at] -= amount
            if near:
                aboard[need_at] += amount
    return left, draws, aboard


def _met(
    lots: Sequence[Lot], needs: Sequence[Need], sums: tuple[list[int], list[int], list[int]], left: list[int]
) -> list[Met]:
    met = []
    seen: list[PassedOver | None] = [None] * len(lots)  # what was last said of each lot, to be said again
    for need, got, at_best, aboard in zip(needs, *sums, strict=True):
        short = need.amount - got
        over = _passed_over(lots, need, left, seen) if short else ()
        met.append(Met(need.key, need.amount, aboard, got - aboard, short, need.amount - at_best, over))
    return met


def _passed_over(
    lots: Sequence[Lot], need: Need, left: Sequence[int], seen: list[PassedOver | None]
) -> tuple[PassedOver, ...]:
    opens = open_places(need)
    result = []
    for at, lot in enumerate(lots):
        if lot.amount:
            why = _why(lot, need, opens) or (Why.TOO_LITTLE if left[at] else Why.USED_UP)
            said = seen[at]
            if said is None or said.why is not why:
                seen[at] = said = PassedOver(lot.key, why)
            result.append(said)
    return tuple(result)


def _why(lot: Lot, need: Need, opens: AbstractSet[str] | None) -> Why | None:
    if lot.held:
        return Why.HELD
    if lot.last_day is not None and lot.last_day < need.last_day:
        return Why.PASSED
    if lot.available_from is not None and lot.available_from > need.load_day:
        return Why.LATE
    if opens is not None and lot.place not in opens:
        return Why.ELSEWHERE
    return Why.UNDATED if lot.last_day is None else None


def _reasons(met: Sequence[Met], rests: Sequence[Rest], plan: Plan, base: Base, how: How) -> Iterator[Reason]:
    for each in met:
        if each.short:
            yield _short(each, base, how)
    if not plan.certain:
        sentence = say("The search for mixes ended before every way was tried; more may be possible.")
        yield Reason("choose.not_certain", sentence, Level.LOOK, how)
    template = "{amount} of lot {lot} is left over and passes its date on {day}."
    for rest in rests:
        if rest.expires:
            sentence = say(
                template, amount=at_most(Amount(rest.amount, base)), lot=rest.lot, day=rest.last_day
            )
            yield Reason("choose.expires", sentence, Level.LOOK, how)
    yield Reason("choose.method", plan.why, Level.FINE, how)


def _short(met: Met, base: Base, how: How) -> Reason:
    short, needed = at_least(Amount(met.short, base)), at_least(Amount(met.needed, base))
    facts = {"need": met.need, "passed_over": met.passed_over}
    if met.short_at_best:
        template = (
            "{need} is short {short} of {needed}: no lot in date, here in time and in reach is free for it."
        )
        sentence = say(template, need=met.need, short=short, needed=needed)
        return Reason("choose.short", sentence, Level.STOP, how, facts)
    template = "{need} is met only if a lot without a date is still good: {short} of {needed} hangs on it."
    sentence = say(template, need=met.need, short=short, needed=needed)
    return Reason("choose.undated", sentence, Level.UNKNOWN, how, facts)
