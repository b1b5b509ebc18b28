"""Cutting sticks, strips and sheets: which pieces come out of which length, beside what no plan can beat.

Knows lengths, kerf, offcuts and prices; no material, no package, no stock.
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from inventory.compute.cutting import patterns
from inventory.compute.cutting.facts import (
    Cut,
    CutPlan,
    Offcut,
    Piece,
    Stick,
    refuse_bad_offcuts,
    refuse_bad_piece,
    refuse_bad_stick,
)
from inventory.compute.cutting.offcuts import fillings, left
from inventory.compute.cutting.patterns import Pattern
from inventory.compute.reasons import Basis, Given, How, Input, Level, Reason, number
from inventory.errors import Refused, say

__all__ = ["Cut", "CutPlan", "Offcut", "Piece", "Stick", "plan"]

MOST_PIECES = 20_000
RULE = (
    "Each piece takes its length and one kerf, a length gives its own and one kerf. Offcuts first, filled in "
    "several ways, the best of which counts; then the shortest list of: repeat the fullest pattern, first "
    "fit, and the best plan in fractions of patterns, rounded. At best = what the pieces are worth when no "
    "pattern is worth more than one length."
)
SOURCE = (
    "Gilmore and Gomory 1961 (patterns and their worth): from memory; checked against published instances"
)


@dataclass(frozen=True, slots=True)
class _Job:
    """The pieces in whole numbers: sizes with kerf, falling, in tenths of a mm when the kerf asks it."""

    sizes: tuple[int, ...]
    counts: tuple[int, ...]
    lengths_mm: tuple[int, ...]
    scale: int
    kerf: int

    def room(self, length_mm: int) -> int:
        """What a length holds: its own and one kerf, as the last cut may end flush."""
        return length_mm * self.scale + self.kerf

    def cut(self, offcut: str, length_mm: int, pattern: Pattern, times: int) -> Cut:
        """A pattern in millimetres."""
        rest = max(0, length_mm * self.scale - patterns.used(pattern, self.sizes))
        pieces = [
            length for length, count in zip(self.lengths_mm, pattern, strict=True) for _ in range(count)
        ]
        return Cut(offcut, length_mm, tuple(pieces), times, rest / self.scale)


def plan(
    *,
    pieces: Sequence[Piece],
    stick: Stick,
    kerf_mm: Given[float],
    offcuts: Sequence[Offcut] = (),
    keep_from_mm: int = 0,
) -> CutPlan:
    """How to cut the pieces from offcuts and as few bought lengths as can be found, beside the fewest
    possible.

    Formula: sum over the pieces of a length of (l + kerf) <= L + kerf. at_best = ceil(sum of worth - worth
        the offcuts can hold), for worths with no pattern above 1: the larger of those of the best plan in
        fractions of patterns (up to 1,000 patterns) and of length / the fullest pattern.
    Units: mm; kerf counted up to the next 0.1 mm; cents of one currency.
    Shapes: any number of pieces (equal lengths are added up), offcuts each with its own code.
    Refuses: cutting.no_pieces, cutting.length, cutting.count, cutting.too_many, cutting.kerf,
        cutting.too_long, cutting.price, cutting.keep, cutting.repeated, cutting.unnamed
    Source: Gilmore and Gomory 1961 (from memory); published instances in the tests.
    Caution: a plan says nothing about how to saw: guarded, clamped, hands clear, by an adult who may do it.
    """
    refuse_bad_stick(stick)
    refuse_bad_offcuts(offcuts)
    number(keep_from_mm, code="cutting.keep", name="The shortest length to keep", unit="mm", at_least=0)
    job = _job(pieces, kerf_mm, stick)
    best = min(
        _plans(job, stick, offcuts),
        key=lambda cuts: _judged(cuts, keep_from_mm),
    )
    bought = sum(cut.times for cut in best if not cut.offcut)
    kept = sum(cut.rest_mm * cut.times for cut in best if cut.rest_mm and cut.rest_mm >= keep_from_mm)
    lost = sum(cut.rest_mm * cut.times for cut in best) - kept
    at_best = _at_best(job, stick, offcuts)
    how = How(
        RULE,
        SOURCE,
        (
            Input("pieces", sum(job.counts)),
            Input("pieces with kerf", sum(map(int.__mul__, job.sizes, job.counts)) / job.scale, "mm"),
            Input("length bought", stick.length_mm, "mm"),
            Input("kerf", kerf_mm.value, "mm", kerf_mm.basis),
            Input("kerf counted", job.kerf / job.scale, "mm", kerf_mm.basis),
            Input("offcuts", len(offcuts)),
            Input("kept from", keep_from_mm, "mm", Basis.ASSUMED),
        ),
    )
    cost = None if stick.price_cents is None else stick.price_cents * bought
    reasons = _reasons(best, (bought, at_best), kerf_mm, how)
    return CutPlan(stick, best, bought, at_best, cost, kept, lost, reasons, how)


def _job(pieces: Sequence[Piece], kerf_mm: Given[float], stick: Stick) -> _Job:
    if not pieces:
        raise Refused("cutting.no_pieces", say("There are 0 pieces to cut."), say("Enter the pieces."))
    wanted: Counter[int] = Counter()
    for piece in pieces:
        refuse_bad_piece(piece)
        wanted[piece.length_mm] += piece.count
    if wanted.total() > MOST_PIECES:
        raise Refused(
            "cutting.too_many",
            say(
                "{count} pieces are more than one plan holds ({most}).",
                count=wanted.total(),
                most=MOST_PIECES,
            ),
            say("Plan them in parts."),
        )
    longest = max(wanted)
    if longest > stick.length_mm:
        raise Refused(
            "cutting.too_long",
            say(
                "A piece of {piece} mm does not come out of {code}, which is {length} mm long.",
                piece=longest,
                code=stick.code,
                length=stick.length_mm,
            ),
            say("Choose a longer length to buy, or plan that piece apart."),
        )
    kerf = number(kerf_mm.value, code="cutting.kerf", name="The kerf", unit="mm", at_least=0, at_most=50)
    scale = 1 if float(kerf).is_integer() else 10
    kerf_units = math.ceil(kerf * scale - 1e-9)
    in_order = sorted(wanted.items(), reverse=True)
    return _Job(
        tuple(length * scale + kerf_units for length, _ in in_order),
        tuple(count for _, count in in_order),
        tuple(length for length, _ in in_order),
        scale,
        kerf_units,
    )


def _plans(job: _Job, stick: Stick, offcuts: Sequence[Offcut]) -> Iterator[tuple[Cut, ...]]:
    """Offcuts filled in several ways, each with its rest from bought lengths."""
    in_order = sorted(offcuts, key=lambda row: (row.length_mm, row.code))
    prices = _prices(job, stick.length_mm, job.counts) if offcuts else None
    ways = fillings(
        rooms=[job.room(row.length_mm) for row in in_order],
        sizes=job.sizes,
        counts=job.counts,
        worth=prices.worth if prices else None,
    )
    for filling in ways:
        cuts = [
            job.cut(in_order[place].code, in_order[place].length_mm, pattern, 1) for place, pattern in filling
        ]
        for pattern, times in _bought(job, stick, left(filling, job.counts)):
            cuts.append(job.cut("", stick.length_mm, pattern, times))
        yield tuple(cuts)


def _bought(job: _Job, stick: Stick, wanted: Sequence[int]) -> patterns.Patterns:
    """The shorter of the simple ways and the best plan in fractions, rounded and completed."""
    room = job.room(stick.length_mm)
    simple = patterns.fewest(room, job.sizes, wanted)
    prices = _prices(job, stick.length_mm, tuple(wanted))
    if prices is None:
        return simple
    whole, rest = patterns.rounded(prices.fractions, wanted)
    return min(simple, whole + patterns.fewest(room, job.sizes, rest), key=patterns.lengths)


@lru_cache(maxsize=16)
def _prices(job: _Job, length_mm: int, wanted: tuple[int, ...]) -> patterns.Prices | None:
    """The best plan in fractions, asked for by the plan and by its bound; None when patterns are too many."""
    room = job.room(length_mm)
    full = patterns.full_patterns(room, job.sizes, wanted)
    return None if full is None else patterns.prices(room, job.sizes, wanted, full)


def _judged(cuts: Sequence[Cut], keep_from_mm: float) -> tuple[int, float, int]:
    """What makes one plan better than another: fewer bought, less lost, fewer offcuts touched."""
    bought = sum(cut.times for cut in cuts if not cut.offcut)
    lost = sum(cut.rest_mm * cut.times for cut in cuts if cut.rest_mm < keep_from_mm)
    return bought, lost, sum(1 for cut in cuts if cut.offcut)


def _at_best(job: _Job, stick: Stick, offcuts: Sequence[Offcut]) -> int:
    """The fewest bought lengths any plan needs: the larger of two bounds that no plan can beat."""
    held = [patterns.used(_fullest(job, offcut.length_mm), job.sizes) for offcut in offcuts]
    most = patterns.used(_fullest(job, stick.length_mm), job.sizes)
    by_length = -((sum(held) - sum(map(int.__mul__, job.sizes, job.counts))) // most)
    prices = _prices(job, stick.length_mm, job.counts)
    if prices is None:
        return max(0, by_length)
    there = sum(_worth_held(job, offcut, prices.worth) for offcut in offcuts)
    by_worth = math.ceil(patterns.value(job.counts, prices.worth) - there - 1e-6)
    return max(0, by_length, by_worth)


def _fullest(job: _Job, length_mm: int) -> Pattern:
    return patterns.fullest(job.room(length_mm), job.sizes, job.counts)


def _worth_held(job: _Job, offcut: Offcut, worth: Sequence[float]) -> float:
    """The most that can come out of an offcut: of its patterns, or by length when they are too many."""
    full = patterns.full_patterns(job.room(offcut.length_mm), job.sizes, job.counts)
    if full is None:
        dearest = max(value / size for value, size in zip(worth, job.sizes, strict=True))
        return dearest * job.room(offcut.length_mm)
    return max(patterns.value(pattern, worth) for pattern in full)


def _reasons(
    cuts: Sequence[Cut], plan_of: tuple[int, int], kerf_mm: Given[float], how: How
) -> tuple[Reason, ...]:
    bought, at_best = plan_of
    facts = {"bought": bought, "at_best": at_best}
    if bought == at_best:
        best = say("{bought} lengths; no plan needs fewer.", bought=bought)
        out = [Reason("cutting.fewest", best, Level.FINE, how, facts)]
    else:
        best = say("At best {at_best} lengths; this plan takes {bought}.", at_best=at_best, bought=bought)
        out = [Reason("cutting.near_fewest", best, Level.FINE, how, facts)]
    codes = [cut.offcut for cut in cuts if cut.offcut]
    if codes:
        named = say("Offcuts used: {codes}.", codes=", ".join(codes))
        out.append(Reason("cutting.offcuts", named, Level.FINE, how))
    if kerf_mm.basis is Basis.ASSUMED:
        kerf = say("The kerf of {kerf} mm is assumed: measure one cut.", kerf=kerf_mm.value)
        out.insert(0, Reason("cutting.kerf_assumed", kerf, Level.LOOK, how))
    return tuple(out)
