"""From a cutting plan to what hands do: which pieces out of which sheet, stick, roll or offcut, in order.

Knows codes and sizes; no material, no stock. Pieces of one plan have one width: strips first, then lengths.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from inventory.compute.cutting import plan
from inventory.compute.cutting.facts import Cut, CutPlan, Offcut, Piece, Stick
from inventory.compute.cutting.taken import Size, Some
from inventory.compute.reasons import Given, How, Level, Reason
from inventory.errors import Refused, say

BUY = "to buy"


@dataclass(frozen=True, slots=True)
class There:
    """What can be cut: so many lengths of one size under one code; `roll`: what is left of it, in one."""

    code: str
    size: Size
    lengths: int = 1
    roll: bool = False


@dataclass(frozen=True, slots=True)
class Job:
    """One thing to cut: `lengths` of it, all alike, into pieces in cutting order; what is then kept.

    `code` is empty for what has to be bought first.
    """

    code: str
    size: Size
    lengths: int
    each_mm: tuple[int, ...]  # of one strip or length
    pieces: tuple[Some, ...]
    offcuts: tuple[Size, ...]


@dataclass(frozen=True, slots=True)
class Jobs:
    """The whole plan. `whole`: lengths it takes of the size asked; `at_best`: no plan needs fewer.

    `to_buy`: how many of them are not in stock. `across`: strips side by side in one sheet; 1 for lengths.
    """

    jobs: tuple[Job, ...]
    whole: int
    at_best: int
    to_buy: int
    across: int
    width_mm: int | None
    plan: CutPlan
    reasons: tuple[Reason, ...]


def planned(
    *,
    pieces: Sequence[Some],
    length: Size,
    there: Sequence[There],
    offcuts: Sequence[There],
    kerf_mm: Given[float],
    keep_from_mm: int = 300,
) -> Jobs:
    """What to cut from what, beside the fewest lengths that any plan needs.

    Formula: strips of the widest piece's width, floor((W + kerf) / (w + kerf)) side by side in a sheet, their
        lengths by `compute.cutting.plan`; strips with like pieces into one sheet. Offcuts first. Of sheets,
        at best by area: ceil(sum of (l + kerf)(w + kerf), less the offcuts' areas, over the sheet's); and
        without offcuts, when every piece crosses the sheet's middle, by how many lie side by side
    Units: mm
    Shapes: `length` is one whole sheet or stick; `there` in the order they are taken, of that size
    Refuses: cutting.too_wide, cutting.no_pieces, what `compute.cutting.plan` refuses
    Source: common practice, no source (strips first); the bounds as in `cutting` and `cutting.sheets`
    Caution: large sheets are lifted by two; sawing is for an adult who may do it, guarded and with
        extraction.
    """
    width = None if length.width_mm is None else max((row.size.width_mm or 1 for row in pieces), default=1)
    across = _across(length, width, kerf_mm.value)
    if across < 1:
        raise Refused(
            "cutting.too_wide",
            say(
                "A piece {piece} mm wide does not come out of {width} mm.", piece=width, width=length.width_mm
            ),
            say("Take a wider one; pieces lie along the sheet and are not turned."),
        )
    strips = {
        f"{row.code}#{number}": row
        for row in offcuts
        for number in range(_across(row.size, width, kerf_mm.value))
    }
    found = plan(
        pieces=[Piece(row.size.length_mm, row.count) for row in pieces],
        stick=Stick(BUY, length.length_mm),
        kerf_mm=kerf_mm,
        offcuts=[Offcut(code, row.size.length_mm) for code, row in strips.items()],
        keep_from_mm=keep_from_mm,
    )
    keep = _Keep(keep_from_mm, width, kerf_mm.value)
    own = [(strips[cut.offcut], cut) for cut in found.cuts if cut.offcut]
    jobs = [_of_offcut(row, [cut for _, cut in cuts], keep) for row, cuts in _together(own)]
    whole = list(_whole(found.cuts, length, across, keep))
    jobs += _from_stock(whole, there)
    to_buy = sum(job.lengths for job in jobs if not job.code)
    best = _at_best(pieces, length, offcuts, found, across, kerf_mm.value)
    ends = [row.code for row in dict.fromkeys(row for row, _ in own) if not row.roll]
    reasons = _says(len(whole), best, to_buy, ends, found)
    return Jobs(tuple(jobs), len(whole), best, to_buy, across, width, found, reasons)


@dataclass(frozen=True, slots=True)
class _Keep:
    """What of a rest is worth keeping: from this length on, and as wide as the strip."""

    from_mm: int
    width_mm: int | None
    kerf: float

    def of(self, cuts: Sequence[Cut], size: Size, across: int) -> Iterator[Size]:
        """The ends of the strips, and what is left beside them."""
        for cut in cuts:
            rest = math.floor(cut.rest_mm)
            if rest >= max(1, self.from_mm):
                yield Size(rest, self.width_mm)
        if self.width_mm is not None and size.width_mm is not None and size.length_mm >= self.from_mm:
            beside = math.floor(size.width_mm - len(cuts) * (self.width_mm + self.kerf))
            if len(cuts) < across and beside >= self.width_mm:
                yield Size(size.length_mm, beside)


def _across(size: Size, width: int | None, kerf: float) -> int:
    if width is None or size.width_mm is None:
        return 1
    exact = Fraction(str(kerf))
    return int((size.width_mm + exact) // (width + exact))


def _together(own: Sequence[tuple[There, Cut]]) -> Iterator[tuple[There, list[tuple[There, Cut]]]]:
    """The strips of one offcut, together."""
    for row in dict.fromkeys(row for row, _ in own):
        yield row, [pair for pair in own if pair[0] == row]


def _of_offcut(row: There, cuts: Sequence[Cut], keep: _Keep) -> Job:
    across = _across(row.size, keep.width_mm, keep.kerf)
    return _job(row.code, row.size, cuts, keep, across)


def _job(code: str, size: Size, cuts: Sequence[Cut], keep: _Keep, across: int) -> Job:
    each = [mm for cut in cuts for mm in cut.pieces_mm]
    counts = {mm: each.count(mm) for mm in dict.fromkeys(each)}
    pieces = tuple(Some(Size(mm, keep.width_mm), count) for mm, count in counts.items())
    return Job(code, size, 1, tuple(each), pieces, tuple(keep.of(cuts, size, across)))


def _whole(cuts: Sequence[Cut], length: Size, across: int, keep: _Keep) -> Iterator[Job]:
    """One job a whole sheet or stick, strips with like pieces side by side."""
    strips = [cut for cut in cuts if not cut.offcut for _ in range(cut.times)]
    for first in range(0, len(strips), across):
        yield _job("", length, strips[first : first + across], keep, across)


def _from_stock(whole: Sequence[Job], there: Sequence[There]) -> list[Job]:
    """Each whole length out of the first package that still has one; like ones of a package together."""
    codes = [row.code for row in there for _ in range(row.lengths)]
    named = [replace(job, code=codes[place] if place < len(codes) else "") for place, job in enumerate(whole)]
    return [_many(job, len(list(same))) for job, same in groupby(named)]


def _many(job: Job, times: int) -> Job:
    pieces = tuple(Some(row.size, row.count * times) for row in job.pieces)
    return replace(job, lengths=times, pieces=pieces, offcuts=job.offcuts * times)


def _at_best(
    pieces: Sequence[Some], length: Size, offcuts: Sequence[There], found: CutPlan, across: int, kerf: float
) -> int:
    if length.width_mm is None:
        return found.at_best
    exact = Fraction(str(kerf))

    def area(size: Size) -> Fraction:
        return (size.length_mm + exact) * ((size.width_mm or 0) + exact)

    held = sum((area(row.size) * row.lengths for row in offcuts), Fraction(0))
    needed = sum((area(row.size) * row.count for row in pieces), Fraction(0))
    best = max(0, math.ceil((needed - held) / area(length)))
    if not offcuts and all(2 * row.size.length_mm > length.length_mm for row in pieces):
        narrowest = min(row.size.width_mm or 1 for row in pieces)
        side_by_side = _across(length, narrowest, kerf)
        best = max(best, math.ceil(sum(row.count for row in pieces) / max(1, side_by_side)))
    return best


def _says(whole: int, best: int, to_buy: int, ends: Sequence[str], found: CutPlan) -> tuple[Reason, ...]:
    how: How = found.how
    out = [reason for reason in found.reasons if reason.code == "cutting.kerf_assumed"]
    facts = {"whole": whole, "at_best": best}
    if not whole:
        sentence = say("No whole length is needed: all comes out of rolls and offcuts that are here.")
        out.append(Reason("cutting.all_here", sentence, Level.FINE, how, facts))
    elif whole == best:
        sentence = say("{whole} whole lengths; no plan can do with fewer.", whole=whole)
        out.append(Reason("cutting.fewest", sentence, Level.FINE, how, facts))
    else:
        sentence = say(
            "{whole} whole lengths; no plan can do with fewer than {best}.", whole=whole, best=best
        )
        out.append(Reason("cutting.near_fewest", sentence, Level.FINE, how, facts))
    if ends:
        named = say("Offcuts used: {codes}.", codes=", ".join(ends))
        out.append(Reason("cutting.offcuts", named, Level.FINE, how))
    if to_buy:
        sentence = say("{count} of them are not in stock.", count=to_buy)
        out.append(Reason("cutting.to_buy", sentence, Level.STOP, how))
    return tuple(out)
