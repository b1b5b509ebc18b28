"""Which length to buy: the same pieces planned from each length that is for sale.

Knows lengths and prices; no material, no supplier, no stock.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.compute.cutting import plan
from inventory.compute.cutting.facts import (
    CutPlan,
    Offcut,
    Piece,
    Stick,
    refuse_bad_piece,
    refuse_bad_stick,
    refuse_repeated,
)
from inventory.compute.reasons import Given, How, Input, Level, Reason
from inventory.errors import Refused, say


@dataclass(frozen=True, slots=True)
class Comparison:
    """The same pieces from each length for sale: cheapest first, without prices least bought first."""

    plans: tuple[CutPlan, ...]
    too_short: tuple[Stick, ...]
    reasons: tuple[Reason, ...]
    how: How


def compare(
    *,
    pieces: Sequence[Piece],
    sticks: Sequence[Stick],
    kerf_mm: Given[float],
    offcuts: Sequence[Offcut] = (),
    keep_from_mm: int = 0,
) -> Comparison:
    """Which length to buy suits the coming pieces.

    Formula: one plan a length; by cost when each has a price, by millimetres bought when none has.
    Units: mm; cents of one currency.
    Shapes: at least one length to buy, each with its own code.
    Refuses: cutting.no_sticks, cutting.some_prices and whatever a plan refuses
    Source: common practice, no source: the bought length matters more than the plan.
    """
    if not sticks:
        raise Refused(
            "cutting.no_sticks", say("There are 0 lengths to choose from."), say("Enter what can be bought.")
        )
    for stick in sticks:
        refuse_bad_stick(stick)
    refuse_repeated([stick.code for stick in sticks], "the lengths to buy")
    priced = [stick for stick in sticks if stick.price_cents is not None]
    if priced and len(priced) < len(sticks):
        missing = next(stick.code for stick in sticks if stick.price_cents is None)
        raise Refused(
            "cutting.some_prices",
            say("{code} has no price, others have one.", code=missing),
            say("Enter its price, or leave all prices out to compare by length."),
        )
    for piece in pieces:
        refuse_bad_piece(piece)
    longest_piece = max((piece.length_mm for piece in pieces), default=0)
    long_enough = [stick for stick in sticks if stick.length_mm >= longest_piece] or [
        max(sticks, key=_length)
    ]
    plans = [
        plan(pieces=pieces, stick=stick, kerf_mm=kerf_mm, offcuts=offcuts, keep_from_mm=keep_from_mm)
        for stick in long_enough
    ]
    plans.sort(key=lambda row: (_spent(row), row.lost_mm, row.stick.code))
    how = How(
        "One plan a length; cheapest first, without prices by the millimetres bought.",
        "common practice, no source",
        (Input("lengths", len(sticks)), Input("too short", len(sticks) - len(plans))),
    )
    too_short = tuple(stick for stick in sticks if stick.length_mm < longest_piece)
    return Comparison(tuple(plans), too_short, tuple(_compared_says(plans, too_short, how)), how)


def _length(stick: Stick) -> int:
    return stick.length_mm


def _spent(row: CutPlan) -> int:
    return row.bought * row.stick.length_mm if row.cost_cents is None else row.cost_cents


def _compared_says(plans: Sequence[CutPlan], too_short: Sequence[Stick], how: How) -> list[Reason]:
    """Why the first is first, and what could not take part."""
    out = []
    if len(plans) > 1:
        first, second = plans[0], plans[1]
        more = _spent(second) - _spent(first)
        template = (
            "{first} is the cheapest length; {second} costs {more} more cents."
            if first.cost_cents is not None
            else "{first} takes least length; {second} takes {more} mm more."
        )
        out.append(
            Reason(
                "cutting.best_length",
                say(template, first=first.stick.code, second=second.stick.code, more=more),
                Level.FINE,
                how,
            )
        )
    out += [
        Reason(
            "cutting.too_short",
            say(
                "{code} is too short for the longest piece ({length} mm).",
                code=stick.code,
                length=stick.length_mm,
            ),
            Level.LOOK,
            how,
        )
        for stick in too_short
    ]
    return out
